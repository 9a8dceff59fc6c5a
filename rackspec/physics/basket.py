"""A basket: in: what is needed and what is offered, out: what an order costs, goods and shipping, exactly.

Pure numbers. Money is in one currency, whichever; lengths in mm, masses in g. Needs, lots and posts are known by their
positions. This page is the one place that says what an order costs: every search is held against it.
"""

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

NOTHING = Fraction(0)


class Tier(NamedTuple):
    """What one unit costs when at least ``least`` units are ordered; all units then cost that."""

    least: int
    price: Fraction


class Lot(NamedTuple):
    """A thing as one seller sells it.

    A unit ``gives`` so many pieces of needs (position, pieces): of one, or of several where it is a kit. ``tiers`` from
    the fewest units on, the first at 1 or more. ``stock``: units there are (None: as many as wanted). ``length``: of
    its longest piece (0: short, or not known); ``mass`` of a unit (0: not known).
    """

    seller: int
    gives: tuple[tuple[int, int], ...]
    tiers: tuple[Tier, ...]
    stock: int | None = None
    length: Fraction = NOTHING
    mass: Fraction = NOTHING


class Post(NamedTuple):
    """What it costs to get things from a seller.

    ``steps``: (sum of goods from which it holds, price of a parcel), the lowest first; none: nothing is to be paid.
    ``free``: from which sum of goods on no step is paid. ``smallest``: the least sum of goods that is sent.
    ``longer``, ``heavier``: (length or mass that is exceeded, what comes on top), the lowest first: of each the highest
    that is exceeded counts alone, and it is paid for free parcels, too. ``anyway``: goods that come from there in any
    case, in the same parcel: they count for all sums, and only what the parcel becomes dearer is to be paid.
    ``parcel``: False where things are fetched.
    """

    steps: tuple[tuple[Fraction, Fraction], ...] = ()
    free: Fraction | None = None
    smallest: Fraction = NOTHING
    longer: tuple[tuple[Fraction, Fraction], ...] = ()
    heavier: tuple[tuple[Fraction, Fraction], ...] = ()
    anyway: Fraction = NOTHING
    parcel: bool = True


class Basket(NamedTuple):
    """Everything that an order is chosen from. ``needs``: pieces. ``most_parcels``: None for as many as wanted."""

    needs: tuple[int, ...]
    lots: tuple[Lot, ...]
    posts: tuple[Post, ...]
    most_parcels: int | None = None


class Share(NamedTuple):
    """What comes from one seller: its position, the sum of goods, what shipping adds (below 0: a parcel that comes
    anyway becomes free)."""

    seller: int
    goods: Fraction
    shipping: Fraction


class Landed(NamedTuple):
    """What an order costs: ``units`` of each lot, by seller what comes from it, all together, and how many parcels."""

    units: tuple[int, ...]
    shares: tuple[Share, ...]
    cost: Fraction
    parcels: int


def exceeded(steps: Sequence[tuple[Fraction, Fraction]], size: Fraction) -> Fraction:
    """What the highest step that is exceeded costs; nothing below the lowest."""
    return next((price for start, price in reversed(steps) if size > start), NOTHING)


def base_shipping(post: Post, goods: Fraction) -> Fraction:
    """What a parcel costs by the sum of goods in it."""
    if post.free is not None and goods >= post.free:
        return NOTHING
    return next((price for start, price in reversed(post.steps) if goods >= start), NOTHING)


def shipping(post: Post, goods: Fraction, longest: Fraction, mass: Fraction) -> Fraction:
    """What it costs to get goods of a sum, beside what comes from there anyway."""
    before = base_shipping(post, post.anyway) if post.anyway else NOTHING
    on_top = exceeded(post.longer, longest) + exceeded(post.heavier, mass)
    return base_shipping(post, goods + post.anyway) - before + on_top


def price_of(lot: Lot, units: int) -> Fraction | None:
    """What so many units cost together; None where they are not sold in that number."""
    if units == 0:
        return NOTHING
    if units < 0 or (lot.stock is not None and units > lot.stock):
        return None
    tier = next((tier for tier in reversed(lot.tiers) if units >= tier.least), None)
    return tier.price * units if tier is not None else None


def covered(basket: Basket, units: Sequence[int]) -> tuple[int, ...]:
    """How many pieces of each need an order brings."""
    pieces = [0] * len(basket.needs)
    for lot, many in zip(basket.lots, units, strict=True):
        for need, each in lot.gives:
            pieces[need] += each * many
    return tuple(pieces)


def landed(basket: Basket, units: Sequence[int]) -> Landed | None:
    """What an order costs; None where it is none: something is lacking, or not sold so, or sent in too many parcels."""
    if any(have < need for have, need in zip(covered(basket, units), basket.needs, strict=True)):
        return None
    goods = [NOTHING] * len(basket.posts)
    mass = [NOTHING] * len(basket.posts)
    longest = [NOTHING] * len(basket.posts)
    used: set[int] = set()
    for lot, many in zip(basket.lots, units, strict=True):
        price = price_of(lot, many)
        if price is None:
            return None
        if many:
            used.add(lot.seller)
            goods[lot.seller] += price
            mass[lot.seller] += lot.mass * many
            longest[lot.seller] = max(longest[lot.seller], lot.length)
    shares = []
    for seller in sorted(used):
        post = basket.posts[seller]
        if goods[seller] + post.anyway < post.smallest:
            return None
        shares.append(Share(seller, goods[seller], shipping(post, goods[seller], longest[seller], mass[seller])))
    parcels = sum(basket.posts[seller].parcel and not basket.posts[seller].anyway for seller in used)
    if basket.most_parcels is not None and parcels > basket.most_parcels:
        return None
    cost = sum((share.goods + share.shipping for share in shares), NOTHING)
    return Landed(tuple(units), tuple(shares), cost, parcels)


class Found(NamedTuple):
    """What a search found: the cheapest order it knows (None: none), a sum that no order is cheaper than, whether that
    proves the order, whether it is proved that there is none, and how it was searched: ``enumerated``, ``solver``, or
    ``given up``."""

    order: Landed | None
    bound: Fraction
    proved: bool
    impossible: bool
    how: str
