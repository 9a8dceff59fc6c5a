"""Holes of rails in the side pieces: in: a rack, out: where each is or will be, what is near, where its row could go.

A hole that was drilled is the hole, wherever its mark was; where none was, the mark is what will be drilled.
"""

from collections.abc import Iterator
from fractions import Fraction
from math import ceil
from typing import NamedTuple

from rackspec.findings import Place
from rackspec.language.quantity import show
from rackspec.model.case import SIDES
from rackspec.model.known import Known
from rackspec.model.rack import Row
from rackspec.model.seats import LINES, Seat
from rackspec.physics.angles import pi
from rackspec.physics.clear_room import GRAINS, Room, in_grains, is_clear
from rackspec.physics.interval import exactly_at
from rackspec.physics.outlines import Point
from rackspec.physics.sections import Shove, apart, keeps_clear, on_its_side, shoves
from rackspec.rules.chosen import chosen_one
from rackspec.rules.drill_points import DrillPoint, drill_points, side_outline
from rackspec.rules.registry import Look
from rackspec.rules.row_bodies import PANELS, Bodies, bodies_at, bodies_of, nearest, planned_standpoint
from rackspec.rules.thread_lines import HEIGHT
from rackspec.rules.ways_out import diameter_of

FURTHEST = 30
"""mm that a row is tried to be moved; beyond that the case is another one."""
WAYS = sorted(
    (
        (back, up)
        for back in range(-FURTHEST, FURTHEST + 1)
        for up in range(-FURTHEST, FURTHEST + 1)
        if 0 < back * back + up * up <= FURTHEST * FURTHEST
    ),
    key=lambda way: (way[0] ** 2 + way[1] ** 2, abs(way[0]), way),
)
"""Moves in whole mm back and up, the smallest first, straight ones first."""


class Mark(NamedTuple):
    """A hole for a rail's end: row, side, rail, place (mm), diameter, how far it may be off from what is written (mm),
    whether it is drilled already, what it rests on, and where that stands."""

    row: str
    side: str
    line: str
    point: Point
    diameter: Fraction
    spread: Fraction
    drilled: bool
    values: tuple[Known, ...]
    place: Place

    @property
    def is_guess(self) -> bool:
        """Whether it rests on a guess."""
        return any(value.is_guess for value in self.values)

    def said(self) -> str:
        """``the left bottom hole of row 'lower'``."""
        return f"the {self.side} {self.line} hole of row '{self.row}'"


class Obstacle(NamedTuple):
    """A hole that another one may be too near to: its side and place (mm), its row (empty: an old hole), what it is
    called, whether it is there already, and where it is written."""

    side: str
    point: Point
    row: str
    said: str
    drilled: bool
    place: Place
    values: tuple[Known, ...]

    @property
    def is_guess(self) -> bool:
        """Whether it rests on a guess."""
        return any(value.is_guess for value in self.values)

    @property
    def spread(self) -> Fraction:
        """How far it may be off from what is written (mm)."""
        return spread_of(self.values)


def planned_points(look: Look) -> tuple[DrillPoint, ...]:
    """The drill points of a rack, worked out once."""
    if "drill points" not in look.memory:
        look.memory["drill points"] = drill_points(look)
    found: tuple[DrillPoint, ...] = look.memory["drill points"]
    return found


def marks(look: Look) -> tuple[Mark, ...]:
    """All holes of all rows: as drilled, else as planned."""
    if "marks" not in look.memory:
        look.memory["marks"] = tuple(_marks(look))
    found: tuple[Mark, ...] = look.memory["marks"]
    return found


def _marks(look: Look) -> Iterator[Mark]:
    planned = {(point.row, point.side, point.line): point for point in planned_points(look)}
    for row in look.rack.rows:
        if not row.choices or row.spoiled or (row.standing.seat is None and not row.standing.drilled):
            continue
        chosen = chosen_one(look, row)
        diameter = diameter_of(chosen) if chosen is not None else None
        if diameter is None:
            continue
        for side in SIDES:
            for line in LINES:
                point, hole = planned.get((row.name, side, line)), row.standing.hole(side, line)
                if hole is not None:
                    values = (hole.back, hole.up)
                    there = (hole.back.value, hole.up.value)
                    yield Mark(row.name, side, line, there, diameter, spread_of(values), True, values, hole.place)
                elif point is not None:
                    where, spread = (point.back, point.up), spread_of(point.values)
                    yield Mark(row.name, side, line, where, diameter, spread, False, point.values, point.place)


def spread_of(values: tuple[Known, ...]) -> Fraction:
    """How far a point may be off because of the tolerances of what it follows from (mm), all against it.

    A lean turns a row about its lower edge: the holes of its upper rail move by the angle times the height of a panel.
    """
    off = Fraction(0)
    for one in values:
        most = max(one.high - one.value, one.value - one.low)
        off += most * pi().high / 180 * HEIGHT if one.quantity.dimension == "angle" else most
    return off


def obstacles(look: Look) -> tuple[Obstacle, ...]:
    """Everything that a hole may be too near to: old holes, and the holes of rows."""
    found = [
        Obstacle(mark.side, mark.point, mark.row, mark.said(), mark.drilled, mark.place, mark.values)
        for mark in marks(look)
    ]
    if look.rack.case is not None:
        for hole in look.rack.case.abandoned:
            point = (hole.back.value, hole.up.value)
            said, values = f"the old hole at {show_point(point)}", (hole.back, hole.up)
            found.append(Obstacle(hole.side, point, "", said, True, hole.place, values))
    return tuple(found)


