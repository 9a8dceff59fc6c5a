"""Bills at landed cost: in: what stages have to buy and the sellers, out: their bills, each ordered at its cheapest.

Only racks with a budget that know a seller need this page. A search that would take too long for a rule is given up:
the best order that was found is counted then, and what no order can be cheaper than is said beside it.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from rackspec.physics.basket import Found, covered, price_of
from rackspec.physics.cheapest import cheapest
from rackspec.rules.bills import NOTHING, Bill, Line, currency_at, means_of
from rackspec.rules.bought import needs, other_ways, spoiled_parts, too_many_ways
from rackspec.rules.exchange import rate
from rackspec.rules.hardware import PANEL_SCREW
from rackspec.rules.needs import RIBBON, Need
from rackspec.rules.registry import Look
from rackspec.rules.shop import Shop, shop_of

QUICK = 5_000
"""Steps of the first search: an order that is within the budget shows that it holds, whether or not it is the best."""
EFFORT = 100_000
"""Steps of a search where the first one is over the budget, or finds nothing. ``order`` takes more."""
WEIGHS = " weighs is not known"
"""What a remark about a weight holds."""
LATER = (RIBBON, PANEL_SCREW)
"""Kinds of things of which more may be needed at a later stage than is known."""


def cheapest_bills(look: Look, last: int) -> tuple[Bill, ...]:
    """The bills of the stages before ``last``, ordered from sellers. Only where these are more than there is, other
    rails that would do are looked at."""
    first = ordered(look, needs(look), last, QUICK)
    if not overshoot(look, first):
        return first
    found = [ordered(look, way, last, EFFORT) for way in other_ways(look)]
    best = min(found, key=lambda way: worth_of(look, way))  # the first of several that are as good
    if too_many_ways(look):  # rails that nobody looked at may be cheaper: nothing is proved
        return tuple(bill._replace(ways=len(found), least=NOTHING) for bill in best)
    return tuple(bill._replace(ways=len(found)) for bill in best)


def worth_of(look: Look, way: Sequence[Bill]) -> tuple[int, Fraction, Fraction]:
    """What decides between rails: things without a price, then what is over the budgets, then what it costs."""
    unpriced = sum(len(bill.unpriced) for bill in way)
    return unpriced, overshoot(look, way), sum((bill.total for bill in way), NOTHING)


def overshoot(look: Look, way: Sequence[Bill]) -> Fraction:
    """How much stages cost more than there is for them."""
    found = NOTHING
    for bill in way:
        means = means_of(look, bill.stage)
        if means is not None:
            found += max(NOTHING, bill.total - means.left)
    return found


def ordered(look: Look, wanted: Sequence[Need], last: int, effort: int) -> tuple[Bill, ...]:
    """The bills of the stages before ``last`` with given needs, each ordered at its cheapest."""
    spare: dict[str, int] = {}
    found = []
    for stage in range(last):
        pieces = []
        for need in wanted:
            taken = min(need.buy[stage], spare.get(need.part, 0))
            spare[need.part] = spare.get(need.part, 0) - taken
            pieces.append(need.buy[stage] - taken)
        shop = shop_of(look, wanted, pieces, currency_at(look, stage), stages=(stage,))
        order = cheapest(shop.basket, effort)
        if order.order is None and not order.impossible and effort < EFFORT:
            order = cheapest(shop.basket, EFFORT)
        found.append(landed_bill(look, shop, order, stage, spare, unsure_needs(wanted, stage)))
    return tuple(found)


def landed_bill(look: Look, shop: Shop, found: Found, stage: int, spare: dict[str, int], unsure: Sequence[str]) -> Bill:
    """A stage as an order brings it; what that brings beyond the need is added to ``spare``. ``unsure``: what may be
    needed besides."""
    lines, beyond, unsaid = [], NOTHING, list(unsure)
    written = [(one.need, one.pieces) for one in shop.lacking if not one.need.made]
    if found.order is not None:
        units = found.order.units
        for lot, offers, many in zip(shop.basket.lots, shop.lots, units, strict=True):
            if many:
                seller = shop.sellers[lot.seller].name
                offer = [one for one, tier in zip(offers, lot.tiers, strict=True) if tier.least <= many][-1]
                pieces = many * sum(each for _, each in lot.gives)
                lines.append(Line(offer.part, pieces, price_of(lot, many), offer.price, offer.place, seller))
        for position, have in enumerate(covered(shop.basket, units)):
            more = have - shop.basket.needs[position]
            if more:
                part = shop.needs[position].part
                spare[part] = spare.get(part, 0) + more
                beyond += more * piece_price(shop, units, position)
    elif found.impossible:
        written += zip(shop.needs, shop.basket.needs, strict=True)
        unsaid.append("what sellers here would want for it: together they send no such order")
    else:
        lines.append(Line("the cheapest order", 1, found.bound, None, look.rack.place, ""))
        unsaid.append("what it costs above the least that can be proved; 'rackspec order' looks longer")
    spoiled = spoiled_parts(look.rack) if written else set()
    for need, pieces in written:
        cost, price = written_cost(look, need, pieces, shop.currency), need.price
        lines.append(Line(need.part, pieces, cost, price, need.place, "", need.part in spoiled))
    order = found.order
    shipping = sum((share.shipping for share in order.shares), NOTHING) if order is not None else NOTHING
    names = tuple(shop.sellers[share.seller].name for share in order.shares) if order is not None else ()
    unsaid += remarks_on(shop, names)
    bill = Bill(stage, shop.currency, tuple(lines), beyond, shipping, names, NOTHING, tuple(unsaid))
    short = order.cost - found.bound if order is not None else NOTHING
    return bill._replace(least=bill.total - short)


def remarks_on(shop: Shop, names: Sequence[str]) -> list[str]:
    """What was not known about parcels of the sellers that are ordered from; weights are told once."""
    found = [remark for remark in shop.remarks if any(f"'{name}'" in remark for name in names)]
    weights = [remark for remark in found if WEIGHS in remark]
    others = [remark for remark in found if WEIGHS not in remark]
    return others + ([f"what heavier parcels cost more ({len(weights)} weights are not known)"] if weights else [])


def piece_price(shop: Shop, units: Sequence[int], position: int) -> Fraction:
    """What one piece of a need costs at the cheapest of the lots that are ordered for nothing else; 0 where kits alone
    bring it."""
    found = []
    for lot, many in zip(shop.basket.lots, units, strict=True):
        price = price_of(lot, many)
        if many and price is not None and [need for need, _ in lot.gives] == [position]:
            found.append(price / (many * lot.gives[0][1]))
    return min(found, default=NOTHING)


def written_cost(look: Look, need: Need, pieces: int, currency: str) -> Fraction | None:
    """What so many of a thing cost as priced where it is described; None without a price, or without a rate."""
    if need.price is None:
        return None
    worth = rate(look.house, need.price.money.currency, currency)
    return need.price.money.value * pieces * worth if worth is not None else None


def unsure_needs(wanted: Sequence[Need], stage: int) -> list[str]:
    """What may be needed beyond what is counted."""
    unsure = [need for need in wanted if need.at_least and (not stage or need.kinds[0] in LATER)]
    found = ["ribbons that did not come along"] if any(RIBBON in n.kinds for n in unsure) else []
    others = [need.part for need in unsure if RIBBON not in need.kinds]
    if others:
        found.append(f"more of {', '.join(others)}, if it is needed")
    return found
