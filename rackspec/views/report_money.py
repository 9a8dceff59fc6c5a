"""Money: in: a rack, out: what is to be bought for each stage, and what of the budget it leaves."""

from collections.abc import Iterator
from fractions import Fraction

from rackspec.rules.money import Item, budget_of, in_currency, items_of, sum_text
from rackspec.views.document import Block, Heading, Paragraph, Table
from rackspec.views.reported import Reported, stage_word


def currency_of(reported: Reported, stage: int) -> str:
    """The currency that a stage is counted in: its budget's, the house's, else that of the first price."""
    budget = budget_of(reported.seen.rack, stage)
    if budget is not None:
        return budget[1]
    prices = [item.price.money.currency for item in items_of(reported.seen.rack) if item.price is not None]
    return reported.seen.house.currency or (prices[0] if prices else "")


def money(reported: Reported) -> Iterator[Block]:
    """What is to be spent at each stage."""
    items = items_of(reported.seen.rack)
    budgets = [budget_of(reported.seen.rack, stage) for stage in reported.stages]
    if not any(budgets) and not any(item.price for item in items):
        return
    yield Heading(3, "Money")
    yield Paragraph(
        "Panels, wishes, rails and strips, as priced where they are written down, less what is there already. "
        "Screws, nuts and shipping come on top."
    )
    yield Table(
        ("stage", "budget", "to spend", "of it guessed", "without price", "left"),
        tuple(stage_line(reported, items, stage) for stage in reported.stages),
        frozenset((1, 2, 3, 4, 5)),
    )
    rows = []
    for item in merged(items):
        currency = currency_of(reported, item.stage)
        cost = in_currency(reported.look, item, currency)
        how = item.price.evidence.level if item.price is not None else ""
        text = (
            sum_text(cost, currency)
            if cost is not None
            else "not known"
            if item.price is None
            else f"no rate to {currency}"
        )
        rows.append((stage_word(reported, item.stage), str(item.pieces), item.part, text, how))
    if rows:
        yield Paragraph("To be bought:")
        yield Table(("stage", "pieces", "part", "together", "price is"), tuple(rows), frozenset((1, 3)))


def merged(items: list[Item]) -> list[Item]:
    """The same part at the same price and stage told once."""
    found: dict[tuple[int, str, object], Item] = {}
    for item in items:
        key = (item.stage, item.part, item.price.money if item.price is not None else None)
        pieces = found[key].pieces if key in found else 0
        found[key] = item._replace(pieces=pieces + item.pieces)
    return list(found.values())


def stage_line(reported: Reported, items: list[Item], stage: int) -> tuple[str, ...]:
    """The sums of one stage."""
    budget, currency = budget_of(reported.seen.rack, stage), currency_of(reported, stage)
    costs = [(item, in_currency(reported.look, item, currency)) for item in items if item.stage == stage]
    known = [(item, cost) for item, cost in costs if cost is not None]
    total = sum((cost for _, cost in known), Fraction(0))
    guessed = sum(
        (cost for item, cost in known if item.price is not None and item.price.evidence.level == "guessed"), Fraction(0)
    )
    lacking = len(known) < len(costs)
    spend = ("at least " if lacking else "") + sum_text(total, currency)
    left = ""
    if budget is not None:
        left = ("at most " if lacking else "") + sum_text(budget[0] - total, currency)
    return (
        stage_word(reported, stage),
        sum_text(budget[0], budget[1]) if budget is not None else "none",
        spend,
        sum_text(guessed, currency),
        str(len(costs) - len(known)),
        left,
    )
