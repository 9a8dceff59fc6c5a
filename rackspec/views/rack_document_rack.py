"""Racks in the rack document: in: a linked rack, out: its rows, panels, wishes, busses, feeds, case, drill points
and waivers as records.

What stands in a rack keeps the order in which it was written; stages are named by their number, 0 is the start.
"""

from __future__ import annotations

from rackspec.model.rack import Bus, Feed, Later, Panel, Rack, RailChoice, Row, Stage, WaiverLine, Wish
from rackspec.project import Project
from rackspec.views.positions import LineTable
from rackspec.views.rack_document_buying import also_record, anyway_record, have_record, purse_record
from rackspec.views.rack_document_case import case_record, drill_point_records, standing_records
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

BARE = ("blank", "gap")
"""What stands in a row without being a part of the library."""


def stage_record(stage: Stage, table: LineTable) -> Record:
    """A stage. Its budget is a plan, so it has no evidence. The start stands where the rack is named."""
    return {
        "number": stage.number,
        "name": stage.name or None,
        "title": stage.title or None,
        "by": stage.by.isoformat() if stage.by is not None else None,
        "budget": sum_record(stage.budget) if stage.budget is not None else None,
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
    """A placed thing, with the facts of this specimen. What it is stays open where its part is not known."""
    return {
        "name": panel.name or None,
        "what": panel.what if panel.part is not None or panel.what in BARE else None,
        "part": panel.part.name if panel.part is not None else None,
        "row": panel.row or None,
        "start": start_record(panel.start, panel.position, table),
        "follows": panel.follows,
        "width": known_record(panel.width, table),
        "since": panel.since,
        "until": panel.until,
        "facts": facts_record(panel.part, table) if panel.part is not None else None,
        "place": place_record(panel.place, table),
    }


def row_record(row: Row, sources: set[str], table: LineTable) -> Record:
    """A row and its panels. ``sources``: what may feed it."""
    power = row.power_place if row.power in sources else None
    screws = row.screws_place
    return {
        "name": row.name or None,
        "title": row.title or None,
        "rails": [choice_record(choice, table) for choice in row.choices],
        "length": known_record(row.length, table),
        "behind": known_record(row.behind, table),
        "power": {"from": row.power, "place": place_record(power, table)} if power else None,
        "screws": {"designation": row.screws, "place": place_record(screws, table)} if row.screws and screws else None,
        **standing_records(row.standing, table),
        "panels": [panel_record(panel, table) for panel in row.panels],
        "place": place_record(row.place, table),
        "complete": not row.spoiled,
    }


def wish_record(wish: Wish, table: LineTable) -> Record:
    """Something wanted that has no place yet."""
    return {
        "name": wish.name or None,
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


def bus_record(bus: Bus, sources: set[str], table: LineTable) -> Record:
    """A board or cable with power headers. ``sources``: what may feed it."""
    return {
        "name": bus.name or None,
        "title": bus.title or None,
        "from": bus.source if bus.source in sources else None,
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
        "busses": [bus.name for bus in feed.buses if bus.name],
        "rows": [row.name for row in feed.rows if row.name],
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


def sources_of(rack: Rack) -> set[str]:
    """The names that lead to a supply: of busses, of supplies in rows, and of those that stand in no row."""
    placed = {panel.name for panel in rack.panels() if panel.what == "supply"}
    return ({bus.name for bus in rack.buses} | placed | {feed.supply.name for feed in rack.feeds}) - {""}


def rack_record(rack: Rack, root: str, project: Project, table: LineTable) -> Record:
    """A rack with everything in it, and with its drill points under the limits of its house."""
    sources = sources_of(rack)
    return {
        "name": rack.name,
        "title": rack.title or None,
        "root": root,
        "file": rack.file.name,
        "revision": rack.revision or None,
        "budget": money_record(rack.budget, table),
        "stages": [stage_record(stage, table) for stage in rack.stages],
        "have": [have_record(have, project.library, table) for have in rack.have],
        "also": [also_record(also, project.library, table) for also in rack.also],
        "spent": [purse_record(purse, table) for purse in rack.spent],
        "gifts": [purse_record(purse, table) for purse in rack.gifts],
        "anyway": [anyway_record(purse, project.library, table) for purse in rack.anyway],
        "sellers": [seller.name for seller in rack.sellers],
        "rows": [row_record(row, sources, table) for row in rack.rows],
        "wishes": [wish_record(wish, table) for wish in rack.wishes],
        "busses": [bus_record(bus, sources, table) for bus in rack.buses],
        "feeds": [feed_record(feed, table) for feed in rack.feeds],
        "not_fed": [row.name for row in rack.unfed if row.name],
        "case": case_record(rack.case, table),
        "drill_points": drill_point_records(rack, project.house),
        "waivers": [waiver_record(waiver, table) for waiver in rack.waivers],
        "notes": list(rack.notes),
        "not_checked": [later_record(later, table) for later in rack.later],
        "place": place_record(rack.place, table),
        "complete": not rack.spoiled,
    }
