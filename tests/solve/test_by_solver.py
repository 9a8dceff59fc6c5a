"""The cheapest order by the solver: held against trying everything, and against what it must never say."""

from __future__ import annotations

import subprocess
import sys
from fractions import Fraction
from itertools import product
from random import Random

import pytest

from rackspec.physics.basket import Basket, Found, Landed, Lot, Post, Tier, landed
from rackspec.solve import by_solver, cheapest
from rackspec.solve.by_solver import SolverMissing, solve
from rackspec.solve.programme import FINEST, divisor, programme_of
from tests.conftest import ROOT
from tests.solve.baskets import odd, shops

MOST = 9
"""Units of a lot that are tried."""
F = Fraction


def by_trying(basket: Basket) -> Landed | None:
    """The cheapest order with at most so many units of each lot."""
    best: Landed | None = None
    for units in product(*(range(min(lot.stock if lot.stock is not None else MOST, MOST) + 1) for lot in basket.lots)):
        order = landed(basket, units)
        if order is not None and (best is None or order.cost < best.cost):
            best = order
    return best


def odd_basket(seed: int) -> Basket:
    """A small basket."""
    random = Random(seed)
    return odd(random, random.randint(1, 3), random.randint(2, 4), random.randint(1, 3))


def test_small_baskets_as_by_trying_everything() -> None:
    """Kits, packs, breaks, stocks, steps and surcharges that rise and fall, goods that come anyway."""
    impossible = more_than_needed = negative = larger = 0
    for seed in range(150):
        basket = odd_basket(seed)
        tried, found = by_trying(basket), solve(basket)
        assert found.proved, seed
        assert found.how == "solver"
        if found.order is None:
            assert found.impossible
            assert tried is None, seed
            impossible += 1
            continue
        assert not found.impossible
        assert found.order == landed(basket, found.order.units)
        assert found.bound <= found.order.cost
        if max(found.order.units) > MOST:
            larger += 1
        else:
            assert tried is not None
            assert found.order.cost == tried.cost, seed
        negative += any(share.shipping < 0 for share in found.order.shares)
        needless = [
            many and landed(basket, (*found.order.units[:at], many - 1, *found.order.units[at + 1 :]))
            for at, many in enumerate(found.order.units)
        ]
        more_than_needed += any(order and order.cost > found.order.cost for order in needless)
    assert impossible >= 10
    assert more_than_needed >= 5
    assert negative >= 3
    assert larger <= 3


def one_seller(post: Post, *prices: str, needs: int = 1) -> Basket:
    """One need, one seller, one lot a price."""
    lots = tuple(Lot(0, ((0, 1),), (Tier(1, F(price)),)) for price in prices)
    return Basket((needs,), lots, (post,))


def test_more_is_bought_where_that_is_cheaper() -> None:
    """9 at 1.00 and a parcel at 5.00 are 14.00; 20 more screws at 0.06 bring it to 10.20, and the parcel is free."""
    post = Post(((F(0), F(5)),), free=F(10))
    basket = Basket((9, 1), (Lot(0, ((0, 1),), (Tier(1, F(1)),)), Lot(0, ((1, 1),), (Tier(1, F("0.06")),))), (post,))
    found = solve(basket)
    assert found.order is not None
    assert found.order.units == (9, 17)
    assert found.order.cost == F("10.02") == found.bound
    break_at_ten = Basket((9,), (Lot(0, ((0, 1),), (Tier(1, F(1)), Tier(10, F("0.80")))),), (Post(),))
    bought = solve(break_at_ten).order
    assert bought is not None
    assert (bought.units, bought.cost) == ((10,), F(8))


