"""``rackspec order``: in: an answer, out: blocks: the answer first, then where to buy what, then why."""

from __future__ import annotations

from collections.abc import Iterator

from rackspec.language.currencies import sum_text
from rackspec.rules.needs import ADAPTER, SUPPLY
from rackspec.solve.order_desk import StageOrder
from rackspec.solve.orders import Ordered
from rackspec.views.document import Block, Heading, Paragraph, Points
from rackspec.views.order_answers import changes, parcel_table, rail_table, together_blocks
from rackspec.views.order_stage import stage_blocks
from rackspec.views.order_words import (
    at_least,
    listed,
    on_rails,
    own_worth,
    parcels_text,
    rate_text,
    sellers_of,
)


def order_blocks(ordered: Ordered) -> Iterator[Block]:
    """The whole answer for a rack."""
    rack = ordered.look.rack
    yield Heading(1, f"Order for rack {rack.name}" + (f": {rack.title}" if rack.title else ""))
    yield Paragraph(opening(ordered))
    for text in warnings(ordered):
        yield Paragraph(text)
    if not ordered.currency:
        yield Paragraph("No sum of money is written here, so there is nothing to reckon with.")
        return
    if not rack.sellers:
        yield Paragraph(
            "No seller is known here: name a file with sellers on the command line, or use one. What follows is "
            "counted as priced where it is written down."
        )
    yield Heading(2, "The cheapest")
    yield Paragraph(short_answer(ordered))
    for order, alone in zip(ordered.best.orders, ordered.one_by_one, strict=True):
        if ordered.asked.stage is not None or not order.empty or len(ordered.best.orders) == 1:
            yield from stage_blocks(ordered, order, alone)
    yield from together_blocks(ordered)
    yield from parcel_table(ordered)
    yield from rail_table(ordered)
    yield from changes(ordered)
    yield Heading(2, "Before you order")
    yield Points(tuple(cautions(ordered)))


def opening(ordered: Ordered) -> str:
    """From what it is worked out."""
    look, asked = ordered.look, ordered.asked
    revision = f"Revision {look.rack.revision}. " if look.rack.revision else ""
    day = f"Worked out for {look.today.isoformat()}. " if look.today is not None else ""
    which = ""
    if asked.stage is not None:
        which = f"Only what is bought {look.rack.stage_name(asked.stage)}; rails are chosen by all stages together. "
    if asked.without:
        which += f"Not asked: {listed(sorted(asked.without))}. "
    if asked.most_parcels is not None:
        which += f"At most {asked.most_parcels} {'parcel' if asked.most_parcels == 1 else 'parcels'} an order. "
    money = f"Sums are in {ordered.currency}, " if ordered.currency else "Sums are worked out "
    made = f"Made from {look.rack.file.name}. {money}with prices, packs and shipping as written."
    return f"{revision}{day}{which}{made}{rates(ordered)}"


def rates(ordered: Ordered) -> str:
    """The rates that are used, as sentences."""
    currencies = [seller.currency for order in ordered.best.orders for seller in order.shop.sellers]
    told = [rate_text(ordered.look, one, ordered.currency) for one in dict.fromkeys(currencies)]
    used = [text for text in told if text]
    if not used:
        return ""
    return f" {'. '.join(used)}. Each sum is rounded up by itself, so sums of changed money may be a cent apart."


def warnings(ordered: Ordered) -> Iterator[str]:
    """What has to be settled before anybody orders."""
    rack, ways = ordered.look.rack, ordered.ways
    if rack.spoiled or any(seller.spoiled for seller in rack.sellers):
        yield "A line was not understood, so something may be missing here. Run 'rackspec inspect' first."
    if ways.unsettled:
        rows = listed(ways.unsettled)
        yield (
            f"No rails that are named for {rows} do: their first ones are counted here. Do not order before 'rackspec "
            "inspect' finds nothing wrong with them."
        )
    bare = [row.name for row in rack.rows if not row.choices]
    if bare:
        yield f"No rails are named for {listed(bare)}: neither they nor their screws are in these sums."


def short_answer(ordered: Ordered) -> str:
    """The answer in two sentences."""
    rack, best, currency = ordered.look.rack, ordered.best, ordered.currency
    told = []
    orders = [order for order in best.orders if not order.empty]
    if not orders:
        return "Nothing has to be bought: all that is known to be needed is there."
    if not best.possible:
        stages = listed(rack.stage_name(order.stage or 0) for order in orders if not order.possible)
        return f"There is no order that brings everything ({stages})."
    if len(orders) > 1:
        sums = ", ".join(stage_sum(ordered, order) for order in orders)
        told.append(f"{sums[0].upper()}{sums[1:]}.")
    names = sellers_of(orders)
    text = f"{at_least(orders)}{sum_text(best.cost, currency)} in all"
    text = text[0].upper() + text[1:]
    text += f", {parcels_text(best)}, from {listed(names)}." if names else "."
    if best.way.rails:
        text += f" Rails: {on_rails(best.way.rails)}."
    told.append(text)
    if not ordered.proved:
        told.append("That it is the cheapest is not proved; see below.")
    return " ".join(told)


def stage_sum(ordered: Ordered, order: StageOrder) -> str:
    """A stage with its sum."""
    return (
        f"{ordered.look.rack.stage_name(order.stage or 0)} {at_least([order])}{sum_text(order.cost, ordered.currency)}"
    )


def cautions(ordered: Ordered) -> Iterator[str]:
    """What people should know before they order."""
    yield "This is a proposal: nothing is ordered or paid by this program."
    yield (
        "Prices, stock and shipping are as somebody wrote them, with their dates. Hold them against the shop, and "
        "write down what changed."
    )
    if any(own_worth(ordered.look, s, ordered.currency) != 1 for o in ordered.best.orders for s in o.shop.sellers):
        yield "Sums in another money follow its rate; customs, taxes and bank charges are not in them."
    kinds = {kind for order in ordered.best.orders for need in order.shop.needs for kind in need.kinds}
    if kinds & {ADAPTER, SUPPLY}:
        yield (
            "Buy adapters and supplies closed and approved where you live. Mains is work for people licensed for it; "
            "local codes decide."
        )
