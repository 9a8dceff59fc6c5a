"""Prices as written: in: a rack, out: what is to be bought for each stage, what it costs, and the budget of a stage.

What is counted here: panels, wishes, rails and strips, as priced in the library. Screws, nuts and shipping are not:
``rules/bills.py`` counts them where a seller is known.
"""

from fractions import Fraction
from typing import NamedTuple

from rackspec.findings import Place
from rackspec.language.currencies import sum_text
from rackspec.model.known import KnownMoney
from rackspec.model.rack import Rack
from rackspec.rules.exchange import rate
from rackspec.rules.registry import Look

__all__ = ["Item", "budget_of", "in_currency", "items_of", "sum_text"]


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
    worth = rate(look.house, item.price.money.currency, currency)
    return item.price.money.value * item.pieces * worth if worth is not None else None
