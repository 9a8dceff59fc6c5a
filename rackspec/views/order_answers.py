"""What else an order answers: in: an answer, out: blocks: fewer parcels, rails in money, what would change it."""

from __future__ import annotations

from collections.abc import Iterator

from rackspec.language.currencies import sum_text
from rackspec.language.quantity import plain_number
from rackspec.model.sellers import Offer, Seller
from rackspec.solve.doubtful_prices import OLD, Doubt
from rackspec.solve.order_desk import Plan, bought
from rackspec.solve.orders import Ordered, saved_together
from rackspec.solve.rail_ways import RailCost
from rackspec.solve.second_best import Second
from rackspec.solve.turning_prices import TurningPrice
from rackspec.views.document import Block, Heading, Paragraph, Points, Table
from rackspec.views.order_words import a_unit, at_least, listed, on_rails, parcels_of_plan, sellers_of, signed
from rackspec.views.text import counted

MOST_NAMED = 8
"""Names in a sentence."""


def together_blocks(ordered: Ordered) -> Iterator[Block]:
    """All stages in one order."""
    order, currency = ordered.together, ordered.currency
    if order is None or not ordered.best.possible:
        return
    yield Heading(3, "All stages in one order")
    saved = saved_together(ordered)
    if saved is None:
        yield Paragraph("No single order brings all stages.")
        return
    cost, apart = sum_text(order.cost, currency), sum_text(ordered.best.cost, currency)
    least = at_least([order])
    if saved > 0:
        yield Paragraph(
            f"Everything for all stages now, in one order: {least}{cost}, against {apart} stage by stage. That saves "
            f"{sum_text(saved, currency, left=True)}: shipping, sums from which it is free, packs and prices for more "
            "at once, nothing else. Against it: the money is bound now, and prices and plans may change."
        )
    elif saved < 0:
        yield Paragraph(
            f"Everything for all stages in one order would be dearer: {least}{cost}, against {apart} stage by stage, "
            "because larger parcels cost more to send."
        )
    else:
        yield Paragraph(f"Everything for all stages in one order would cost the same: {least}{cost}.")


def parcel_table(ordered: Ordered) -> Iterator[Block]:
    """What fewer parcels cost."""
    if not ordered.parcels or (len(ordered.parcels) == 1 and not ordered.parcels[0].stopped):
        return
    currency, rows = ordered.currency, []
    for one in ordered.parcels:
        if one.plan is None:
            rows.append((f"at most {one.most}", "cannot be done", "", one.stopped))
            continue
        saves = sum_text(one.saves, currency, left=True) if one.saves is not None else ""
        names = listed(sellers_of(one.plan.orders))
        text = f"from {names}" if names else ""
        if one.plan.way.rails != ordered.best.way.rails:
            text += f", on {on_rails(one.plan.way.rails)}"
        rows.append((f"at most {one.most}", at_least(one.plan.orders) + sum_text(one.plan.cost, currency), saves, text))
    yield Heading(2, "In fewer parcels")
    several = sum(not order.empty for order in ordered.best.orders) > 1
    anyway = any(post.anyway for order in ordered.best.orders for post in order.shop.basket.posts)
    yield Paragraph(
        ("Parcels of each stage's order. " if several else "")
        + "'Saves' is what one parcel more takes off. What is fetched is no parcel"
        + (", nor is one that comes anyway." if anyway else ".")
    )
    yield Table(("parcels", "costs", "saves", "how"), tuple(rows), frozenset((1, 2)))


