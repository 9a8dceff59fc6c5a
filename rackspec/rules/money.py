"""Money: in: a rack, out: findings about prices that are missing and budgets that do not hold.

What is counted here: panels, wishes, rails and strips, as priced in the library. Screws, nuts and shipping are not.
"""

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from rackspec.findings import NOTE, WARNING, Finding, Place
from rackspec.language.quantity import plain_number
from rackspec.model.known import KnownMoney
from rackspec.model.rack import Rack
from rackspec.physics.margin import Margin
from rackspec.rules.registry import Look, Seen, rule


class Item(NamedTuple):
    """Something that is bought for a stage: its part, how many, and what one costs (None: nobody wrote it down)."""

    part: str
    pieces: int
    price: KnownMoney | None
    place: Place
    stage: int
    spoiled: bool


def items_of(rack: Rack) -> list[Item]:
    """All that has to be bought, stage by stage; what is there already (``have``) is taken off, the earliest first."""
    items: list[Item] = []
    for row in rack.rows:
        for choice in row.choices[:1]:
            if choice.rail is not None:
                items.append(Item(choice.rail.name, 2, choice.rail.bought.price, choice.place, 0, choice.rail.spoiled))
            if choice.insert is not None and choice.insert.form == "strip":
                insert = choice.insert
                items.append(Item(insert.name, 2, insert.bought.price, choice.place, 0, insert.spoiled))
        for panel in row.panels:
            if panel.part is not None:
                part = panel.part
                items.append(Item(part.name, 1, part.bought.price, panel.place, panel.since, part.spoiled))
    items += [
        Item(feed.supply.name, 1, feed.supply.bought.price, feed.place, 0, feed.supply.spoiled)
        for feed in rack.feeds
        if feed.panel is None
    ]
    items += [
        Item(f"wish {wish.name}", wish.pieces, wish.price, wish.place, wish.since, wish.spoiled) for wish in rack.wishes
    ]
    left: dict[str, int] = {}
    for have in rack.have:
        left[have.part] = left.get(have.part, 0) + have.pieces
    needed: list[Item] = []
    for item in sorted(items, key=lambda item: item.stage):
        taken = min(item.pieces, left.get(item.part, 0))
        left[item.part] = left.get(item.part, 0) - taken
        if item.pieces > taken:
            needed.append(item._replace(pieces=item.pieces - taken))
    return needed


def budget_of(rack: Rack, stage: int) -> tuple[Fraction, str, Place] | None:
    """The budget of a stage: value, currency, place."""
    if stage == 0:
        if rack.budget is None:
            return None
        return rack.budget.money.value, rack.budget.money.currency, rack.budget.place
    budget = rack.stages[stage].budget
    return (budget.value, budget.currency, rack.stages[stage].place) if budget is not None else None


def in_currency(look: Look, item: Item, currency: str) -> Fraction | None:
    """What an item costs in a currency; None without a price or a stated rate."""
    if item.price is None:
        return None
    money = item.price.money
    if money.currency == currency:
        return money.value * item.pieces
    rates = look.house.rates
    one = Fraction(1) if money.currency == look.house.currency else rates.get(money.currency)
    other = Fraction(1) if currency == look.house.currency else rates.get(currency)
    return None if one is None or other is None else money.value * item.pieces * one / other


def sum_text(value: Fraction, currency: str) -> str:
    """A sum of money, cut to hundredths."""
    return f"{plain_number(value, 2).lstrip('~')} {currency}"


