"""First orders: in: what is left to choose, out: good orders, found quickly, that prove nothing.

All sellers send at first; then those are left out, one by one, without whom the order is cheaper.
"""

from collections.abc import Iterator

from rackspec.physics.covers import Work, cheapest_way, suffixes
from rackspec.physics.order_numbers import Group, Terms, Whole
from rackspec.physics.parcel_ranges import Range, holds
from rackspec.physics.put_together import Units
from rackspec.physics.settled_parcels import Settled

MOST_LEFT_OUT = 10
"""Sellers that are tried to be left out at a time."""

Part = tuple[int, Units, tuple[tuple[int, int], ...]]
"""The cheapest cover of a need: its cost, its units, and the goods that come from each seller."""


def first_orders(terms: Terms, work: Work) -> Iterator[Units]:
    """Orders worth trying: the cheapest need by need, one from fewer sellers, and that with more goods in a parcel."""
    first = FirstOrders(terms, work)
    everybody = frozenset(seller for group in terms.groups for seller in (one.seller for one in group.choices))
    units = first.units(everybody)
    if units is None:
        return
    yield units
    some = first.fewer(everybody)
    units = first.units(some)
    if units is None:
        return
    yield units
    plain = [
        first.range_for(seller, first.goods_of(some)[seller]) if seller in some else None
        for seller in range(len(terms.ranges))
    ]
    for seller in sorted(some):
        for one in terms.ranges[seller]:
            if one is not plain[seller]:
                ranges = [*plain[:seller], one, *plain[seller + 1 :]]
                padded = Settled(terms, ranges, work).padded(units)
                if padded is not None and padded != units:
                    yield padded


def cheapest_lots(whole: Whole) -> Units:
    """For each need the lot that covers it cheapest by itself."""
    found: Units = {}
    for need, pieces in enumerate(whole.basket.needs):
        tried = []
        for choice, lot in zip(whole.lots, whole.basket.lots, strict=True):
            each = sum(many for other, many in lot.gives if other == need)
            for units in {-(-pieces // each), *(least for least, _ in choice.breaks)} if each and pieces else ():
                price = choice.price(units)
                if price is not None and units <= choice.most and units * each >= pieces:
                    tried.append((price, choice.lot, units))
        if tried:
            _, lot_position, units = min(tried)
            found[lot_position] = max(units, found.get(lot_position, 0))
    return found


class FirstOrders:
    """Covers of needs by who may send, each looked up once."""

    def __init__(self, terms: Terms, work: Work) -> None:
        self.terms, self.work = terms, work
        self.known: dict[tuple[int, frozenset[int]], Part | None] = {}
        self.of_group = [frozenset(choice.seller for choice in group.choices) for group in terms.groups]

    def part(self, place: int, some: frozenset[int]) -> Part | None:
        """The cheapest cover of a need from some sellers."""
        key = place, some & self.of_group[place]
        if key not in self.known:
            group = self.terms.groups[place]
            kept = Group(group.need, tuple(choice for choice in group.choices if choice.seller in some))
            tables = suffixes(kept, [1] * len(kept.choices), self.terms.huge, self.work)
            self.known[key] = None
            if tables[0][group.need] < self.terms.huge:
                units = cheapest_way(kept, [1] * len(kept.choices), tables, 0, group.need)
                goods: dict[int, int] = {}
                for choice in kept.choices:
                    if choice.lot in units:
                        price = choice.price(units[choice.lot]) or 0
                        goods[choice.seller] = goods.get(choice.seller, 0) + price
                self.known[key] = tables[0][group.need], units, tuple(goods.items())
        return self.known[key]

    def units(self, some: frozenset[int]) -> Units | None:
        """The cheapest covers of all needs from some sellers."""
        found: Units = {}
        for place in range(len(self.of_group)):
            part = self.part(place, some)
            if part is None:
                return None
            found.update(part[1])
        return found

    def goods_of(self, some: frozenset[int]) -> list[int]:
        """The sum of goods that comes from each seller."""
        goods = list(self.terms.goods)
        for place in range(len(self.of_group)):
            part = self.part(place, some)
            for seller, cost in part[2] if part is not None else ():
                goods[seller] += cost
        return goods

    def range_for(self, seller: int, goods: int) -> Range | None:
        """The cheapest range for a sum of goods, if nothing is said of masses and lengths."""
        ranges = self.terms.ranges[seller]
        able = [one for one in ranges if holds(one.goods, goods)] or list(ranges)
        return min(able, key=lambda one: one.fee + max(0, one.goods[0] - goods), default=None)

    def cost(self, some: frozenset[int]) -> tuple[int, int] | None:
        """How many parcels there are too many, and about what the order costs."""
        self.work.spend(len(self.of_group))
        if any(self.part(place, some) is None for place in range(len(self.of_group))):
            return None
        total = parcels = 0
        for seller, goods in enumerate(self.goods_of(some)):
            one = self.range_for(seller, goods)
            total += goods
            if goods and one is not None:
                total += one.fee + max(0, one.goods[0] - goods)
                parcels += self.terms.counted[seller]
        most = self.terms.most_parcels
        return (max(0, parcels - most) if most is not None else 0), total

    def fewer(self, some: frozenset[int]) -> frozenset[int]:
        """Leave out one seller after the other, of those with the fewest goods the one that saves most."""
        now = self.cost(some)
        while now is not None:
            goods = self.goods_of(some)
            some = frozenset(seller for seller in some if goods[seller])
            tried = []
            for seller in sorted(some, key=lambda seller: (goods[seller], seller))[:MOST_LEFT_OUT]:
                cost = self.cost(some - {seller})
                if cost is not None:
                    tried.append((cost, seller))
            if not tried or min(tried)[0] >= now:
                break
            now, seller = min(tried)
            some -= {seller}
        return some
