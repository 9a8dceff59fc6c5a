"""Published exercises on price breaks go in; our tiers must give their purchase cost, and our search must use a break.

All-units price breaks: from some number on every piece costs less. The exercises add up three terms: what the goods of
a year cost, what ordering costs, and what keeping them costs. Only the first one is ours: it is ``price_of`` for the
published prices. The other two are written down here as the textbooks have them, so that the published totals can be
reached. Sources, each beside its numbers below:

- an exercise of an operations management textbook, with data and answer on a public page;
- the doctest of the package stockpyl (MIT) for all-units discounts;
- a public answer to an exercise with five prices.
"""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

import pytest

from rackspec.physics.basket import Basket, Lot, Post, Tier, landed, price_of
from rackspec.physics.cheapest import cheapest


class Exercise(NamedTuple):
    """Pieces a year, cost of an order, share of the price that keeping a piece for a year costs, prices by number."""

    demand: int
    order: Fraction
    keeping: Fraction
    tiers: tuple[Tier, ...]

    @property
    def lot(self) -> Lot:
        """The thing as a seller sells it."""
        return Lot(0, ((0, 1),), self.tiers)

    def unit(self, many: int) -> Fraction:
        """What each of so many costs: ours."""
        price = price_of(self.lot, many)
        assert price is not None
        return price / many

    def total(self, many: int) -> Fraction:
        """The total of a year if so many are ordered at a time: goods, orders, half an order kept all the time."""
        goods = self.unit(many) * self.demand
        return goods + self.order * self.demand / many + self.keeping * self.unit(many) * many / 2

    def published_candidates(self) -> list[int]:
        """Numbers at which the cost of a year can be least: where prices break, and, rounded, between breaks."""
        found = [tier.least for tier in self.tiers]
        for tier in self.tiers:
            squared = 2 * self.order * self.demand / (self.keeping * tier.price)
            root = round(float(squared) ** 0.5)
            found += [many for many in (root - 1, root, root + 1) if many > 0 and self.unit(many) == tier.price]
        return found


def tiers(*prices: tuple[int, str]) -> tuple[Tier, ...]:
    """Tiers as they are printed."""
    return tuple(Tier(least, Fraction(price)) for least, price in prices)


TEXTBOOK = Exercise(5000, Fraction(49), Fraction("0.20"), tiers((1, "5.00"), (1000, "4.80"), (2000, "4.75")))
"""Operations management textbook: D 5000, S 49, i 0.20; 5.00 below 1000, 4.80 below 2000, 4.75 from 2000 on. Published
answer: order 1000."""
PACKAGE = Exercise(1000, Fraction(200), Fraction("0.2"), tiers((1, "500"), (200, "475"), (500, "450")))
"""Doctest of stockpyl: K 200, i 0.2, D 1000, breaks 0, 200, 500, prices 500, 475, 450. Published: 500 at a time, the
third of the prices, 472 900.0 a year."""
FIVE_PRICES = Exercise(
    800, Fraction(60), Fraction("0.3"), tiers((1, "53"), (50, "51.5"), (100, "49.5"), (200, "48"), (500, "47"))
)
"""Public answer: D 800, S 60, i 0.3; 53 below 50, 51.5 to 99, 49.5 to 199, 48 to 499, 47 from 500 on. Published: order
200, total 40 080 = 38 400 + 1440 + 240."""


@pytest.mark.parametrize(
    ("exercise", "many", "total"),
    [
        (TEXTBOOK, 700, "25700.00"),
        (TEXTBOOK, 1000, "24725.00"),
        (TEXTBOOK, 2000, "24822.50"),
        (PACKAGE, 500, "472900.0"),
        (FIVE_PRICES, 200, "40080"),
    ],
)
def test_published_totals(exercise: Exercise, many: int, total: str) -> None:
    """With our price for so many, and the textbook's other terms, the total is the published one."""
    assert exercise.total(many) == Fraction(total)


@pytest.mark.parametrize(("exercise", "many"), [(TEXTBOOK, 1000), (PACKAGE, 500), (FIVE_PRICES, 200)])
def test_published_numbers_are_the_best(exercise: Exercise, many: int) -> None:
    """No other candidate of the textbook's method has a lower total."""
    assert min(exercise.published_candidates(), key=exercise.total) == many


def test_the_published_goods() -> None:
    """The first of the three published terms of 40 080 by itself: 800 pieces at 48, in orders of 200."""
    price = price_of(FIVE_PRICES.lot, 200)
    assert price is not None
    assert 4 * price == 38400
    assert FIVE_PRICES.order * 4 == 240
    assert FIVE_PRICES.keeping * 48 * 100 == 1440


@pytest.mark.parametrize("exercise", [TEXTBOOK, PACKAGE, FIVE_PRICES])
def test_a_price_holds_from_its_number_on(exercise: Exercise) -> None:
    """One piece fewer costs the price before it, each."""
    for before, tier in zip(exercise.tiers, exercise.tiers[1:], strict=False):
        assert exercise.unit(tier.least) == tier.price
        assert exercise.unit(tier.least - 1) == before.price


@pytest.mark.parametrize(
    ("exercise", "wanted", "bought"),
    [
        (TEXTBOOK, 959, 959),  # 4795.00 against 4800.00
        (TEXTBOOK, 961, 1000),  # 4805.00 against 4800.00
        (TEXTBOOK, 1979, 1979),  # 9499.20 against 9500.00
        (TEXTBOOK, 1980, 2000),  # 9504.00 against 9500.00
        (PACKAGE, 189, 189),  # 94 500 against 95 000
        (PACKAGE, 191, 200),  # 95 500 against 95 000
        (FIVE_PRICES, 48, 48),  # 2544 against 2575
        (FIVE_PRICES, 49, 50),  # 2597 against 2575
        (FIVE_PRICES, 193, 193),  # 9553.50 against 9600
        (FIVE_PRICES, 194, 200),  # 9603 against 9600
        (FIVE_PRICES, 490, 500),  # 23 520 against 23 500
    ],
)
def test_more_is_bought_where_it_costs_less(exercise: Exercise, wanted: int, bought: int) -> None:
    """The search goes up to the next break where that is cheaper, and not a piece before."""
    found = cheapest(Basket((wanted,), (exercise.lot,), (Post(),)))
    assert found.proved
    assert found.order == landed(Basket((wanted,), (exercise.lot,), (Post(),)), (bought,))


def test_a_break_too_high_for_free_parcels() -> None:
    """A break makes the goods cheaper and may lose a free parcel: both are reckoned together."""
    lot = Lot(0, ((0, 1),), tiers((1, "10"), (5, "7")))
    free_from = Post(((Fraction(0), Fraction(6)),), free=Fraction(40))
    found = cheapest(Basket((4,), (lot,), (free_from,)))
    # 4 at 10 are 40 and come free; 5 at 7 are 35, and 6 to send; 6 at 7 are 42 and come free
    assert found.order is not None
    assert found.order.units == (4,)
    assert found.order.cost == 40
