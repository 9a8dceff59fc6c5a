"""Parts in the rack document: in: modules, supplies, rails and inserts of the library, out: their facts as records.

The same facts are said of a part of the library and of the specimen in a rack, of which ``about`` may know more.
"""

from __future__ import annotations

from rackspec.model.faces import Face
from rackspec.model.layers import basis_of
from rackspec.model.library import DEEPEST_LIKE, Entry, Library
from rackspec.model.parts import Bought, EndHole, Header, Input, Lip, PanelPart, Screws
from rackspec.views.positions import LineTable
from rackspec.views.rack_document_values import (
    Record,
    draw_records,
    evidence_record,
    known_record,
    money_record,
    place_record,
)


def bought_records(bought: Bought, table: LineTable) -> Record:
    """What is known of anything that is bought."""
    return {
        "price": money_record(bought.price, table),
        "mass": known_record(bought.mass, table),
        "notes": list(bought.notes),
    }


def face_record(face: Face, table: LineTable) -> Record:
    """A front panel and its holes."""
    return {
        "width": known_record(face.width, table),
        "thickness": known_record(face.thickness, table),
        "height": known_record(face.height, table),
        "holes": [
            {
                "x": known_record(hole.x, table),
                "y": known_record(hole.y, table),
                "width": known_record(hole.width, table),
                "length": known_record(hole.length, table),
                "slot": hole.is_slot,
            }
            for hole in face.holes
        ]
        or None,
    }


def header_record(header: Header | None, table: LineTable) -> Record | None:
    """A power header."""
    if header is None:
        return None
    return {
        "pins": header.pins,
        "keyed": header.keyed,
        "evidence": evidence_record(header.evidence),
        "place": place_record(header.place, table),
    }


def screws_record(screws: Screws | None, table: LineTable) -> Record | None:
    """The screws that came with a part."""
    if screws is None:
        return None
    return {
        "pieces": screws.pieces,
        "designation": screws.designation or None,
        "evidence": evidence_record(screws.evidence),
        "place": place_record(screws.place, table),
    }


def input_record(feed: Input | None, table: LineTable) -> Record | None:
    """What feeds a supply."""
    if feed is None:
        return None
    return {
        "kind": feed.kind,
        "voltage": known_record(feed.voltage, table),
        "current": known_record(feed.current, table),
        "place": place_record(feed.place, table),
    }


def feeding_record(part: PanelPart, table: LineTable) -> Record | None:
    """What only a supply has: what it gives, and what feeds it."""
    if part.kind != "supply":
        return None
    return {
        "gives": draw_records(part.gives or None, table),
        "headers": part.headers,
        "header_pins": part.header_pins,
        "input": input_record(part.input, table),
        "efficiency": known_record(part.efficiency, table),
    }


def facts_record(part: PanelPart, table: LineTable) -> Record:
    """Everything that is known of a module or supply, or of one specimen of it."""
    return {
        "width": known_record(part.width, table),
        "depth": known_record(part.depth, table),
        "plug": known_record(part.plug, table),
        "draws": draw_records(part.draws, table),
        "header": header_record(part.header, table),
        "screws": screws_record(part.screws, table),
        "face": face_record(part.face, table),
        **bought_records(part.bought, table),
        "supply": feeding_record(part, table),
        "ribbon": part.ribbon or None,
        "complete": not part.spoiled,
    }


def revised(entry: Entry, library: Library) -> list[str]:
    """The names of what a part is a revision of, the nearest first, as far as they are known."""
    names = [entry.name]
    while entry.block.header is not None and len(names) <= DEEPEST_LIKE:
        parent = library.entries.get(entry.block.header.text("like"))
        if parent is None or parent.kind != entry.kind or parent.name in names:
            break
        names.append(parent.name)
        entry = parent
    return names[1:]


def head_record(entry: Entry, library: Library, table: LineTable) -> Record:
    """What every part of the library has: its names, what it is a revision of, and how far its block is trusted."""
    header = entry.block.header
    return {
        "name": entry.name,
        "title": (header.text("text") if header is not None else "") or None,
        "like": revised(entry, library),
        "basis": evidence_record(basis_of(entry.block)) if entry.block.all("basis") else None,
        "place": place_record(entry.place, table),
    }


def panel_part_record(entry: Entry, library: Library, table: LineTable) -> Record:
    """A module or supply of the library."""
    return {**head_record(entry, library, table), "facts": facts_record(library.panel_part(entry), table)}


def lip_record(lip: Lip | None, table: LineTable) -> Record | None:
    """The lip of a rail."""
    if lip is None:
        return None
    return {
        "front": known_record(lip.front, table),
        "outside": known_record(lip.outside, table),
        "place": place_record(lip.place, table),
    }


def end_hole_record(hole: EndHole | None, table: LineTable) -> Record | None:
    """The thread in the ends of a rail."""
    if hole is None:
        return None
    return {
        "thread": hole.thread or None,
        "behind": known_record(hole.behind, table),
        "inward": known_record(hole.inward, table),
        "deep": known_record(hole.deep, table),
        "evidence": evidence_record(hole.evidence),
        "place": place_record(hole.place, table),
    }


def rail_record(entry: Entry, library: Library, table: LineTable) -> Record:
    """A rail, with the inserts it takes that are known."""
    rail = library.rail(entry)
    inserts = {other.name for other in library.entries.values() if other.kind == "insert"}
    return {
        **head_record(entry, library, table),
        "length": known_record(rail.length, table),
        "takes": [name for name, _ in rail.takes if name in inserts],
        "recess": known_record(rail.recess, table),
        "room": known_record(rail.room, table),
        "lip": lip_record(rail.lip, table),
        "end_hole": end_hole_record(rail.end_hole, table),
        **bought_records(rail.bought, table),
        "complete": not rail.spoiled,
    }


def insert_record(entry: Entry, library: Library, table: LineTable) -> Record:
    """A strip or nut."""
    insert = library.insert(entry)
    return {
        **head_record(entry, library, table),
        "form": insert.form or None,
        "thread": insert.thread or None,
        "holes": insert.holes,
        "pitch": known_record(insert.pitch, table),
        "first": known_record(insert.first, table),
        "play": known_record(insert.play, table),
        "tapped": known_record(insert.tapped, table),
        "across": known_record(insert.across, table),
        "slack": known_record(insert.slack, table),
        "enters": insert.enters or None,
        **bought_records(insert.bought, table),
        "complete": not insert.spoiled,
    }
