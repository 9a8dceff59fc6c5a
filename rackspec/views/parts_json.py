"""Parts and orders as JSON: in: parts of racks, and records of orders, out: the document that ``order`` writes.

Pieces are whole numbers; sums of money are decimals written as text, so that no reader makes a float of them. A stage
is known by its name, the start is null. ``format_version`` rises in its second place when something is added, in its
first when something changes.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date

from rackspec.views.parts_record import Line, Parts, Selling
from rackspec.views.positions import LineTable
from rackspec.views.rack_document_values import Record, money_record, place_record
from rackspec.views.schema import checked

FORMAT_VERSION = "1.0"
PARTS, ORDERS = "parts", "orders"
"""Kinds of this document."""


def stage_key(parts: Parts, stage: int) -> str | None:
    """How a stage is known."""
    return parts.reported.seen.rack.stages[stage].name or None


def selling_record(selling: Selling, table: LineTable) -> Record:
    """A line of a seller."""
    offer = selling.offer
    return {
        "seller": selling.seller,
        "thing": offer.part,
        "price": money_record(offer.price, table),
        "form": offer.form,
        "pieces": offer.pieces,
        "gives": selling.gives,
        "from_units": offer.least,
        "stock_units": offer.stock,
    }


def line_record(parts: Parts, line: Line, table: LineTable) -> Record:
    """A need."""
    need = line.need
    asked = parts.stages
    return {
        "thing": need.part,
        "kinds": list(need.kinds),
        "counted_at": stage_key(parts, line.at),
        "needed": line.needed,
        "along": line.along,
        "there": line.there,
        "to_buy": line.all,
        "at_least": need.at_least,
        "can_be_made": need.made,
        "stages": [
            {
                "stage": stage_key(parts, stage),
                "needed": need.needed[stage],
                "along": need.along[stage],
                "to_buy": line.buy[number],
            }
            for number, stage in enumerate(asked)
        ],
        "uses": [
            {
                "kind": use.kind,
                "row": use.row or None,
                "pieces": [use.pieces[stage] for stage in asked],
                "source": use.source,
                "at_least": use.at_least,
            }
            for use in need.uses
        ],
        "serves": list(need.serves),
        "price": money_record(need.price, table),
        "sold_by": [selling_record(selling, table) for selling in line.sold],
        "place": place_record(need.place, table),
    }


def parts_record(parts: Parts, table: LineTable) -> Record:
    """A rack."""
    rack = parts.reported.seen.rack
    return {
        "name": rack.name,
        "file": rack.file.name,
        "title": rack.title or None,
        "stages": [stage_key(parts, stage) for stage in parts.stages],
        "parts": [line_record(parts, line, table) for line in parts.lines],
        "there_and_not_needed": [{"thing": part, "pieces": pieces} for part, pieces in parts.left_over],
    }


def order_json(
    kind: str, day: date, complete: bool, racks: Sequence[Parts], orders: Sequence[Record] | None = None
) -> str:
    """The document as text, held against its schema. ``complete``: every line was understood, every name found, every
    path read. ``orders``: for each rack a record of its orders."""
    table = LineTable()
    records = [parts_record(parts, table) for parts in racks]
    if orders is not None:
        records = [{**record, "orders": order} for record, order in zip(records, orders, strict=True)]
    document = {
        "format_version": FORMAT_VERSION,
        "kind": kind,
        "on": day.isoformat(),
        "complete": complete,
        "racks": records,
    }
    return json.dumps(checked("order", document), ensure_ascii=False, indent=2) + "\n"
