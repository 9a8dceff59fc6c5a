"""Room in money: in: a rack, out: what a HP of its rows costs; whether a longer row now is cheaper than one later."""

from collections.abc import Iterator
from fractions import Fraction

from rackspec.language.currencies import sum_text
from rackspec.language.quantity import show_hp
from rackspec.language.units import HP
from rackspec.rules.stages import runs_at
from rackspec.solve.room_in_money import Cost, Longer, RoomInMoney, RowCost, room_in_money
from rackspec.views.document import Block, Heading, Paragraph, Points, Table
from rackspec.views.reported import Reported
from rackspec.views.text import counted


def room(reported: Reported) -> Iterator[Block]:
    """What room costs; nothing where no seller is known, or no row has rails of a known length."""
    found = room_in_money(reported.look, reported.rails)
    if not found.rows:
        return
    yield Heading(3, "What room costs")
    yield Paragraph(
        "Rails, strips, end screws and washers of each row, as if they were ordered for themselves today: goods in "
        "whole packs, and shipping. Nuts and screws of panels are not in it, nor side pieces, supply and busses."
        + (
            " A row with rails to choose from stands here on the first that do; 'rackspec order' may choose others."
            if any(len(one.row.choices) > 1 for one in found.rows)
            else ""
        )
    )
    rows = tuple(row_line(reported, found, one) for one in found.rows)
    yield Table(
        ("row", "rails", "long", "costs", "a HP", "free at the end", "that cost"), rows, frozenset((2, 3, 4, 5))
    )
    costs = [*(one.alone for one in found.rows), *(one.cost for one in found.longer)]
    if any(cost.bare for cost in costs):
        yield Paragraph("End screws are left out where it is not known which ones they will be.")
    yield from reasons([(f"row {one.row.name}", one.alone) for one in found.rows])
    yield from longer_or_later(found)


def reasons(costs: list[tuple[str, Cost]]) -> Iterator[Block]:
    """Why something has no cost."""
    told = tuple(f"{name} has no cost: {cost.why}" for name, cost in costs if cost.cost is None)
    if told:
        yield Points(tuple(dict.fromkeys(told)))


def a_hp(cost: Fraction, length: Fraction, currency: str) -> str:
    """What one HP costs."""
    return sum_text(cost / (length / HP), currency) if length else ""


def row_line(reported: Reported, found: RoomInMoney, one: RowCost) -> tuple[str, ...]:
    """A row of the first table."""
    last = reported.stages[-1]
    free = sum((end - start for start, end in runs_at(one.row, last)), Fraction(0))
    rails = f"{one.rail} with {one.insert}" if one.insert else one.rail
    if one.alone.cost is None:
        return (one.row.name, rails, show_hp(one.length), "not known", "", show_hp(free), "")
    return (
        one.row.name,
        rails,
        show_hp(one.length),
        sum_text(one.alone.cost, found.currency),
        a_hp(one.alone.cost, one.length, found.currency),
        show_hp(free),
        sum_text(one.alone.cost * free / one.length, found.currency),
    )


def longer_or_later(found: RoomInMoney) -> Iterator[Block]:
    """A longer row now against another one later."""
    lines = [line for one in found.rows for line in row_options(found, one)]
    if not any(line[1] != LATER for line in lines):
        return
    yield Heading(3, "A longer row now, or another one later")
    yield Paragraph(
        "Longer: what longer rails cost more than the planned ones, with everything that the panels are screwed on "
        "with, as far as it is not there yet. Later: another row on the same rails, in an order of its own; nuts and "
        "screws of its panels come on top. Only prices that are stated or measured count. A longer row wants a wider "
        "case, another row a higher one: neither is in these sums."
    )
    yield Table(("row", "way", "rails", "more room", "costs", "a HP"), tuple(lines), frozenset((3, 4, 5)))
    yield from reasons([(f"{one.rail} in row {one.row.name}", one.cost) for one in found.longer])
    for one in found.rows:
        verdict = verdict_of(found, one)
        if verdict:
            yield Paragraph(verdict)


LONGER, LATER = "longer now", "another later"


def row_options(found: RoomInMoney, one: RowCost) -> Iterator[tuple[str, ...]]:
    """The ways to more room beside one row."""
    for longer in found.longer:
        if longer.row is one.row:
            yield (
                one.row.name,
                LONGER,
                longer.rail,
                show_hp(longer.more),
                *cost_words(found, longer.cost, longer.more),
            )
    yield (one.row.name, LATER, one.rail, show_hp(one.length), *cost_words(found, one.alone, one.length))


def cost_words(found: RoomInMoney, cost: Cost, length: Fraction) -> tuple[str, str]:
    """What something costs, and what a HP of it does."""
    if cost.cost is None:
        return "not known", ""
    return sum_text(cost.cost, found.currency), a_hp(cost.cost, length, found.currency)


def verdict_of(found: RoomInMoney, one: RowCost) -> str:
    """Which way is cheaper, in a sentence; nothing where that cannot be said."""
    priced = [longer for longer in found.longer if longer.row is one.row and longer.cost.cost is not None]
    if not priced or one.alone.cost is None:
        return ""
    best = min(priced, key=price_a_hp)
    cost = best.cost.cost
    assert cost is not None
    more = f"{show_hp(best.more)} more in row '{one.row.name}' now"
    longer = f"{more} cost {sum_text(cost, found.currency)}" if cost > 0 else f"{more} cost nothing"
    if cost < 0:
        longer = f"{more}, on '{best.rail}', even save {sum_text(-cost, found.currency, left=True)}"
    later = f"another row of {show_hp(one.length)} later costs {sum_text(one.alone.cost, found.currency)}"
    parcels = f" and {counted(one.alone.parcels, 'parcel')}" if one.alone.parcels else ""
    if cost <= one.alone.cost:
        each = price_a_hp(best) <= one.alone.cost / one.length
        tail = (
            "the longer row is cheaper, and so is each HP of it"
            if each
            else f"the longer row is cheaper as long as {show_hp(best.more)} are enough"
        )
        return f"{longer}, {later}{parcels}: {tail}."
    return f"{longer}, {later}{parcels}: another row later is cheaper, and gives more room."


def price_a_hp(one: Longer) -> Fraction:
    """What one mm more costs."""
    return (one.cost.cost or Fraction(0)) / one.more
