"""What of a row is sure to fill the section of its case: in: a row, out: rectangles where it is drilled, else planned.

Its panels, the lips of its rails, and the metal around the threads in their ends. What is behind panels is none of it.
"""

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from rackspec.findings import Place
from rackspec.model.known import Known
from rackspec.model.rack import Row
from rackspec.model.seats import BOTTOM, LINES, TOP
from rackspec.physics.drilling import Sitting, behind_face
from rackspec.physics.sections import Frame, Slab, apart, frame_at, frame_by
from rackspec.physics.threads import THREADS
from rackspec.rules.choices import Chosen
from rackspec.rules.chosen import chosen_one
from rackspec.rules.drill_points import hole_height, thickness_of_row
from rackspec.rules.registry import Look
from rackspec.rules.thread_lines import APART, HEIGHT

PANELS, LIPS, RAILS = "panels", "lips of the rails", "rails"
"""What a rectangle is, in words."""
DEEP = Fraction(60)
"""mm behind the seat that a row is given when a place is looked for and nobody wrote 'behind' (common practice)."""


class Standpoint(NamedTuple):
    """Where a row is in one side piece: its frame, whether its holes there say so, what that rests on, and where it is
    written."""

    frame: Frame
    drilled: bool
    values: tuple[Known, ...]
    place: Place


class Bodies(NamedTuple):
    """What a row fills in one side piece: ``parts`` with what each is, ``around``: one rectangle around all of them,
    ``room``: the same with the depth that it wants for itself."""

    standpoint: Standpoint
    parts: tuple[tuple[str, Slab], ...]
    around: Slab
    room: Slab


def standpoint_of(look: Look, row: Row, side: str) -> Standpoint | None:
    """Where a row is in a side piece: by both holes there, if they are drilled, else by its seat."""
    chosen = chosen_one(look, row) if row.choices and not row.spoiled else None
    rail = chosen.rail if chosen is not None else None
    if rail is None:
        return None
    lower, upper = row.standing.hole(side, BOTTOM), row.standing.hole(side, TOP)
    if lower is not None and upper is not None and rail.end_hole is not None:
        end = rail.end_hole
        points = [(hole.back.value, hole.up.value) for hole in (lower, upper)]
        frame = frame_by(points[0], points[1], hole_height(BOTTOM, end.inward.value), end.behind.value)
        values = (lower.back, lower.up, upper.back, upper.up, end.behind, end.inward)
        return Standpoint(frame, True, values, lower.place) if frame is not None else None
    return planned_standpoint(look, row)


def planned_standpoint(look: Look, row: Row) -> Standpoint | None:
    """Where a row is by its seat."""
    seat = row.standing.seat
    if seat is None:
        return None
    sitting = Sitting(seat.back.value, seat.up.value, seat.lean.value if seat.lean is not None else Fraction(0))
    values = [seat.back, seat.up, *([seat.lean] if seat.lean is not None else [])]
    if seat.setback:
        thickness = thickness_of_row(look, row)
        values.append(thickness)
        where = behind_face(sitting, thickness.value)
        sitting = Sitting(where.back.middle, where.up.middle, sitting.lean)
    return Standpoint(frame_at(sitting), False, tuple(values), seat.place)


def bodies_of(look: Look, row: Row, side: str) -> Bodies | None:
    """What a row fills in a side piece; None where it is not known where it is."""
    remembered: dict[tuple[str, str], Bodies | None] = look.memory.setdefault("bodies", {})
    if (row.name, side) not in remembered:
        standpoint = standpoint_of(look, row, side)
        remembered[row.name, side] = bodies_at(look, row, standpoint) if standpoint is not None else None
    return remembered[row.name, side]


def bodies_at(look: Look, row: Row, standpoint: Standpoint) -> Bodies:
    """What a row fills where it stands."""
    heights = [
        panel.part.face.height.value for panel in row.panels if panel.part is not None and panel.part.face.height
    ]
    thickness = thickness_of(look, row)
    panels = Slab(standpoint.frame, Fraction(0), max(heights, default=HEIGHT), -thickness, Fraction(0))
    chosen = chosen_one(look, row)
    parts = ((PANELS, panels), *(_rails(chosen, standpoint.frame) if chosen is not None else ()))
    slabs = [slab for _, slab in parts]
    around = Slab(
        standpoint.frame,
        min(slab.low for slab in slabs),
        max(slab.high for slab in slabs),
        min(slab.front for slab in slabs),
        max(slab.behind for slab in slabs),
    )
    deep = row.behind.value if row.behind is not None else DEEP
    return Bodies(standpoint, parts, around, around._replace(behind=max(around.behind, deep)))


def thickness_of(look: Look, row: Row) -> Fraction:
    """How thick the panels of a row are (mm), also of one without a seat."""
    if row.standing.seat is not None:
        return thickness_of_row(look, row).value
    return look.house.limit("assume thickness").as_known(row.place).value


def _rails(chosen: Chosen, frame: Frame) -> Iterator[tuple[str, Slab]]:
    """What is known of both rails: from the thread line to the lip, and the metal around the thread in their ends."""
    rail = chosen.rail
    if rail is None:
        return
    thread = THREADS.get(rail.end_hole.thread) if rail.end_hole is not None else None
    for line in LINES:
        at, out = ((HEIGHT - APART) / 2, -1) if line == BOTTOM else ((HEIGHT + APART) / 2, 1)
        if rail.lip is not None:
            ends = sorted((at, at + out * rail.lip.outside.value))
            yield LIPS, Slab(frame, ends[0], ends[1], -rail.lip.front.value, Fraction(0))
        if rail.end_hole is not None and thread is not None:
            high, half = hole_height(line, rail.end_hole.inward.value), thread.largest / 2
            behind = rail.end_hole.behind.value
            yield RAILS, Slab(frame, high - half, high + half, behind - half, behind + half)


class Meeting(NamedTuple):
    """How two rows meet: what of each comes nearest, and how far they are apart at the least and at the most (mm)."""

    one: str
    other: str
    low: Fraction
    high: Fraction


def nearest(one: Bodies, other: Bodies, within: Fraction = Fraction(0)) -> Meeting | None:
    """Where two rows come nearest; None where they are further apart than that (mm) with all that is theirs."""
    if apart(one.around, other.around).low > within:
        return None
    met = [Meeting(mine, yours, *apart(slab, beside)) for mine, slab in one.parts for yours, beside in other.parts]
    panels = [meeting for meeting in met if meeting.one == meeting.other == PANELS and meeting.high < 0]
    return min(panels or met, key=lambda meeting: meeting.low)
