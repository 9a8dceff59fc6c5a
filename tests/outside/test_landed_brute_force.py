"""Small baskets go in; the search must find what trying every order finds, and each rule must have decided some.

The enumeration here knows nothing of the search: it tries all units of all lots, and leaves off only where the goods
alone cost more than the best order so far and all that a parcel which comes anyway could save. What an order costs is
asked of ``landed`` and nobody else.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from fractions import Fraction
from random import Random

import pytest

from rackspec.physics.basket import Basket, Landed, Lot, Post, Tier, covered, landed, price_of
from rackspec.physics.cheapest import bound_of, cheapest

pytestmark = pytest.mark.slow

BASKETS = 500
MOST_TRIED = 6_000


def random_post(random: Random) -> Post:
    """A seller with every kind of terms, now and then; steps rise or fall."""
    dearest = random.choice([2, 14])
    starts = (0, random.randint(5, 25), random.randint(26, 40))[: random.choice([0, 1, 1, 1, 2, 2, 3])]
    longer = sorted(random.sample([300, 500, 900], random.randint(1, 2))) if random.random() < 0.3 else []
    heavier = sorted(random.sample([5, 9, 14], random.randint(1, 2))) if random.random() < 0.3 else []
    return Post(
        steps=tuple((Fraction(start), Fraction(random.randint(0, dearest))) for start in starts),
        free=Fraction(random.randint(5, 40)) if random.random() < 0.4 else None,
        smallest=Fraction(random.randint(1, 25)) if random.random() < 0.25 else Fraction(0),
        longer=tuple((Fraction(size), Fraction(random.randint(0, 9))) for size in longer),
        heavier=tuple((Fraction(size), Fraction(random.randint(0, 9))) for size in heavier),
        anyway=Fraction(random.randint(1, 30)) if random.random() < 0.2 else Fraction(0),
        parcel=random.random() < 0.7,
    )


def random_lot(random: Random, seller: int, needs: int) -> Lot:
    """A lot: pieces, pairs, packs, kits; some cheaper in numbers, some scarce, some long, some heavy."""
    gives: tuple[tuple[int, int], ...] = ((random.randrange(needs), random.choice([1, 1, 1, 2, 3])),)
    if needs > 1 and random.random() < 0.25:
        gives = tuple((need, random.randint(1, 2)) for need in random.sample(range(needs), 2))
    price = Fraction(random.randint(2, 24), random.choice([1, 1, 2, 3]))
    tiers = [Tier(1 if random.random() < 0.85 else 2, price)]
    if random.random() < 0.4:
        tiers.append(Tier(random.randint(3, 4), price * Fraction(random.randint(4, 11), 10)))
    return Lot(
        seller=seller,
        gives=gives,
        tiers=tuple(tiers),
        stock=random.randint(1, 4) if random.random() < 0.3 else None,
        length=Fraction(random.choice([0, 300, 400, 500, 900, 1000])),
        mass=Fraction(random.choice([0, 1, 3, 5, 7])),
    )


def random_basket(seed: int) -> Basket:
    """A small basket; the same seed gives the same."""
    random = Random(seed)
    needs = random.randint(1, 3)
    sellers = random.choice([1, 2, 2, 3, 3])
    return Basket(
        needs=tuple(random.randint(0 if random.random() < 0.1 else 1, 4) for _ in range(needs)),
        lots=tuple(random_lot(random, place % sellers, needs) for place in range(random.randint(2, 6))),
        posts=tuple(random_post(random) for _ in range(sellers)),
        most_parcels=random.choice([None, 1, 1, 1, 2]),
    )


class TooMany(Exception):
    """More orders than anybody wants to try."""


def try_all(basket: Basket) -> Landed | None:
    """The cheapest of all orders; TooMany where there are too many."""
    saved = sum((max((price for _, price in post.steps), default=Fraction(0)) for post in basket.posts), Fraction(0))
    best: Landed | None = None
    tried = 0
    ceiling = Fraction(150)

    def take(units: tuple[int, ...], goods: Fraction) -> None:
        nonlocal best, tried
        tried += 1
        if tried > MOST_TRIED:
            raise TooMany
        if len(units) == len(basket.lots):
            order = landed(basket, units)
            if order is not None and (best is None or order.cost < best.cost):
                best = order
            return
        lot = basket.lots[len(units)]
        cheapest_unit = min(tier.price for tier in lot.tiers)
        many = 0
        while (lot.stock is None or many <= lot.stock) and goods + cheapest_unit * many <= (
            ceiling if best is None else best.cost + saved
        ):
            price = price_of(lot, many)
            if price is not None:
                take((*units, many), goods + price)
            many += 1

    take((), Fraction(0))
    return best


CHANGES: dict[str, Callable[[Basket], Basket]] = {
    "steps by goods": lambda basket: posts_with(basket, lambda post: post._replace(steps=post.steps[:1])),
    "free from": lambda basket: posts_with(basket, lambda post: post._replace(free=None)),
    "least order": lambda basket: posts_with(basket, lambda post: post._replace(smallest=Fraction(0))),
    "longer": lambda basket: posts_with(basket, lambda post: post._replace(longer=())),
    "heavier": lambda basket: posts_with(basket, lambda post: post._replace(heavier=())),
    "anyway": lambda basket: posts_with(basket, lambda post: post._replace(anyway=Fraction(0))),
    "parcels": lambda basket: basket._replace(most_parcels=None),
    "fetched": lambda basket: posts_with(basket, lambda post: post._replace(parcel=True)),
    "price breaks": lambda basket: lots_with(basket, lambda lot: lot._replace(tiers=lot.tiers[:1])),
    "stock": lambda basket: lots_with(basket, lambda lot: lot._replace(stock=None)),
    "kits": lambda basket: lots_with(basket, lambda lot: lot._replace(gives=lot.gives[:1])),
}
"""What each rule is, told by what a basket is without it."""


def posts_with(basket: Basket, change: Callable[[Post], Post]) -> Basket:
    return basket._replace(posts=tuple(change(post) for post in basket.posts))


def lots_with(basket: Basket, change: Callable[[Lot], Lot]) -> Basket:
    return basket._replace(lots=tuple(change(lot) for lot in basket.lots))


def item_by_item(basket: Basket) -> Landed | None:
    """Each need from the lot that covers it cheapest by itself, as one does it by hand."""
    units = [0] * len(basket.lots)
    for need, pieces in enumerate(basket.needs):
        offers = []
        for place, lot in enumerate(basket.lots):
            each = dict(lot.gives).get(need, 0)
            price = price_of(lot, -(-pieces // each)) if each else None
            if price is not None:
                offers.append((price, place, -(-pieces // each)))
        if offers and pieces:
            _, place, many = min(offers)
            units[place] = max(units[place], many)
    return landed(basket, units)


@pytest.fixture(scope="module")
def baskets() -> dict[int, tuple[Basket, Landed | None]]:
    """Baskets by seed with the cheapest order of each, found by trying all."""
    found = {}
    for seed in range(BASKETS):
        basket = random_basket(seed)
        try:
            found[seed] = basket, try_all(basket)
        except TooMany:
            continue
    return found


def test_it_finds_what_trying_all_finds(baskets: dict[int, tuple[Basket, Landed | None]]) -> None:
    """The same cost, or the same answer that there is none; and the bound is below it."""
    assert len(baskets) > BASKETS / 2
    for seed, (basket, best) in baskets.items():
        found = cheapest(basket)
        assert found.proved, seed
        assert found.impossible == (best is None), seed
        if best is None:
            assert found.order is None, seed
            continue
        assert found.order is not None, seed
        assert found.order.cost == found.bound == best.cost, seed
        assert found.order == landed(basket, found.order.units), seed
        assert bound_of(basket) <= best.cost, seed


def test_every_rule_decides_some_baskets(baskets: dict[int, tuple[Basket, Landed | None]]) -> None:
    """Taken away, each rule changes what some baskets cost: it was there, and it was reckoned with."""
    decided: Counter[str] = Counter()
    for basket, best in baskets.values():
        cost = best.cost if best is not None else None
        simple = item_by_item(basket)
        decided["together"] += simple is not None and cost is not None and simple.cost > cost
        spare = covered(basket, best.units) if best is not None else ()
        decided["more than needed"] += any(
            have - need >= max(each for lot in basket.lots for _, each in lot.gives)
            for have, need in zip(spare, basket.needs, strict=False)
        )
        decided["nothing"] += best is None
        for name, change in CHANGES.items():
            order = cheapest(change(basket)).order
            decided[name] += (order.cost if order is not None else None) != cost
    names = (*CHANGES, "together", "more than needed", "nothing")
    assert {name: decided[name] for name in names if decided[name] < 5} == {}


def test_a_wish_for_a_cost(baskets: dict[int, tuple[Basket, Landed | None]]) -> None:
    """At most what it costs: found. At most a little less: proved that there is none, and not called impossible."""
    cent = Fraction(1, 100)
    for seed, (basket, best) in baskets.items():
        if best is None:
            continue
        reached = cheapest(basket, at_most=best.cost)
        assert reached.order is not None, seed
        assert reached.order.cost == best.cost, seed
        missed = cheapest(basket, at_most=best.cost - cent)
        assert (missed.order, missed.proved, missed.impossible) == (None, True, False), seed
        assert missed.bound == best.cost - cent, seed


def test_given_up_at_any_step_the_bound_is_true(baskets: dict[int, tuple[Basket, Landed | None]]) -> None:
    """However early the search is given up, no order is cheaper than its bound, and what it found is an order."""
    given_up = 0
    for seed, (basket, best) in baskets.items():
        for effort in (1, 60, 300):
            found = cheapest(basket, effort)
            given_up += found.how == "given up"
            assert found.proved == (found.how == "enumerated"), seed
            if best is not None:
                assert found.bound <= best.cost, seed
            if found.order is not None:
                assert best is not None, seed
                assert found.order == landed(basket, found.order.units), seed
                assert found.bound <= best.cost <= found.order.cost, seed
    assert given_up > 100


def test_one_seller_more_never_makes_it_dearer(baskets: dict[int, tuple[Basket, Landed | None]]) -> None:
    """Who has more to choose from pays no more."""
    cheaper = 0
    for seed, (basket, best) in baskets.items():
        other = random_basket(seed + BASKETS)
        lots = tuple(
            lot._replace(seller=len(basket.posts), gives=((lot.gives[0][0] % len(basket.needs), lot.gives[0][1]),))
            for lot in other.lots
        )
        more = cheapest(basket._replace(lots=basket.lots + lots, posts=(*basket.posts, other.posts[0])))
        assert more.proved, seed
        if best is not None:
            assert more.order is not None, seed
            assert more.order.cost <= best.cost, seed
            cheaper += more.order.cost < best.cost
    assert cheaper > 20


def test_fewer_parcels_are_never_cheaper(baskets: dict[int, tuple[Basket, Landed | None]]) -> None:
    """As many parcels as wanted, then two, one, none: each costs no less than the one before, or cannot be had."""
    dearer = 0
    for seed, (basket, _) in baskets.items():
        before = None
        for most in (0, 1, 2, None):
            order = cheapest(basket._replace(most_parcels=most)).order
            if before is not None:
                assert order is not None, seed
                assert order.cost <= before.cost, seed
            dearer += order is not None and (before is None or before.cost > order.cost)
            before = order
    assert dearer > 100
