"""Drill points: in: a rack, out: where the holes for its rails' end screws go in the two side pieces, and why not yet.

Planned points follow from the seat of a row, its lean, and the thread in the end of its rails. A guess never releases a
drill: each point says what it would have to be known for (``because``).
"""

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from rackspec.findings import Place
from rackspec.model.case import SIDES
from rackspec.model.known import Known
from rackspec.model.outlines import fault_of, without_repeats
from rackspec.model.parts import EndHole
from rackspec.model.rack import Rack, Row
from rackspec.model.seats import BOTTOM, LINES
from rackspec.physics.angles import pi
from rackspec.physics.drilling import Sitting, Spot, behind_face, spot
from rackspec.physics.threads import THREADS
from rackspec.rules.choices import Chosen
from rackspec.rules.chosen import chosen_one
from rackspec.rules.registry import Look, NotKnown
from rackspec.rules.thread_lines import APART, HEIGHT


class DrillPoint(NamedTuple):
    """Where a hole goes: row, side piece (left or right, seen from the front), rail (bottom or top); (back, up) in mm
    from the lower front corner of the side piece, off by less than 1e-6 mm; its diameter and the thread it serves.

    ``because``: why it may not be drilled yet, a sentence for each guess; empty where it may. ``values``: what it
    rests on.
    """

    row: str
    side: str
    line: str
    back: Fraction
    up: Fraction
    diameter: Fraction
    thread: str
    because: tuple[str, ...]
    values: tuple[Known, ...]
    place: Place


class Stand(NamedTuple):
    """A row of which it is known where it sits: its rails, the thread in their ends, where it sits, what that rests on,
    and what of it is not known well enough to drill by."""

    row: Row
    chosen: Chosen
    end_hole: EndHole
    sitting: Sitting
    values: tuple[Known, ...]
    because: tuple[str, ...]


def stands(look: Look) -> Iterator[Stand]:
    """The rows of which it is known where they sit, each on the first choice of rails that does."""
    for row in look.rack.rows:
        chosen = chosen_one(look, row) if row.standing.seat is not None else None
        stand = stand_of(look, chosen) if chosen is not None else None
        if stand is not None:
            yield stand


def stand_of(look: Look, chosen: Chosen) -> Stand | None:
    """Where a row sits on given rails; None where its seat or the thread in the ends of its rails is not known."""
    row, seat, rail = chosen.row, chosen.row.standing.seat, chosen.rail
    if seat is None or rail is None or rail.end_hole is None:
        return None
    give = look.house.limit("give drilling").value
    values = [seat.back, seat.up, *([seat.lean] if seat.lean is not None else [])]
    lean = seat.lean.value if seat.lean is not None else Fraction(0)
    sitting = Sitting(seat.back.value, seat.up.value, lean)
    because = [_doubt(f"the seat of row '{row.name}'", values, give)]
    if seat.setback:
        thickness = thickness_of_row(look, row)
        values.append(thickness)
        back, up = behind_face(sitting, thickness.value)
        sitting = Sitting(back.middle, up.middle, lean)
        because.append(_doubt(f"the thickness of the panels in row '{row.name}'", [thickness], give))
    ends = [rail.end_hole.behind, rail.end_hole.inward]
    because.append(_doubt(f"the end hole of '{rail.name}'", ends, give))
    return Stand(row, chosen, rail.end_hole, sitting, (*values, *ends), tuple(text for text in because if text))


def thickness_of_row(look: Look, row: Row) -> Known:
    """How thick the panels of a row are (mm): what is written of them if they are alike, else the house's band."""
    written = [panel.part.face.thickness for panel in row.panels if panel.part is not None]
    known = [one for one in written if one is not None]
    if known and len(known) == len(written) and len({one.value for one in known}) == 1:
        return max(known, key=lambda one: one.is_guess)
    assert row.standing.seat is not None
    return look.house.limit("assume thickness").as_known(row.standing.seat.place)


def _doubt(what: str, values: list[Known], give: Fraction) -> str:
    """Why values are not known well enough to drill by; empty where they are. ``give``: what a hole may be off (mm)."""
    for value in values:
        if value.is_guess:
            return f"{what} is {value.evidence.level if value.evidence.level == 'guessed' else 'not known'}"
        if _is_vague(value, give):
            return f"{what} is only known as {value.quantity.text}"
    return ""


