"""An order as a programme in whole numbers: in: a basket, out: columns and rows for a solver.

All columns are whole numbers from 0. Of each lot and price there are units that cover and units beyond all need, which
only a break, a threshold or a least sum pays for: kept apart, the former are bound tightly to whether a seller is
asked at all. Exact until the last line: a solver gets the floats nearest to it.

The model is that of fixed charges and of discounts for all units, both textbook matter (Nemhauser and Wolsey, Integer
and Combinatorial Optimization, 1988, I.1.3): a binary for each seller, each price of a lot, each step of a parcel.
"""

from collections.abc import Iterable, Sequence
from fractions import Fraction
from math import gcd, lcm
from typing import NamedTuple

from rackspec.physics.basket import Basket, Lot, Post, base_shipping

NOTHING = Fraction(0)
ONE = Fraction(1)
FINEST = Fraction(1, 10_000)
"""No currency of ISO 4217 has parts finer than four decimals: less than that is the same money."""
HUNDRED, TOLD = Fraction(100), Fraction(1, 1000)
"""Costs are told in steps, so that they are whole numbers; in hundredths where steps are finer than a thousandth."""
Terms = list[tuple[int, Fraction]]


class Row(NamedTuple):
    """A sum of columns, each so many times, between two numbers (None: open)."""

    terms: tuple[tuple[int, Fraction], ...]
    low: Fraction | None
    high: Fraction | None


class Programme(NamedTuple):
    """What a solver minimises: the costs and the highest values of all columns, and the rows between them.

    ``units``: of each lot the columns whose sum is its units. ``scale``: what one of the basket's money is in costs.
    ``step``: every order costs a multiple of it, in the basket's money; 0 where all is free.
    """

    costs: tuple[Fraction, ...]
    tops: tuple[int, ...]
    rows: tuple[Row, ...]
    units: tuple[tuple[int, ...], ...]
    scale: Fraction
    step: Fraction


class Level(NamedTuple):
    """What shipping costs (``price``) for goods from ``low`` to ``high`` (None: no need to say), beside what comes
    anyway."""

    low: Fraction
    high: Fraction | None
    price: Fraction


def divisor(values: Iterable[Fraction]) -> Fraction:
    """The largest number of which all are multiples; 0 if there is none but 0."""
    found = NOTHING
    for value in values:
        below = lcm(found.denominator, value.denominator)
        found = Fraction(gcd(int(found * below), int(value * below)), below)
    return found


