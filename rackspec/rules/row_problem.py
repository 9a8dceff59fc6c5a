"""A row in sizes: in: a row on chosen rails at a stage, out: the problem whether its panels go in side by side.

What nobody wrote of a panel is as the standard has it: 0.30 mm narrower than its HP, holes in the middle of the second
HP. A row of which nothing is written is not looked at: nothing would be found but what was assumed.
"""

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from rackspec.language.units import HP
from rackspec.model.faces import Face, line_of_hole
from rackspec.model.known import Known
from rackspec.model.rack import Panel
from rackspec.model.seats import LINES
from rackspec.physics.bolting import HoleAt, clearance
from rackspec.physics.row import Line, NutLine, RowEnds, RowHole, RowPanel, RowProblem, Size, StripLine
from rackspec.physics.standing import sideways_left
from rackspec.physics.threads import Thread
from rackspec.rules.choices import DEDUCTION, FIRST_HOLE, FIRST_THREAD, NARROW, Chosen
from rackspec.rules.heights import holes_outside
from rackspec.rules.registry import Look
from rackspec.rules.standing_panels import height_off
from rackspec.rules.thread_lines import APART


class Sized(NamedTuple):
    """A row's problem, its panels by number, and what is written of their sizes.

    ``loose``: sizes that are only known between two ends, so that the worst case is another problem.
    """

    problem: RowProblem
    panels: tuple[Panel, ...]
    loose: bool


def sized(
    look: Look,
    chosen: Chosen,
    stage: int,
    told: frozenset[str],
    worst: bool,
    always: bool = False,
    pushed: bool = True,
) -> Sized | None:
    """The problem of a row at a stage; None where too much of it is unknown, or other findings say why it cannot be.

    ``told``: names of panels whose holes have a finding of their own. ``worst``: with all play at the end that hurts.
    ``always``: also where nothing is written of any panel. ``pushed``: rails are brought to where they take no play
    from the screws; else they stand as they are.
    """
    row, rail, thread = chosen.row, chosen.rail, chosen.thread
    if rail is None or rail.length is None or thread is None or row.spoiled:
        return None
    here = [panel for panel in row.at(stage) if panel.takes_room]
    if any(panel.start is None or panel.width is None for panel in here):
        return None
    panels = sorted(here, key=lambda panel: panel.start or Fraction(0))
    if overlap(panels, rail.length.value) or not (always or off_grid(chosen, panels) or any(map(is_written, panels))):
        return None
    line = line_of(look, chosen, worst)
    if line is None:
        return None
    # end screws pull the sides against the rails, or against what was put between them
    shims = look.rack.case.shims if look.rack.case is not None else None
    between = shims.low if shims is not None and worst else shims.value if shims is not None else Fraction(0)
    made = tuple(row_panel(look, chosen, thread, panel, panel.name in told, worst, pushed) for panel in panels)
    loose = any(
        size.low != size.high for panel in made for size in (panel.face, *(hole.offset for hole in panel.holes))
    )
    insert = chosen.insert
    written = [] if insert is None else [insert.first, insert.pitch, insert.across]
    loose |= any(known is not None and known.low != known.high for known in (*written, shims))
    loose |= isinstance(line, StripLine) and (insert is None or insert.play is None or not insert.play.quantity.exact)
    return Sized(
        RowProblem(made, line, line, RowEnds(rail.length.value, between / 2)),
        tuple(panels),
        loose,
    )


def overlap(panels: list[Panel], length: Fraction) -> bool:
    """Whether slots overlap, or leave the rails: then that is what is wrong."""
    end = Fraction(0)
    for panel in panels:
        assert panel.start is not None and panel.width is not None
        if panel.start < end:
            return True
        end = panel.start + panel.width.value
    return end > length


def off_grid(chosen: Chosen, panels: list[Panel]) -> bool:
    """Whether panels do not start at whole HP, or a strip does not lie on the grid."""
    first = chosen.insert.first if chosen.insert is not None else None
    if first is not None and (first.value - FIRST_THREAD) % HP:
        return True
    return any(panel.start is not None and panel.start % HP for panel in panels)


