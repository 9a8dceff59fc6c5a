"""Racks in the rack document: in: a linked rack, out: its rows, panels, wishes, busses, feeds and waivers as records.

What stands in a rack keeps the order in which it was written; stages are named by their number, 0 is the start.
"""

from __future__ import annotations

from rackspec.model.library import Library
from rackspec.model.rack import Bus, Feed, Later, Panel, Rack, RailChoice, Row, Stage, WaiverLine, Wish
from rackspec.views.positions import LineTable
from rackspec.views.rack_document_parts import facts_record
from rackspec.views.rack_document_values import (
    Record,
    draw_records,
    known_record,
    money_record,
    place_record,
    start_record,
    sum_record,
)


def stage_record(stage: Stage, table: LineTable) -> Record:
    """A stage. Its budget is a plan, so it has no evidence; its place is that of the stage."""
    return {
        "number": stage.number,
        "name": stage.name or None,
        "title": stage.title or None,
        "by": stage.by.isoformat() if stage.by is not None else None,
        "budget": sum_record(stage.budget, None, stage.place, table) if stage.budget is not None else None,
        "place": place_record(stage.place, table),
    }


def choice_record(choice: RailChoice, table: LineTable) -> Record:
    """Rails that would do for a row."""
    return {
        "rail": choice.rail.name if choice.rail is not None else None,
        "insert": choice.insert.name if choice.insert is not None else None,
        "place": place_record(choice.place, table),
    }


def panel_record(panel: Panel, table: LineTable) -> Record:
    """A placed thing, with the facts of this specimen."""
    return {
        "name": panel.name or None,
        "what": panel.what,
        "part": panel.part.name if panel.part is not None else None,
        "row": panel.row,
        "start": start_record(panel.start, panel.position, table),
        "follows": panel.follows,
        "width": known_record(panel.width, table),
        "since": panel.since,
        "until": panel.until,
        "facts": facts_record(panel.part, table) if panel.part is not None else None,
        "place": place_record(panel.place, table),
    }


def row_record(row: Row, table: LineTable) -> Record:
    """A row and its panels."""
    power, screws = row.power_place, row.screws_place
    return {
        "name": row.name,
        "title": row.title or None,
        "rails": [choice_record(choice, table) for choice in row.choices],
        "length": known_record(row.length, table),
        "behind": known_record(row.behind, table),
        "power": {"from": row.power, "place": place_record(power, table)} if row.power and power else None,
        "screws": {"designation": row.screws, "place": place_record(screws, table)} if row.screws and screws else None,
        "panels": [panel_record(panel, table) for panel in row.panels],
        "place": place_record(row.place, table),
        "complete": not row.spoiled,
    }


def wish_record(wish: Wish, table: LineTable) -> Record:
    """Something wanted that has no place yet."""
    return {
        "name": wish.name,
        "title": wish.title or None,
        "since": wish.since,
        "pieces": wish.pieces,
        "width": known_record(wish.width, table),
        "depth": known_record(wish.depth, table),
        "draws": draw_records(wish.draws, table),
        "price": money_record(wish.price, table),
        "place": place_record(wish.place, table),
        "complete": not wish.spoiled,
    }


def bus_record(bus: Bus, table: LineTable) -> Record:
    """A board or cable with power headers."""
    return {
        "name": bus.name,
        "title": bus.title or None,
        "from": bus.source or None,
        "headers": bus.headers,
        "header_pins": bus.header_pins,
        "place": place_record(bus.place, table),
        "complete": not bus.spoiled,
    }


def feed_record(feed: Feed, table: LineTable) -> Record:
    """A supply, and what hangs on it."""
    return {
        "supply": feed.supply.name,
        "panel": feed.panel.name if feed.panel is not None else None,
        "busses": [bus.name for bus in feed.buses],
        "rows": [row.name for row in feed.rows],
        "assumed": feed.assumed,
        "place": place_record(feed.place, table),
    }


def waiver_record(waiver: WaiverLine, table: LineTable) -> Record:
    """A waiver as it was written."""
    return {
        "rule": waiver.rule,
        "on": waiver.on or None,
        "reason": waiver.reason,
        "until": waiver.until.isoformat() if waiver.until is not None else None,
        "place": place_record(waiver.place, table),
    }


def later_record(later: Later, table: LineTable) -> Record:
    """A line that was read and that no rule looks at yet."""
    return {"word": later.word, "place": place_record(later.place, table)}


def rack_record(rack: Rack, root: str, library: Library, table: LineTable) -> Record:
    """A rack with everything in it."""
    have = []
    for item in rack.have:
        entry = library.entries.get(item.part)
        kind = entry.kind if entry is not None else None
        have.append({"part": item.part, "kind": kind, "pieces": item.pieces, "place": place_record(item.place, table)})
    return {
        "name": rack.name,
        "title": rack.title or None,
        "root": root,
        "file": rack.file.name,
        "revision": rack.revision or None,
        "budget": money_record(rack.budget, table),
        "stages": [stage_record(stage, table) for stage in rack.stages],
        "have": have,
        "rows": [row_record(row, table) for row in rack.rows],
        "wishes": [wish_record(wish, table) for wish in rack.wishes],
        "busses": [bus_record(bus, table) for bus in rack.buses],
        "feeds": [feed_record(feed, table) for feed in rack.feeds],
        "not_fed": [row.name for row in rack.unfed],
        "waivers": [waiver_record(waiver, table) for waiver in rack.waivers],
        "notes": list(rack.notes),
        "not_checked": [later_record(later, table) for later in rack.later],
        "place": place_record(rack.place, table),
        "complete": not rack.spoiled,
    }
