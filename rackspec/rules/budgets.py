"""Budgets: in: a look at a rack with a budget, out: findings where it does not hold, and about prices it needs."""

from __future__ import annotations

from collections.abc import Iterator

from rackspec.findings import NOTE, WARNING, Finding
from rackspec.language.currencies import rounded, sum_text
from rackspec.physics.margin import Margin
from rackspec.rules.bills import NOTHING, Bill, Line, Means, bills, cost_of, means_of
from rackspec.rules.registry import Look, Seen, rule

MOST_TOLD = 5
"""Sums that are written out."""
Words = tuple[str, str, str, str]
AT_LENGTH: Words = (
    "{0} for goods",
    "{0} for what packs hold beyond the need",
    "{0} for shipping from {1}",
    "{0} for what nobody here sells, as it is priced",
)
IN_SHORT: Words = ("goods {0}", "more in packs {0}", "shipping {0}", "nobody here sells {0}")
"""How goods, packs, shipping, and what nobody here sells are called in a sum."""


def names_of(look: Look, stage: int) -> tuple[str, ...]:
    """The full name of a stage, or of the rack, for the start."""
    return (look.rack.full(look.rack.stages[stage].name or look.rack.name),)


def budgets(look: Look) -> Iterator[tuple[Bill, Means, str]]:
    """The stages that have a budget: bill, money, and when it is, in a sentence (empty from the start)."""
    for bill in bills(look):
        means = means_of(look, bill.stage)
        if means is not None:
            yield bill, means, f" {look.rack.stage_name(bill.stage)}" if bill.stage else ""


def listed(names: list[str], most: int) -> str:
    """Names in a sentence, no more than some of them."""
    return ", ".join(names[:most]) + (f" and {len(names) - most} more" if len(names) > most else "")


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
    for bill, means, when in budgets(look):
        here = [line for line in bill.unpriced if line.price is None and not line.spoiled and has_block(look, line)]
        if not here:
            continue
        names = sorted({f"'{line.part}'" for line in here})
        verb = "has" if len(names) == 1 else "have"
        sold = f", and nobody here sells {'it' if len(names) == 1 else 'them'}" if look.rack.sellers else ""
        message = f"{listed(names, 4)} {verb} no price in {bill.currency}{when}{sold}, so the budget cannot be held"
        yield Finding(
            "price-missing",
            NOTE,
            f"{message} against it",
            means.place,
            others=tuple(line.place.labelled(f"no price for '{line.part}'") for line in here[:3]),
            remedy="write down what it costs, if only as a guess ('price 90 EUR guessed')",
            rests_on="prices as written",
            names=names_of(look, bill.stage),
        )


def has_block(look: Look, line: Line) -> bool:
    """Whether a thing is described somewhere, so that a price can be written there; screws and washers are not."""
    if not look.rack.sellers:
        return True
    from rackspec.rules.buying import described  # racks without sellers never need it

    return line.part in described(look)


@rule("warning", "money")
def over_budget(look: Look) -> Iterator[Seen]:
    """What is to be bought for a stage costs more than its budget.

    *Why*: the last module, or the screws, will not be paid for. Where sellers are known, it is counted as the cheapest
    order brings it: whole packs, and shipping with it; what nobody here sells is counted as priced where it is written.
    What is given for a stage (``gift``) is there to be spent, and what is ``spent`` is gone.

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

    *Source*: arithmetic; where no seller is known, panels, wishes, rails and strips are counted as they are
    priced; screws, nuts and shipping come on top.
    """
    for bill, means, when in budgets(look):
        total, left = bill.total, means.left
        if total <= left and not means.unsure:
            if bill.known and left:
                least = " at least" if bill.at_least and bill.proved else ""
                yield Margin(f"{look.rack.name}: money{when}{least}", total, left, bill.currency, rests_of(bill))
            continue
        if total > left:
            yield over(look, bill, means, when)