def is_written(panel: Panel) -> bool:
    """Whether anything of a panel's real width or of its holes is written down."""
    return panel.part is not None and not panel.part.spoiled and bool(panel.part.face.width or panel.part.face.holes)


def line_of(look: Look, chosen: Chosen, worst: bool) -> Line:
    """What is behind the holes of both lines; None where it is not known well enough."""
    insert, thread = chosen.insert, chosen.thread
    if insert is None or thread is None:
        return None
    if insert.form == "nut":
        across = size_of(insert.across) if insert.across is not None else exact(thread.nut[0])
        return NutLine(across)
    if insert.form != "strip" or insert.pitch is None or insert.holes is None or not insert.holes:
        return None
    play = insert.play or look.house.limit("assume play").as_known(insert.place)
    first = size_of(insert.first) if insert.first is not None else exact(FIRST_THREAD)
    return StripLine(first, size_of(insert.pitch), insert.holes, play.low if worst else play.value)


def size_of(known: Known) -> Size:
    """A size with its tolerance."""
    return Size(known.value, known.low, known.high)


def exact(value: Fraction) -> Size:
    """A size without tolerance."""
    return Size(value, value, value)


def row_panel(
    look: Look, chosen: Chosen, thread: Thread, panel: Panel, told: bool, worst: bool, pushed: bool
) -> RowPanel:
    """A panel as sizes: its width, its holes (none where they have a finding of their own), how far it can turn."""
    assert panel.start is not None and panel.width is not None
    part = panel.part
    width = panel.width.value
    written = part.face.width if part is not None and not part.spoiled else None
    face = size_of(written) if written is not None else exact(width - DEDUCTION)
    holes: tuple[RowHole, ...] = ()
    turn: Fraction | None = None
    if not told and part is not None and not part.spoiled and not holes_outside(panel):
        off = Fraction(0) if pushed else height_off(look, chosen, panel)
        holes = tuple(row_holes(panel, thread, off, worst))
        turn = turning(part.face, thread)
    elif not told and part is None:
        holes = tuple(assumed_holes(width, thread))
    return RowPanel(panel.name or f"{panel.what} at {panel.start / HP}HP", panel.start, width, face, holes, turn)


def row_holes(panel: Panel, thread: Thread, off: Fraction, worst: bool) -> Iterator[RowHole]:
    """The holes of a panel, those that are written down or those that the standard has.

    ``off``: how far a screw stands too high or too low in them (mm); a round hole shares its play between both.
    """
    assert panel.part is not None and panel.width is not None
    if not panel.part.face.holes:
        yield from assumed_holes(panel.width.value, thread)
        return
    for hole in panel.part.face.holes:
        round_part = (hole.width.value - thread.largest) / 2
        if round_part < 0:
            continue
        left = sideways_left(round_part, min(off, round_part))
        slot = (hole.length.value - hole.width.value) / 2
        room = (left.low if worst else left.high) + slot
        line = line_of_hole(panel.part.face, hole)
        yield RowHole(line, size_of(hole.x), room, hole.length.value)


def assumed_holes(width: Fraction, thread: Thread) -> Iterator[RowHole]:
    """The first hole on each line as the standard has it; none of a narrow panel, whose holes may be anywhere.

    A second column, as far from the other edge, would be held by the same threads and say nothing new.
    """
    if width <= NARROW * HP:
        return
    edge = FIRST_HOLE - DEDUCTION / 2
    opening = thread.clearance[0]
    room = clearance(HoleAt(Fraction(0), opening, opening), thread)
    for line in LINES:
        yield RowHole(line, exact(edge), room)


def turning(face: Face, thread: Thread) -> Fraction | None:
    """How far the left edge of a panel may differ between its lines by turning (mm); None: nothing holds it.

    Two screws on one line, ``b`` apart, each of which may stand ``c`` too high or too low, let it turn by 2c / b.
    """
    best: Fraction | None = None
    for line in LINES:
        here = [hole for hole in face.holes if line_of_hole(face, hole) == line]
        if len(here) < 2:
            continue
        left, right = here[0], here[-1]
        apart = right.x.value - left.x.value
        play = (left.width.value + right.width.value) / 2 - thread.largest
        if apart > 0 and play >= 0:
            turn = play / apart * APART
            best = turn if best is None else min(best, turn)
    return best
