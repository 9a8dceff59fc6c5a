"""Room in money: in: a look at a rack and the rails that are known, out: what its rows cost a HP, and what more would.

Two ways to more room are held against each other: a longer row now, instead of the one that is planned, with
everything that its panels are screwed on with; and another row later, ordered for itself, as long as nobody knows what
will stand in it: rails, strips, end screws and washers. All at landed cost. Only stated or measured prices decide.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from rackspec.model.known import TRUST
from rackspec.model.parts import Insert, Rail
from rackspec.model.rack import RailChoice, Row
from rackspec.physics.basket import Found
from rackspec.rules.choices import Chosen, chosen_of
from rackspec.rules.chosen import chosen_one, does
from rackspec.rules.exchange import currency_for
from rackspec.rules.hardware import END_SCREW, WASHER_RING, RowHardware, row_hardware
from rackspec.rules.needs import Need, bolted, need_of, there_of
from rackspec.rules.registry import Look
from rackspec.rules.shop import UNSETTLED, Shop, shop_of
from rackspec.solve.cheapest import find

AT_ENDS = {END_SCREW, WASHER_RING}
WIDELY = TRUST["guessed"]
"""From this level on a price is a guess."""


class Cost(NamedTuple):
    """What some hardware costs when it is ordered for itself (None: that cannot be said, see ``why``), and in how many
    parcels it comes. ``bare``: end screws are not in it, because which ones is not known."""

    cost: Fraction | None
    parcels: int
    why: str
    bare: bool = False


class RowCost(NamedTuple):
    """A row: its rails and insert, its length (mm), and what its hardware costs for itself."""

    row: Row
    rail: str
    insert: str
    length: Fraction
    alone: Cost


class Longer(NamedTuple):
    """A longer pair of rails for a row: what it is, how much longer (mm), what it costs more than the planned one."""

    row: Row
    rail: str
    insert: str
    more: Fraction
    cost: Cost


class RoomInMoney(NamedTuple):
    """All of it, in one currency."""

    currency: str
    rows: tuple[RowCost, ...]
    longer: tuple[Longer, ...]


def room_in_money(look: Look, rails: Sequence[Rail]) -> RoomInMoney:
    """What the rows of a rack cost, and what longer ones would; nothing where no seller is known."""
    currency = currency_for(look)
    if not look.rack.sellers or not currency:
        return RoomInMoney(currency, (), ())
    inserts = inserts_of(look)
    rows, longer = [], []
    for row in look.rack.rows:
        chosen = chosen_one(look, row) if row.choices else None
        if chosen is None or chosen.rail is None or chosen.rail.length is None:
            continue
        alone = cost_of(look, needs_in(look, on_rails(look, row, chosen, with_panels=False), {}), currency)
        rows.append(
            RowCost(
                row,
                chosen.rail.name,
                chosen.insert.name if chosen.insert is not None else "",
                chosen.rail.length.value,
                alone,
            )
        )
        longer += longer_ones(look, row, chosen, rails, inserts, currency)
    return RoomInMoney(currency, tuple(rows), tuple(longer))


def inserts_of(look: Look) -> dict[str, Insert]:
    """The inserts that are known in a rack, by name."""
    found = {}
    for row in look.rack.rows:
        for choice in row.choices:
            for insert in (*choice.takes, *((choice.insert,) if choice.insert is not None else ())):
                found[insert.name] = insert
    return found


def on_rails(look: Look, row: Row, chosen: Chosen, *, with_panels: bool) -> RowHardware:
    """A row on rails, with its panels or without them: then rails, strips, end screws and washers are left."""
    length = chosen.rail.length if chosen.rail is not None else None
    here = row._replace(choices=(chosen.choice,), length=length)
    if not with_panels:
        here = here._replace(panels=())
    return row_hardware(afresh(look), chosen_of(here, chosen.choice))


def afresh(look: Look) -> Look:
    """A look that remembers nothing: what is thought up here is kept apart from what is written."""
    return look._replace(memory={})


def needs_in(look: Look, here: RowHardware, there: dict[str, int]) -> list[Need]:
    """What a row is bolted together with, beside what is there."""
    asked = list(bolted(look, here))
    parts = dict.fromkeys(one.use.part for one in asked)
    needs = [need_of(look, [here], part, [one for one in asked if one.use.part == part], there) for part in parts]
    return [need for need in needs if need.all]


def cost_of(look: Look, everything: list[Need], currency: str, ends: bool = True) -> Cost:
    """What some hardware costs when it is ordered for itself; ``ends``: with end screws, where these are known."""
    bare = not ends or any(unsettled(need) for need in everything)
    needs = [need for need in everything if not (bare and set(need.kinds) & AT_ENDS) and not unsettled(need)]
    shop = shop_of(look, needs, [need.all for need in needs], currency, stages=())
    if shop.lacking:
        lacking = shop.lacking[0]
        return Cost(None, 0, f"{lacking.why} ('{lacking.need.part}')")
    found = find(shop.basket)
    if found.order is None or not found.proved:
        return Cost(None, 0, "the cheapest order was not found")
    guessed = guesses(shop, found)
    if guessed:
        return Cost(None, 0, f"the price of '{guessed[0]}' is a guess")
    return Cost(found.order.cost, found.order.parcels, "", bare)


def unsettled(need: Need) -> bool:
    """Whether it is not known which thing it will be."""
    return any(word in need.part for word in UNSETTLED)


def guesses(shop: Shop, found: Found) -> list[str]:
    """The things in an order whose price is a guess."""
    units = found.order.units if found.order is not None else ()
    return [
        lines[0].part
        for lines, many in zip(shop.lots, units, strict=False)
        if many and any(TRUST[line.price.evidence.level] >= WIDELY for line in lines)
    ]


def longer_ones(
    look: Look,
    row: Row,
    chosen: Chosen,
    rails: Sequence[Rail],
    inserts: dict[str, Insert],
    currency: str,
) -> list[Longer]:
    """Longer rails that somebody sells and that do, each with the insert with which it is cheapest."""
    assert chosen.rail is not None and chosen.rail.length is not None
    length = chosen.rail.length.value
    sold = {offer.part for seller in look.rack.sellers for offer in seller.offers}
    there = there_of(look)
    planned = needs_in(look, on_rails(look, row, chosen, with_panels=True), there)
    found = []
    for rail in rails:
        if rail.length is None or rail.length.value <= length or rail.name not in sold:
            continue
        best: Longer | None = None
        for name, _ in rail.takes:
            insert = inserts.get(name)
            if insert is None or not reaches(insert, rail):
                continue
            other = chosen_of(row, RailChoice(rail, insert, (insert,), chosen.choice.place))
            if not does(afresh(look), other):
                continue
            wanted = needs_in(look, on_rails(look, row, other, with_panels=True), there)
            ends = not any(unsettled(need) for need in (*planned, *wanted))
            more = difference(cost_of(look, wanted, currency, ends), cost_of(look, planned, currency, ends))
            if best is None or better(more, best.cost):
                best = Longer(row, rail.name, name, rail.length.value - length, more)
        if best is not None:
            found.append(best)
    return sorted(found, key=lambda one: (one.more, one.rail))


def reaches(insert: Insert, rail: Rail) -> bool:
    """Whether an insert serves the whole of a rail: a nut does, a strip where it is as long."""
    if insert.form == "nut":
        return True
    if insert.holes is None or insert.pitch is None or rail.length is None:
        return False
    return insert.holes * insert.pitch.value >= rail.length.value


def difference(dearer: Cost, planned: Cost) -> Cost:
    """What one costs more than the other."""
    if dearer.cost is None or planned.cost is None:
        return Cost(None, 0, dearer.why or f"of the planned rails: {planned.why}")
    return Cost(dearer.cost - planned.cost, dearer.parcels, "", dearer.bare or planned.bare)


def better(one: Cost, other: Cost) -> bool:
    """Whether one is cheaper than the other, as far as both are known."""
    if one.cost is None:
        return False
    return other.cost is None or one.cost < other.cost