def _is_vague(value: Known, give: Fraction) -> bool:
    """Whether a value is a guess, or may be off by more than a hole may be."""
    off = max(value.high - value.value, value.value - value.low)
    if value.quantity.dimension == "angle":
        off *= pi().high / 180 * HEIGHT
    return value.is_guess or off > give


def hole_height(line: str, inward: Fraction) -> Fraction:
    """How high the end hole of a rail is above the lower edge of the panels (mm)."""
    bottom = (HEIGHT - APART) / 2
    return bottom + inward if line == BOTTOM else bottom + APART - inward


def planned(stand: Stand, line: str) -> Spot:
    """Where the hole for a rail is to go in the side pieces."""
    height = hole_height(line, stand.end_hole.inward.value)
    return spot(stand.sitting, height, stand.end_hole.behind.value)


def drill_points(look: Look) -> tuple[DrillPoint, ...]:
    """All points that are known, row by row: left bottom, left top, right bottom, right top."""
    found = []
    for stand in stands(look):
        thread = THREADS.get(stand.end_hole.thread)
        if thread is None:
            continue
        for side in SIDES:
            for line in LINES:
                where = planned(stand, line)
                found.append(
                    DrillPoint(
                        stand.row.name,
                        side,
                        line,
                        where.back.middle,
                        where.up.middle,
                        thread.clearance[1],
                        thread.name,
                        stand.because,
                        stand.values,
                        stand.row.standing.seat.place if stand.row.standing.seat is not None else stand.row.place,
                    )
                )
    return tuple(found)


def missing(look: Look) -> Iterator[NotKnown]:
    """What has to be known before the holes of a row can be marked; asked of rows with rails, in a rack with a case."""
    if look.rack.case is None:
        return
    for row in look.rack.rows:
        chosen = chosen_one(look, row)
        if chosen is None or row.spoiled:
            continue
        rail = chosen.rail
        if row.standing.seat is None:
            how = (
                "measure from the lower front corner of the side piece to where the lower edge of the panels' back is "
                "to be: back, then up ('seat (6mm, 14mm)')"
            )
            yield NotKnown(look.rack.full(row.name), "seat", how, row.place)
        elif row.standing.seat.setback and _is_vague(
            thickness_of_row(look, row), look.house.limit("give drilling").value
        ):
            how = (
                "it was measured to the face of the panels, and the rails are behind them: measure a panel with "
                "callipers and write it into its module ('thickness 2mm'); if the panels of the row differ, measure to "
                "their back ('seat (6mm, 14mm)')"
            )
            yield NotKnown(look.rack.full(row.name), "thickness", how, row.place)
        if rail is not None and rail.end_hole is None and not rail.spoiled:
            how = (
                "measure with callipers at the end of the rail, from its front where the panels lie (not from its lip) "
                "to the middle of the hole, and from the thread line ('end-hole M4 behind 5.2mm inward 0mm')"
            )
            yield NotKnown(rail.name, "the thread in its ends", how, rail.place)


def side_outline(rack: Rack, side: str) -> tuple[tuple[Fraction, Fraction], ...]:
    """The corners (back, up) of a side piece in mm; empty where nobody wrote them, or where they enclose nothing."""
    piece = rack.case.side(side) if rack.case is not None else None
    if piece is None:
        return ()
    corners = [(back.value, up.value) for back, up in piece.corners]
    return () if fault_of(corners) else without_repeats(corners)


def is_no_outline(rack: Rack, side: str) -> bool:
    """Whether corners of a side piece are written that enclose nothing."""
    piece = rack.case.side(side) if rack.case is not None else None
    return piece is not None and bool(piece.corners) and not side_outline(rack, side)


def abandoned_points(rack: Rack, side: str) -> tuple[tuple[Fraction, Fraction], ...]:
    """The old holes (back, up) of a side piece in mm."""
    if rack.case is None:
        return ()
    return tuple((hole.back.value, hole.up.value) for hole in rack.case.abandoned if hole.side == side)
