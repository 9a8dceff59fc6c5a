"""The price at which another answer would win: in: a desk, the best plan and the second-best, out: a line, a price.

Searched from the present price downwards, over every price that the seller can write. A stretch of prices is left out
only where a bound shows that nothing wins there: the line costs what it costs at the low end, and its seller's parcel
what it costs at whichever sum of goods in reach is the cheapest. So it is the highest such price, although a lower
price may make a parcel dearer (it is no longer sent free).
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from rackspec.language.currencies import places_of
from rackspec.model.sellers import Offer, Seller
from rackspec.physics.basket import NOTHING, Basket, Post, base_shipping
from rackspec.rules.exchange import rate
from rackspec.rules.needs import Need
from rackspec.rules.shop import Shop
from rackspec.solve.order_desk import Desk, Plan, Way, bought
from rackspec.solve.programme import most_units, useful

MOST_SOLVED = 150
"""Orders that are worked out for one answer."""
FEW = 6
"""Orders that are still worked out for two prices where a search was given up on a large rack."""


class TurningPrice(NamedTuple):
    """An offer of a seller, and the highest price (in its own money) at which the answer is another.

    ``price``: None where it would not win for nothing either. ``unit``: the smallest step of that money; at
    ``price + unit`` the old answer still holds. ``plan``: what wins then. ``given_up``: the search took too long;
    with a ``price`` all the same where one was found, and a higher one that does as well is not ruled out.
    """

    seller: Seller
    offer: Offer
    price: Fraction | None
    unit: Fraction
    plan: Plan | None
    given_up: bool


class TooMany(Exception):
    """The search takes too long."""


def step_of(currency: str) -> Fraction:
    """The smallest sum of a money."""
    return Fraction(1, 10 ** places_of(currency))


def weightiest(plan: Plan, best: Plan) -> tuple[Seller, Offer] | None:
    """The line that costs most in a plan and is not in the best one; None where there is no such line."""
    there = {line.place for order in best.orders for _, line, _ in bought(order)}
    found: dict[object, tuple[Fraction, Seller, Offer]] = {}
    for order in plan.orders:
        for position, line, many in bought(order):
            if line.place in there:
                continue
            lot = order.shop.basket.lots[position]
            tier = [tier for tier in lot.tiers if tier.least <= many][-1]
            before = found[line.place][0] if line.place in found else NOTHING
            found[line.place] = (before + tier.price * many, order.shop.sellers[lot.seller], line)
    if not found:
        return None
    _, seller, line = max(found.values(), key=lambda one: one[0])
    return seller, line


class PriceSearch:
    """The search for one line of the ``second`` plan. ``others``: ways that would be another answer; the best one's own
    way, where another order on the same rails is one, too."""

    def __init__(
        self, desk: Desk, best: Plan, second: Plan, others: Sequence[Way], seller: Seller, offer: Offer
    ) -> None:
        self.desk, self.best, self.second = desk, best, second
        self.seller, self.offer = seller, offer
        self.unit = step_of(offer.price.money.currency)
        self.left = MOST_SOLVED
        self.endless = False
        self.packs: dict[str, int] = {}
        self.rivals = [way for way in others if self.concerns(way)]
        self.own = best.way not in others and self.concerns(best.way)

    def concerns(self, way: Way) -> bool:
        """Whether the line may be in an order of a way."""
        plan = self.desk.plan(way)
        return any(line.place == self.offer.place for order in plan.orders for lot in order.shop.lots for line in lot)

    def searched(self) -> TurningPrice:
        """The highest price at which something else wins."""
        most = -(-self.offer.price.money.value // self.unit) - 1
        guess = min(most, self.guess())
        try:
            found = self.highest(guess + 1, most) or self.highest(guess, guess) or self.highest(0, guess - 1)
        except TooMany:
            return self.told(self.turns_at(guess), True)
        return self.told(found, False)

    def told(self, found: tuple[int, Plan] | None, given_up: bool) -> TurningPrice:
        """A price in steps (None: there is none), as it is told."""
        price, plan = (found[0] * self.unit, found[1]) if found is not None else (None, None)
        return TurningPrice(self.seller, self.offer, price, self.unit, plan, given_up)

    def turns_at(self, price: int) -> tuple[int, Plan] | None:
        """A price with what wins at it, if something does, and nothing does a step above. It is worth a little more
        work, not much."""
        if self.desk.tired and len(self.rivals) * len(self.desk.stages) > FEW:
            return None
        self.endless = True
        plan = self.winner(price) if price >= 0 else None
        return (price, plan) if plan is not None and self.winner(price + 1) is None else None

    def guess(self) -> int:
        """The price (in steps) at which the second-best as it is would win: nearly always the answer."""
        units = sum(
            many for order in self.second.orders for _, line, many in bought(order) if line.place == self.offer.place
        )
        less = (self.second.cost - self.best.cost) / (units * self.worth)
        return -(-(self.offer.price.money.value - less) // self.unit) - 1

    def highest(self, low: int, high: int) -> tuple[int, Plan] | None:
        """The highest price from ``low`` to ``high`` (in steps) at which something else wins, with what wins."""
        if low > high or high < 0:
            return None
        if low == high:
            plan = self.winner(low)
            return (low, plan) if plan is not None else None
        if not self.may_win(low, high):
            return None
        middle = (low + high) // 2
        return self.highest(middle + 1, high) or self.highest(low, middle)

    def spend(self, orders: int) -> None:
        """Count what is worked out."""
        self.left -= orders
        if not self.endless and (self.left < 0 or self.desk.tired):
            raise TooMany

    def winner(self, price: int) -> Plan | None:
        """What wins at a price; None where the old answer holds."""
        prices = {self.offer.place: price * self.unit}
        held = self.best
        if self.own:
            self.spend(len(self.desk.stages))
            held = min(held, self.desk.plan(self.best.way, prices), key=lambda plan: plan.rank)
        found: Plan | None = None
        for way in self.rivals:
            self.spend(len(self.desk.stages))
            plan = self.desk.plan(way, prices)
            if plan.rank < (found or held).rank:
                found = plan
        return found

    def may_win(self, low: int, high: int) -> bool:
        """Whether anything can win at a price from ``low`` to ``high``; only a bound decides that nothing does."""
        return any(self.way_may_win(way, low, high) for way in self.rivals)

    def way_may_win(self, way: Way, low: int, high: int) -> bool:
        """Whether a way can. The last stages first: what they cost at least narrows the search for the first one."""
        desk, prices, width = self.desk, {self.offer.place: low * self.unit}, (high - low) * self.unit * self.worth
        room, lacks = self.best.cost, 0
        for stage in reversed(desk.stages):
            pieces = [max(0, need.buy[stage] - self.most_spare(way, need, stage)) for need in way.needs]
            shop = desk.shop(way.needs, pieces, (stage,), desk.most, prices)
            written, left = desk.counted_as_written(shop.lacking)
            lacks += len(written) + len(left)
            room -= sum((one.cost for one in written), NOTHING)
            basket, given = relaxed(shop, self.offer, width)
            self.spend(1)
            found = desk.find(basket, max(NOTHING, room + given) if stage == desk.stages[0] else None)
            if found.impossible:
                return False
            room -= found.bound - given
            if room <= 0 and lacks >= self.best.lacking:
                return False
        return True

    def most_spare(self, way: Way, need: Need, stage: int) -> int:
        """How many pieces earlier orders may bring beyond what is needed: what is left in packs. That single pieces are
        bought too many, for a price break or a parcel sent free, is left out of account."""
        if not any(need.buy[one] for one in self.desk.stages if one < stage):
            return self.desk.spare.get(need.part, 0)
        if need.part not in self.packs:
            pieces = [need.all if one is need else 0 for one in way.needs]
            shop = self.desk.shop(way.needs, pieces, self.desk.stages, None)
            self.packs[need.part] = max((each - 1 for lot in shop.basket.lots for _, each in lot.gives), default=0)
        return self.packs[need.part] + self.desk.spare.get(need.part, 0)

    @property
    def worth(self) -> Fraction:
        """What the money of the line is worth in that of the orders."""
        return rate(self.desk.look.house, self.offer.price.money.currency, self.desk.currency) or Fraction(1)


def relaxed(shop: Shop, offer: Offer, width: Fraction) -> tuple[Basket, Fraction]:
    """A basket that is never dearer than the same with a line that costs up to so much more; and what has to be taken
    off beside."""
    basket, given = shop.basket, NOTHING
    for lot, lines in zip(basket.lots, shop.lots, strict=True):
        tiers = [tier for tier, line in zip(lot.tiers, lines, strict=True) if line.place == offer.place]
        if not tiers:
            continue
        post = basket.posts[lot.seller]
        units = most_units(post, tiers[0].price, max(useful(basket, lot), tiers[0].least))
        units = units if lot.stock is None else min(units, lot.stock)
        easier = easier_post(post, units * width)
        posts = [easier if number == lot.seller else one for number, one in enumerate(basket.posts)]
        if post.anyway:
            given += max(NOTHING, base_shipping(post, post.anyway) - base_shipping(easier, post.anyway))
        basket = basket._replace(posts=tuple(posts))
    return basket, given


def easier_post(post: Post, more: Fraction) -> Post:
    """What a parcel costs at whichever sum of goods, up to so much more, is the cheapest."""
    starts = {NOTHING, *(start for start, _ in post.steps)}
    if post.free is not None:
        starts.add(post.free)
    points = sorted({point for start in starts for point in (start, start - more) if point >= 0})
    steps = []
    for point in points:
        reach = [point, *(start for start in starts if point < start <= point + more)]
        steps.append((point, min(base_shipping(post, goods) for goods in reach)))
    return post._replace(steps=tuple(steps), free=None, smallest=max(NOTHING, post.smallest - more))
