"""A basket in whole numbers: in: a basket and the units of kits that are settled, out: the same with integers only.

Money is multiplied until nothing is left to divide, so every comparison is exact and quick. What is left to choose is
sorted by needs: each has its lots. Kits that are not settled yet stand in the lots of each of their needs with a share
of their price. The shares of a kit add up to its price, so what is reckoned with them is never more than it costs.
"""

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise
from math import gcd, lcm
from typing import NamedTuple

from rackspec.physics.basket import NOTHING, Basket, Lot, price_of
from rackspec.physics.parcel_ranges import Range, highest_cut, ranges_of

MOST_CELLS = 60_000
"""Pieces of needs (in the greatest that all lots share), once for each lot, that tables are made of."""
SHARES = 256
"""Prices are shared out, and goods credited, in parts of this."""


class Choice(NamedTuple):
    """A lot in whole numbers: ``each`` pieces of a need in a unit; ``breaks``: (units from which, price of a unit),
    the fewest first; ``most``: units beyond which no more can be of use; ``plain``: no tier is dearer than the one
    before it, and ``most`` covers the need. ``lot``: its position in the basket, -1 for a share of a kit."""

    lot: int
    seller: int
    each: int
    breaks: tuple[tuple[int, int], ...]
    most: int
    plain: bool
    mass: int
    length: int

    def price(self, units: int) -> int | None:
        """What so many units cost; None where they are not sold so."""
        if units == 0:
            return 0
        price = None
        for least, each in self.breaks:
            if units < least:
                break
            price = each
        return price * units if price is not None else None


class Group(NamedTuple):
    """A need, in the greatest pieces that all its lots share, and what it can be had from."""

    need: int
    choices: tuple[Choice, ...]


class Terms(NamedTuple):
    """What is left to choose. ``ranges``: what a parcel of each seller can cost, and when. ``goods``, ``mass`` and
    ``length`` of each seller: what is settled there already; ``used``: whether anything is. ``huge``: more than any
    order costs, multiplied by ``SHARES``."""

    groups: tuple[Group, ...]
    ranges: tuple[tuple[Range, ...], ...]
    goods: tuple[int, ...]
    mass: tuple[int, ...]
    length: tuple[int, ...]
    used: tuple[bool, ...]
    counted: tuple[bool, ...]
    most_parcels: int | None
    huge: int


class Whole(NamedTuple):
    """A basket in whole numbers before anything is settled. ``kits``: positions of lots that give several needs."""

    basket: Basket
    scale: int
    lots: tuple[Choice, ...]
    kits: tuple[int, ...]
    ranges: tuple[tuple[Range, ...], ...]
    huge: int

    @property
    def saved(self) -> int:
        """What can be saved at most where parcels that come anyway get cheaper."""
        return sum(max((-one.fee for one in some if one.fee < 0), default=0) for some in self.ranges)

    @property
    def small(self) -> bool:
        """Whether tables by pieces are soon made."""
        cells = 0
        for need, pieces in enumerate(self.basket.needs):
            given = [each for lot in self.basket.lots for other, each in lot.gives if other == need]
            cells += len(given) * pieces // (gcd(*given) or 1)
        return cells <= MOST_CELLS


def whole_of(basket: Basket) -> Whole:
    """A basket in whole numbers."""
    money = [tier.price for lot in basket.lots for tier in lot.tiers]
    for post in basket.posts:
        money += [number for step in post.steps for number in step]
        money += [post.smallest, post.anyway, post.free if post.free is not None else NOTHING]
        money += [price for _, price in (*post.longer, *post.heavier)]
    scale = lcm(*{number.denominator for number in money}) * SHARES
    masses = lcm(*{lot.mass.denominator for lot in basket.lots})
    masses = lcm(masses, *{start.denominator for post in basket.posts for start, _ in post.heavier})
    lengths = lcm(*{lot.length.denominator for lot in basket.lots})
    lengths = lcm(lengths, *{start.denominator for post in basket.posts for start, _ in post.longer})
    ranges = [ranges_of(post, scale, masses, lengths) for post in basket.posts]
    lots = tuple(
        choice_of(basket, position, lot, (scale, masses, lengths), ranges[lot.seller])
        for position, lot in enumerate(basket.lots)
    )
    kits = []
    dearest, heaviest, longest = ([0] * len(ranges) for _ in range(3))
    for choice, lot in zip(lots, basket.lots, strict=True):
        if len({need for need, each in lot.gives if each and basket.needs[need]}) > 1:
            kits.append(choice.lot)
        dearest[choice.seller] += choice.most * max((price for _, price in choice.breaks), default=0)
        heaviest[choice.seller] += choice.most * choice.mass
        longest[choice.seller] = max(longest[choice.seller], choice.length if choice.most else 0)
    reached = tuple(
        tuple(
            one
            for one in ranges[seller]
            if one.goods[0] <= dearest[seller] and one.mass[0] <= heaviest[seller] and one.length[0] <= longest[seller]
        )
        for seller in range(len(ranges))
    )
    fees = sum(max((abs(one.fee) for one in some), default=0) for some in ranges)
    return Whole(basket, scale, lots, tuple(kits), reached, (2 * (sum(dearest) + fees) + 1) * SHARES)


