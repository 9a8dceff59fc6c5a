"""Prices that may be off: in: a desk and plans, out: old and guessed offers that could change the answer.

An old price may be off by ``assume price`` of the house, a guess by ``assume guess``. Each is tried at both ends, the
others as they are written.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from rackspec.language.bound import GUESSED
from rackspec.model.sellers import Offer, Seller
from rackspec.rules.registry import Look
from rackspec.solve.order_desk import Desk, Plan, bought

MOST_TRIED = 400
"""Plans that are worked out anew."""
OLD, GUESS = "old", "guessed"


class Doubt(NamedTuple):
    """An offer that may be off: why, how old it is (days), by which share, and at which price (in its own money) the
    answer is ``plan`` instead."""

    seller: Seller
    offer: Offer
    why: str
    days: int
    share: Fraction
    price: Fraction
    plan: Plan


class Doubts(NamedTuple):
    """``turning``: what could change the answer. ``settled``: what could not. ``untried``: what was not tried, because
    there are too many."""

    turning: tuple[Doubt, ...]
    settled: tuple[tuple[Seller, Offer], ...]
    untried: tuple[tuple[Seller, Offer], ...]


def age(look: Look, offer: Offer) -> int | None:
    """How many days old the price of an offer is; None where it has no date, or no day is today."""
    dated = offer.price.evidence.dated
    return (look.today - dated).days if look.today is not None and dated is not None else None


def doubt_about(look: Look, offer: Offer) -> tuple[str, int, Fraction] | None:
    """Why an offer may be off, how old it is, by which share (1: by all of it); None where it is to be trusted."""
    days = age(look, offer)
    if offer.price.evidence.level == GUESSED:
        return GUESS, days or 0, look.house.limit("assume guess").value / 100
    if days is not None and days > look.house.limit("old price").value:
        return OLD, days, look.house.limit("assume price").value / 100
    return None


def answer(plan: Plan) -> tuple[object, ...]:
    """What an answer is: the rails, and what is bought from whom for which stage."""
    lines = {
        (order.stage, order.shop.sellers[order.shop.basket.lots[lot].seller].name, line.part)
        for order in plan.orders
        for lot, line, _ in bought(order)
    }
    return plan.way.rails, frozenset(lines)


def doubts(desk: Desk, plans: Sequence[Plan]) -> Doubts:
    """The offers of needed things that may be off."""
    offers: dict[object, tuple[Seller, Offer]] = {}
    for plan in plans:
        for order in plan.orders:
            for lot, lines in zip(order.shop.basket.lots, order.shop.lots, strict=True):
                for line in lines:
                    offers[line.place] = (order.shop.sellers[lot.seller], line)
    turning: list[Doubt] = []
    settled: list[tuple[Seller, Offer]] = []
    untried: list[tuple[Seller, Offer]] = []
    left = MOST_TRIED
    best = answer(plans[0])
    for seller, offer in sorted(offers.values(), key=lambda one: (one[0].name, one[1].place.start)):
        doubt = doubt_about(desk.look, offer)
        if doubt is None:
            continue
        why, days, share = doubt
        concerned = [plan for plan in plans if offered_in(plan, offer)]
        left -= 2 * len(concerned)
        if left < 0 or desk.tired:
            untried.append((seller, offer))
            continue
        found = []
        for price in (max(Fraction(0), 1 - share), 1 + share):
            value = offer.price.money.value * price
            tried = [desk.plan(p.way, {offer.place: value}) if p in concerned else p for p in plans]
            plan = min(tried, key=lambda one: one.rank)
            if answer(plan) != best:
                found.append(Doubt(seller, offer, why, days, share, value, plan))
        turning += found
        if not found:
            settled.append((seller, offer))
    return Doubts(tuple(turning), tuple(settled), tuple(untried))


def offered_in(plan: Plan, offer: Offer) -> bool:
    """Whether a line may be in the orders of a plan."""
    return any(line.place == offer.place for order in plan.orders for lines in order.shop.lots for line in lines)
