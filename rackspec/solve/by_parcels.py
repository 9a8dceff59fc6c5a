"""Fewer parcels: in: a desk and ways, out: what each order costs in at most one, two, three parcels, and what stops it.

What is fetched, or lies in a parcel that comes anyway, is no parcel. Every order of a stage has as many.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import combinations
from typing import NamedTuple

from rackspec.physics.basket import Basket
from rackspec.rules.shop import Shop, most_of
from rackspec.solve.order_desk import ANY_NUMBER, Desk, Plan, StageOrder, Way

MOST = 3
"""Parcels that are told."""
MOST_SETS = 2000
"""Sets of sellers that are looked at to say what stops an order."""


class InParcels(NamedTuple):
    """The best plan in at most ``most`` parcels an order (None: there is none).

    ``saves``: against one parcel less (None: there was none). ``stopped``: why there is no plan.
    """

    most: int
    plan: Plan | None
    saves: Fraction | None
    stopped: str


def in_parcels(desk: Desk, ways: Sequence[Way], best: Plan) -> tuple[InParcels, ...]:
    """One, two, three parcels, as far as more are any use: up to those of the best plan."""
    found: list[InParcels] = []
    if desk.most is not None:
        best = min((desk.plan(way, most=ANY_NUMBER) for way in ways), key=lambda one: one.rank)
    enough = max((parcels_of(order) for order in best.orders), default=0)
    for most in range(1, min(MOST, enough) + 1):
        if desk.tired and most < enough:
            found.append(InParcels(most, None, None, "not worked out: there is too much to choose from"))
            continue
        plans = [desk.plan(way, most=most) for way in ways] if most < enough else [best]
        plan = min(plans, key=lambda one: one.rank)
        if not plan.possible:
            found.append(InParcels(most, None, None, what_stops(desk, plan, most)))
            continue
        before = found[-1].plan if found else None
        comparable = before is not None and before.rank[:3] == plan.rank[:3]
        saves = before.cost - plan.cost if before is not None and comparable else None
        found.append(InParcels(most, plan, saves, ""))
    return tuple(found)


def what_stops(desk: Desk, plan: Plan, most: int) -> str:
    """What keeps an order from coming in so many parcels: what the best sellers lack, and who has it."""
    order = next(order for order in plan.orders if not order.possible)
    shop = order.shop
    if order.found.impossible and most_parcels_off(desk, shop.basket):
        return "no order is sent at all: " + too_small(shop)
    missing = fewest_missing(shop, most)
    if missing is None:
        return "not found in the time that a search may take"
    sellers, lacked = missing
    if not lacked:
        return too_small(shop)
    names = " and ".join(f"'{shop.sellers[seller].name}'" for seller in sellers) or "no seller"
    have = "has" if len(sellers) < 2 else "together have"
    told = [thing_and_sellers(shop, need) for need in lacked[:MOST]]
    more = f" and {len(lacked) - MOST} more" if len(lacked) > MOST else ""
    return f"{names} {have} most of it, but not enough of {', '.join(told)}{more}"


def most_parcels_off(desk: Desk, basket: Basket) -> bool:
    """Whether there is no order in however many parcels either."""
    return desk.find(basket._replace(most_parcels=None)).order is None


def too_small(shop: Shop) -> str:
    """What keeps sellers from sending, where all that is needed is there."""
    least = [seller.name for seller, post in zip(shop.sellers, shop.basket.posts, strict=True) if post.smallest]
    names = " and ".join(f"'{name}'" for name in least)
    return f"the least order of {names} is not reached" if least else "the pieces do not come out as they are sold"


def thing_and_sellers(shop: Shop, need: int) -> str:
    """A need, and who has it."""
    lots = [lot for lot in shop.basket.lots if any(one == need for one, _ in lot.gives)]
    names = dict.fromkeys(shop.sellers[lot.seller].name for lot in lots)
    return f"'{shop.needs[need].part}' ({', '.join(names)})"


def fewest_missing(shop: Shop, most: int) -> tuple[tuple[int, ...], list[int]] | None:
    """The sellers of so many parcels that lack the fewest things, with those; None where there are too many sets."""
    posts = shop.basket.posts
    free = {number for number, post in enumerate(posts) if not post.parcel or post.anyway}
    sending = [number for number in range(len(posts)) if number not in free]
    best: tuple[tuple[int, ...], list[int]] | None = None
    for tried, sellers in enumerate(combinations(sending, min(most, len(sending)))):
        if tried >= MOST_SETS:
            return None
        here = [lot for lot in shop.basket.lots if lot.seller in free or lot.seller in sellers]
        lacked = []
        for need, pieces in enumerate(shop.basket.needs):
            there = most_of(need, here)
            if there is not None and there < pieces:
                lacked.append(need)
        if best is None or len(lacked) < len(best[1]):
            best = (sellers, lacked)
    return best


def parcels_of(order: StageOrder) -> int:
    """In how many parcels an order comes."""
    return order.found.order.parcels if order.found.order is not None else 0
