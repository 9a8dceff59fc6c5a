"""Several moneys: in: a look at a rack with sellers or a budget, out: findings about rates that are missing."""

from __future__ import annotations

from collections.abc import Iterator

from rackspec.findings import WARNING, Finding
from rackspec.model.known import KnownMoney
from rackspec.model.sellers import Seller
from rackspec.rules.bills import bills, whole
from rackspec.rules.exchange import currency_for, rate
from rackspec.rules.registry import Look, Seen, rule

SHOWN = 3
"""Places that are shown beside a finding."""


@rule("warning", "money")
def currencies_mixed(look: Look) -> Iterator[Seen]:
    """Prices are in several moneys, and the house states no rate between them.

    *Why*: what has no rate cannot be added: it is in no sum, and a seller who is paid in it is not asked.

    *Bad*:

        house {
            currency EUR
        }
        module osc {
            width 8HP
            price 190 GBP
        }
        rack tray {
            budget 300 EUR
            row top {
                length 84HP
                at 0HP osc
            }
        }

    *Good*:

        house {
            currency EUR
            rate 1 GBP is 1.16 EUR stated "bank notice" 2026-11-09
        }
        module osc {
            width 8HP
            price 190 GBP
        }
        rack tray {
            budget 300 EUR
            row top {
                length 84HP
                at 0HP osc
            }
        }

    *Source*: arithmetic.
    """
    if (not look.rack.sellers and not bills(look)) or not whole(look):
        return
    pairs: dict[tuple[str, str], list[KnownMoney]] = {}
    for money, into in unrated(look):
        pairs.setdefault((money.money.currency, into), []).append(money)
    rack = look.rack
    place = rack.budget.place if rack.budget is not None else rack.place
    for (currency, into), moneys in pairs.items():
        places = list(dict.fromkeys(money.place for money in moneys))
        many = f"{len(places)} sums are" if len(places) > 1 else f"{moneys[0].money.text} is"
        yield Finding(
            "currencies-mixed",
            WARNING,
            f"{many} in {currency}, this rack is reckoned in {into}, and no rate between them is stated",
            place,
            others=tuple(one.labelled(f"in {currency}") for one in places[:SHOWN]),
            remedy=f"write into the house {' and '.join(rate_lines(look, currency, into))}",
            rests_on="prices as written; rates of the house",
            names=(rack.full(rack.name), currency),
        )


def rate_lines(look: Look, currency: str, into: str) -> list[str]:
    """The lines that the house lacks for a rate."""
    base = look.house.currency or into
    lines = [] if look.house.currency else [f"'currency {base}'"]
    lacking = [one for one in (currency, into) if one != base and one not in look.house.rates]
    return lines + [f"'rate 1 {one} is … {base}'" for one in lacking]


def unrated(look: Look) -> Iterator[tuple[KnownMoney, str]]:
    """Sums of money that cannot be counted, each with the money that they had to be counted in."""
    for bill in bills(look):
        for line in bill.unpriced:
            if line.price is not None:
                yield line.price, bill.currency
    rack, main = look.rack, currency_for(look)
    stages = {bill.stage: bill.currency for bill in bills(look)}
    for purse in (*rack.gifts, *rack.spent, *rack.anyway):
        into = stages.get(purse.stage, main)
        if into and rate(look.house, purse.money.money.currency, into) is None:
            yield purse.money, into
    if not rack.sellers or not main:
        return
    from rackspec.rules.bought import needs  # racks without sellers never need it

    wanted = {part for need in needs(look) if need.all for part in need.serves}
    for seller in rack.sellers:
        mine = [offer.price for offer in seller.offers if offer.part in wanted]
        for money in (*mine, *(terms(seller) if mine else ())):
            if rate(look.house, money.money.currency, main) is None:
                yield money, main


def terms(seller: Seller) -> Iterator[KnownMoney]:
    """The sums of money in what a seller says of parcels."""
    for step in (*seller.ships, *seller.longer, *seller.heavier):
        yield step.price
    for money in (seller.free, seller.smallest):
        if money is not None:
            yield money
