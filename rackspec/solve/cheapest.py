"""The cheapest order, by whatever can prove it: in: a basket, out: what was found, and a line where it is not proved.

Small baskets are enumerated, which needs nothing but Python and is exact. Where that gives up, the solver of the extra
``order`` goes on from there, if it is installed; the enumeration then gives up sooner.
"""

from __future__ import annotations

from fractions import Fraction
from math import ceil

from rackspec.physics.basket import Basket, Found
from rackspec.physics.cheapest import EFFORT, GIVEN_UP, cheapest
from rackspec.solve.by_solver import SECONDS, SolverMissing, is_there, solve
from rackspec.solve.programme import FINEST


def find(basket: Basket, at_most: Fraction | None = None) -> Found:
    """The cheapest order of a basket.

    ``at_most``: only orders that cost no more are looked for; where it is proved that there is none, the order is None
    and ``impossible`` False.
    """
    there = is_there()
    by_hand = cheapest(basket, EFFORT // 10 if there else EFFORT, at_most)
    if by_hand.how != GIVEN_UP or not there:
        return by_hand
    try:
        solved = solve(basket, SECONDS, by_hand.order.cost if by_hand.order is not None else at_most)
    except SolverMissing:  # it is there, and does not start
        return cheapest(basket, EFFORT, at_most)
    return together(by_hand, solved)


def together(by_hand: Found, solved: Found) -> Found:
    """The better order of two searches, with the better bound; the solver was asked for none dearer than the first."""
    orders = [order for order in (by_hand.order, solved.order) if order is not None]
    bound = max(by_hand.bound, solved.bound)
    if not orders:
        return solved._replace(bound=bound)
    best = min(orders, key=lambda order: order.cost)
    proved = solved.proved or best.cost - bound < FINEST / 2
    return Found(best, min(bound, best.cost), proved, False, solved.how)


def why_not_proved(found: Found) -> str:
    """Why what was found may not be the last word, in one line; empty where it is."""
    if found.proved or found.impossible:
        return ""
    why = "the time of the solver was up"
    if found.how == GIVEN_UP:
        why = "the basket is too large to try everything" if is_there() else str(SolverMissing())
    if found.order is None:
        return f"no order was found, which does not prove that there is none: {why}"
    cost = found.order.cost
    if found.bound <= 0 or cost <= 0:
        return f"not proved to be the cheapest: {why}"
    tenths = ceil((cost - found.bound) / cost * 1000)
    return f"not proved to be the cheapest, but no order costs over {tenths // 10}.{tenths % 10}% less: {why}"