def choice_of(basket: Basket, position: int, lot: Lot, scales: tuple[int, int, int], ranges: Sequence[Range]) -> Choice:
    """A lot in whole numbers; its pieces are those of its only need, if it has one."""
    gives: dict[int, int] = {}
    for need, each in lot.gives:
        gives[need] = gives.get(need, 0) + each
    breaks = []
    for least in sorted({max(1, tier.least) for tier in lot.tiers}):
        price = price_of(lot._replace(stock=None), least)
        if price is not None and (lot.stock is None or least <= lot.stock):
            breaks.append((least, int(price / least * scales[0])))
    covering = max((-(-basket.needs[need] // each) for need, each in gives.items() if each), default=0)
    most = max(covering, breaks[-1][0] if breaks else 0)
    goods, mass = highest_cut(ranges)
    heavy = int(lot.mass * scales[1])
    if breaks and breaks[-1][1] and goods:
        most = max(most, -(-goods // breaks[-1][1]))
    if heavy and mass:
        most = max(most, -(-mass // heavy))
    if lot.stock is not None:
        most = min(most, lot.stock)
    if not breaks:
        most = 0
    falling = all(one[1] >= after[1] for one, after in pairwise(breaks))
    wanted = [each for need, each in gives.items() if each and basket.needs[need]]
    return Choice(
        lot=position,
        seller=lot.seller,
        each=wanted[0] if len(wanted) == 1 else 0,
        breaks=tuple(breaks),
        most=most,
        plain=falling and most >= covering,
        mass=heavy,
        length=int(lot.length * scales[2]),
    )


def terms_of(whole: Whole, settled: Sequence[int]) -> Terms:
    """What is left to choose once the first kits are bought in so many units. Kits beyond them are shared out."""
    basket = whole.basket
    needs = list(basket.needs)
    sellers = range(len(basket.posts))
    goods, mass, length = ([0 for _ in sellers] for _ in range(3))
    used = [False for _ in sellers]
    for position, units in zip(whole.kits, settled, strict=False):
        kit = whole.lots[position]
        if units:
            goods[kit.seller] += kit.price(units) or 0
            mass[kit.seller] += kit.mass * units
            length[kit.seller] = max(length[kit.seller], kit.length)
            used[kit.seller] = True
            for need, each in basket.lots[position].gives:
                needs[need] -= each * units
    lots: list[list[Choice]] = [[] for _ in needs]
    loose = []
    for choice, lot in zip(whole.lots, basket.lots, strict=True):
        if choice.lot in whole.kits or not choice.most:
            continue
        wanted = [need for need, each in lot.gives if each and needs[need] > 0]
        if wanted:
            lots[wanted[0]].append(choice)
        else:
            loose.append(choice)
    for position in whole.kits[len(settled) :]:
        share_out(whole, position, needs, lots)
    groups = [group_of(need, choices) for need, choices in zip(needs, lots, strict=True) if need > 0]
    groups += [Group(0, (choice._replace(each=0),)) for choice in loose]
    return Terms(
        groups=tuple(groups),
        ranges=whole.ranges,
        goods=tuple(goods),
        mass=tuple(mass),
        length=tuple(length),
        used=tuple(used),
        counted=tuple(post.parcel and not post.anyway for post in basket.posts),
        most_parcels=basket.most_parcels,
        huge=whole.huge,
    )


def group_of(need: int, choices: Sequence[Choice]) -> Group:
    """A need in the greatest pieces that all its lots share."""
    common = gcd(*(choice.each for choice in choices)) or 1
    return Group(-(-need // common), tuple(choice._replace(each=choice.each // common) for choice in choices))


def share_out(whole: Whole, position: int, needs: Sequence[int], lots: list[list[Choice]]) -> None:
    """Put a kit among the lots of all its needs, each with a share of its price by what the need costs otherwise."""
    kit = whole.lots[position]
    gives: dict[int, int] = {}
    for need, each in whole.basket.lots[position].gives:
        if each and needs[need] > 0:
            gives[need] = gives.get(need, 0) + each
    if not kit.most or not gives:
        return
    worth = {}
    for need, each in gives.items():
        single = [choice for choice in lots[need] if choice.lot >= 0]
        rates = [Fraction(choice.breaks[-1][1], choice.each) for choice in single]
        worth[need] = min(each, needs[need]) * min(rates, default=NOTHING)
    total = sum(worth.values(), NOTHING)
    left = SHARES
    for place, (need, each) in enumerate(gives.items()):
        part = int(worth[need] * SHARES / total) if total else SHARES // len(gives)
        part = left if place == len(gives) - 1 else min(left, part)
        left -= part
        lots[need].append(
            kit._replace(
                lot=-1,
                each=each,
                breaks=tuple((least, price * part // SHARES) for least, price in kit.breaks),
                plain=kit.plain,
            )
        )
