"""One rack at the desk where orders are written: in: needs on given rails, out: for each stage the cheapest order.

Each stage is an order of its own. What packs of one stage hold too much serves the next one. A basket that was solved
once is not solved again.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from typing import NamedTuple

from rackspec.findings import Place
from rackspec.model.known import KnownMoney
from rackspec.model.sellers import Offer
from rackspec.physics.basket import NOTHING, Basket, Found, covered
from rackspec.physics.cheapest import ENUMERATED
from rackspec.rules.exchange import currency_for, rate
from rackspec.rules.hardware import RowHardware
from rackspec.rules.landed import remarks_on, unsure_needs
from rackspec.rules.needs import Need
from rackspec.rules.registry import Look
from rackspec.rules.shop import NO_PRICES, Lacking, Shop, shop_of
from rackspec.solve.cheapest import find

NO_SPARE: Mapping[str, int] = {}
MOST_WORK = 500
"""Baskets that are solved for one rack before less important questions are left out: said so where it happens."""
LARGE, SLOW = 1500, 100
"""From which number of lots times needs on a basket is large, and as how many small ones it counts; one that cannot be
enumerated does, too."""
ANY_NUMBER = 10**6
"""Parcels, where no number is too many."""


class Written(NamedTuple):
    """So many pieces of a need that cannot be had from the sellers that are asked, counted at the price that is written
    with the thing, in the money of the order. What shipping it costs is not known."""

    lacking: Lacking
    price: KnownMoney
    cost: Fraction


class StageOrder(NamedTuple):
    """The order of a stage (None: of all that are asked for in one), in one currency.

    ``written``: what is counted at its own price. ``open``: what is needed, cannot be had, and is in no sum. ``kept``:
    so many pieces of needs that earlier orders brought beyond their own, by thing. ``unsure``: what may come on top, in
    the words of the budget's rules: things of which more may be needed, parcels that may cost more.
    """

    stage: int | None
    shop: Shop
    found: Found
    written: tuple[Written, ...]
    open: tuple[Lacking, ...]
    kept: tuple[tuple[str, int], ...]
    unsure: tuple[str, ...]

    @property
    def possible(self) -> bool:
        """Whether an order was found."""
        return self.found.order is not None

    @property
    def at_least(self) -> bool:
        """Whether the sum lacks something, or was written with its thing and may be shipped for money."""
        return bool(self.open or self.written or self.unsure)

    @property
    def cost(self) -> Fraction:
        """What all of it costs, as far as it is known: goods, shipping, and what is counted at its own price."""
        ordered = self.found.order.cost if self.found.order is not None else NOTHING
        return ordered + sum((one.cost for one in self.written), NOTHING)

    @property
    def empty(self) -> bool:
        """Whether nothing has to be bought."""
        return not self.shop.needs and not self.written and not self.open


class Way(NamedTuple):
    """Each row on one of its choices of rails, and everything that is then needed."""

    rows: tuple[RowHardware, ...]
    needs: tuple[Need, ...]

    @property
    def rails(self) -> tuple[tuple[str, str, str], ...]:
        """Row, rail and insert (empty: none is named), row by row."""
        return tuple(
            (
                one.row.name,
                one.chosen.rail.name if one.chosen.rail is not None else "",
                one.chosen.insert.name if one.chosen.insert is not None else "",
            )
            for one in self.rows
        )


class Plan(NamedTuple):
    """A way with the orders of its stages."""

    way: Way
    orders: tuple[StageOrder, ...]

    @property
    def possible(self) -> bool:
        """Whether every stage has its order."""
        return all(order.possible for order in self.orders)

    @property
    def cost(self) -> Fraction:
        """What all stages cost."""
        return sum((order.cost for order in self.orders), NOTHING)

    @property
    def lacking(self) -> int:
        """How many things nobody here has who is asked."""
        return sum(len(order.written) + len(order.open) for order in self.orders)

    @property
    def rank(self) -> tuple[bool, int, int, Fraction]:
        """What decides between plans: whether there is an order, what has no price, what nobody here has, the cost."""
        return not self.possible, sum(len(order.open) for order in self.orders), self.lacking, self.cost

    @property
    def proved(self) -> bool:
        """Whether no order can be cheaper."""
        return all(order.found.proved for order in self.orders)

    @property
    def bound(self) -> Fraction:
        """What no order of this way is cheaper than."""
        return self.cost - sum(
            (order.found.order.cost - order.found.bound for order in self.orders if order.found.order is not None),
            NOTHING,
        )


class Desk:
    """Writes orders for one rack.

    ``stages``: for which stages is bought, earliest first. ``without``: names of sellers that are not asked. ``most``:
    the most parcels of an order. ``spare``: what orders before the first of these stages brought too much, by thing.
    """

    def __init__(
        self,
        look: Look,
        stages: Sequence[int],
        without: frozenset[str] = frozenset(),
        most: int | None = None,
        spare: Mapping[str, int] = NO_SPARE,
    ) -> None:
        self.look = look
        self.spare = spare
        self.stages = tuple(stages)
        self.without = without
        self.most = most
        self.currency = currency_for(look)
        self.solved: dict[tuple[Basket, Fraction | None], Found] = {}
        self.work = 0

    def find(self, basket: Basket, at_most: Fraction | None = None) -> Found:
        """The cheapest order of a basket, worked out once. ``at_most``: only orders that cost no more are wanted."""
        key = basket, at_most
        if key not in self.solved:
            self.solved[key] = found = find(basket, at_most)
            large = len(basket.lots) * len(basket.needs) > LARGE
            self.work += 1 if found.how == ENUMERATED and not large else SLOW
        return self.solved[key]

    @property
    def tired(self) -> bool:
        """Whether so much was worked out that what lies beside the answer is not asked any more. It hangs on no clock:
        the same files give the same answers."""
        return self.work > MOST_WORK

    def shop(
        self,
        needs: Sequence[Need],
        pieces: Sequence[int],
        stages: Iterable[int],
        most: int | None,
        prices: Mapping[Place, Fraction] = NO_PRICES,
    ) -> Shop:
        """The basket for so many pieces of each need."""
        return shop_of(
            self.look,
            needs,
            pieces,
            self.currency,
            without=self.without,
            most_parcels=most,
            prices=prices,
            stages=tuple(stages),
        )

    def order(
        self,
        needs: Sequence[Need],
        pieces: Sequence[int],
        stage: int | None,
        most: int | None,
        prices: Mapping[Place, Fraction] = NO_PRICES,
        kept: tuple[tuple[str, int], ...] = (),
    ) -> StageOrder:
        """The cheapest order for so many pieces of each need: of a stage, or of all of them in one."""
        shop = self.shop(needs, pieces, self.stages if stage is None else (stage,), most, prices)
        written, left = self.counted_as_written(shop.lacking)
        found = self.find(shop.basket)
        shares = found.order.shares if found.order is not None else ()
        unsure = unsure_needs(needs, stage or 0) + remarks_on(shop, [shop.sellers[one.seller].name for one in shares])
        return StageOrder(stage, shop, found, written, left, kept, tuple(unsure))

    def counted_as_written(self, lacking: Iterable[Lacking]) -> tuple[tuple[Written, ...], tuple[Lacking, ...]]:
        """What cannot be had: with its own price, and without one. What can be made at the bench is neither."""
        written, left = [], []
        for one in lacking:
            price = one.need.price
            worth = rate(self.look.house, price.money.currency, self.currency) if price is not None else None
            if one.need.made:
                continue
            if price is None or worth is None:
                left.append(one)
            else:
                written.append(Written(one, price, price.money.value * worth * one.pieces))
        return tuple(written), tuple(left)

    def plan(self, way: Way, prices: Mapping[Place, Fraction] = NO_PRICES, most: int | None = None) -> Plan:
        """The orders of a way, stage by stage."""
        spare = dict(self.spare)
        orders = []
        for stage in self.stages:
            pieces, kept = [], []
            for need in way.needs:
                taken = min(need.buy[stage], spare.get(need.part, 0))
                spare[need.part] = spare.get(need.part, 0) - taken
                pieces.append(need.buy[stage] - taken)
                if taken:
                    kept.append((need.part, taken))
            order = self.order(way.needs, pieces, stage, self.most if most is None else most, prices, tuple(kept))
            orders.append(order)
            for part, more in left_over(order):
                spare[part] = spare.get(part, 0) + more
        return Plan(way, tuple(orders))

    def together(self, way: Way) -> StageOrder:
        """All stages in one order."""
        pieces = [sum(need.buy[stage] for stage in self.stages) for need in way.needs]
        return self.order(way.needs, pieces, None, self.most)


def left_over(order: StageOrder) -> list[tuple[str, int]]:
    """What an order brings beyond what is needed, by thing."""
    if order.found.order is None:
        return []
    have = covered(order.shop.basket, order.found.order.units)
    return [
        (need.part, many - wanted)
        for need, many, wanted in zip(order.shop.needs, have, order.shop.basket.needs, strict=True)
        if many > wanted
    ]


def bought(order: StageOrder) -> list[tuple[int, Offer, int]]:
    """What is ordered: lot, the line of the seller whose price holds, and how many units of it."""
    if order.found.order is None:
        return []
    found = []
    for position, many in enumerate(order.found.order.units):
        if many:
            lot, offers = order.shop.basket.lots[position], order.shop.lots[position]
            line = [offer for offer, tier in zip(offers, lot.tiers, strict=True) if tier.least <= many][-1]
            found.append((position, line, many))
    return found
