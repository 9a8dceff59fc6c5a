"""Rows in each other's place: in: a rack, out: findings on panels or rails of two rows that would be in one place."""

from collections.abc import Iterator
from fractions import Fraction
from itertools import combinations
from typing import NamedTuple

from rackspec.findings import ERROR, Finding
from rackspec.model.case import SIDES
from rackspec.model.known import rests_on
from rackspec.model.rack import Row
from rackspec.physics.sections import corners
from rackspec.rules.chosen import chosen_one
from rackspec.rules.marks import move_remedy, show_point, spread_of
from rackspec.rules.misread import misread
from rackspec.rules.registry import Look, milder, steps_for
from rackspec.rules.row_bodies import LIPS, PANELS, Bodies, Meeting, bodies_of, nearest
from rackspec.rules.standing_panels import length_of, near


class Collision(NamedTuple):
    """Two rows in each other's place: in which side pieces, the worst first, how they meet there, and whether they do
    so without any tolerance."""

    earlier: Row
    later: Row
    sides: tuple[str, ...]
    meeting: Meeting
    nominal: bool


def collisions(look: Look) -> tuple[Collision, ...]:
    """All pairs of rows that are in each other's place."""
    if "collisions" not in look.memory:
        look.memory["collisions"] = tuple(_collisions(look))
    found: tuple[Collision, ...] = look.memory["collisions"]
    return found


def _collisions(look: Look) -> Iterator[Collision]:
    rows = [row for row in look.rack.rows if row.standing.seat is not None or row.standing.drilled]
    for earlier, later in combinations(rows, 2):
        met = [(side, meeting) for side in SIDES if (meeting := _meeting(look, earlier, later, side)) is not None]
        if met and not side_by_side(look, earlier, later):
            met.sort(key=lambda pair: pair[1].low)
            worst = met[0][1]
            yield Collision(earlier, later, tuple(side for side, _ in met), worst, worst.high < 0)


def _meeting(look: Look, earlier: Row, later: Row, side: str) -> Meeting | None:
    """How two rows overlap in a side piece; None where they do not. What is nominally clear by no more than the
    tolerances of both overlaps at the worst."""
    one, other = bodies_of(look, earlier, side), bodies_of(look, later, side)
    if one is None or other is None:
        return None
    if far_apart(box_of(look, earlier, side, one), box_of(look, later, side, other)):
        return None
    if any(bodies.standpoint.drilled and misread(look, row) for bodies, row in ((one, earlier), (other, later))):
        return None  # hole-off-mark says what was written wrong
    spread = spread_of(one.standpoint.values) + spread_of(other.standpoint.values)
    found = nearest(one, other, spread)
    return found if found is not None and found.high < spread else None


Box = tuple[Fraction, Fraction, Fraction, Fraction]
"""From where to where something reaches, back and up (mm)."""


def box_of(look: Look, row: Row, side: str, bodies: Bodies) -> Box:
    """A box around a row in a side piece, with what it may be off: most rows are told apart by it."""
    boxes: dict[tuple[str, str], Box] = look.memory.setdefault("boxes of rows", {})
    if (row.name, side) not in boxes:
        points = [point for _, slab in bodies.parts for point in corners(slab)]
        off = spread_of(bodies.standpoint.values)
        backs, ups = [back for back, _ in points], [up for _, up in points]
        boxes[row.name, side] = (
            min(back.low for back in backs) - off,
            max(back.high for back in backs) + off,
            min(up.low for up in ups) - off,
            max(up.high for up in ups) + off,
        )
    return boxes[row.name, side]


def far_apart(one: Box, other: Box) -> bool:
    """Whether two boxes have nothing in common."""
    return one[1] < other[0] or other[1] < one[0] or one[3] < other[2] or other[3] < one[2]


def side_by_side(look: Look, earlier: Row, later: Row) -> bool:
    """Whether two rows are short enough to stand beside each other, with an upright between them."""
    inside = look.rack.case.inside if look.rack.case is not None else None
    lengths = []
    for row in (earlier, later):
        chosen = chosen_one(look, row) if row.choices else None
        length = length_of(chosen) if chosen is not None else None
        if length is None:
            return False
        lengths.append(length)
    return inside is not None and sum(lengths) <= inside.value


def collides_with(look: Look, row: str, other: str) -> bool:
    """Whether two rows are in each other's place, without any tolerance."""
    return any(one.nominal and {row, other} == {one.earlier.name, one.later.name} for one in collisions(look))


def colliding_rows(look: Look) -> Iterator[Finding]:
    """Rows in each other's place, once for each pair."""
    for found in collisions(look):
        earlier, later, meeting = found.earlier, found.later, found.meeting
        one, other = (bodies_of(look, row, found.sides[0]) for row in (earlier, later))
        assert one is not None and other is not None
        values = [*one.standpoint.values, *other.standpoint.values]
        what = "their panels overlap"
        if (meeting.one, meeting.other) != (PANELS, PANELS):
            what = f"the {meeting.one} of '{earlier.name}' meet the {meeting.other} of '{later.name}'"
        worst = "" if found.nominal else ", at the worst"
        drilled = one.standpoint.drilled or other.standpoint.drilled
        yield Finding(
            "rows-collide",
            milder(ERROR, steps_for(found.nominal, any(value.is_guess for value in values))),
            f"rows '{earlier.name}' and '{later.name}' are in each other's place: {what}{_where(found)}{worst}",
            other.standpoint.place,
            others=(one.standpoint.place.labelled(f"row '{earlier.name}'"),),
            sum=f"{_reach(earlier.name, one)}, {_reach(later.name, other)}{_beyond(found, one, other)}; "
            f"{_by_how_much(meeting, found.nominal)}",
            remedy=_remedy(look, found, drilled),
            rests_on=rests_on("places", values) + ("; as drilled" if drilled else ""),
            names=(look.rack.full(later.name), look.rack.full(earlier.name)),
        )


def _where(found: Collision) -> str:
    return "" if len(found.sides) == len(SIDES) else f" at the {found.sides[0]} side"


def _reach(name: str, bodies: Bodies) -> str:
    """From where to where the panels of a row reach, along the seat."""
    points = corners(bodies.parts[0][1])
    ends = [(points[number][0].middle, points[number][1].middle) for number in (1, 3)]
    return f"the panels of '{name}' lie from {show_point(ends[0])} to {show_point(ends[1])}"


def _beyond(found: Collision, one: Bodies, other: Bodies) -> str:
    """How far lips stand out beyond panels, where they are what meets."""
    text = ""
    for row, what, bodies in ((found.earlier, found.meeting.one, one), (found.later, found.meeting.other, other)):
        panels = bodies.parts[0][1]
        beyond = max([slab.high for name, slab in bodies.parts if name == LIPS], default=panels.high) - panels.high
        if what == LIPS and beyond > 0:
            text += f", the lips of '{row.name}' {near(beyond)} further"
    return text


def _by_how_much(meeting: Meeting, nominal: bool) -> str:
    if nominal:
        return f"they overlap by {near(-meeting.low)}, measured the shorter way"
    return f"{near(max(meeting.low, Fraction(0)))} are between them, less than what they may be off"


def _remedy(look: Look, found: Collision, drilled: bool) -> str:
    move = "" if drilled else move_remedy(look, found.later) or move_remedy(look, found.earlier)
    if move:
        return move
    names = f"'{found.earlier.name}' or '{found.later.name}'"
    measure = "measure the drilled holes again, back and up from the lower front corner of the piece; or "
    return f"{measure if drilled else ''}give row {names} another seat, clear of the other row and of what is behind it"
