"""Old prices: in: a look at a rack on a day, out: findings about old prices and rates that its sums rest on.

A price without a date is not known to be old: that is told as something not known yet. A guess is a guess on any day.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from fractions import Fraction
from typing import NamedTuple

from rackspec.findings import NOTE, WARNING, Finding, Place
from rackspec.language.bound import GUESSED
from rackspec.language.currencies import sum_text
from rackspec.language.quantity import plain_number
from rackspec.model.known import KnownMoney
from rackspec.model.sellers import Offer, Seller
from rackspec.rules.bills import bills, cost_of, means_of, whole
from rackspec.rules.exchange import currency_for
from rackspec.rules.registry import Look, NotKnown, Seen, rule

SHOWN = 3
"""Places that are shown beside a finding."""


class Risk(NamedTuple):
    """A budget that holds now, and would not if old prices were as far off as they may be: when it is (in a sentence),
    what of its bill is old, how much more that might be, and what is left; ``who`` priced it (empty: the things'
    own blocks)."""

    when: str
    old: Fraction
    more: Fraction
    left: Fraction
    currency: str
    who: frozenset[str]


@rule("warning", "money")
def price_stale(look: Look) -> Iterator[Seen]:
    """Prices that the sums of a rack rest on are older than the house allows.

    *Why*: prices rise while a rack is planned. It is a note as long as no budget hangs on it: one that holds would
    still hold if the old prices were off by ``assume price``. Rates of exchange age, too (``old rate``).

    *Bad*:

        module osc {
            width 8HP
        }
        seller corner {
            ships 4 EUR
            sells osc at 190 EUR stated "list" 2025-11-02
        }
        rack tray {
            budget 200 EUR
            row top {
                length 84HP
                at 0HP osc
            }
        }

    *Good*:

        module osc {
            width 8HP
        }
        seller corner {
            ships 4 EUR
            sells osc at 190 EUR stated "list" 2026-10-02
        }
        rack tray {
            budget 200 EUR
            row top {
                length 84HP
                at 0HP osc
            }
        }

    *Source*: that a price is old after 180 days, a rate after 90, and an old price off by 10 % is common practice, no
    source; ``old`` and ``assume price`` of the house set it.
    """
    if look.today is None or (not look.rack.sellers and not bills(look)) or not whole(look):
        return
    risks = list(risks_of(look, look.today))
    if look.rack.sellers:
        for seller, offers in offers_by_seller(look):
            yield from of_seller(look, seller, offers, risks, look.today)
    yield from as_written(look, risks, look.today)
    yield from of_rates(look, look.today)


def age(price: KnownMoney, today: date) -> int | None:
    """How many days old a price is; None for one without a date, and for a guess."""
    if price.evidence.dated is None or price.evidence.level == GUESSED:
        return None
    return (today - price.evidence.dated).days


def is_old(look: Look, price: KnownMoney, today: date) -> bool:
    """Whether a price is older than the house allows."""
    days = age(price, today)
    return days is not None and days > look.house.limit("old price").value


def risks_of(look: Look, today: date) -> Iterator[Risk]:
    """The budgets that hang on old prices."""
    share = look.house.limit("assume price").value / 100
    for bill in bills(look):
        means = means_of(look, bill.stage)
        lines = [line for line in bill.known if line.price is not None and is_old(look, line.price, today)]
        old = sum((cost_of(line) for line in lines), Fraction(0))
        if means is None or bill.total > means.left or bill.total + old * share <= means.left:
            continue
        left, who = means.left - bill.total, frozenset(line.seller for line in lines)
        yield Risk(look.rack.stage_name(bill.stage), old, old * share, left, bill.currency, who)


def offers_by_seller(look: Look) -> list[tuple[Seller, list[Offer]]]:
    """The lines of each seller for things that are to be bought."""
    from rackspec.rules.bought import offered  # racks without sellers never need it

    found: dict[str, tuple[Seller, list[Offer]]] = {}
    for seller, lines, _ in offered(look):
        found.setdefault(seller.name, (seller, []))[1].extend(lines)
    return list(found.values())


def of_seller(
    look: Look, seller: Seller, offers: Sequence[Offer], risks: Sequence[Risk], today: date
) -> Iterator[Finding | NotKnown]:
    """The old prices of a seller, and that nobody wrote how old they are."""
    undated = [
        offer for offer in offers if offer.price.evidence.dated is None and offer.price.evidence.level != GUESSED
    ]
    if undated:
        how = "look at its list, and write the day behind its basis ('basis stated \"price list\" 2026-10-02')"
        yield NotKnown(seller.name, "how old its prices are", how, undated[0].place)
    old = [offer.price for offer in offers if is_old(look, offer.price, today)]
    if old:
        what = (
            f"the price of '{seller.name}' for what is needed" if len(offers) == 1 else prices_of(seller, old, offers)
        )
        yield finding(look, seller.name, what, old, [risk for risk in risks if seller.name in risk.who], today)


def prices_of(seller: Seller, old: Sequence[KnownMoney], offers: Sequence[Offer]) -> str:
    """The old prices among those of a seller, in a sentence."""
    if len(old) == len(offers):
        return f"all {len(old)} prices of '{seller.name}' for what is needed"
    return f"{len(old)} of {len(offers)} prices of '{seller.name}' for what is needed"


def as_written(look: Look, risks: Sequence[Risk], today: date) -> Iterator[Finding]:
    """Old prices among those that are counted as written with the things."""
    lines = [line for bill in bills(look) if means_of(look, bill.stage) for line in bill.known if not line.seller]
    prices = list(dict.fromkeys(line.price for line in lines if line.price is not None))
    old = [price for price in prices if is_old(look, price, today)]
    if old:
        what = f"{len(old)} of {len(prices)} prices that are counted as they are written"
        if len(prices) == 1:
            what = "the price that is counted as it is written"
        yield finding(look, "", what, old, [risk for risk in risks if "" in risk.who], today)


def finding(look: Look, who: str, what: str, old: Sequence[KnownMoney], risks: Sequence[Risk], today: date) -> Finding:
    """Old prices of one seller, or of the library."""
    limit, share = look.house.limit("old price"), look.house.limit("assume price")
    by_age = sorted(old, key=lambda price: (price.evidence.dated or today, price.place.start))
    days = age(by_age[0], today)
    verb = "is" if len(old) == 1 else "are"
    message = f"{what} {verb} older than {plain_number(limit.value)} days"
    message += f"; the oldest is {days} days old" if len(old) > 1 else ""
    proof, rests = f"{today} - {by_age[0].evidence.dated} = {days} days", f"old price from {limit.origin}"
    if risks:
        risk = risks[0]
        more, left = sum_text(risk.more, risk.currency), sum_text(risk.left, risk.currency, left=True)
        message += f", and the budget {risk.when} hangs on {'it' if len(old) == 1 else 'them'}"
        part = f"{plain_number(share.value)}% of the {sum_text(risk.old, risk.currency)} that are old"
        proof += f"; {part} is {more}, more than the {left} that are left"
        rests += f"; how far an old price may be off from {share.origin}"
    day = "day" if len(old) == 1 else "days"
    return Finding(
        "price-stale",
        WARNING if risks else NOTE,
        message,
        rack_place(look),
        others=tuple(price.place.labelled(dated(price)) for price in by_age[:SHOWN]),
        sum=proof,
        remedy=f"ask again, and write the new {'price' if len(old) == 1 else 'prices'} with the {day}",
        rests_on=rests,
        names=(look.rack.full(look.rack.name), *([who] if who else [])),
    )


def dated(price: KnownMoney) -> str:
    """The day of a price, as a label."""
    day = price.evidence.dated
    return f"of {day.isoformat()}" if day is not None else ""


def rack_place(look: Look) -> Place:
    """Where a rack says what it may cost, else where it is named."""
    return look.rack.budget.place if look.rack.budget is not None else look.rack.place


def of_rates(look: Look, today: date) -> Iterator[Finding]:
    """Old rates of exchange that prices are counted with."""
    limit, house = look.house.limit("old rate"), look.house
    for currency in sorted(currencies_used(look)):
        evidence, place = house.rated.get(currency), house.lines.get(f"rate {currency}")
        if evidence is None or evidence.dated is None or place is None:
            continue
        days = (today - evidence.dated).days
        if days > limit.value:
            yield Finding(
                "price-stale",
                NOTE,
                f"the rate of {currency} that prices are counted with is older than {plain_number(limit.value)} days",
                rack_place(look),
                others=(place.labelled(f"of {evidence.dated.isoformat()}"),),
                sum=f"{today} - {evidence.dated} = {days} days",
                remedy="look it up again, and write it with its day",
                rests_on=f"old rate from {limit.origin}",
                names=(look.rack.full(look.rack.name), f"rate {currency}"),
            )


def currencies_used(look: Look) -> set[str]:
    """The moneys whose rate to the house's a sum of this rack uses."""
    found: set[str] = set()
    for bill in bills(look):
        prices = {line.price.money.currency for line in bill.known if line.price is not None}
        found |= prices | {bill.currency} if prices - {bill.currency} else set()
    if look.rack.sellers:
        main = currency_for(look)
        prices = {offer.price.money.currency for _, offers in offers_by_seller(look) for offer in offers}
        found |= prices | {main} if prices - {main} else set()
    return found