def rail_table(ordered: Ordered) -> Iterator[Block]:
    """Rails in money."""
    if not ordered.rails:
        return
    currency = ordered.currency
    yield Heading(2, "Rails in money")
    if ordered.asked.stage is not None:
        yield Paragraph("Over all stages: rails are chosen once.")
    yield Table(
        ("rails", "goods", "shipping and moves", "rails in all", "whole order", "parcels", "left over", "wasted"),
        tuple(rail_row(ordered, one) for one in ordered.rails),
        frozenset((1, 2, 3, 4, 5, 6, 7)),
    )
    best = ordered.rails[0]
    others = best.plan.cost - best.rails_in_all
    yield Paragraph(
        "Goods: rails, inserts, screws and washers, in whole packs. Rails in all: what the whole order costs more than "
        f"the cheapest order without any of these, {at_least(best.plan.orders)}{sum_text(others, currency)}. 'Shipping "
        "and moves' is the rest of that: parcels that come or grow because of the rails, and other things that are "
        "then cheaper or dearer to buy elsewhere. Left over: pieces that packs hold too much; wasted: screws that come "
        "with modules and do not serve on these rails."
    )
    for text in rail_remarks(ordered):
        yield Paragraph(text)


def rail_row(ordered: Ordered, one: RailCost) -> tuple[str, ...]:
    """A combination of rails."""
    currency, plan = ordered.currency, one.plan
    lacks = sum(1 for order in plan.orders for lacking in [*order.open, *(w.lacking for w in order.written)]) - min(
        other.plan.lacking for other in ordered.rails
    )
    name = on_rails(plan.way.rails) + (f" ({counted(lacks, 'thing')} nobody here has)" if lacks > 0 else "")
    least = "at least " if lacks > 0 else ""
    if not plan.possible:
        return (name, "", "", "", "cannot be had", "", "", "")
    return (
        name,
        least + sum_text(one.goods, currency),
        least + sum_text(one.shipping, currency),
        least + sum_text(one.rails_in_all, currency),
        at_least(plan.orders) + sum_text(plan.cost, currency),
        str(parcels_of_plan(plan)),
        str(one.left_over),
        str(one.wasted),
    )


def rail_remarks(ordered: Ordered) -> Iterator[str]:
    """What the table does not show."""
    ways = ordered.ways
    if not ways.all_looked_at:
        yield (
            f"There are {ways.there} combinations of rails that do; {ways.looked_at} of them were looked at, those "
            "with all rows on the same rails first. One of the others may be cheaper."
        )
    if ways.different < ways.looked_at:
        yield "Combinations that want the same things, with rows in each other's place, are told once."
    if len(ways.plans) < ways.different:
        yield f"Of {ways.different} different ones these are the cheapest; the others are dearer, or lack more."
    if ways.out:
        told = listed(f"{name} in row {row}" for row, name in ways.out)
        yield f"Not in the table, because something does not hold on them: {told}. 'rackspec inspect' says why."


def changes(ordered: Ordered) -> Iterator[Block]:
    """What would change the answer."""
    blocks = [*second_blocks(ordered), *doubt_blocks(ordered)]
    if blocks:
        yield Heading(2, "What would change the answer")
        yield from blocks


def second_blocks(ordered: Ordered) -> Iterator[Block]:
    """The second-best, and the price at which it would win."""
    second, currency = ordered.second, ordered.currency
    if second is None:
        return
    what = f"the best order without '{second.without}'" if second.without else on_rails(second.plan.way.rails)
    cost = at_least(second.plan.orders) + sum_text(second.plan.cost, currency)
    if second.dearer == 0:
        yield Paragraph(f"Just as cheap: {what}, {cost}.")
        return
    yield Paragraph(
        f"Second-best: {what}, {cost}: {sum_text(second.dearer, currency)} dearer. {where_from(second, currency)}"
    )
    if second.turning is not None:
        yield Paragraph(turning_text(ordered, second.turning, "rails" if not second.without else "order"))


def where_from(second: Second, currency: str) -> str:
    """Where the second-best is dearer."""
    named = (
        ("goods that are needed", second.parts.needed),
        ("more in packs than is needed", second.parts.spare),
        ("shipping", second.parts.shipping),
        ("what nobody here has", second.parts.written),
    )
    told = [f"{name} {signed(value, currency)}" for name, value in named if value]
    return f"That is made of: {', '.join(told)}." if told else ""


