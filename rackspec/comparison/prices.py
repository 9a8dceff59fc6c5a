"""Prices of two racks: in: a rack of each side, out: what is to be bought for each stage, and in all."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from rackspec.comparison.gaps import Seen
from rackspec.comparison.moments import Moment
from rackspec.comparison.record import PRICE, Figure
from rackspec.comparison.renames import AS_IT_IS, Calls
from rackspec.comparison.values import AT_LEAST, NOT_KNOWN, Value, figure, together
from rackspec.rules.money import in_currency, items_of
from rackspec.rules.registry import Look

IN_ALL = "price in all"
END = Moment("", None, None, True)


def price_figures(old: Seen, new: Seen, calls: Calls, times: list[Moment]) -> Iterator[Figure]:
    """What is to be bought for each stage, and in all. ``calls`` is how parts and wishes are called."""
    currencies = {currency_of(old), currency_of(new)} - {""}
    if len(currencies) != 1:
        return  # there is no price, or the house reckons in another money now
    currency = currencies.pop()
    rack = new.rack.name
    (before, rest), (after, new_rest) = _prices(old, currency, calls), _prices(new, currency, AS_IT_IS)
    for time in times:
        if time.old is not None and time.new is not None and time.stage in ("", *(s.name for s in new.rack.stages)):
            values = before[time.old], after[time.new]
        elif time.old is None and time.new is not None:
            values = rest, after[time.new]
        elif time.old is not None and time.new is None:
            values = before[time.old], new_rest
        else:
            continue
        yield figure(PRICE, rack, rack, "price", time._replace(last=False), currency, values, False)
    totals = together(before, AT_LEAST), together(after, AT_LEAST)
    yield figure(PRICE, rack, rack, IN_ALL, END, currency, totals, False)


def lone_price(seen: Seen, is_new: bool, unsure: bool) -> Iterator[Figure]:
    """What a rack that is on one side only adds to what is to be bought, or takes from it. ``unsure``: it may be there
    on the other side too, among lines that were not understood."""
    currency = currency_of(seen)
    if not currency:
        return
    total = together(_prices(seen, currency, AS_IT_IS)[0], AT_LEAST)
    other = NOT_KNOWN if unsure else Value(Fraction(0))
    name = seen.rack.name
    values = (other, total) if is_new else (total, other)
    yield figure(PRICE, name, name, IN_ALL, END, currency, values, False)


def currency_of(seen: Seen) -> str:
    """The currency in which a rack is reckoned: the house's, else that of its budget, else that of its first price."""
    if seen.inspected.house.currency:
        return seen.inspected.house.currency
    if seen.rack.budget is not None:
        return seen.rack.budget.money.currency
    return next((item.price.money.currency for item in items_of(seen.rack) if item.price is not None), "")


def _prices(seen: Seen, currency: str, calls: Calls) -> tuple[list[Value], Value]:
    """What is to be bought, stage by stage; and for a stage that the side does not have."""
    look = Look(seen.rack, seen.inspected.house, {})
    size = len(seen.rack.stages)
    totals = [Fraction(0)] * size
    unknown: list[set[str]] = [set(seen.gaps.lines()) for _ in totals]
    for item in items_of(seen.rack):
        cost = in_currency(look, item, currency)
        if cost is None:
            unknown[item.stage].add(calls.of(item.part))
        else:
            totals[item.stage] += cost
    anywhen = {calls.of(name) for name, since in not_found(seen) if since is None}
    for name, since in not_found(seen):
        for stage in range(size) if since is None else (since,):
            unknown[stage].add(calls.of(name))
    values = [
        Value(total, AT_LEAST if missing else "", frozenset(missing))
        for total, missing in zip(totals, unknown, strict=True)
    ]
    rest = frozenset(anywhen) | seen.gaps.lines()
    return values, Value(Fraction(0), AT_LEAST if rest else "", rest)


def not_found(seen: Seen) -> list[tuple[str, int | None]]:
    """Parts that are to be bought and nobody can find, each with its stage; what is there already is not bought."""
    left: dict[str, int] = {}
    for have in seen.rack.have:
        left[have.part] = left.get(have.part, 0) + have.pieces
    found = []
    for one in (*seen.gaps.rails, *sorted(seen.gaps.missing, key=lambda one: one.since or 0)):
        pieces = 2 if one in seen.gaps.rails else 1
        if not one.part:
            continue
        if left.get(one.part, 0) >= pieces:
            left[one.part] -= pieces
        else:
            found.append((one.part, one.since))
    return found + [(name, 0) for name in lost_sources(seen)]


def lost_sources(seen: Seen) -> list[str]:
    """Supplies beside the rows that rows and busses hang on and that nobody can find; where a supply is found, a name
    that is not found is taken to be no second one."""
    if seen.rack.feeds or any(panel.what == "supply" for panel in seen.rack.panels()):
        return []
    placed = {one.thing for one in seen.gaps.missing} | {panel.name for panel in seen.rack.panels()}
    buses = {bus.name for bus in seen.rack.buses}
    sources = [bus.source for bus in seen.rack.buses] + [row.power for row in seen.rack.rows]
    return [name for name in dict.fromkeys(sources) if name and name not in placed | buses]
