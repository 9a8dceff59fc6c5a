"""What the cheapest order costs, held against another programme of it, solved by ``scipy.optimize.milp``.

The programme is a published formulation that has nothing to do with ours (``landed_milp.py`` names it): another choice
of columns, other rows, other bounds. Only what an order costs is asked of both; the order of ours is reckoned again.
"""

from __future__ import annotations

from collections.abc import Callable
from random import Random

import pytest

from rackspec.physics.basket import Basket, landed
from rackspec.physics.cheapest import EFFORT, cheapest
from rackspec.solve.by_solver import solve
from tests.outside.landed_milp import SPARE, model_of, most_wanted
from tests.solve.baskets import odd, shops

HALF_A_CENT = 0.5
FEW = (1, 2, 4, 8)


def small(random: Random) -> Basket:
    """Anything at all, in whole cents and grams."""
    return odd(random, random.randint(3, 8), random.randint(8, 20), random.randint(2, 5))


def plain(random: Random) -> Basket:
    """12 things of 5 shops."""
    return shops(random, 12, 5, amounts=FEW)


def rich(random: Random) -> Basket:
    """12 things of 5 shops with surcharges, least sums, kits, stocks."""
    return shops(random, 12, 5, rich=True, amounts=FEW)


def large(random: Random) -> Basket:
    """40 things of 12 shops."""
    return shops(random, 40, 12, amounts=FEW)


def large_and_rich(random: Random) -> Basket:
    """40 things of 12 shops with all that."""
    return shops(random, 40, 12, rich=True, amounts=FEW)


def hold_against(make: Callable[[Random], Basket], seeds: range, effort: int = EFFORT) -> tuple[int, int]:
    """Hold ours against scipy's; how many orders there were, and how many of them enumeration proved as well."""
    orders = enumerated = 0
    for seed in seeds:
        basket = make(Random(seed))
        ours, theirs = solve(basket, 120), model_of(basket).solve()
        assert ours.proved, seed
        by_hand = cheapest(basket, effort)
        if ours.order is None:
            assert theirs.status == 2, (seed, theirs.message)  # infeasible
            assert not by_hand.proved or by_hand.impossible
            continue
        orders += 1
        assert theirs.status == 0, (seed, theirs.message)
        assert ours.order == landed(basket, ours.order.units)
        assert ours.bound == ours.order.cost
        if by_hand.proved:
            enumerated += 1
            assert by_hand.order is not None
            assert by_hand.order.cost == ours.order.cost, seed
        offered = all(many <= most_wanted(basket, at) for at, many in enumerate(ours.order.units))
        cost = float(ours.order.cost * 100)
        # theirs knows so many units of a lot only
        assert cost < theirs.fun + HALF_A_CENT, seed
        assert not offered or cost > theirs.fun - HALF_A_CENT, seed
        assert offered or max(ours.order.units) > SPARE
    return orders, enumerated


@pytest.mark.parametrize(("make", "seeds"), [(small, 60), (plain, 12), (rich, 6)])
def test_as_scipy_says(make: Callable[[Random], Basket], seeds: int) -> None:
    """The same sums, the same impossibilities."""
    orders, enumerated = hold_against(make, range(seeds))
    assert orders > seeds * 0.5
    assert enumerated >= 2


@pytest.mark.slow
@pytest.mark.parametrize("make", [large, large_and_rich])
def test_large_baskets_as_scipy_says(make: Callable[[Random], Basket]) -> None:
    """The same where nobody could try everything."""
    orders, _ = hold_against(make, range(3), EFFORT // 10)
    assert orders == 3
