"""Money: in: a rack, out: what is to be bought for each stage, what that costs, and what of the budget it leaves.

As the cheapest order brings it, where sellers are known; else as priced where things are written down.
"""

from collections.abc import Iterator

from rackspec.language.currencies import rounded, sum_text
from rackspec.rules.bills import NOTHING, Bill, Means, bill_of_items, cost_of, is_guessed, means_of
from rackspec.rules.registry import Look
from rackspec.views.document import Block, Heading, Paragraph, Points, Table
from rackspec.views.reported import Reported, stage_word

PRICED = (
    "Panels, wishes, rails and strips, as priced where they are written down, less what is there already. "
    "Screws, nuts and shipping come on top."
)
LANDED = (
    "Each stage as its cheapest order brings it, less what is there already: goods in whole packs, and shipping. What "
    "nobody here sells is counted at the price that is written with it, and its shipping is not known. "
    "'rackspec order' shows the orders."
)


def stage_bills(look: Look) -> tuple[Bill, ...]:
    """The bill of each stage; from sellers, as ``order`` orders it."""
    stages = range(len(look.rack.stages))
    if not look.rack.sellers:
        return tuple(bill_of_items(look, stage) for stage in stages)
    from rackspec.rules.landed import landed_bill, unsure_needs  # racks without sellers never need these
    from rackspec.solve.order_desk import Desk
    from rackspec.solve.rail_ways import ways_of

    plan = ways_of(Desk(look, stages)).plans[0]
    unsure = [unsure_needs(plan.way.needs, stage) for stage in stages]
    orders = zip(plan.orders, stages, unsure, strict=True)
    return tuple(landed_bill(look, order.shop, order.found, stage, {}, left) for order, stage, left in orders)


def money(reported: Reported) -> Iterator[Block]:
    """What is to be spent at each stage."""
    look = reported.look
    bills = stage_bills(look)
    means = [means_of(look, bill.stage) for bill in bills]
    if not any(means) and not any(bill.known for bill in bills):
        return
    yield Heading(3, "Money")
    yield Paragraph(LANDED if look.rack.sellers else PRICED)
    yield from table(reported, bills, means)
    rows = [row for bill in bills for row in bought(reported, bill)]
    if rows:
        yield Paragraph("To be bought:")
        yield Table(("stage", "pieces", "thing", "from", "together", "price is"), tuple(rows), frozenset((1, 4)))
    left_out: dict[str, list[str]] = {}
    for bill in bills:
        for what in bill.open:
            left_out.setdefault(what, []).append(stage_word(reported, bill.stage))
    if left_out:
        yield Paragraph("Not in these sums:")
        yield Points(tuple(f"{what} ({', '.join(stages)})" for what, stages in left_out.items()))


def table(reported: Reported, bills: tuple[Bill, ...], means: list[Means | None]) -> Iterator[Block]:
    """The stages against their budgets; columns in which nothing stands are left out."""
    head = (
        "stage",
        "budget",
        "given",
        "spent",
        "goods",
        "more in packs",
        "shipping",
        "to spend",
        "of it guessed",
        "without price",
        "left",
    )
    rows = [stage_line(reported, bill, mean) for bill, mean in zip(bills, means, strict=True)]
    always = {0, 1, 7, 8, 9, 10}
    if not reported.seen.rack.sellers:
        kept = sorted(always)
    else:
        kept = [column for column in range(len(head)) if column in always or any(row[column] for row in rows)]
    told = tuple(tuple(row[column] for column in kept) for row in rows)
    yield Table(tuple(head[column] for column in kept), told, frozenset(range(1, len(kept))))


def stage_line(reported: Reported, bill: Bill, means: Means | None) -> tuple[str, ...]:
    """The sums of one stage."""
    currency = bill.currency
    # what rounding takes is left out of the goods, so that a line comes to its sum
    beside = (bill.spare, bill.shipping)
    goods = rounded(bill.total, currency) - sum((rounded(value, currency) for value in beside), NOTHING)
    spend = ("at least " if bill.at_least else "") + sum_text(bill.total, currency)
    left = ""
    if means is not None:
        left = ("at most " if bill.at_least else "") + sum_text(means.left - bill.total, currency, left=True)
    return (
        stage_word(reported, bill.stage),
        sum_text(means.budget, means.currency, left=True) if means is not None else "none",
        sum_text(means.gifts, means.currency, left=True) if means is not None and means.gifts else "",
        sum_text(means.spent, means.currency) if means is not None and means.spent else "",
        sum_text(goods, currency) if bill.known else "",
        sum_text(bill.spare, currency) if bill.spare else "",
        sum_text(bill.shipping, currency) if bill.sellers else "",
        spend,
        sum_text(bill.guessed, currency),
        str(len(bill.unpriced)),
        left,
    )


def bought(reported: Reported, bill: Bill) -> Iterator[tuple[str, ...]]:
    """What is bought for a stage; the same thing at the same price is told once."""
    merged: dict[tuple[object, ...], tuple[int, str, str]] = {}
    for line in bill.lines:
        how = "" if line.price is None else "guessed" if is_guessed(line) else line.price.evidence.level
        key = (line.part, line.seller, line.price.money if line.price is not None else None)
        pieces = merged[key][0] if key in merged else 0
        merged[key] = (pieces + line.pieces, how, "")
    for (part, seller, _), (pieces, how, _) in merged.items():
        here = [line for line in bill.known if (line.part, line.seller) == (part, seller)]
        together = sum_text(sum((cost_of(line) for line in here), NOTHING), bill.currency) if here else "not known"
        yield (stage_word(reported, bill.stage), str(pieces), str(part), str(seller) or "-", together, how)
