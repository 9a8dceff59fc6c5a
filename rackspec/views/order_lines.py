"""One order by parcels: in: the order of a stage, out: for each seller its lines, its shipping and why, its sum.

Lines are in the seller's own money, as they are paid; sums come in that of the rack.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import NamedTuple

from rackspec.language.currencies import sum_text
from rackspec.language.quantity import plain_number, show
from rackspec.model.sellers import Offer, Seller
from rackspec.physics.basket import NOTHING, Share, base_shipping, exceeded, price_of
from rackspec.rules.registry import Look
from rackspec.solve.order_desk import StageOrder, bought
from rackspec.views.order_words import own_worth


class BoughtLine(NamedTuple):
    """So many units of an offer, with what they cost in the seller's own money, and how many pieces of which needs they
    bring."""

    offer: Offer
    units: int
    cost: Fraction
    brings: tuple[tuple[str, int], ...]

    @property
    def pieces(self) -> int:
        """Pieces that are in it, as it is sold."""
        return self.units * self.offer.pieces


class Parcel(NamedTuple):
    """What comes from one seller. ``goods``, ``shipping``, ``together``: in its own money; ``here``: in that of the
    rack. ``why``: how shipping comes about. ``longest`` and ``mass``: of what is in it, as far as it is known.
    ``known``: whether somebody wrote what a parcel costs."""

    seller: Seller
    currency: str
    lines: tuple[BoughtLine, ...]
    goods: Fraction
    shipping: Fraction
    here: Fraction
    why: tuple[str, ...]
    longest: Fraction
    mass: Fraction
    known: bool

    @property
    def together(self) -> Fraction:
        """Goods and shipping."""
        return self.goods + self.shipping


def parcels_of(look: Look, order: StageOrder) -> tuple[Parcel, ...]:
    """What comes from each seller."""
    if order.found.order is None:
        return ()
    found = []
    basket = order.shop.basket
    for share in order.found.order.shares:
        seller = order.shop.sellers[share.seller]
        worth = own_worth(look, seller, order.shop.currency)
        lines, longest, mass = [], NOTHING, NOTHING
        for position, offer, many in bought(order):
            lot = basket.lots[position]
            if lot.seller != share.seller:
                continue
            cost = price_of(lot, many)
            assert cost is not None
            brings = tuple((order.shop.needs[need].part, each * many) for need, each in lot.gives)
            lines.append(BoughtLine(offer, many, cost / worth, brings))
            longest, mass = max(longest, lot.length), mass + lot.mass * many
        parcel = Parcel(
            seller,
            seller.currency or order.shop.currency,
            tuple(lines),
            share.goods / worth,
            share.shipping / worth,
            share.goods + share.shipping,
            (),
            longest,
            mass,
            seller.fetched or bool(basket.posts[share.seller].steps),
        )
        found.append(parcel._replace(why=tuple(why(order, share, parcel, worth))))
    return tuple(found)


def why(order: StageOrder, share: Share, parcel: Parcel, worth: Fraction) -> list[str]:
    """How the shipping of a parcel comes about, in its seller's money."""
    seller, post, currency = parcel.seller, order.shop.basket.posts[share.seller], parcel.currency

    def money(value: Fraction, left: bool = False) -> str:
        return sum_text(value / worth, currency, left)

    if seller.fetched:
        return ["nothing is sent: it is fetched there"]
    goods = share.goods + post.anyway
    told = []
    if post.anyway:
        before, after = base_shipping(post, post.anyway), base_shipping(post, goods)
        told.append(
            f"goods for {money(post.anyway)} come from there anyway, in a parcel that costs {money(before)} without "
            f"these and {money(after)} with them: {change(before, after, money)}"
        )
    if not post.steps:
        told.append("what a parcel costs is not written")
    elif post.free is not None and goods >= post.free:
        told.append(f"free from {money(post.free)} of goods on")
    else:
        steps = [(start, price) for start, price in post.steps if goods >= start]
        start, price = steps[-1] if steps else (NOTHING, NOTHING)
        here = f" with goods for {money(start)} or more" if start else ""
        told.append(f"a parcel{here} costs {money(price)}" if steps else "nothing is asked for so small a parcel")
        if post.free is not None:
            told.append(f"it would be free from {money(post.free)} on, {money(post.free - goods)} more")
    if exceeded(post.longer, parcel.longest):
        start = max(start for start, _ in post.longer if parcel.longest > start)
        told.append(
            f"a piece of {show(parcel.longest, 'length')} is longer than {show(start, 'length')}: "
            f"{money(exceeded(post.longer, parcel.longest))} more"
        )
    if exceeded(post.heavier, parcel.mass):
        start = max(start for start, _ in post.heavier if parcel.mass > start)
        told.append(
            f"it weighs {kilos(parcel.mass)}, more than {kilos(start)}: "
            f"{money(exceeded(post.heavier, parcel.mass))} more"
        )
    if post.smallest:
        told.append(f"nothing is sent below {money(post.smallest)} of goods")
    return told


def change(before: Fraction, after: Fraction, money: Callable[[Fraction, bool], str]) -> str:
    """What becomes of the price of a parcel that comes anyway."""
    if after < before:
        return f"{money(before - after, True)} are saved, and counted here"
    return (
        f"only the {money(after - before, False)} more are counted" if after > before else "nothing more is to be paid"
    )


def kilos(grams: Fraction) -> str:
    """A mass: ``3.42kg``, ``420g``."""
    return f"{plain_number(grams / 1000, 3)}kg" if grams >= 1000 else show(grams, "mass")


def days_text(seller: Seller) -> str:
    """When a parcel is there: ``3 to 5 days``; nothing where nobody wrote it."""
    if seller.days is None:
        return ""
    least, most = seller.days.least, seller.days.most
    days = f"{least} to {most} days" if least != most else f"{least} days" if least != 1 else "1 day"
    return f"there in {days}"
