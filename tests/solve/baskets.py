"""Random baskets: in: a seeded generator and sizes, out: baskets of every shape, and of a shape that shops have."""

from __future__ import annotations

from fractions import Fraction
from random import Random

from rackspec.physics.basket import Basket, Lot, Post, Tier

NOTHING = Fraction(0)


def cents(random: Random, least: int, most: int) -> Fraction:
    """A sum of money."""
    return Fraction(random.randint(least, most), 100)


def odd_post(random: Random) -> Post:
    """A post with anything: steps that rise or fall, surcharges that rise or fall, goods that come anyway."""
    starts = sorted(random.sample(range(30), random.randint(0, 3)))
    steps = tuple((Fraction(start), cents(random, 0, 900)) for start in starts)

    def sizes(least: int, most: int) -> tuple[tuple[Fraction, Fraction], ...]:
        found = sorted(random.sample(range(least, most), random.choice((0, 0, 1, 2))))
        return tuple((Fraction(size), cents(random, 0, 800)) for size in found)

    return Post(
        steps,
        Fraction(random.randint(5, 40)) if steps and random.random() < 0.5 else None,
        Fraction(random.randint(1, 20)) if random.random() < 0.3 else NOTHING,
        sizes(100, 900),
        sizes(10, 400),
        Fraction(random.randint(1, 20)) if random.random() < 0.3 else NOTHING,
        random.random() < 0.8,
    )


def odd_lot(random: Random, needs: int, sellers: int) -> Lot:
    """A lot with anything: kits, packs, a least number, prices that fall or rise, a stock."""
    gives = sorted(random.sample(range(needs), 2 if needs > 1 and random.random() < 0.25 else 1))
    leasts = sorted(random.sample(range(1, 6), random.choice((1, 1, 2))))
    if random.random() < 0.7:
        leasts[0] = 1
    tiers = tuple(Tier(least, cents(random, 0 if random.random() < 0.05 else 50, 900)) for least in leasts)
    stock = random.randint(1, 5) if random.random() < 0.3 else None
    return Lot(
        random.randrange(sellers),
        tuple((need, random.choice((1, 1, 1, 2, 3))) for need in gives),
        tiers,
        stock,
        Fraction(random.choice((0, 0, 300, 600, 950))),
        Fraction(random.choice((0, 5, 30, 120))),
    )


def odd(random: Random, needs: int, lots: int, sellers: int) -> Basket:
    """A small basket with anything in it."""
    return Basket(
        tuple(random.randint(1, 4) for _ in range(needs)),
        tuple(odd_lot(random, needs, sellers) for _ in range(lots)),
        tuple(odd_post(random) for _ in range(sellers)),
        random.choice((None, None, None, 1, 2)),
    )


def shops(
    random: Random, needs: int, sellers: int, rich: bool = False, amounts: tuple[int, ...] = (1, 2, 4, 8, 20, 84)
) -> Basket:
    """A basket as shops are: each sells 60 % of the things within 20 % of a price, in packs and with breaks; a parcel
    costs one sum, and nothing from a sum of goods on. ``rich``: surcharges, least sums, stocks and kits besides."""
    amounts = tuple(random.choice(amounts) for _ in range(needs))
    usual = [cents(random, 5, 60) if amount > 8 else cents(random, 100, 3500) for amount in amounts]
    lots = []
    for seller in range(sellers):
        for need, amount in enumerate(amounts):
            if random.random() > 0.6 and seller != need % sellers:
                continue
            pieces = random.choice((1, 10, 25, 50)) if amount > 8 else 1
            price = cents(random, 80, 120) * usual[need] * pieces * (1 if pieces == 1 else Fraction(9, 10))
            tiers = [Tier(1, max(Fraction(1, 100), Fraction(round(price * 100), 100)))]
            if random.random() < 0.3:
                tiers.append(Tier(random.choice((5, 10, 25)), Fraction(round(price * 90), 100)))
            stock = random.randint(1, 40) if rich and random.random() < 0.15 and seller != need % sellers else None
            length = Fraction(random.choice((0, 430, 530))) if rich and random.random() < 0.2 else NOTHING
            mass = Fraction(random.randint(1, 300)) if rich else NOTHING
            lots.append(Lot(seller, ((need, pieces),), tuple(tiers), stock, length, mass))
    if rich and needs > 2:
        for _ in range(sellers // 2):
            held = random.sample(range(needs), 3)
            price = sum((usual[need] * min(amounts[need], 10) for need in held), NOTHING)
            gives = tuple((need, min(amounts[need], 10)) for need in sorted(held))
            lots.append(
                Lot(random.randrange(sellers), gives, (Tier(1, Fraction(round(price * 85), 100)),), None, Fraction(430))
            )
    posts = []
    for _ in range(sellers):
        ship = cents(random, 290, 990)
        post = Post(((NOTHING, ship),), Fraction(random.choice((40, 50, 75, 100, 150))))
        if rich:
            post = post._replace(
                smallest=Fraction(random.choice((0, 0, 10, 20))),
                longer=((Fraction(400), cents(random, 300, 900)), (Fraction(500), cents(random, 900, 1500)))[
                    : random.choice((0, 1, 2))
                ],
                heavier=((Fraction(2000), cents(random, 200, 600)),)[: random.choice((0, 1))],
                anyway=Fraction(random.choice((0, 0, 0, 30))),
            )
        posts.append(post)
    return Basket(amounts, tuple(lots), tuple(posts), 3 if rich and random.random() < 0.3 else None)
