"""Why holes are beside their marks: in: a row with its holes as drilled, out: the slip that explains them best.

Each slip says where it would have put every hole. The one that is nearest to all of them counts, if no hole is further
from it than a drilled hole may be off.
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import NamedTuple

from rackspec.language.units import HP
from rackspec.model.seats import BOTTOM, TOP, Drilled
from rackspec.physics.drilling import Sitting, spot
from rackspec.physics.off_marks import lean_between, mean, misfit_squared, seen_from_row, seen_from_side
from rackspec.physics.outlines import Point
from rackspec.rules.drill_points import Stand, hole_height, planned, side_outline, stands, thickness_of_row
from rackspec.rules.marks import show_point
from rackspec.rules.registry import Look
from rackspec.rules.standing_panels import near
from rackspec.rules.thread_lines import APART
from rackspec.rules.ways_out import mm

INCH_MARK = Fraction(77, 16) * Fraction("25.4")
"""mm; 4 13/16 in, how rails are marked out with a folding rule (common practice, no source): 122.2375 mm."""


class Off(NamedTuple):
    """A drilled hole and its mark: both in the side piece (mm), and how far it is off, seen from the row."""

    hole: Drilled
    point: Point
    mark: Point
    y: Fraction
    z: Fraction

    @property
    def moved(self) -> Point:
        """How far back and up it is off."""
        return self.point[0] - self.mark[0], self.point[1] - self.mark[1]

    @property
    def squared(self) -> Fraction:
        """The square of how far it is off."""
        return self.moved[0] ** 2 + self.moved[1] ** 2


class Cause(NamedTuple):
    """A slip: what it is called behind "as if", where it would have put the holes, and what mends it (may be empty)."""

    text: str
    expected: tuple[Point, ...]
    remedy: str
    lean: Fraction | None = None
    enough: bool = False
    """Whether ``remedy`` mends all of it, without a tool."""
    harmless: bool = False
    """Whether panels go on all the same."""
    miswritten: bool = False
    """Whether the holes may well be elsewhere than they are written."""


def offs_of(stand: Stand) -> list[Off]:
    """The drilled holes of a row against their marks, left before right, bottom before top."""
    found = []
    for hole in sorted(stand.row.standing.drilled, key=lambda hole: (hole.side, hole.line)):
        where = planned(stand, hole.line)
        point, mark = (hole.back.value, hole.up.value), (where.back.middle, where.up.middle)
        y, z = seen_from_row((point[0] - mark[0], point[1] - mark[1]), stand.sitting.lean)
        found.append(Off(hole, point, mark, y, z))
    return found


def best_cause(look: Look, stand: Stand, offs: Sequence[Off], limit: Fraction) -> Cause | None:
    """The slip that explains some holes best; None where none of them comes near enough to all (``limit``, mm)."""
    found = [off.point for off in offs]
    tried = [(misfit_squared(found, cause.expected), cause) for cause in causes(look, stand, offs)]
    near = [pair for pair in tried if pair[0] <= limit**2]
    return min(near, key=lambda pair: pair[0])[1] if near else None


def turned_numbers(offs: Sequence[Off]) -> Cause:
    """Back and up exchanged."""
    lines = "this 'drilled' line" if len(offs) == 1 else "these 'drilled' lines"
    return Cause(
        "back and up had been exchanged",
        tuple((off.mark[1], off.mark[0]) for off in offs),
        f"exchange the two numbers in {lines}, if the holes are right and only written wrong",
        miswritten=True,
    )


def causes(look: Look, stand: Stand, offs: Sequence[Off]) -> Iterator[Cause]:
    """All slips that are known, with the holes where each would have put them."""
    yield turned_numbers(offs)
    yield from from_the_front(look, stand, offs)
    yield from along_the_panel(stand, offs)
    yield from half_a_step(offs)
    yield from other_edges(look, offs)
    yield from exchanged(look, stand, offs)
    yield from other_lean(stand, offs)


def shifted(stand: Stand, offs: Sequence[Off], y: tuple[Fraction, Fraction], z: Fraction) -> tuple[Point, ...]:
    """Where holes would be: the lower and the upper one shifted up the panel, both behind the seat (mm)."""
    found = []
    for off in offs:
        back, up = seen_from_side(y[off.hole.line == TOP], z, stand.sitting.lean)
        found.append((off.mark[0] + back, off.mark[1] + up))
    return tuple(found)


NONE = (Fraction(0), Fraction(0))


def from_the_front(look: Look, stand: Stand, offs: Sequence[Off]) -> Iterator[Cause]:
    """Measured from the lip, or from the wrong side of a panel."""
    rail = stand.chosen.rail
    lip = rail.lip if rail is not None else None
    if rail is not None and lip is not None and lip.front.value:
        front = lip.front.value
        yield Cause(
            f"they had been measured from the front of the lip, which stands {mm(front)} before the seat",
            shifted(stand, offs, NONE, front),
            "",
        )
        yield Cause(
            f"'behind' of '{rail.name}' had been measured from the front of its lip, {mm(front)} before the seat",
            shifted(stand, offs, NONE, -front),
            f"measure 'behind' of '{rail.name}' again, from where the panel lies",
        )
    thickness = thickness_of_row(look, stand.row).value
    yield Cause(
        f"the seat had been taken for the face of the panels, which are {mm(thickness)} thick",
        shifted(stand, offs, NONE, thickness),
        "",
    )
    yield Cause(
        f"the thickness of the panels, {mm(thickness)}, had been left out",
        shifted(stand, offs, NONE, -thickness),
        "",
    )


def along_the_panel(stand: Stand, offs: Sequence[Off]) -> Iterator[Cause]:
    """The wrong distance between the two holes."""
    inward = stand.end_hole.inward.value
    if inward:
        yield Cause(
            f"the holes were as far apart as the thread lines; they are {mm(abs(inward))} "
            f"{'inward' if inward > 0 else 'outward'} of them at each end",
            shifted(stand, offs, (-inward, inward), Fraction(0)),
            "",
        )
        yield Cause(
            f"the {mm(abs(inward))} from thread line to end hole had been measured the other way",
            shifted(stand, offs, (-2 * inward, 2 * inward), Fraction(0)),
            "",
        )
    less = APART - INCH_MARK
    for text, lower, upper in (("down from the upper", less, Fraction(0)), ("up from the lower", Fraction(0), -less)):
        yield Cause(
            f"the distance had been marked as 4 13/16in {text} one, {near(less)} less than {mm(APART)}",
            shifted(stand, offs, (lower, upper), Fraction(0)),
            "",
            harmless=True,
        )


def half_a_step(offs: Sequence[Off]) -> Iterator[Cause]:
    """Half an HP to one side: a line too far on squared paper. It counts only if it is met closely."""
    half = HP / 2
    for back, up in ((half, 0), (-half, 0), (0, half), (0, -half)):
        expected = tuple((off.mark[0] + back, off.mark[1] + up) for off in offs)
        if misfit_squared([off.point for off in offs], expected) <= Fraction(1, 16):
            yield Cause(f"they had been moved by half an HP, {mm(half)}", expected, "")


def other_edges(look: Look, offs: Sequence[Off]) -> Iterator[Cause]:
    """Measured from another edge of the piece, as on the piece for the other side."""
    outlines = {off.hole.side: side_outline(look.rack, off.hole.side) for off in offs}
    if not all(outlines.values()):
        return
    for text, mirror_back, mirror_up in (
        ("back", True, False),
        ("upper", False, True),
        ("back and the upper", True, True),
    ):
        expected = []
        whole = True
        for off in offs:
            outline = outlines[off.hole.side]
            backs, ups = [corner[0] for corner in outline], [corner[1] for corner in outline]
            across, along = min(backs) + max(backs), min(ups) + max(ups)
            back, up = off.mark
            expected.append((across - back if mirror_back else back, along - up if mirror_up else up))
            turned = {(across - x if mirror_back else x, along - y if mirror_up else y) for x, y in outline}
            whole = whole and turned == set(outline)
        edge = f"they had been measured from the {text} edge of the piece"
        if mirror_back and not mirror_up:
            edge += ", as on a mirrored one"
        sides = " and ".join(dict.fromkeys(off.hole.side for off in offs))
        flip = "round, its other face inwards" if mirror_back != mirror_up else "upside down"
        turn = f"turn the {sides} side piece {flip}: it is the same then, and the holes are at their marks"
        yield Cause(edge, tuple(expected), turn if whole else "", enough=whole)


def exchanged(look: Look, stand: Stand, offs: Sequence[Off]) -> Iterator[Cause]:
    """Bottom and top exchanged, or the holes of another row."""
    other = {BOTTOM: TOP, TOP: BOTTOM}
    marks = {line: planned(stand, line) for line in (BOTTOM, TOP)}
    points = {line: (where.back.middle, where.up.middle) for line, where in marks.items()}
    yield Cause(
        "'bottom' and 'top' had been exchanged",
        tuple(points[other[off.hole.line]] for off in offs),
        "exchange the words 'bottom' and 'top' in these 'drilled' lines",
        enough=True,
    )
    for row in stands(look):
        if row.row is not stand.row:
            where = {line: planned(row, line) for line in (BOTTOM, TOP)}
            yield Cause(
                f"they were those of row '{row.row.name}'",
                tuple((where[off.hole.line].back.middle, where[off.hole.line].up.middle) for off in offs),
                f"write them under row '{row.row.name}'",
                enough=True,
            )


def other_lean(stand: Stand, offs: Sequence[Off]) -> Iterator[Cause]:
    """Another lean, with the seat where it was to be."""
    leans = {-stand.sitting.lean} if stand.sitting.lean else set()
    for side in dict.fromkeys(off.hole.side for off in offs):
        lower, upper = stand.row.standing.hole(side, BOTTOM), stand.row.standing.hole(side, TOP)
        if lower is not None and upper is not None:
            leans.add(lean_between((lower.back.value, lower.up.value), (upper.back.value, upper.up.value)))
    for lean in sorted(leans - {stand.sitting.lean}):
        sitting = Sitting(stand.sitting.back, stand.sitting.up, lean)
        expected = []
        for off in offs:
            height = hole_height(off.hole.line, stand.end_hole.inward.value)
            where = spot(sitting, height, stand.end_hole.behind.value)
            expected.append((where.back.middle, where.up.middle))
        yield Cause(
            f"the row leaned by {degrees(lean)} instead of {degrees(stand.sitting.lean)}"
            if lean >= 0
            else f"the row leaned forwards by {degrees(-lean)}",
            tuple(expected),
            "",
            lean if lean >= 0 else None,  # the language knows no lean forwards: nobody plans it
        )


def degrees(lean: Fraction) -> str:
    """A lean as the language writes it, to a tenth of a degree."""
    return mm(Fraction(round(lean * 10), 10)).removesuffix("mm") + "deg"


def is_one_shift(cause: Cause, offs: Sequence[Off]) -> bool:
    """Whether a slip moves all holes by the same."""
    moved = {(point[0] - off.mark[0], point[1] - off.mark[1]) for point, off in zip(cause.expected, offs, strict=True)}
    return len(moved) == 1


def common_shift(offs: Sequence[Off]) -> Point:
    """How far back and up all holes are off, on average (mm)."""
    return mean([off.moved for off in offs])


def show_off(off: Off) -> str:
    """A drilled hole as it was written, and its mark, as a sum."""
    return f"drilled ({mm(off.point[0])}, {mm(off.point[1])}), mark {show_point(off.mark)}"
