"""Rails to choose from, in money: in: a desk, out: the combinations of rails that do, the cheapest first.

Every combination has its own inserts, screws and end screws, and is ordered at its cheapest. Where there are very many,
those that a quick bound rules out are not ordered.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from itertools import chain, product
from typing import NamedTuple

from rackspec.physics.basket import NOTHING, covered
from rackspec.physics.cheapest import bound_of
from rackspec.rules.choices import Chosen, chosen_of
from rackspec.rules.chosen import does
from rackspec.rules.hardware import KINDS as BOLTED
from rackspec.rules.hardware import RowHardware, row_hardware, supplied_of, uses_of
from rackspec.rules.needs import needs_of
from rackspec.solve.order_desk import Desk, Plan, Way, bought

MOST_WAYS = 512
"""Combinations that are looked at."""
MOST_PLANNED = 16
"""Combinations that are told; of more, only those that can be among the cheapest are ordered."""


class Ways(NamedTuple):
    """Plans for combinations of rails, the best first.

    ``there``: how many combinations do. ``looked_at``: how many were held against each other (fewer where there are too
    many), ``different`` of which want different things. ``unsettled``: rows of which no choice does; they stand on
    their first one. ``out``: rails that do not do, by row.
    """

    plans: tuple[Plan, ...]
    there: int
    looked_at: int
    different: int
    unsettled: tuple[str, ...]
    out: tuple[tuple[str, str], ...]

    @property
    def all_looked_at(self) -> bool:
        """Whether the best of them is the best there is."""
        return self.looked_at == self.there


class RailCost(NamedTuple):
    """What a combination of rails costs with everything that it entails.

    ``goods``: rails, inserts, screws, washers. ``rails_in_all``: what the whole order costs more than the cheapest one
    without any of that; ``shipping``: what is left of that without the goods. ``left_over``: pieces that packs hold
    beyond the need; ``wasted``: screws that come with panels and do not serve.
    """

    plan: Plan
    goods: Fraction
    shipping: Fraction
    rails_in_all: Fraction
    left_over: int
    wasted: int


def ways_of(desk: Desk) -> Ways:
    """All combinations of rails of the rows that do."""
    look = desk.look
    rows = [row for row in look.rack.rows if row.choices]
    unsettled, out = [], []
    fitting: list[list[Chosen]] = []
    for row in rows:
        choices = [chosen_of(row, choice) for choice in row.choices]
        good = [chosen for chosen in choices if does(look, chosen)]
        if not good:
            unsettled.append(row.name)
        out += [(row.name, called(chosen)) for chosen in choices if chosen not in good and good]
        fitting.append(good or choices[:1])
    there = 1
    for one in fitting:
        there *= len(one)
    on: dict[int, RowHardware] = {}

    def hardware_on(chosen: Chosen) -> RowHardware:
        if id(chosen) not in on:
            on[id(chosen)] = row_hardware(look, chosen)
        return on[id(chosen)]

    ways: dict[tuple[object, ...], Way] = {}
    for combination in combinations(fitting, there):
        here = tuple(hardware_on(chosen) for chosen in combination)
        needs = needs_of(look, here)
        # rows in each other's place want the same things: told once
        ways.setdefault(tuple((need.part, need.buy, need.serves) for need in needs), Way(here, needs))
    plans = planned(desk, list(ways.values()))
    return Ways(tuple(plans), there, min(there, MOST_WAYS), len(ways), tuple(unsettled), tuple(out))


def combinations(fitting: list[list[Chosen]], there: int) -> Iterator[tuple[Chosen, ...]]:
    """The combinations that are looked at, as they are written. Where there are too many, those with all rows on the
    same rails come first: most racks are built so, and the first row would else stand on its first choice in all."""
    every: Iterable[tuple[Chosen, ...]] = product(*fitting)
    if there > MOST_WAYS:
        names = dict.fromkeys(called(chosen) for good in fitting for chosen in good)
        alike = [
            tuple(next((chosen for chosen in good if called(chosen) == name), good[0]) for good in fitting)
            for name in names
        ]
        every = chain(alike, every)
    seen: set[tuple[int, ...]] = set()
    for combination in every:
        key = tuple(id(chosen) for chosen in combination)
        if key not in seen:
            seen.add(key)
            yield combination
        if len(seen) == MOST_WAYS:
            return


def called(chosen: Chosen) -> str:
    """A choice as it is written."""
    rail = chosen.rail.name if chosen.rail is not None else "unknown rails"
    return f"{rail} with {chosen.insert.name}" if chosen.insert is not None else rail


def planned(desk: Desk, ways: list[Way]) -> list[Plan]:
    """The plans of ways, the best first; of ways that cost the same, the one that is written first."""
    if len(ways) <= MOST_PLANNED:
        return sorted((desk.plan(way) for way in ways), key=lambda plan: plan.rank)
    quick = sorted((at_least(desk, way), number) for number, way in enumerate(ways))
    found: list[tuple[tuple[bool, int, int, Fraction], int, Plan]] = []
    for (unpriced, lacking, bound), number in quick:
        if len(found) >= MOST_PLANNED:
            last = found[MOST_PLANNED - 1][2]
            if last.possible and (unpriced, lacking, bound) > last.rank[1:]:
                continue
        if found and desk.tired and found[0][2].possible and (unpriced, lacking, bound) > found[0][2].rank[1:]:
            continue  # the best one is among those that were ordered; the others would only be told beside it
        plan = desk.plan(ways[number])
        found.append((plan.rank, number, plan))
        found.sort(key=lambda one: one[:2])
    return [plan for _, _, plan in found[:MOST_PLANNED]]


def at_least(desk: Desk, way: Way) -> tuple[int, int, Fraction]:
    """How many things of a way have no price, how many nobody has, and what it costs at least, quickly: by its first
    stage alone."""
    stage = desk.stages[0]
    shop = desk.shop(way.needs, [need.buy[stage] for need in way.needs], (stage,), desk.most)
    written, left = desk.counted_as_written(shop.lacking)
    return len(left), len(written) + len(left), bound_of(shop.basket) + sum((one.cost for one in written), NOTHING)


def without_rails(way: Way) -> Way:
    """A way without anything that it is bolted together with."""
    return Way((), tuple(need for need in way.needs if need.kinds[0] not in BOLTED))


def rail_cost(desk: Desk, plan: Plan, others: Plan) -> RailCost:
    """A combination of rails, against the plan of everything else."""
    goods, left = NOTHING, 0
    for order in plan.orders:
        bolted = {number for number, need in enumerate(order.shop.needs) if need.kinds[0] in BOLTED}
        for position, _, many in bought(order):
            lot = order.shop.basket.lots[position]
            if all(need in bolted for need, _ in lot.gives):
                tier = [tier for tier in lot.tiers if tier.least <= many][-1]
                goods += tier.price * many
        goods += sum((one.cost for one in order.written if one.lacking.need.kinds[0] in BOLTED), NOTHING)
        if order.found.order is not None:
            have = covered(order.shop.basket, order.found.order.units)
            left += sum(have[number] - order.shop.basket.needs[number] for number in bolted)
        bolts = {need.part for need in plan.way.needs if need.kinds[0] in BOLTED}
        left -= sum(many for part, many in order.kept if part in bolts)
    whole = plan.cost - others.cost
    rows = list(plan.way.rows)
    uses = [use for row in rows for use in uses_of(desk.look, row)]
    wasted = sum(many for one in supplied_of(desk.look, uses, rows) for _, _, many in one.why)
    return RailCost(plan, goods, whole - goods, whole, left, wasted)