def upward(value: Fraction, step: Fraction) -> Fraction:
    """The least multiple of a step that is no less; the value itself without a step that floats can tell."""
    return -(-value // step) * step if step >= FINEST else value


def before(post: Post) -> Fraction:
    """What the parcel that comes anyway costs."""
    return base_shipping(post, post.anyway) if post.anyway else NOTHING


def levels_of(post: Post, step: Fraction, margin: Fraction) -> list[Level]:
    """What shipping costs by the sum of goods, the lowest first, without levels below the least sum.

    ``step``: of which all goods are multiples. ``margin``: by how much a level starts later and ends earlier.
    """
    least = max(NOTHING, post.smallest - post.anyway)
    starts = {NOTHING, *(start - post.anyway for start, _ in post.steps)}
    if post.free is not None:
        starts.add(post.free - post.anyway)
    points = sorted(start for start in starts if start >= 0)
    prices = [base_shipping(post, post.anyway + point) - before(post) for point in points]
    found: list[Level] = []
    for number, (point, price) in enumerate(zip(points, prices, strict=True)):
        end = points[number + 1] if number + 1 < len(points) else None
        if end is not None and end <= least:
            continue
        low = max(point, least)
        low = upward(low, step) + (margin if low else NOTHING)
        high = None
        if end is not None and max(prices[number + 1 :]) > price:
            high = upward(end, step) - (step if step >= FINEST else NOTHING) - margin
        found.append(Level(low, high, price))
    return found


def most_saved(post: Post) -> Fraction:
    """The most that a parcel can become cheaper by more goods in it."""
    prices = [level.price for level in levels_of(post._replace(smallest=NOTHING), NOTHING, NOTHING)]
    extra = [NOTHING, *(price for _, price in post.heavier)]
    return fall(prices) + fall(extra)


def fall(prices: Sequence[Fraction]) -> Fraction:
    """By how much a price falls at most from one to a later one."""
    return max((high - low for at, high in enumerate(prices) for low in prices[at:]), default=NOTHING)


def useful(basket: Basket, lot: Lot) -> int:
    """The units that cover all that a lot can cover."""
    return max(-(-basket.needs[need] // each) for need, each in lot.gives)


def most_units(post: Post, price: Fraction, enough: int) -> int:
    """How many units can pay, where ``enough`` cover all and are sold at the price.

    Taking those beyond it away again saves their price and loses at most what shipping can fall, or the least sum.
    """
    if price <= 0:
        return enough
    least = max(enough, -(-(post.smallest - post.anyway) // price))
    return least + int(most_saved(post) // price)


class Builder:
    """A programme while it is made."""

    def __init__(self, basket: Basket, margin: Fraction) -> None:
        self.basket = basket
        self.margin = margin
        self.costs: list[Fraction] = []
        self.tops: list[int] = []
        self.rows: list[Row] = []
        self.units: list[list[int]] = [[] for _ in basket.lots]
        self.covering: list[Terms] = [[] for _ in basket.needs]
        self.parcels: Terms = []
        self.longest: list[tuple[int, list[int]]] = []

    def column(self, top: int, cost: Fraction = NOTHING) -> int:
        """A new column."""
        self.costs.append(cost)
        self.tops.append(top)
        return len(self.costs) - 1

    def row(self, terms: Terms, low: Fraction | None, high: Fraction | None) -> None:
        """A new row."""
        self.rows.append(Row(tuple(terms), low, high))

    def within(self, terms: Terms, gate: list[int], top: Fraction) -> None:
        """Terms that may come to so much where one of the columns of a gate is 1, and to nothing else."""
        self.row([*terms, *((column, -top) for column in gate)], None, NOTHING)

    def choice(self, opened: int, prices: Sequence[Fraction]) -> list[int]:
        """Columns of which one is 1 where a seller is asked, with what each costs."""
        made = [self.column(1, price) for price in prices]
        self.row([*((column, ONE) for column in made), (opened, -ONE)], NOTHING, NOTHING)
        return made

    def seller(self, number: int, post: Post) -> None:
        """Everything about one seller."""
        lots = [(position, lot) for position, lot in enumerate(self.basket.lots) if lot.seller == number]
        if not lots:
            return
        opened = self.column(1)
        if post.parcel and not post.anyway:
            self.parcels.append((opened, ONE))
        goods: Terms = []
        mass: Terms = []
        gates = self.lengths(opened, post, lots)
        for position, lot in lots:
            made = self.lot(position, lot, post, gates[position])
            goods += made
            mass += [(column, lot.mass) for column, _ in made if lot.mass]
        self.parcel(opened, post, goods)
        self.masses(opened, post, mass)

    def lot(self, position: int, lot: Lot, post: Post, gate: list[int]) -> Terms:
        """The columns of a lot, with the price of each."""
        enough = useful(self.basket, lot)
        found: Terms = []
        chosen: list[int] = []
        several = len(lot.tiers) > 1
        for tier, after in zip(lot.tiers, [*lot.tiers[1:], None], strict=True):
            top = most_units(post, tier.price, max(enough, tier.least))
            top = min([top, *([after.least - 1] if after else []), *([lot.stock] if lot.stock is not None else [])])
            if top < tier.least:
                continue
            open_at = gate
            if several or tier.least > 1:
                open_at = [self.column(1)]
                chosen += open_at
            made: Terms = []
            for most in (min(enough, top), top - enough):
                if most > 0:
                    column = self.column(most, tier.price)
                    made.append((column, tier.price))
                    self.within([(column, ONE)], open_at, Fraction(most))
            if min(enough, top) > 0:
                for need, each in lot.gives:
                    pieces = Fraction(min(each, self.basket.needs[need]))
                    self.covering[need].append((made[0][0], pieces))
            if tier.least > 1:
                ones = [(column, ONE) for column, _ in made]
                self.row([*ones, (open_at[0], Fraction(-tier.least))], NOTHING, None)
            found += made
        if chosen:
            self.within([(column, ONE) for column in chosen], gate, ONE)
        self.units[position] = [column for column, _ in found]
        return found

    def most(self, terms: Terms) -> Fraction:
        """The most that terms can come to."""
        return sum((self.tops[column] * each for column, each in terms), NOTHING)

    def parcel(self, opened: int, post: Post, goods: Terms) -> None:
        """What a parcel costs by the sum of goods in it."""
        most = self.most(goods)
        step = divisor(price for _, price in goods)
        levels = [level for level in levels_of(post, step, self.margin) if level.low <= most]
        made = self.choice(opened, [level.price for level in levels])
        lows = [(column, -level.low) for column, level in zip(made, levels, strict=True) if level.low]
        if lows:
            self.row([*goods, *lows], NOTHING, None)
        if any(level.high is not None for level in levels):
            tops = [most if level.high is None else min(level.high, most) for level in levels]
            highs = [(column, -top) for column, top in zip(made, tops, strict=True)]
            self.row([*goods, *highs], None, NOTHING)

    def lengths(self, opened: int, post: Post, lots: list[tuple[int, Lot]]) -> dict[int, list[int]]:
        """What the longest piece adds; by lot the columns of which one has to be 1 for it to come."""
        level = {position: sum(lot.length > start for start, _ in post.longer) for position, lot in lots}
        used = sorted({0, *level.values()})
        if len(used) == 1:
            return {position: [opened] for position, _ in lots}
        prices = [post.longer[at - 1][1] if at else NOTHING for at in used]
        made = dict(zip(used, self.choice(opened, prices), strict=True))
        if fall(prices) > 0:  # a longer piece is cheaper: it has to be there
            self.longest += [(made[at], [lot for lot in level if level[lot] == at]) for at in used if at]
        return {position: [column for at, column in made.items() if at >= level[position]] for position, _ in lots}

    def masses(self, opened: int, post: Post, mass: Terms) -> None:
        """What the mass of a parcel adds."""
        most = self.most(mass)
        steps = [(NOTHING, NOTHING), *((start, price) for start, price in post.heavier if start < most)]
        if len(steps) == 1:
            return
        prices = [price for _, price in steps]
        made = self.choice(opened, prices)
        ends = [*(start for start, _ in steps[1:]), most]
        self.row([*mass, *((column, -end) for column, end in zip(made, ends, strict=True))], None, NOTHING)
        if fall(prices) > 0:  # a heavier parcel is cheaper: it has to be that heavy
            step = divisor(each for _, each in mass)
            starts = [(start // step + 1) * step for start, _ in steps[1:]]
            lows = [(column, -start) for column, start in zip(made[1:], starts, strict=True)]
            self.row([*mass, *lows], NOTHING, None)

    def whole(self) -> None:
        """The rows that hold for all sellers together."""
        for column, positions in self.longest:
            units = [(unit, ONE) for position in positions for unit in self.units[position]]
            self.row([*units, (column, -ONE)], NOTHING, None)
        for need, terms in enumerate(self.covering):
            self.row(terms, Fraction(self.basket.needs[need]), None)
        if self.basket.most_parcels is not None:
            self.row(self.parcels, None, Fraction(self.basket.most_parcels))


def programme_of(basket: Basket, margin: Fraction = NOTHING) -> Programme:
    """The programme whose cheapest solution is the cheapest order of a basket.

    No price may be below 0. ``margin``: by how much more (or less) than written goods have to come to for a step.
    """
    builder = Builder(basket, margin)
    for number, post in enumerate(basket.posts):
        builder.seller(number, post)
    builder.whole()
    step = divisor(builder.costs)
    scale = HUNDRED if step < TOLD else 1 / step
    return Programme(
        tuple(cost * scale for cost in builder.costs),
        tuple(builder.tops),
        tuple(builder.rows),
        tuple(tuple(columns) for columns in builder.units),
        scale,
        step,
    )
