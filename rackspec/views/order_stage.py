"""The order of a stage in blocks: in: an answer and one of its orders, out: parcels, sums, what cannot be had."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from rackspec.language.currencies import sum_text
from rackspec.physics.basket import NOTHING, covered
from rackspec.rules.bills import means_of
from rackspec.solve.cheapest import why_not_proved
from rackspec.solve.order_desk import StageOrder, left_over
from rackspec.solve.orders import OneByOne, Ordered
from rackspec.views.document import Block, Heading, Paragraph, Points, Table
from rackspec.views.order_lines import BoughtLine, Parcel, days_text, parcels_of
from rackspec.views.order_words import at_least, rate_text, stage_title, unit_text

NOT_IN_SUMS = "not in these sums"
"""What remarks about sellers say themselves."""


def stage_blocks(ordered: Ordered, order: StageOrder, alone: OneByOne) -> Iterator[Block]:
    """Everything about one order."""
    rack, currency = ordered.look.rack, ordered.currency
    yield Heading(3, stage_title(rack, order.stage))
    if order.kept:
        yield Paragraph(f"Left from earlier orders: {', '.join(f'{many} {part}' for part, many in order.kept)}.")
    if order.empty:
        yield Paragraph("Nothing has to be bought.")
        return
    if not order.possible:
        yield Paragraph(no_order(order))
    parcels = parcels_of(ordered.look, order)
    for parcel in parcels:
        yield from parcel_blocks(ordered, parcel)
    if len(parcels) + bool(order.written) > 1:
        yield total(ordered, order, parcels)
    told = [*lacking_points(order, currency)]
    if told:
        yield Points(tuple(told))
    for text in (left_text(order), alone_text(order, alone, currency), budget_text(ordered, order)):
        if text:
            yield Paragraph(text)


def no_order(order: StageOrder) -> str:
    """Why there is no order."""
    proved = why_not_proved(order.found)
    if proved:
        return f"No order: {proved}."
    least = ""
    smallest = [
        f"'{seller.name}'"
        for seller, post in zip(order.shop.sellers, order.shop.basket.posts, strict=True)
        if post.smallest
    ]
    if order.shop.basket.most_parcels is not None:
        most = order.shop.basket.most_parcels
        least = f"in {'one parcel' if most == 1 else f'at most {most} parcels'}: see below what stops it"
    elif smallest:
        least = (
            f"because the least order of {' and '.join(smallest)} is not reached, and the others do not have all of it"
        )
    else:
        least = "because there are too few of something, or its pieces do not come out as they are sold"
    return f"No order brings all of this {least}."


def parcel_blocks(ordered: Ordered, parcel: Parcel) -> Iterator[Block]:
    """What comes from one seller."""
    seller, currency = parcel.seller, parcel.currency
    title = f"{seller.title} ({seller.name})" if seller.title else seller.name
    yield Heading(4, f"From {title}")
    rows = [line_row(line, currency) for line in parcel.lines]
    rows.append(("goods", "", "", "", sum_text(parcel.goods, currency), ""))
    least = "" if parcel.known else "at least "
    rows.append(("shipping", "", "", "", shipping_text(parcel, parcel.shipping, currency), ""))
    rows.append(("together", "", "", "", least + sum_text(parcel.together, currency), ""))
    yield Table(("thing", "units", "unit", "a unit", "together", "pieces"), tuple(rows), frozenset((1, 3, 4)))
    told = "; ".join(parcel.why)
    days = days_text(seller)
    text = f"Shipping: {told}. {days[0].upper() + days[1:]}." if days else f"Shipping: {told}."
    if currency != ordered.currency:
        here = sum_text(parcel.here, ordered.currency)
        text += f" In {ordered.currency}: {here}, at {rate_text(ordered.look, currency, ordered.currency)}."
    yield Paragraph(text)


def shipping_text(parcel: Parcel, value: Fraction, currency: str) -> str:
    """What a parcel costs; what nobody wrote is not nothing."""
    if parcel.known:
        return sum_text(value, currency)
    return f"at least {sum_text(value, currency)}" if value else "not known"


def line_row(line: BoughtLine, currency: str) -> tuple[str, ...]:
    """A line of a parcel."""
    offer = line.offer
    pieces = str(line.pieces) if line.pieces != line.units or len(line.brings) == 1 else ""
    if [part for part, _ in line.brings] != [offer.part]:
        pieces = ", ".join(f"{many} {part}" for part, many in line.brings)
    least = f" from {offer.least}" if offer.least > 1 else ""
    guess = ", guessed" if offer.price.evidence.level == "guessed" else ""
    return (
        offer.part,
        str(line.units),
        unit_text(offer),
        offer.price.money.text + least + guess,
        sum_text(line.cost, currency),
        pieces,
    )


def total(ordered: Ordered, order: StageOrder, parcels: tuple[Parcel, ...]) -> Table:
    """What all parcels of an order cost."""
    currency = ordered.currency
    rows = []
    for parcel in parcels:
        worth = parcel.here / parcel.together if parcel.together else Fraction(1)
        rows.append(
            (
                parcel.seller.name,
                sum_text(parcel.goods * worth, currency),
                shipping_text(parcel, parcel.shipping * worth, currency),
                ("" if parcel.known else "at least ") + sum_text(parcel.here, currency),
            )
        )
    written = sum((one.cost for one in order.written), NOTHING)
    if order.written:
        rows.append(("nobody who is asked", sum_text(written, currency), "not known", sum_text(written, currency)))
    landed = order.found.order
    goods = sum((share.goods for share in landed.shares), written) if landed is not None else written
    shipping = sum((share.shipping for share in landed.shares), NOTHING) if landed is not None else NOTHING
    least = at_least([order])
    rows.append(
        (
            "all together",
            sum_text(goods, currency),
            least + sum_text(shipping, currency),
            least + sum_text(order.cost, currency),
        )
    )
    return Table(("from", "goods", "shipping", "together"), tuple(rows), frozenset((1, 2, 3)))


def lacking_points(order: StageOrder, currency: str) -> Iterator[str]:
    """What cannot be had, and how it is counted."""
    for one in order.written:
        lacking = one.lacking
        yield (
            f"{lacking.pieces} of '{lacking.need.part}': {lacking.why}; counted at its written price, "
            f"{sum_text(one.cost, currency)}, without shipping"
        )
    for lacking in order.open:
        yield f"{lacking.pieces} of '{lacking.need.part}': {lacking.why}; it has no price and is in no sum"
    open_or_written = {id(one) for one in order.open} | {id(one.lacking) for one in order.written}
    for lacking in order.shop.lacking:
        if id(lacking) not in open_or_written:
            made = "it can be made at the bench, and is in no sum"
            yield f"{lacking.pieces} of '{lacking.need.part}': {lacking.why}; {made}"
    for text in order.unsure:
        yield text if NOT_IN_SUMS in text else f"{text}: {NOT_IN_SUMS}"


def left_text(order: StageOrder) -> str:
    """What packs hold beyond the need, and whether more is ordered than that."""
    left = left_over(order)
    if not left:
        return ""
    told = f"Beyond what is needed: {', '.join(f'{many} {part}' for part, many in left)}."
    if not on_purpose(order):
        return told
    return (
        f"{told} Some of that is ordered on purpose: without it a price for more at once, a sum from which shipping is "
        "free, or the least that a seller sends would not be reached."
    )


def on_purpose(order: StageOrder) -> bool:
    """Whether a whole unit of something could be left away and nothing would be missing."""
    if order.found.order is None:
        return False
    basket, units = order.shop.basket, order.found.order.units
    have = covered(basket, units)
    return any(
        many and all(have[need] - each >= basket.needs[need] for need, each in lot.gives)
        for lot, many in zip(basket.lots, units, strict=True)
    )


def alone_text(order: StageOrder, alone: OneByOne, currency: str) -> str:
    """What it would cost to buy each thing where it is cheapest by itself."""
    landed = order.found.order
    if landed is None or not landed.shares:
        return why_not_proved(order.found)
    proved = why_not_proved(order.found)
    end = f" This order is {proved}." if proved else ""
    if alone.order is None:
        return (
            "Each thing where it is cheapest by itself would be no order: a seller would not send so little, or does "
            f"not have enough.{end}"
        )
    more = alone.order.cost - landed.cost
    written = sum((one.cost for one in order.written), NOTHING)
    whole = sum_text(alone.order.cost + written, currency)
    if more <= 0:
        return f"Each thing bought where it is cheapest by itself comes to the same.{end}"
    return (
        f"Each thing bought where it is cheapest by itself would come to {whole} with shipping, in "
        f"{alone.order.parcels} parcels: this order saves {sum_text(more, currency, left=True)}.{end}"
    )


def budget_text(ordered: Ordered, order: StageOrder) -> str:
    """What the order leaves of the budget of its stage."""
    means = means_of(ordered.look, order.stage) if order.stage is not None and order.possible else None
    if means is None or means.currency != ordered.currency:
        return ""
    left = means.left - order.cost
    there = sum_text(means.left, means.currency, left=True)
    least = at_least([order])
    if left < 0:
        return f"There is {there} for it: that is {least}{sum_text(-left, means.currency)} too little."
    most = "at most " if least else ""
    return f"There is {there} for it: it leaves {most}{sum_text(left, means.currency, left=True)}."
