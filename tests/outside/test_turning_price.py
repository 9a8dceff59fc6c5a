"""The price at which another answer would win, against trying every price: small racks go in, both must agree.

The other side knows nothing of bounds or searches: it counts through all orders of each pair of rails at every price
that the seller can write (whole yen, a money without smaller coins in ISO 4217), from the present one downwards.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import product
from random import Random

import pytest

from rackspec.physics.basket import NOTHING, Post, base_shipping, landed
from rackspec.rules.choices import chosen_of
from rackspec.rules.chosen import does
from rackspec.rules.hardware import row_hardware
from rackspec.rules.needs import needs_of
from rackspec.rules.registry import Look
from rackspec.rules.shop import shop_of
from rackspec.solve.orders import Asked, orders_of
from rackspec.solve.turning_prices import easier_post
from tests.solve.orders_at import look_at

SEEDS = range(24)


def shops(random: Random) -> Iterator[str]:
    """Two sellers of rails and knobs; shipping that falls, rises or ends with the goods in a parcel."""
    for name, rail, other in (("mill", "low-rail", "high-rail"), ("quay", "high-rail", "low-rail")):
        lines = [f"ships {random.randint(2, 9)} JPY"]
        if random.random() < 0.4:
            lines.append(f"ships {random.randint(2, 15)} JPY from {random.randint(20, 50)} JPY")
        if random.random() < 0.5:
            lines.append(f"free from {random.randint(30, 60)} JPY")
        if random.random() < 0.3:
            lines.append(f"least {random.randint(5, 30)} JPY")
        lines.append(f"sells {rail} at {random.randint(8, 30)} JPY")
        if random.random() < 0.3:
            lines.append(f"sells {other} at {random.randint(8, 30)} JPY")
        lines.append(f"sells knob at {random.randint(3, 14)} JPY")
        yield f"seller {name} {{\n" + "\n".join(lines) + "\n}\n"


def spec(random: Random) -> str:
    """A rack with one row on either rails."""
    things = (
        "house {\ncurrency JPY\n}\nrail low-rail {\nlength 20HP\n}\nrail high-rail {\nlength 20HP\n}\npart knob {\n}\n"
    )
    rack = f"rack tray {{\nalso {random.randint(1, 2)} of knob\nrow top {{\nrails low-rail\nor high-rail\n}}\n}}\n"
    return things + "".join(shops(random)) + rack


def costs_by_hand(look: Look, prices: dict[object, Fraction]) -> dict[str, Fraction | None]:
    """The cheapest order on each pair of rails, by counting through all of them."""
    found: dict[str, Fraction | None] = {}
    row = look.rack.rows[0]
    for choice in row.choices:
        chosen = chosen_of(row, choice)
        assert does(look, chosen)
        assert choice.rail is not None
        needs = needs_of(look, [row_hardware(look, chosen)])
        shop = shop_of(look, needs, [need.all for need in needs], "JPY", prices=prices)  # type: ignore[arg-type]
        best: Fraction | None = None
        for units in product(range(7), repeat=len(shop.basket.lots)):
            order = landed(shop.basket, units)
            if order is not None and (best is None or order.cost < best):
                best = order.cost
        found[choice.rail.name] = best
    return found


@pytest.mark.slow
@pytest.mark.parametrize("seed", SEEDS)
def test_no_higher_price_turns_the_answer(seed: int) -> None:
    """At the price that is told other rails win, and at no higher one."""
    look = look_at(spec(Random(seed)))
    ordered = orders_of(look, Asked())
    second = ordered.second
    best = ordered.best.way.rails[0][1]
    now = costs_by_hand(look, {})
    assert now[best] == min(cost for cost in now.values() if cost is not None) == ordered.best.cost
    if second is None or second.without or second.turning is None:
        return  # the rails cost the same, or only one pair can be had; counted below
    turning = second.turning
    assert not turning.given_up
    assert turning.unit == 1
    winning = None
    for price in range(int(turning.offer.price.money.value) - 1, -1, -1):
        by_rails = costs_by_hand(look, {turning.offer.place: Fraction(price)})
        other = min(cost for rails, cost in by_rails.items() if rails != best and cost is not None)
        own = by_rails[best]
        if own is None or other < own:
            winning = price
            assert turning.plan is not None
            assert turning.plan.cost == other
            break
    assert turning.price == winning


@pytest.mark.slow
def test_answers_turn_and_often_elsewhere() -> None:
    """So that the comparison above is about something. Some turn elsewhere than the present second-best by itself
    would: less money for goods takes a parcel below a sum from which it costs less or more."""
    told = []
    elsewhere = 0
    for seed in SEEDS:
        ordered = orders_of(look_at(spec(Random(seed))), Asked())
        second = ordered.second
        if second is None or second.turning is None or second.without:
            continue
        told.append(second.turning.price)
        if second.turning.price is not None:
            # two rails at a unit each: the largest whole price below the straight line
            straight = second.turning.offer.price.money.value - second.dearer / 2
            elsewhere += second.turning.price != -(-straight // 1) - 1
    assert sum(price is not None for price in told) >= 8
    assert elsewhere >= 5


@pytest.mark.parametrize("seed", range(60))
def test_an_easier_parcel_is_never_dearer(seed: int) -> None:
    """Whatever goods come to between a sum and that much more, and it is as cheap as the cheapest of these."""
    random = Random(seed)
    starts = sorted(random.sample(range(40), random.randint(0, 3)))
    post = Post(
        steps=tuple((Fraction(start), Fraction(random.randint(0, 9))) for start in starts),
        free=Fraction(random.randint(1, 40)) if random.random() < 0.5 else None,
        smallest=Fraction(random.randint(0, 20)),
    )
    more = Fraction(random.randint(0, 25), 2)
    easier = easier_post(post, more)
    assert easier.smallest == max(NOTHING, post.smallest - more)
    for halves in range(90):
        goods = Fraction(halves, 2)
        reach = [base_shipping(post, goods + Fraction(step, 2)) for step in range(int(more * 2) + 1)]
        assert base_shipping(easier, goods) == min(reach)