@rule("note", "money")
def price_missing(look: Look) -> Iterator[Seen]:
    """Something that is to be bought has no price, while there is a budget.

    *Why*: a sum that lacks something says "at least": the budget may be spent already.

    *Bad*:

        module osc {
            width 8HP
        }
        rack tray {
            budget 300 EUR
            row top {
                length 84HP
                at 0HP osc
            }
        }

    *Good*:

        module osc {
            width 8HP
            price 90 EUR guessed
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
    for stage in range(len(look.rack.stages)):
        budget = budget_of(look.rack, stage)
        if budget is None:
            continue
        here = [item for item in items_of(look.rack) if item.stage == stage and not item.spoiled]
        without = [item for item in here if in_currency(look, item, budget[1]) is None]
        if not without:
            continue
        no_rate = [item for item in without if item.price is not None]
        names = sorted({f"'{item.part}'" for item in without})
        listed = ", ".join(names[:4]) + (f" and {len(names) - 4} more" if len(names) > 4 else "")
        when = f" {look.rack.stage_name(stage)}" if stage else ""
        remedy = "write down what it costs, if only as a guess ('price 90 EUR guessed')"
        if no_rate and no_rate[0].price is not None:
            remedy = f"give the house a rate ('rate 1 {no_rate[0].price.money.currency} is … {budget[1]}')"
        verb = "has" if len(names) == 1 else "have"
        yield Finding(
            "price-missing",
            NOTE,
            f"{listed} {verb} no price in {budget[1]}{when}, so the budget cannot be held against it",
            budget[2],
            others=tuple(item.place.labelled(f"no price for '{item.part}'") for item in without[:3]),
            remedy=remedy,
            rests_on="prices as written",
            names=(look.rack.full(look.rack.stages[stage].name or look.rack.name),),
        )


@rule("warning", "money")
def over_budget(look: Look) -> Iterator[Seen]:
    """What is to be bought for a stage costs more than its budget.

    *Why*: the last module, or the screws, will not be paid for; shipping comes on top.

    *Bad*:

        module osc {
            width 8HP
            price 190 EUR
        }
        rack tray {
            budget 300 EUR
            row top {
                length 84HP
                at 0HP osc as one
                next osc as two
            }
        }

    *Good*:

        module osc {
            width 8HP
            price 190 EUR
        }
        rack tray {
            budget 300 EUR
            have 1 of osc
            row top {
                length 84HP
                at 0HP osc as one
                next osc as two
            }
        }

    *Source*: arithmetic; panels, wishes, rails and strips are counted, screws, nuts and shipping are not.
    """
    items = items_of(look.rack)
    for stage in range(len(look.rack.stages)):
        budget = budget_of(look.rack, stage)
        if budget is None:
            continue
        value, currency, place = budget
        priced = [(item, in_currency(look, item, currency)) for item in items if item.stage == stage]
        known = [(item, cost) for item, cost in priced if cost is not None]
        total = sum((cost for _, cost in known), Fraction(0))
        least = "at least " if len(known) < len(priced) else ""
        guessed = sum(
            (cost for item, cost in known if item.price and item.price.evidence.level == "guessed"), Fraction(0)
        )
        rests = f"prices: {len(known)} of {len(priced)} known" + (
            f", {sum_text(guessed, currency)} of it guessed" if guessed else ""
        )
        when = f" {look.rack.stage_name(stage)}" if stage else ""
        if total <= value:
            if known and value:
                yield Margin(
                    f"{look.rack.name}: money{when}" + (" at least" if least else ""), total, value, currency, rests
                )
            continue
        dearest = max(known, key=lambda pair: pair[1])
        parts = [sum_text(cost, currency) for _, cost in sorted(known, key=lambda pair: -pair[1])[:5]]
        more = f" + {len(known) - 5} more" if len(known) > 5 else ""
        yield Finding(
            "over-budget",
            WARNING if total - guessed > value else NOTE,
            (
                f"{least}{sum_text(total, currency)} are needed{when or ' from the start'}; "
                f"the budget is {sum_text(value, currency)}"
            ),
            place,
            others=(dearest[0].place.labelled(f"the dearest, {sum_text(dearest[1], currency)}"),),
            sum=(
                (f"{' + '.join(parts)}{more} = {sum_text(total, currency)}, and " if len(known) > 1 else "")
                + f"{sum_text(total, currency)} - {sum_text(value, currency)} = {sum_text(total - value, currency)}"
            ),
            remedy=f"leave out or put off {sum_text(total - value, currency)} of it; shipping and screws come on top",
            rests_on=rests,
            names=(look.rack.full(look.rack.stages[stage].name or look.rack.name),),
        )
