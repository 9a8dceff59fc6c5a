"""Buying in the rack document: in: sellers and parts of the library, and what a rack says of money, out: records.

Things are known by designation: the name of a part, or what every shop calls them (``M3x8``, ``M4 washer``,
``blank 6HP``). What a parcel costs is null where nobody wrote it, which is not nothing.
"""

from __future__ import annotations

import re

from rackspec.model.library import Entry, Library
from rackspec.model.purse import BUYABLE
from rackspec.model.rack import Also, Have, Purse
from rackspec.model.sellers import Days, Offer, Step
from rackspec.model.wares import Adapter, Held, Ribbon
from rackspec.views.positions import LineTable
from rackspec.views.rack_document_parts import bought_records, head_record
from rackspec.views.rack_document_values import (
    Record,
    known_record,
    money_record,
    nearest,
    place_record,
)

THREADED = re.compile(r"M[0-9]+(?:\.[0-9]+)?(?P<length>x[0-9]+(?:\.[0-9]+)?)?(?: (?P<ring>washer|nut))?")
"""How screws, washers and nuts are called; no name of the library reads so."""


def kind_of(part: str, library: Library) -> str | None:
    """What a designation stands for: a kind of the library, screw, washer, nut or blank; None for a name that is not
    known."""
    entry = library.entries.get(part)
    if entry is not None:
        return entry.kind if entry.kind in BUYABLE else None
    if part.startswith("blank "):
        return "blank"
    match = THREADED.fullmatch(part)
    if match is None:
        return None
    return match["ring"] or ("screw" if match["length"] else None)


def have_record(have: Have, library: Library, table: LineTable) -> Record:
    """So many of a thing that are there already."""
    kind = kind_of(have.part, library)
    return {"part": have.part, "kind": kind, "pieces": have.pieces, "place": place_record(have.place, table)}


def also_record(also: Also, library: Library, table: LineTable) -> Record:
    """So many of a thing that are bought besides."""
    return {
        "part": also.part,
        "kind": kind_of(also.part, library),
        "pieces": also.pieces,
        "since": also.stage,
        "place": place_record(also.place, table),
    }


def purse_record(purse: Purse, table: LineTable) -> Record:
    """Money that is spent or given."""
    return {"stage": purse.stage, "money": money_record(purse.money, table)}


def anyway_record(purse: Purse, library: Library, table: LineTable) -> Record:
    """Goods that are ordered anyway; the seller is null where nobody is called so."""
    entry = library.entries.get(purse.seller)
    known = entry is not None and entry.kind == "seller"
    return {**purse_record(purse, table), "seller": purse.seller if known else None}


def ribbon_record(ribbon: Ribbon | None) -> Record | None:
    """The power ribbon that a part is."""
    return {"bus_pins": ribbon.bus, "module_pins": ribbon.module} if ribbon is not None else None


def adapter_record(adapter: Adapter | None, table: LineTable) -> Record | None:
    """The closed adapter that a part is."""
    if adapter is None:
        return None
    return {"voltage": known_record(adapter.voltage, table), "current": known_record(adapter.current, table)}


def held_record(held: Held, library: Library, table: LineTable) -> Record:
    """What a kit holds."""
    kind = kind_of(held.part, library)
    return {"part": held.part, "kind": kind, "pieces": held.pieces, "place": place_record(held.place, table)}


def part_record(entry: Entry, library: Library, table: LineTable) -> Record:
    """Anything else that is bought."""
    part = library.part(entry)
    return {
        **head_record(entry, library, table),
        "ribbon": ribbon_record(part.ribbon),
        "adapter": adapter_record(part.adapter, table),
        "holds": [held_record(held, library, table) for held in part.holds],
        **bought_records(part.bought, table),
        "complete": not part.spoiled,
    }


def step_record(step: Step, unit: str, table: LineTable) -> Record:
    """What something costs from a size on, or beyond it."""
    return {unit: nearest(step.start), "exact": str(step.start), "price": money_record(step.price, table)}


def days_record(days: Days | None, table: LineTable) -> Record | None:
    """How many days a parcel takes."""
    if days is None:
        return None
    return {"least": days.least, "most": days.most, "place": place_record(days.place, table)}


def offer_record(offer: Offer, library: Library, table: LineTable) -> Record:
    """A line of a seller."""
    return {
        "part": offer.part,
        "kind": kind_of(offer.part, library),
        "price": money_record(offer.price, table),
        "form": offer.form,
        "pieces": offer.pieces,
        "from": offer.least,
        "stock": offer.stock,
        "place": place_record(offer.place, table),
    }


def seller_record(entry: Entry, library: Library, table: LineTable) -> Record:
    """A shop or a person that sells."""
    seller = library.seller(entry)
    said = seller.fetched or bool(seller.ships)
    return {
        **head_record(entry, library, table),
        "fetched": seller.fetched,
        "ships": [step_record(step, "from", table) for step in seller.ships] if said else None,
        "free_from": money_record(seller.free, table),
        "smallest": money_record(seller.smallest, table),
        "longer": [step_record(step, "mm", table) for step in seller.longer],
        "heavier": [step_record(step, "g", table) for step in seller.heavier],
        "days": days_record(seller.days, table),
        "offers": [offer_record(offer, library, table) for offer in seller.offers],
        "complete": not seller.spoiled,
    }