def over(look: Look, bill: Bill, means: Means, when: str) -> Finding:
    """A stage that costs more than there is for it."""
    currency = bill.currency
    over_it = rounded(bill.total, currency) - rounded(means.left, currency, left=True)
    least = "at least " if bill.at_least and bill.proved else ""
    message = f"{least}{sum_text(bill.total, currency)} are needed{when or ' from the start'}; {means_text(means)}"
    if not bill.known:
        message = f"{sum_text(over_it, currency)} more than there is are spent already{when or ' from the start'}"
    dearest = sorted(bill.known, key=cost_of, reverse=True)[:1]
    remedy = f"leave out or put off {sum_text(over_it, currency)} of it"
    remedy += "; 'rackspec order' shows the order" if look.rack.sellers else "; shipping and screws come on top"
    return Finding(
        "over-budget",
        WARNING if bill.least - bill.guessed > means.left else NOTE,
        message,
        means.place,
        others=tuple(one.place.labelled(f"the dearest, {sum_text(cost_of(one), currency)}") for one in dearest),
        sum=proof(bill, means),
        remedy=remedy if bill.known else "write a larger budget, or what is given for it ('gift')",
        rests_on=rests_of(bill),
        names=names_of(look, bill.stage),
    )


def means_text(means: Means) -> str:
    """The money there is, in a sentence."""
    budget = sum_text(means.budget, means.currency, left=True)
    if not means.gifts and not means.spent:
        return f"the budget is {budget}"
    return f"{sum_text(means.left, means.currency, left=True)} are there, of a budget of {budget}"


def means_sum(means: Means) -> str:
    """How the money there is comes about; empty where it is the budget alone."""
    if not means.gifts and not means.spent:
        return ""
    words = sum_text(means.budget, means.currency, left=True)
    words += f" + {sum_text(means.gifts, means.currency, left=True)} given" if means.gifts else ""
    words += f" - {sum_text(means.spent, means.currency)} spent" if means.spent else ""
    return f"{words} = {sum_text(means.left, means.currency, left=True)}, and "


def proof(bill: Bill, means: Means) -> str:
    """The sum that shows how much is too much, in whole coins, so that it comes out."""
    currency = bill.currency
    total, left = rounded(bill.total, currency), rounded(means.left, currency, left=True)
    words = shares_of(bill, AT_LENGTH)
    said = f"{' + '.join(words)} = {sum_text(total, currency)}, and " if len(words) > 1 else ""
    over_it = f"{sum_text(total, currency)} - {sum_text(left, currency)} = {sum_text(total - left, currency)}"
    return f"{said}{means_sum(means)}{over_it}"


def shares_of(bill: Bill, words: Words) -> list[str]:
    """The sums that a bill is made of: the dearest things; with sellers goods, packs, shipping, and what nobody here
    sells, each in the words given for it. What rounding takes is left out of the goods, so that they come to the
    total."""
    currency = bill.currency
    if not any(line.seller for line in bill.lines):
        parts = [sum_text(cost_of(line), currency) for line in sorted(bill.known, key=lambda line: -cost_of(line))]
        more = [f"{len(parts) - MOST_TOLD} more"] if len(parts) > MOST_TOLD else []
        return parts[:MOST_TOLD] + more
    written = sum((cost_of(line) for line in bill.known if not line.seller), NOTHING)
    beside = (bill.spare, bill.shipping, written)
    goods = rounded(bill.total, currency) - sum(rounded(value, currency) for value in beside)
    told = zip((goods, *beside), words, strict=True)
    from_whom = " and ".join(bill.sellers)
    return [word.format(sum_text(value, currency), from_whom) for value, word in told if value or word == words[2]]


def rests_of(bill: Bill) -> str:
    """What a bill rests on, and what is not in it."""
    text = f"prices: {len(bill.known)} of {len(bill.lines)} known"
    text += f", {sum_text(bill.guessed, bill.currency)} of it guessed" if bill.guessed else ""
    if any(line.seller for line in bill.lines):
        text = f"{' + '.join(shares_of(bill, IN_SHORT))}; {text}"
    if not bill.proved:
        below = f"no order is below {sum_text(bill.least, bill.currency, left=True)}, "
        text += f"; {below if bill.least > 0 else ''}this is the best that was found"
    text += f"; on the best of {bill.ways} ways to choose rails" if bill.ways > 1 else ""
    left_out = [line.part for line in bill.unpriced] if bill.sellers else []
    left_out = [*bill.open, *([listed(left_out, 3)] if left_out else [])]
    return text + (f"; not in it: {', '.join(left_out)}" if left_out else "")
