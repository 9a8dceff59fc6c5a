"""Side pieces with their drill points: in: plain numbers in mm, out: a piece for each side.

Back and up are counted from the lower front corner of a side piece. Left and right are seen from the front of the rack.
Whoever stands at the left of a rack and looks at its left side has the front to their right: seen from outside, the
front edge of the left piece is on the right of the paper, and that of the right piece on the left.
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise
from math import ceil
from typing import NamedTuple, Protocol

from rackspec.language.quantity import plain_number
from rackspec.views.sheets.boards import Corner, holds
from rackspec.views.sheets.drawing import CUT, MEDIUM, NOTE, Line, Mark, Point, Polyline
from rackspec.views.sheets.lettering import decimal, distance, fitted
from rackspec.views.sheets.piece import Edge, Piece, Target

SIDES = ("left", "right")
LABEL_ROOM = 48.0
"""mm behind the rearmost hole that its label likes to have."""
MARGIN = 15.0
"""mm shown above the topmost hole."""
BORDER = 9.0
"""mm shown in front of the front edge and below the lower edge, for their names."""
LONGEST = 40.0
"""mm that the name of a row may take in a label."""
WIDEST = 164.0
"""mm that fit onto one sheet beside each other."""


class Hole(NamedTuple):
    """A hole that is there already (mm), how it is called on the sheet (``old hole``), and the row and line that it was
    drilled for, if it is used."""

    back: Fraction
    up: Fraction
    told: str
    serves: tuple[str, str] | None = None


class Place(Protocol):
    """A place to drill (mm): the end of a rail of a row, on its ``bottom`` or ``top`` line.

    ``because``: why it must not be drilled, a sentence each.
    """

    @property
    def row(self) -> str:
        """The name of the row."""

    @property
    def side(self) -> str:
        """``left`` or ``right``."""

    @property
    def line(self) -> str:
        """``bottom`` or ``top``."""

    @property
    def back(self) -> Fraction:
        """From the lower front corner backwards."""

    @property
    def up(self) -> Fraction:
        """From the lower front corner upwards."""

    @property
    def diameter(self) -> Fraction:
        """Of the finished hole."""

    @property
    def thread(self) -> str:
        """Of the screw that goes through it."""

    @property
    def because(self) -> tuple[str, ...]:
        """Why not to drill."""


def backwards(side: str, mirrored: bool) -> int:
    """1 where the back of a side piece is on the right of the paper, -1 where it is on the left."""
    outside = 1 if side == "right" else -1
    return -outside if mirrored else outside


def side_piece(
    side: str,
    places: Sequence[Place],
    outline: Sequence[Corner] = (),
    holes: Sequence[Hole] = (),
    mirrored: bool = False,
    give: Fraction = Fraction(1, 2),
) -> Piece:
    """One side piece with its places and the holes that are there already. There is at least one place.

    ``give``: how far (mm) a drilled hole may be off its place. One that is further off is shown as it is, and the sheet
    is held: what to do about it has to be settled first.
    """
    way = backwards(side, mirrored)
    targets: list[Target] = []
    seams: list[Mark] = []
    done = {place: hole for place in places for hole in holes if is_done(place, hole)}
    left = [hole for hole in holes if hole not in done.values()]
    wrong = {place: hole for place, hole in done.items() if off(place, hole) > give}
    for place in places:
        if place in wrong:
            targets.append(drilled_beside(place, wrong[place], len(targets) + 1, way))
            continue
        at = on_paper((place.back, place.up), way)
        other = next((p for p in places if p.row == place.row and p.line != place.line), None)
        label = [
            fitted(f"{len(targets) + 1}  {place.row}, {place.line}", 2.5, LONGEST),
            f"{decimal(place.diameter, 1)} for {place.thread}",
            f"back {decimal(place.back, 1)}, up {decimal(place.up, 1)}",
        ]
        if other is not None:
            apart = distance(place.back - other.back, place.up - other.up)
            label.append(f"{decimal(apart, 2)} to its {other.line} one")
            if place.line == "bottom" and other not in wrong:
                seams.append(Line(NOTE, at, on_paper((other.back, other.up), way), dashed=True))
        if place in done:
            label.append(f"drilled already, {decimal(off(place, done[place]), 1)} off")
        targets.append(Target(at, (float(place.diameter),), tuple(label)))
    for hole in left:
        told = (
            fitted(f"{len(targets) + 1}  {hole.told}", 2.5, LONGEST),
            f"back {decimal(hole.back, 1)}, up {decimal(hole.up, 1)}",
        )
        targets.append(Target(on_paper((hole.back, hole.up), way), (), told, old=True))
    reach = [*((place.back, place.up) for place in places), *((hole.back, hole.up) for hole in holes)]
    least = min([Fraction(0), *(back - 15 for back, _ in reach)])
    lowest = min([Fraction(0), *(up - 15 for _, up in reach)])
    front, behind = float(least) - BORDER, float(max(back for back, _ in reach))
    deep = behind + (LABEL_ROOM if behind + LABEL_ROOM - front <= WIDEST else MARGIN)
    low, high = float(lowest) - BORDER, float(max(up for _, up in reach)) + MARGIN
    region = (front, low, deep, high) if way > 0 else (-deep, low, -front, high)
    marks = seams
    if outline:
        marks.append(Polyline(CUT, tuple(on_paper(corner, way) for corner in outline), MEDIUM))
    reasons = [
        reason
        for place in places
        for reason in (
            *place.because,
            *beyond(place, outline),
            *(() if place in done else in_the_way(place, left)),
            *(drilled_off(place, wrong[place], give) if place in wrong else ()),
        )
    ]
    hold = tuple(dict.fromkeys(reasons))
    return Piece(
        f"{side.capitalize()} side piece, seen from {'inside (mirrored)' if mirrored else 'outside'}",
        f"{side}-mirrored" if mirrored else side,
        tuple(marks),
        tuple(edges(outline, way, deep, high)),
        tuple(targets),
        region,
        way,
        hold,
        lies=f" The front edge is on the {'left' if way > 0 else 'right'}.",
    )


def off(place: Place, hole: Hole) -> Fraction:
    """How far a hole is from a place, from centre to centre (mm)."""
    return distance(place.back - hole.back, place.up - hole.up)


def is_done(place: Place, hole: Hole) -> bool:
    """Whether a hole is the one that was drilled for a place: nothing is left to drill there."""
    return hole.serves == (place.row, place.line) and off(place, hole) < place.diameter


def upwards(length: Fraction) -> str:
    """A length to a tenth, rounded up: what is off is not made less."""
    return decimal(Fraction(ceil(length * 10), 10), 1)


def drilled_beside(place: Place, hole: Hole, number: int, way: int) -> Target:
    """The hole of a place where it really is, and not to be drilled again."""
    label = (
        fitted(f"{number}  {place.row}, {place.line}", 2.5, LONGEST),
        f"drilled already, {upwards(off(place, hole))} off:",
        "see 'rackspec inspect'",
        f"back {decimal(hole.back, 1)}, up {decimal(hole.up, 1)}",
    )
    return Target(on_paper((hole.back, hole.up), way), (), label, old=True)


def drilled_off(place: Place, hole: Hole, give: Fraction) -> Iterator[str]:
    """That a hole is too far off to be used as it is, and too near for another one."""
    yield (
        f"{place.row}, {place.line}: drilled already, {upwards(off(place, hole))}mm off, and {plain_number(give)}mm is "
        "what it may be off; 'rackspec inspect' says what to do about it"
    )


def beyond(place: Place, outline: Sequence[Corner]) -> Iterator[str]:
    """That a hole would not lie in the side piece."""
    radius = place.diameter / 2
    if outline and not holds(outline, (place.back, place.up), radius):
        yield f"{place.row}, {place.line}: the hole would not lie in the side piece, or would break through its edge"
    if not outline and min(place.back, place.up) <= radius:
        yield f"{place.row}, {place.line}: the hole would break through the front or lower edge"


def in_the_way(place: Place, holes: Sequence[Hole]) -> Iterator[str]:
    """Holes that a drill would run into: nearer than a diameter, from centre to centre (common practice, no source)."""
    for hole in holes:
        if off(place, hole) < place.diameter:
            yield (
                f"{place.row}, {place.line}: the drill would run into a hole that is "
                f"{decimal(off(place, hole), 1)}mm beside it ({hole.told})"
            )


def on_paper(corner: Corner, way: int) -> Point:
    """A point of a side piece on the paper."""
    back, up = corner
    return (way * float(back), float(up))


def edges(outline: Sequence[Corner], way: int, deep: float, high: float) -> list[Edge]:
    """The lines that a sheet is laid along.

    With corners: the front edge from the lower front corner to where it stops rising, and the lower edge; where one of
    them is not straight up or level, a dashed line shows from where is counted. Without: the lines counted from.
    """
    zero = (Fraction(0), Fraction(0))
    upright = Edge((0.0, 0.0), (0.0, high), "FRONT EDGE", (-float(way), 0.0))
    level = Edge((0.0, 0.0), (way * deep, 0.0), "LOWER EDGE", (0.0, -1.0))
    if not outline:
        return [upright, level]
    from_front = upright._replace(name="BACK IS COUNTED FROM HERE", dashed=True)
    from_below = level._replace(name="UP IS COUNTED FROM HERE", dashed=True)
    if zero not in outline:
        return [from_front, from_below]
    first = list(outline).index(zero)
    ring = [*outline[first:], *outline[:first]]
    if steeper(ring[1], ring[-1]):
        ring = [ring[0], *reversed(ring[1:])]
    front = [zero]
    for corner in reversed(ring[1:]):
        if corner[1] <= front[-1][1]:
            break
        front.append(corner)
    found = [named(begin, end, "FRONT EDGE", way, inner=1) for begin, end in pairwise(front)]
    found.append(named(zero, ring[1], "LOWER EDGE", way, inner=-1))
    if any(corner[0] != 0 for corner in front):
        found.append(from_front)
    if ring[1][1] != 0:
        found.append(from_below)
    return found


def steeper(one: Corner, other: Corner) -> bool:
    """Whether a corner is seen steeper from the lower front corner than another one."""
    return one[1] * other[0] - one[0] * other[1] > 0


def named(begin: Corner, end: Corner, name: str, way: int, inner: int) -> Edge:
    """A side of the outline with its name; ``inner`` 1 if the piece is on the right of the way along it."""
    back, up = float(end[0] - begin[0]), float(end[1] - begin[1])
    long = (back * back + up * up) ** 0.5
    outward = (-way * inner * up / long, inner * back / long)
    return Edge(on_paper(begin, way), on_paper(end, way), name, outward, layer=CUT)
