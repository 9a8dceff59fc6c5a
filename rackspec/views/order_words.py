"""Words that all parts of an order share: in: orders, out: sums of money, stages, sellers and rails in sentences."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction

from rackspec.language.currencies import sum_text
from rackspec.language.quantity import plain_number
from rackspec.model.rack import Rack
from rackspec.model.sellers import EACH, PACK, Offer, Seller
from rackspec.rules.exchange import rate
from rackspec.rules.registry import Look
from rackspec.solve.order_desk import Plan, StageOrder
from rackspec.views.text import counted

RATE_PLACES = 6
"""Decimals of a rate that are told."""
Rails = Sequence[tuple[str, str, str]]
"""Row, rail and insert, row by row."""


def signed(value: Fraction, currency: str) -> str:
    """A difference that is dearer (``+3.53 EUR``), cheaper (``-1.74 EUR``) or nothing."""
    return ("+" if value > 0 else "") + sum_text(value, currency)


def stage_title(rack: Rack, stage: int | None) -> str:
    """A stage as a heading: ``From the start``, ``At stage 'regatta'``."""
    text = rack.stage_name(stage or 0)
    return text[0].upper() + text[1:]


def unit_text(offer: Offer) -> str:
    """What a unit is: ``each``, ``pair``, ``pack of 50``."""
    return f"pack of {offer.pieces}" if offer.form == PACK else EACH if offer.form == EACH else offer.form


def a_unit(offer: Offer) -> str:
    """``each``, ``a pair``, ``a pack of 50``."""
    return EACH if offer.form == EACH else f"a {unit_text(offer)}"


def listed(names: Iterable[str]) -> str:
    """Names in a sentence: ``one``, ``one and two``, ``one, two and three``."""
    found = list(dict.fromkeys(names))
    return " and ".join([", ".join(found[:-1]), found[-1]] if len(found) > 1 else found)


def on_rails(rails: Rails) -> str:
    """Rails as a builder says them, rows on the same ones together: ``longshore-60 with nut-m3 (bench)``."""
    by: dict[str, list[str]] = {}
    for row, rail, insert in rails:
        by.setdefault(f"{rail or 'unknown rails'} with {insert}" if insert else rail or "unknown rails", []).append(row)
    if len(by) == 1 and len(rails) > 1:
        return next(iter(by))
    return "; ".join(f"{name} ({', '.join(rows)})" if len(rails) > 1 else name for name, rows in by.items())


def sellers_of(orders: Iterable[StageOrder]) -> list[str]:
    """From whom orders come, in order of names."""
    found = {
        order.shop.sellers[share.seller].name
        for order in orders
        if order.found.order is not None
        for share in order.found.order.shares
    }
    return sorted(found)


def parcels_of_plan(plan: Plan) -> int:
    """In how many parcels a plan comes; what is fetched, or lies in a parcel that comes anyway, is in none."""
    return sum(order.found.order.parcels for order in plan.orders if order.found.order is not None)


def parcels_text(plan: Plan) -> str:
    """In how many parcels a plan comes, in a sentence."""
    return f"in {counted(parcels_of_plan(plan), 'parcel')}" if parcels_of_plan(plan) else "without a parcel of its own"


def own_worth(look: Look, seller: Seller, currency: str) -> Fraction:
    """What the money of a seller is worth in that of the order."""
    return rate(look.house, seller.currency, currency) or Fraction(1)


def rate_text(look: Look, currency: str, into: str) -> str:
    """``1 GBP = 1.16 EUR ("bank notice", 2026-11-09)``; nothing for the same money."""
    worth = rate(look.house, currency, into)
    if currency == into or worth is None:
        return ""
    known = look.house.rated.get(currency) or look.house.rated.get(into)
    told = []
    if known is not None:
        told += [f'"{known.text}"'] if known.text else []
        told += [known.dated.isoformat()] if known.dated is not None else []
    said = f" ({', '.join(told)})" if told else ""
    number = plain_number(worth, RATE_PLACES)
    about = "about " if number.startswith("~") else ""
    return f"1 {currency} = {about}{number.removeprefix('~')} {into}{said}"


def at_least(orders: Iterable[StageOrder]) -> str:
    """``at least `` where a sum lacks something: the same orders for which the budget's rules say so."""
    return "at least " if any(order.at_least for order in orders) else ""
