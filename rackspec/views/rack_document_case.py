"""Cases in the rack document: in: a case, where its rows stand in it, and its sheets, out: records; and the drill
points that follow from them.

Points are (back, up) from the lower front corner of a side piece. Drill points are computed, so they have no place, no
evidence and no exact fraction: where a row leans, a sine is in them, which is no fraction. They are rounded to the
nearest, because no side of a hole is its good one; what is rounded is off by less than a millionth of a millimetre.
"""

from __future__ import annotations

from rackspec.model.case import Abandoned, Case, SidePiece
from rackspec.model.house import House
from rackspec.model.known import Known
from rackspec.model.library import Entry, Library
from rackspec.model.rack import Rack
from rackspec.model.seats import Drilled, EndScrews, Seat, Standing
from rackspec.rules.drill_points import DrillPoint, drill_points
from rackspec.rules.registry import Look
from rackspec.views.positions import LineTable
from rackspec.views.rack_document_parts import bought_records, head_record
from rackspec.views.rack_document_values import Record, known_record, nearest, place_record


def point_record(back: Known, up: Known, table: LineTable) -> Record:
    """A point of a side piece."""
    return {"back": known_record(back, table), "up": known_record(up, table)}


def seat_record(seat: Seat | None, table: LineTable) -> Record | None:
    """Where the lower edge of a row's panels is."""
    if seat is None:
        return None
    return {
        **point_record(seat.back, seat.up, table),
        "setback": seat.setback,
        "lean": known_record(seat.lean, table),
        "place": place_record(seat.place, table),
    }


def drilled_record(hole: Drilled, table: LineTable) -> Record:
    """The hole of a rail's end as it was drilled."""
    return {
        "side": hole.side,
        "line": hole.line,
        **point_record(hole.back, hole.up, table),
        "place": place_record(hole.place, table),
    }


def end_screws_record(screws: EndScrews | None, table: LineTable) -> Record | None:
    """The screws into the ends of a row's rails; without a designation that was understood there are none."""
    if screws is None or not screws.designation:
        return None
    return {
        "designation": screws.designation,
        "washer": known_record(screws.washer, table),
        "place": place_record(screws.place, table),
    }


def standing_records(standing: Standing, table: LineTable) -> Record:
    """Where a row stands in its case, as far as somebody wrote it."""
    return {
        "seat": seat_record(standing.seat, table),
        "drilled": [drilled_record(hole, table) for hole in standing.drilled],
        "apart": known_record(standing.apart, table),
        "end_screws": end_screws_record(standing.end_screws, table),
    }


def side_record(piece: SidePiece, table: LineTable) -> Record:
    """A side piece."""
    return {
        "which": piece.which or None,
        "sheet": piece.sheet.name if piece.sheet is not None else None,
        "pieces": piece.pieces,
        "corners": [point_record(back, up, table) for back, up in piece.corners],
        "place": place_record(piece.place, table),
        "complete": not piece.spoiled,
    }


def abandoned_record(hole: Abandoned, table: LineTable) -> Record:
    """A hole that is there and not used."""
    return {
        "side": hole.side,
        **point_record(hole.back, hole.up, table),
        "place": place_record(hole.place, table),
    }


def case_record(case: Case | None, table: LineTable) -> Record | None:
    """The box around the rows; None where nobody wrote of one."""
    if case is None:
        return None
    return {
        "sides": [side_record(piece, table) for piece in case.sides],
        "inside": known_record(case.inside, table),
        "shims": known_record(case.shims, table),
        "abandoned": [abandoned_record(hole, table) for hole in case.abandoned],
        "place": place_record(case.place, table),
        "complete": not case.spoiled,
    }


def drill_point_record(point: DrillPoint) -> Record:
    """A hole that is to be drilled, or the reasons why it is not to be drilled yet."""
    return {
        "row": point.row or None,
        "side": point.side,
        "line": point.line,
        "back_mm": nearest(point.back),
        "up_mm": nearest(point.up),
        "diameter_mm": nearest(point.diameter),
        "thread": point.thread,
        "released": not point.because,
        "because": list(point.because),
    }


def drill_point_records(rack: Rack, house: House) -> list[Record]:
    """All drill points of a rack that are known."""
    return [drill_point_record(point) for point in drill_points(Look(rack, house, {}))]


def sheet_record(entry: Entry, library: Library, table: LineTable) -> Record:
    """A sheet of material."""
    sheet = library.sheet(entry)
    return {
        **head_record(entry, library, table),
        "thickness": known_record(sheet.thickness, table),
        "size": [known_record(side, table) for side in sheet.sides] if sheet.sides is not None else None,
        "there": sheet.there,
        **bought_records(sheet.bought, table),
        "complete": not sheet.spoiled,
    }
