"""What stages cost: in: a look at a rack with a budget, out: for each stage its bill, and the money there is for it.

What sellers sell is counted as the cheapest order brings it: whole packs and shipping with it. What nobody here sells
is counted as priced where it is written down. Where no seller is known, that is all there is. What nobody priced is
named and not counted: the sum is then "at least". What packs of one stage hold too much serves the next one.
"""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from rackspec.findings import Place
from rackspec.language.bound import GUESSED
from rackspec.model.known import KnownMoney
from rackspec.rules.exchange import currency_for, rate
from rackspec.rules.money import budget_of, in_currency, items_of
from rackspec.rules.registry import Look

NOTHING = Fraction(0)


class Line(NamedTuple):
    """So many of a thing, and what they cost together (None: nobody wrote it). ``price`` is the one that was counted;
    ``seller`` is empty where it is the one written with the thing. ``spoiled``: the price may be on a line that was not
    understood."""

    part: str
    pieces: int
    cost: Fraction | None
    price: KnownMoney | None
    place: Place
    seller: str
    spoiled: bool = False


class Bill(NamedTuple):
    """What a stage costs.

    ``spare``: how much of it is for pieces that packs hold beyond the need. ``shipping`` and from whom it comes.
    ``least``: no order is cheaper (less than ``total`` where the search was given up). ``open``: what is not in the
    sum, beside lines without a cost. ``ways``: combinations of rails that were held against each other.
    """

    stage: int
    currency: str
    lines: tuple[Line, ...]
    spare: Fraction
    shipping: Fraction
    sellers: tuple[str, ...]
    least: Fraction
    open: tuple[str, ...]
    ways: int = 1

    @property
    def known(self) -> tuple[Line, ...]:
        """The lines that are in the sum."""
        return tuple(line for line in self.lines if line.cost is not None)

    @property
    def unpriced(self) -> tuple[Line, ...]:
        """The lines that are not."""
        return tuple(line for line in self.lines if line.cost is None)

    @property
    def total(self) -> Fraction:
        """Goods and shipping."""
        return sum((line.cost for line in self.lines if line.cost is not None), self.shipping)

    @property
    def guessed(self) -> Fraction:
        """How much of it is guessed."""
        return sum((cost_of(line) for line in self.known if is_guessed(line)), NOTHING)

    @property
    def proved(self) -> bool:
        """Whether no order is cheaper."""
        return self.least == self.total

    @property
    def at_least(self) -> bool:
        """Whether something is not in the sum."""
        return bool(self.unpriced or self.open)


class Means(NamedTuple):
    """The money there is for a stage: its budget, what is given for it and spent on it already. ``unsure``: some of
    that is in a money without a stated rate: gifts are then left out, and what is spent is not known whole."""

    budget: Fraction
    gifts: Fraction
    spent: Fraction
    currency: str
    place: Place
    unsure: bool

    @property
    def left(self) -> Fraction:
        """What there is to spend; below zero where too much is spent already."""
        return self.budget + self.gifts - self.spent


def cost_of(line: Line) -> Fraction:
    """What a line costs; nothing where nobody wrote it."""
    return line.cost if line.cost is not None else NOTHING


def is_guessed(line: Line) -> bool:
    """Whether the price of a line is a guess."""
    return line.price is not None and line.price.evidence.level == GUESSED


def means_of(look: Look, stage: int) -> Means | None:
    """The money for a stage; None where it has no budget."""
    budget = budget_of(look.rack, stage)
    if budget is None:
        return None
    value, currency, place = budget
    sums, unsure = [NOTHING, NOTHING], False
    for position, purses in enumerate((look.rack.gifts, look.rack.spent)):
        for purse in purses:
            if purse.stage == stage:
                worth = rate(look.house, purse.money.money.currency, currency)
                unsure = unsure or (worth is None and position == 1)
                sums[position] += purse.money.money.value * (worth or 0)
    return Means(value, sums[0], sums[1], currency, place, unsure)


def bills(look: Look) -> tuple[Bill, ...]:
    """The bill of each stage up to the last one that has a budget; worked out once."""
    if "bills" not in look.memory:
        budgeted = [stage for stage in range(len(look.rack.stages)) if budget_of(look.rack, stage) is not None]
        last = budgeted[-1] + 1 if budgeted else 0
        if look.rack.sellers and last:
            from rackspec.rules.landed import cheapest_bills  # racks without sellers never need it

            look.memory["bills"] = cheapest_bills(look, last)
        else:
            look.memory["bills"] = tuple(bill_of_items(look, stage) for stage in range(last))
    found: tuple[Bill, ...] = look.memory["bills"]
    return found


def bill_of_items(look: Look, stage: int) -> Bill:
    """A stage as priced where things are described, where no seller is known."""
    currency = currency_at(look, stage)
    lines = tuple(
        Line(item.part, item.pieces, in_currency(look, item, currency), item.price, item.place, "", item.spoiled)
        for item in items_of(look.rack)
        if item.stage == stage
    )
    total = sum((cost_of(line) for line in lines), NOTHING)
    return Bill(stage, currency, lines, NOTHING, NOTHING, (), total, ())


def currency_at(look: Look, stage: int) -> str:
    """The money that a stage is counted in."""
    budget = budget_of(look.rack, stage)
    return budget[1] if budget is not None else currency_for(look)


def whole(look: Look) -> bool:
    """Whether every line of a rack, of what it needs and of its sellers was understood: else what it would have to buy
    follows from a slip that is told already."""
    rack = look.rack
    spoiled = [rack.spoiled, *(seller.spoiled for seller in rack.sellers), *(wish.spoiled for wish in rack.wishes)]
    spoiled += [bus.spoiled for bus in rack.buses] + [feed.supply.spoiled for feed in rack.feeds]
    for row in rack.rows:
        spoiled.append(row.spoiled)
        spoiled += [panel.part.spoiled for panel in row.panels if panel.part is not None]
        spoiled += [one.spoiled for choice in row.choices for one in (choice.rail, choice.insert) if one is not None]
    return not any(spoiled) and (rack.case is None or not rack.case.spoiled)