def turning_text(ordered: Ordered, turning: TurningPrice, which: str) -> str:
    """The price at which the answer is another."""
    offer, currency = turning.offer, turning.offer.price.money.currency
    line = f"'{offer.part}' from '{turning.seller.name}', now {offer.price.money.text} {a_unit(offer)}"
    if turning.given_up and turning.price is None:
        return f"{line}: the price at which another answer would win was not found in the time that a search may take."
    if turning.price is None or turning.plan is None:
        return f"{line}: for nothing at all it would not change the answer."
    price, above = sum_text(turning.price, currency), sum_text(turning.price + turning.unit, currency)
    now = offer.price.money.value
    less = sum_text(now - turning.price, currency)
    wins = (
        on_rails(turning.plan.way.rails)
        if which == "rails"
        else f"an order from {listed(sellers_of(turning.plan.orders))}"
    )
    return (
        f"{line}: at {price} {wins} would win (whole order "
        f"{at_least(turning.plan.orders)}{sum_text(turning.plan.cost, ordered.currency)}); at {above} the answer above "
        f"still holds. So it would have to cost {less} less."
        + (" Not all prices in between were tried: one of them may do as well." if turning.given_up else "")
    )


def doubt_blocks(ordered: Ordered) -> Iterator[Block]:
    """Old and guessed prices."""
    found = ordered.doubts
    if found.turning:
        yield Paragraph("Ask about these prices before you order: if they are off, another answer is cheaper.")
        yield Points(tuple(doubt_text(ordered, doubt) for doubt in found.turning))
    if found.settled:
        yield Paragraph(
            f"Old or guessed, but the answer is the same at both ends of the band: {offers_text(found.settled)}."
        )
    if found.untried:
        yield Paragraph(f"Old or guessed, and not tried, because there are too many: {offers_text(found.untried)}.")


def doubt_text(ordered: Ordered, doubt: Doubt) -> str:
    """A price that may be off, and what the answer is then."""
    offer, money = doubt.offer, doubt.offer.price.money
    why = f"{doubt.days} days old" if doubt.why == OLD else "a guess"
    share = plain_number(doubt.share * 100, 2)
    return (
        f"'{offer.part}' from '{doubt.seller.name}' at {money.text} {a_unit(offer)}: {why}, so it may be off by "
        f"{share}%. At {sum_text(doubt.price, money.currency)}: {at_least(doubt.plan.orders)}"
        f"{sum_text(doubt.plan.cost, ordered.currency)} in all, {change_text(ordered.best, doubt.plan)}"
    )


def things(plan: Plan) -> set[tuple[str, str]]:
    """What a plan buys: thing and seller."""
    return {
        (line.part, order.shop.sellers[order.shop.basket.lots[lot].seller].name)
        for order in plan.orders
        for lot, line, _ in bought(order)
    }


def change_text(best: Plan, other: Plan) -> str:
    """What is bought otherwise."""
    if best.way.rails != other.way.rails:
        return f"on {on_rails(other.way.rails)}"
    here, there = things(best), things(other)
    new = [f"{part} from {seller}" for part, seller in sorted(there - here)]
    gone = [f"{part} from {seller}" for part, seller in sorted(here - there)]
    if not new and not gone:
        return "some of it for another stage"
    told = some(new) if new else "less of it"
    return f"with {told}" + (f" instead of {some(gone)}" if gone else "")


def some(names: list[str]) -> str:
    """No more than some names."""
    more = len(names) - MOST_NAMED
    return ", ".join(names[:MOST_NAMED]) + (f" and {more} more" if more > 0 else "")


def offers_text(offers: tuple[tuple[Seller, Offer], ...]) -> str:
    """Offers by name."""
    return some([f"{offer.part} from {seller.name}" for seller, offer in offers])
