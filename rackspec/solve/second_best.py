"""The second-best answer: in: a desk and plans, out: what it is, why it is dearer, the price at which it would win."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from rackspec.physics.basket import NOTHING, covered
from rackspec.rules.landed import piece_price
from rackspec.solve.order_desk import Desk, Plan, bought
from rackspec.solve.turning_prices import PriceSearch, TurningPrice, weightiest


class Sums(NamedTuple):
    """What a plan is made of: goods that are needed, what packs hold beyond that, shipping, and what nobody here has,
    as it is priced."""

    needed: Fraction
    spare: Fraction
    shipping: Fraction
    written: Fraction


class Second(NamedTuple):
    """The second-best plan: on other rails, or (``without``) without a seller of the best one. ``dearer``: by how much,
    and where that comes from. ``turning``: None where it buys nothing that is not in the best one."""

    plan: Plan
    without: str
    dearer: Fraction
    parts: Sums
    turning: TurningPrice | None


def sums_of(plan: Plan) -> Sums:
    """What a plan is made of."""
    goods, spare, shipping, written = NOTHING, NOTHING, NOTHING, NOTHING
    for order in plan.orders:
        written += sum((one.cost for one in order.written), NOTHING)
        if order.found.order is None:
            continue
        goods += sum((share.goods for share in order.found.order.shares), NOTHING)
        shipping += sum((share.shipping for share in order.found.order.shares), NOTHING)
        units = order.found.order.units
        for position, have in enumerate(covered(order.shop.basket, units)):
            spare += (have - order.shop.basket.needs[position]) * piece_price(order.shop, units, position)
    return Sums(goods - spare, spare, shipping, written)


def second_best(desk: Desk, plans: Sequence[Plan]) -> Second | None:
    """The second-best rails; where there are none that can be had as well, the best order without one of its sellers.
    None where there is no other answer at all."""
    best = plans[0]
    if not best.possible:
        return None
    plan, without = other_rails(plans), ""
    if plan is None:
        plan, without = other_sellers(desk, best)
    if plan is None:
        return None
    here, there = sums_of(best), sums_of(plan)
    parts = Sums(*(two - one for one, two in zip(here, there, strict=True)))
    line = weightiest(plan, best)
    turning = None
    if line is not None and plan.cost > best.cost:
        # on other rails only other rails are another answer; else any order that is cheaper is
        others = [best.way] if without else [one.way for one in plans[1:] if one.rank[:3] == best.rank[:3]]
        turning = PriceSearch(desk, best, plan, others, *line).searched()
    return Second(plan, without, plan.cost - best.cost, parts, turning)


def other_rails(plans: Sequence[Plan]) -> Plan | None:
    """The second-best rails, if as much of what they need can be had."""
    return next((plan for plan in plans[1:] if plan.rank[:3] == plans[0].rank[:3]), None)


def other_sellers(desk: Desk, best: Plan) -> tuple[Plan | None, str]:
    """The best order without one of its sellers, and which."""
    names = {
        order.shop.sellers[order.shop.basket.lots[lot].seller].name
        for order in best.orders
        for lot, _, _ in bought(order)
    }
    found: list[tuple[Plan, str]] = []
    for name in sorted(names):
        other = Desk(desk.look, desk.stages, desk.without | {name}, desk.most, desk.spare)
        plan = other.plan(best.way)
        if plan.rank[:3] == best.rank[:3]:
            found.append((plan, name))
    return min(found, key=lambda one: one[0].cost) if found else (None, "")