def test_only_what_is_exceeded_counts() -> None:
    """Over 100 g cost 5.00 more, over 200 g only 1.00. Two of 50 g are no more than 100 g; three cost 6.50, so that
    five are bought for 3.50: four come to 200 g and no more. A piece of 400 mm does not exceed 400 mm."""
    post = Post(longer=((F(400), F(9)),), heavier=((F(100), F(5)), (F(200), F(1))))
    lot = Lot(0, ((0, 1),), (Tier(1, F("0.50")),), None, F(400), F(50))
    for needs, units, cost in ((2, 2, "1"), (3, 5, "3.50"), (4, 5, "3.50"), (6, 6, "4")):
        found = solve(Basket((needs,), (lot,), (post,)))
        assert found.order is not None
        assert (found.order.units, found.order.cost, found.proved) == ((units,), F(cost), True)
    longer = solve(Basket((2,), (lot._replace(length=F(401)),), (post,)))
    assert longer.order is not None
    assert longer.order.cost == F(10)
    short = lot._replace(length=F(0), tiers=(Tier(1, F(3)),))
    for length, units in ((400, (2, 0)), (401, (0, 2))):
        either = solve(Basket((2,), (lot._replace(length=F(length)), short), (post,)))
        assert either.order is not None
        assert (either.order.units, either.proved) == (units, True)


def test_a_sum_that_floats_take_for_the_threshold() -> None:
    """Goods lack a thousand-millionth of free shipping: the solver believes it is free, the order knows better."""
    post = Post(((F(0), F(4)),), free=F(50))
    basket = one_seller(post, "49.999999999", "51.5")
    believed = by_solver.run(programme_of(basket), 5.0, None)
    assert believed.believed is not None
    assert believed.believed < F("50.5")
    found = solve(basket)
    assert found.order is not None
    assert found.order.cost == F("51.5")
    assert found.bound <= F("51.5")
    assert not found.proved


def test_exchanged_money_is_proved() -> None:
    """Prices by two rates, of which no float is exact."""
    rates = (F(1), F(100, 117), F("0.8612"))
    for seed in range(6):
        plain = shops(Random(seed), 6, 3)
        lots = tuple(
            lot._replace(tiers=tuple(tier._replace(price=tier.price * rates[lot.seller]) for tier in lot.tiers))
            for lot in plain.lots
        )
        basket = plain._replace(lots=lots)
        assert divisor(tier.price for lot in lots for tier in lot.tiers) < FINEST
        found = solve(basket)
        assert found.order is not None
        assert found.proved
        assert found.order.cost - found.bound < FINEST / 2


def test_no_time_is_no_proof() -> None:
    """Whatever the time, the bound holds and nothing is called proved that is not."""
    basket = shops(Random(3), 40, 12, rich=True)
    whole = solve(basket)
    assert whole.proved
    assert whole.order is not None
    none = solve(basket, seconds=0.0)
    assert not none.proved
    assert not none.impossible
    assert none.bound <= whole.order.cost
    for seconds in (0.05, 0.2):
        some = solve(basket, seconds)
        assert some.bound <= whole.order.cost
        assert some.order is None or some.order.cost >= whole.order.cost
        assert not some.proved or (some.order is not None and some.order.cost == whole.order.cost)


def test_only_orders_that_cost_no_more() -> None:
    """The cheapest is found below its own cost and any above; a step below it, there is none, and that is proved."""
    for seed in range(8):
        basket = shops(Random(seed), 8, 4, rich=True)
        whole = solve(basket)
        if whole.order is None:
            continue
        cost = whole.order.cost
        for at_most in (cost, cost + F("0.01"), cost * 2):
            found = solve(basket, at_most=at_most)
            assert found.order is not None
            assert (found.order.cost, found.proved) == (cost, True)
        below = solve(basket, at_most=cost - F("0.01"))
        assert (below.order, below.proved, below.impossible) == (None, True, False)
        assert below.bound == cost - F("0.01")


def test_parcels_and_what_cannot_be_had() -> None:
    """Fewer parcels never cost less; a need that nobody gives is proved impossible; nothing needed costs nothing."""
    for seed in range(5):
        costs = []
        for most in (1, 2, 3, None):
            found = solve(shops(Random(seed), 6, 4)._replace(most_parcels=most))
            assert found.proved
            if found.order is not None:
                costs.append(found.order.cost)
        assert costs == sorted(costs, reverse=True)
    nobody = solve(Basket((1, 1), (Lot(0, ((0, 1),), (Tier(1, F(1)),)),), (Post(),)))
    assert (nobody.order, nobody.proved, nobody.impossible) == (None, True, True)
    none = solve(Basket((1,), (), ()))
    assert (none.order, none.proved, none.impossible) == (None, True, True)
    empty = solve(Basket((), (), ()))
    assert empty.order is not None
    assert (empty.order.cost, empty.bound, empty.proved) == (0, 0, True)


