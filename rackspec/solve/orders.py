"""Where to buy what a rack needs: in: a look at it and what is asked, out: the cheapest orders, and why they are.

The rails are chosen by what all stages cost together, each stage an order of its own. Everything else follows: fewer
parcels, other rails, the price at which the second-best would win, prices to ask about first.
"""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from rackspec.physics.basket import Landed, Post, landed
from rackspec.rules.registry import Look
from rackspec.rules.stages import stage_numbers
from rackspec.solve.by_parcels import InParcels, in_parcels
from rackspec.solve.doubtful_prices import Doubts, doubts
from rackspec.solve.order_desk import Desk, Plan, StageOrder
from rackspec.solve.rail_ways import RailCost, Ways, rail_cost, ways_of, without_rails
from rackspec.solve.second_best import Second, Sums, second_best, sums_of


class Asked(NamedTuple):
    """What is asked: for which stage (None: all of them), in how many parcels at most, and without which sellers."""

    stage: int | None = None
    most_parcels: int | None = None
    without: frozenset[str] = frozenset()


class OneByOne(NamedTuple):
    """What all would cost if each thing were bought where it is cheapest by itself, whatever shipping that takes; None
    where sellers would not send that: its least order is not reached, or there are too few."""

    order: Landed | None


class Ordered(NamedTuple):
    """The answer. ``best``: the orders that are asked for, ``whole``: those of all stages, by which rails were chosen.
    ``rails``: the rail table, the cheapest first, empty where there is no choice. ``together``: all stages in one order
    (None: there is but one)."""

    look: Look
    asked: Asked
    currency: str
    ways: Ways
    whole: Plan
    best: Plan
    sums: Sums
    one_by_one: tuple[OneByOne, ...]
    together: StageOrder | None
    parcels: tuple[InParcels, ...]
    rails: tuple[RailCost, ...]
    second: Second | None
    doubts: Doubts

    @property
    def proved(self) -> bool:
        """Whether no order on any of the rails that do can be cheaper."""
        return self.best.proved and self.ways.all_looked_at


def orders_of(look: Look, asked: Asked) -> Ordered:
    """The cheapest orders of a rack."""
    desk = Desk(look, stage_numbers(look.rack), asked.without, asked.most_parcels)
    ways = ways_of(desk)
    whole = ways.plans[0]
    best, plans, here = whole, ways.plans, desk
    if asked.stage is not None:
        order = whole.orders[asked.stage]
        here = Desk(look, (asked.stage,), asked.without, asked.most_parcels, dict(order.kept))
        best = here.plan(whole.way)
        plans = (best,)
    several = asked.stage is None and sum(not order.empty for order in best.orders) > 1
    rails: tuple[RailCost, ...] = ()
    if len(ways.plans) > 1:
        others = desk.plan(without_rails(whole.way))
        rails = tuple(rail_cost(desk, plan, others) for plan in ways.plans)
    return Ordered(
        look,
        asked,
        desk.currency,
        ways,
        whole,
        best,
        sums_of(best),
        tuple(one_by_one(here, order) for order in best.orders),
        desk.together(whole.way) if several else None,
        in_parcels(here, [plan.way for plan in plans], best),
        rails,
        second_best(here, plans),
        doubts(here, plans),
    )


def one_by_one(desk: Desk, order: StageOrder) -> OneByOne:
    """The order that buys each thing where it is cheapest by itself."""
    basket = order.shop.basket
    units = [0] * len(basket.lots)
    for need, pieces in enumerate(basket.needs):
        lots = [number for number, lot in enumerate(basket.lots) if dict(lot.gives).get(need)]
        alone = basket._replace(
            needs=(pieces,),
            lots=tuple(basket.lots[lot]._replace(gives=((0, dict(basket.lots[lot].gives)[need]),)) for lot in lots),
            posts=(Post(parcel=False),) * len(basket.posts),
            most_parcels=None,
        )
        found = desk.find(alone).order
        if found is None:
            return OneByOne(None)
        for lot, many in zip(lots, found.units, strict=True):
            units[lot] += many
    return OneByOne(landed(basket._replace(most_parcels=None), units))


def saved_together(ordered: Ordered) -> Fraction | None:
    """What all stages in one order save (below 0: they cost more); None where that is no question, or no order."""
    if ordered.together is None or not ordered.together.possible or not ordered.best.possible:
        return None
    return ordered.best.cost - ordered.together.cost
