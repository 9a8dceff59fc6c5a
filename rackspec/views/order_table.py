"""Orders as a table for spreadsheets: in: orders of racks, out: text, one line a thing that is ordered.

A line is an offer, the shipping of a parcel, or what nobody who is asked has. Sums are in the money of the seller, as
they are paid, rounded up to its smallest coin. Shipping that cannot be said leaves its cell empty; it is below zero
where a parcel that comes anyway becomes free.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rackspec.language.currencies import rounded
from rackspec.solve.order_desk import StageOrder
from rackspec.solve.orders import Ordered
from rackspec.views.csv_table import Cell, as_csv
from rackspec.views.order_lines import Parcel, parcels_of
from rackspec.views.order_words import unit_text

COLUMNS = (
    "rack",
    "stage",
    "seller",
    "line",
    "thing",
    "units",
    "unit",
    "price of a unit",
    "together",
    "currency",
    "pieces",
    "price is",
    "price source",
    "price date",
    "remark",
    "file",
)
GOODS, SHIPPING, LACKING = "goods", "shipping", "cannot be had"
"""What a line is."""


def orders_csv(orders: Iterable[Ordered]) -> str:
    """The cheapest orders of some racks, stage by stage."""
    return as_csv(COLUMNS, [row for ordered in orders for row in rows_of(ordered)])


def rows_of(ordered: Ordered) -> Iterator[tuple[Cell, ...]]:
    """The orders of a rack."""
    rack = ordered.look.rack
    for order in ordered.best.orders:
        stage = rack.stages[order.stage or 0].name or "start"
        for parcel in parcels_of(ordered.look, order):
            for cells in parcel_rows(parcel):
                yield (rack.name, stage, parcel.seller.name, *cells, rack.file.name)
        for cells in lacking_rows(order):
            yield (rack.name, stage, None, *cells, rack.file.name)


def parcel_rows(parcel: Parcel) -> Iterator[tuple[Cell, ...]]:
    """What comes from one seller, and the way it comes."""
    for line in parcel.lines:
        offer, evidence = line.offer, line.offer.price.evidence
        as_paid = offer.price.money.currency == parcel.currency
        other = [f"{pieces} {part}" for part, pieces in line.brings if part != offer.part]
        yield (
            GOODS,
            offer.part,
            line.units,
            unit_text(offer),
            offer.price.money.value if as_paid else rounded(line.cost / line.units, parcel.currency),
            rounded(line.cost, parcel.currency),
            parcel.currency,
            line.pieces,
            evidence.level,
            evidence.text,
            evidence.dated.isoformat() if evidence.dated is not None else None,
            f"for {', '.join(other)}" if other else None,
        )
    said = parcel.seller.fetched or parcel.seller.ships
    cost = rounded(parcel.shipping, parcel.currency) if said else None
    why = "; ".join(parcel.why)
    yield (SHIPPING, None, None, None, None, cost, parcel.currency, None, None, None, None, why)


def lacking_rows(order: StageOrder) -> Iterator[tuple[Cell, ...]]:
    """What nobody who is asked has: at its own price where it is written, else without one."""
    for written in order.written:
        lacking, price = written.lacking, written.price
        evidence, money = price.evidence, price.money
        yield (
            LACKING,
            lacking.need.part,
            lacking.pieces,
            "each",
            money.value,
            money.value * lacking.pieces,
            money.currency,
            lacking.pieces,
            evidence.level,
            evidence.text,
            evidence.dated.isoformat() if evidence.dated is not None else None,
            lacking.why,
        )
    for lacking in order.open:
        part, pieces = lacking.need.part, lacking.pieces
        yield (LACKING, part, pieces, "each", None, None, None, pieces, None, None, None, lacking.why)