TOLD = """
import sys
from random import Random
from rackspec.solve.by_solver import solve
from tests.solve.baskets import shops
print([solve(shops(Random(seed), 12, 5, True)) for seed in range(4)])
"""


def test_same_bytes_and_not_a_word_of_the_solver() -> None:
    """Two processes with other hash seeds say the same, and nothing but what is asked for."""
    said = []
    for seed in ("1", "2"):
        run = subprocess.run(
            [sys.executable, "-W", "error", "-c", TOLD],
            capture_output=True,
            text=True,
            check=False,
            cwd=ROOT,
            env={"PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT)},
        )
        assert run.stderr == ""
        assert run.stdout.startswith("[Found(")
        assert run.stdout.count("\n") == 1
        said.append(run.stdout)
    assert said[0] == said[1]


def found_as(how: str, cost: str | None, bound: str, proved: bool = False) -> Found:
    """What a search could say."""
    order = Landed((1,), (), F(cost), 1) if cost is not None else None
    return Found(order, F(bound), proved, False, how)


def without_the_extra(patch: pytest.MonkeyPatch) -> None:
    """As if nobody had installed it."""
    patch.setitem(sys.modules, "highspy", None)
    patch.setattr(by_solver, "find_spec", lambda _: None)


def test_not_installed_is_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    """The exception says what is missing and how to get it; the search goes on without."""
    without_the_extra(monkeypatch)
    with pytest.raises(SolverMissing) as told:
        solve(one_seller(Post(), "1"))
    line = str(told.value)
    assert "HiGHS" in line
    assert "pip install 'rackspec[order]'" in line
    assert "\n" not in line
    monkeypatch.setattr(cheapest, "cheapest", lambda *_, **__: found_as("given up", "10", "9.8"))
    found = cheapest.find(one_seller(Post(), "1"))
    assert found == found_as("given up", "10", "9.8")
    why = cheapest.why_not_proved(found)
    assert line in why
    assert "2.0% less" in why


def test_the_solver_goes_on_where_trying_gives_up(monkeypatch: pytest.MonkeyPatch) -> None:
    """The better order and the better bound of both; what is proved already is not solved again."""
    basket = shops(Random(1), 6, 3)
    best = solve(basket).order
    assert best is not None
    dearer = landed(basket, tuple(2 * many for many in best.units))
    assert dearer is not None
    for order in (None, best, dearer):
        given_up = Found(order, F(1), False, False, "given up")
        monkeypatch.setattr(cheapest, "cheapest", lambda *_, found=given_up, **__: found)
        found = cheapest.find(basket)
        assert found.order is not None
        assert (found.order.cost, found.proved, found.how) == (best.cost, True, "solver")
        assert cheapest.why_not_proved(found) == ""
    proved = found_as("enumerated", "10", "10", proved=True)
    monkeypatch.setattr(cheapest, "cheapest", lambda *_, **__: proved)
    monkeypatch.setattr(cheapest, "solve", lambda *_: pytest.fail("solved again"))
    assert cheapest.find(basket) is proved


def test_both_ways_find_the_same() -> None:
    """Where trying everything proves an order, the solver proves one that costs the same."""
    compared = 0
    for seed in range(25):
        basket = shops(Random(seed), 5, 3, rich=True)
        by_hand = cheapest.cheapest(basket)
        if by_hand.proved:
            solved = solve(basket)
            compared += 1
            assert (solved.order is None) == (by_hand.order is None)
            if solved.order is not None and by_hand.order is not None:
                assert solved.order.cost == by_hand.order.cost, seed
    assert compared >= 20


def test_why_is_one_line() -> None:
    """Percents are rounded to the bad side; nothing is said of what is proved or impossible."""
    assert "0.1% less" in cheapest.why_not_proved(found_as("solver", "100", "99.99"))
    assert "time" in cheapest.why_not_proved(found_as("solver", None, "1"))
    assert "less" not in cheapest.why_not_proved(found_as("solver", "0", "-1"))
    assert cheapest.why_not_proved(Found(None, F(0), True, True, "solver")) == ""
