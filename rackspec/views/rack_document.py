"""The linked model as JSON: in: projects and their racks, out: the document of ``export``, held against its schema.

Racks and parts stand in the order of their names, so that moving a block within its file changes places only. Names are
unique below a root, the top of a folder of specs; each root has its own house and its own parts.
``format_version`` rises in its second place when something is added, in its first when something changes.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import NamedTuple

from rackspec.findings import ERROR
from rackspec.model.house import OWN, House, Limit
from rackspec.model.library import Library
from rackspec.model.rack import Later, Rack
from rackspec.project import Project
from rackspec.views.limits import limit_row
from rackspec.views.positions import LineTable
from rackspec.views.rack_document_buying import part_record, seller_record
from rackspec.views.rack_document_case import sheet_record
from rackspec.views.rack_document_parts import insert_record, panel_part_record, rail_record
from rackspec.views.rack_document_rack import later_record, rack_record
from rackspec.views.rack_document_values import UNITS, Record, evidence_record, nearest, place_record, quantity_record
from rackspec.views.schema import checked

FORMAT_VERSION = "1.2"
SECTIONS = {
    "module": ("modules", panel_part_record),
    "supply": ("supplies", panel_part_record),
    "rail": ("rails", rail_record),
    "insert": ("inserts", insert_record),
    "sheet": ("sheets", sheet_record),
    "part": ("parts", part_record),
    "seller": ("sellers", seller_record),
}
"""Where parts of a kind stand, and what makes a record of one."""
PER_HP = "assume draws "
"""Limits of this beginning are for each HP of panel."""


class Linked(NamedTuple):
    """A root (as it is shown), its project, and the racks that were linked in it."""

    root: str
    project: Project
    racks: tuple[Rack, ...]


def limit_record(limit: Limit, table: LineTable) -> Record:
    """A limit in force."""
    return {
        "name": limit.name,
        "meaning": limit_row(limit, table)[2],
        "value": quantity_record(limit.quantity),
        "per": "HP" if limit.name.startswith(PER_HP) else None,
        "origin": limit.origin,
        "place": place_record(limit.place, table) if limit.place is not None else None,
    }


def house_record(house: House, table: LineTable) -> Record:
    """What holds for every rack of a root."""

    def line(word: str) -> Record | None:
        place = house.lines.get(word)
        return place_record(place, table) if place is not None else None

    names = [*OWN, *sorted(house.limits.keys() - OWN.keys())]
    return {
        "place": place_record(house.place, table) if house.place is not None else None,
        "limits": [limit_record(house.limits[name], table) for name in names],
        "flags": [
            {"rule": rule, "severity": severity, "place": place_record(place, table)}
            for rule, (severity, place) in sorted(house.flags.items())
        ],
        "fail_at": {"severity": house.fail_at or ERROR, "place": line("fail-at")},
        "currency": {"code": house.currency, "place": line("currency")} if house.currency else None,
        "rates": [
            {
                "currency": code,
                "value": nearest(value),
                "exact": str(value),
                "evidence": evidence_record(house.rated[code]),
                "place": line(f"rate {code}"),
            }
            for code, value in sorted(house.rates.items())
        ],
    }


def parts_in_use(racks: Iterable[Rack]) -> set[str]:
    """The names of all parts that racks are made of: what is placed, what feeds it, rails, what goes into them, the
    sheets of the case; the sellers that they know, and the parts that these sell, or that the racks name."""
    used: set[str] = set()
    for rack in racks:
        used |= {feed.supply.name for feed in rack.feeds}
        used |= {panel.part.name for panel in rack.panels() if panel.part is not None}
        for choice in (choice for row in rack.rows for choice in row.choices):
            used |= {part.name for part in (choice.rail, choice.insert, *choice.takes) if part is not None}
        used |= {side.sheet.name for side in (rack.case.sides if rack.case else ()) if side.sheet is not None}
        used |= {seller.name for seller in rack.sellers} | {ware.name for ware in rack.wares if ware.kind == "part"}
    return used


def library_record(library: Library, racks: Iterable[Rack], table: LineTable) -> Record:
    """The parts of the library that racks are made of, by name."""
    found: dict[str, list[Record]] = {kind: [] for kind, _ in SECTIONS.values()}
    for name in sorted(parts_in_use(racks)):
        entry = library.entries[name]
        kind, record = SECTIONS[entry.kind]
        found[kind].append(record(entry, library, table))
    return found


def by_word(later: Later) -> tuple[str, str, int]:
    """The order of lines that stand in blocks of a file: by word, because blocks may change places."""
    return later.place.source.name, later.word, later.place.start


def root_record(linked: Linked, table: LineTable) -> Record:
    """A root: its house, and the parts that its racks are made of."""
    project = linked.project
    return {
        "root": linked.root,
        "house": house_record(project.house, table),
        "library": library_record(project.library, linked.racks, table),
        "not_checked": [later_record(later, table) for later in sorted(project.later(), key=by_word)],
    }


def document(roots: Iterable[Linked], complete: bool) -> Record:
    """The whole document. ``complete``: every line was understood, every name found, every path read."""
    table = LineTable()
    ordered = sorted(roots, key=lambda linked: linked.root)
    return {
        "format_version": FORMAT_VERSION,
        "complete": complete,
        "units": UNITS,
        "racks": [
            rack_record(rack, linked.root, linked.project, table)
            for linked in ordered
            for rack in sorted(linked.racks, key=lambda rack: rack.name)
        ],
        "roots": [root_record(linked, table) for linked in ordered],
    }


def rack_json(roots: Iterable[Linked], complete: bool) -> str:
    """The document as text. It is held against its schema before it is given out."""
    return json.dumps(checked("rack", document(roots, complete)), ensure_ascii=False, indent=2) + "\n"