def show_point(point: Point) -> str:
    """A point as the language writes it, to a tenth of a millimetre."""
    return f"({tenths(point[0])}, {tenths(point[1])})"


def tenths(value: Fraction) -> str:
    """A length to the nearest tenth of a millimetre."""
    return show(Fraction(round(value * 10), 10), "length")


def write_seat(seat: Seat, back: Fraction, up: Fraction) -> str:
    """The line of a seat that is moved (mm), with its lean."""
    one, other = tenths(seat.back.value + back), tenths(seat.up.value + up)
    lean = f" lean {seat.lean.quantity.text}" if seat.lean is not None else ""
    return f"seat setback {one} up {other}{lean}" if seat.setback else f"seat ({one}, {other}){lean}"


def in_words(back: int, up: int) -> str:
    """A move of a row: ``3mm back and 2mm up``."""
    parts = []
    if back:
        parts.append(f"{abs(back)}mm {'back' if back > 0 else 'to the front'}")
    if up:
        parts.append(f"{abs(up)}mm {'up' if up > 0 else 'down'}")
    return " and ".join(parts)


def smallest_move(look: Look, row: Row) -> tuple[int, int] | None:
    """The smallest move of a row, in whole mm back and up, after which all its holes are well clear of everything.

    Clear of its own holes as they were drilled, too, and the row clear of other rows. None where no move of up to
    FURTHEST does it.
    """
    remembered: dict[str, tuple[int, int] | None] = look.memory.setdefault("moves", {})
    if row.name not in remembered:
        remembered[row.name] = _smallest_move(look, row)
    return remembered[row.name]


def _smallest_move(look: Look, row: Row) -> tuple[int, int] | None:
    own = [point for point in planned_points(look) if point.row == row.name]
    if not own or row.standing.seat is None:
        return None
    others = [(one.side, one.point) for one in obstacles(look) if one.row != row.name]
    others += [(hole.side, (hole.back.value, hole.up.value)) for hole in row.standing.drilled]
    room = {
        side: Room(
            tuple(in_grains(point) for other, point in others if other == side),
            tuple(in_grains(corner) for corner in side_outline(look.rack, side)),
            ceil(look.house.limit("holes good").value * own[0].diameter * GRAINS) + 1,
            ceil(look.house.limit("edge good").value * own[0].diameter * GRAINS) + 1,
        )
        for side in SIDES
    }
    tried = list(dict.fromkeys((point.side, in_grains((point.back, point.up))) for point in own))
    beside = rows_beside(look, row)
    for back, up in WAYS:
        if not all(keeps_clear(found, back, up) for found in beside):
            continue
        moved = ((side, (point[0] + back * GRAINS, point[1] + up * GRAINS)) for side, point in tried)
        if all(is_clear(point, room[side]) for side, point in moved) and not meets(look, row, back, up):
            return back, up
    return None


def meets(look: Look, row: Row, back: int, up: int) -> bool:
    """Whether a row that is moved would be where another one is: all that is known of both, exactly."""
    standpoint = planned_standpoint(look, row)
    if standpoint is None:
        return False
    frame = standpoint.frame
    moved = frame._replace(back=frame.back.plus(exactly_at(Fraction(back))), up=frame.up.plus(exactly_at(Fraction(up))))
    mine = bodies_at(look, row, standpoint._replace(frame=moved))
    others = (bodies_of(look, other, side) for other in look.rack.rows if other is not row for side in SIDES)
    return any((met := nearest(mine, other)) is not None and met.low < 0 for other in others if other is not None)


def rows_beside(look: Look, row: Row) -> list[tuple[Shove, ...]]:
    """What a row that is moved has to keep clear of: each other row, in each side piece."""
    standpoint = planned_standpoint(look, row)
    if standpoint is None:
        return []
    mine = bodies_at(look, row, standpoint)
    found: dict[tuple[Shove, ...], None] = {}
    for other in look.rack.rows:
        for side in SIDES:
            yours = bodies_of(look, other, side) if other is not row else None
            if yours is not None:
                found[_shoves(mine, yours)] = None
    return list(found)


def _shoves(mine: Bodies, yours: Bodies) -> tuple[Shove, ...]:
    """How a row keeps clear of another one: with the depth that both want, unless they stand within it already."""
    met = nearest(mine, yours)
    if (met is not None and met.low < 0) or apart(mine.room, yours.room).low > 0:
        return shoves(mine.room, yours.room)
    if apart(mine.around, yours.around).low > 0:
        return on_its_side(shoves(mine.around, yours.around))
    panels = [next(slab for what, slab in one.parts if what == PANELS) for one in (mine, yours)]
    return on_its_side(shoves(panels[0], panels[1]))


def move_remedy(look: Look, row: Row) -> str:
    """The move of a row that clears everything, as a remedy with all that goes with it; empty where none does."""
    move = smallest_move(look, row)
    if move is None or row.standing.seat is None:
        return ""
    seat = write_seat(row.standing.seat, *map(Fraction, move))
    text = f"move row '{row.name}' {in_words(*move)}: write '{seat}'"
    if row.standing.drilled:
        text += ", drill there, and turn its 'drilled' lines into 'abandoned' ones of the case"
    return text


def row_named(look: Look, name: str) -> Row:
    """The row of a name."""
    return next(row for row in look.rack.rows if row.name == name)
