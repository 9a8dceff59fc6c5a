"""Numbers of two racks: in: a rack of each side, out: its room, current, price and margins, old and new.

What is not known is never held against anything: a sum that lacked something and lacks it no longer has not grown, it
is known now.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from rackspec.comparison.moments import Moment, moments
from rackspec.comparison.pairs import pair_up
from rackspec.comparison.record import MARGIN, POWER, PRICE, ROOM, Figure
from rackspec.comparison.renames import AS_IT_IS, Calls
from rackspec.language.quantity import show
from rackspec.model.rack import Feed, Rack, Row
from rackspec.physics.currents import Load, load_on
from rackspec.physics.margin import Margin
from rackspec.pipeline import Inspected
from rackspec.rules.loads import consumers_at
from rackspec.rules.money import in_currency, items_of
from rackspec.rules.registry import Look
from rackspec.rules.stages import certain, runs_at, taken_at

AT_LEAST, AT_MOST = "at least", "at most"
NOTHING: frozenset[str] = frozenset()


class Value(NamedTuple):
    """A number of one side (None: it has none), whether something in it is not known, and of what."""

    value: Fraction | None
    bound: str = ""
    unknown: frozenset[str] = NOTHING


NO_VALUE = Value(None)

FeedPairs = list[tuple[Feed | None, Feed | None]]
"""The supplies of both sides; None where a side has none."""


def figure(
    kind: str, rack: str, about: str, what: str, time: Moment, unit: str, values: tuple[Value, Value], more: bool | None
) -> Figure:
    """A number of both sides. ``more``: whether more of it is better."""
    old, new = values
    sure = True
    if old.value is not None and new.value is not None and old.value != new.value and more is not None:
        for_the_better = (new.value > old.value) == more
        # what is unknown can only make it worse: worse is sure if nothing of that is known now, and the other way round
        sure = new.unknown <= old.unknown if for_the_better else old.unknown <= new.unknown
    bounds = (old.bound, new.bound)
    return Figure(kind, rack, about, what, time.stage, time.last, unit, old.value, new.value, bounds, more, sure)


def figures_of(old: Inspected, new: Inspected, inside: Calls, library: Calls) -> list[Figure]:
    """All numbers of a rack that are others on the new side. ``inside`` and ``library`` are how the new side calls
    things of the old rack and parts."""
    times = moments(old.rack, new.rack, inside)
    wishes = Calls({f"wish {one}": f"wish {other}" for one, other in inside.names.items()})
    feeds = feed_pairs(old.rack, new.rack, inside.also(library.names))
    found = [
        *room_figures(old.rack, new.rack, inside, times),
        *power_figures(old, new, feeds, inside, times),
        *price_figures(old, new, library.also(wishes.names), times),
        *margin_figures(old, new, feeds, inside),
    ]
    return [one for one in found if one.old != one.new or one.bound[0] != one.bound[1]]


def room_figures(old: Rack, new: Rack, calls: Calls, times: list[Moment]) -> Iterator[Figure]:
    """Length, taken and free width, and longest free run of each row, at each time."""
    ours = {calls.of(row.name): row for row in old.rows}
    theirs = {row.name: row for row in new.rows}
    if ours.keys() != theirs.keys():
        yield from all_rows(old, new, calls, next(time for time in times if time.last))
    for name in dict.fromkeys((*theirs, *ours)):
        one, other = ours.get(name), theirs.get(name)
        about = new.full(name) if other is not None else old.full(one.name if one is not None else name)
        end = next(time for time in times if time.last)
        lengths = [Value(row.length.value if row is not None and row.length else None) for row in (one, other)]
        yield figure(ROOM, new.name, about, "length", end._replace(stage=""), "HP", (lengths[0], lengths[1]), None)
        for time in times:
            if time.old is None or time.new is None or ((one is None or other is None) and not time.last):
                continue
            before, after = _row(one, time.old, calls), _row(other, time.new, AS_IT_IS)
            for what, more in (("taken", None), ("free", True), ("longest free run", True)):
                yield figure(ROOM, new.name, about, what, time, "HP", (before[what], after[what]), more)


def all_rows(old: Rack, new: Rack, calls: Calls, time: Moment) -> Iterator[Figure]:
    """Room over all rows together, where there is a row on one side only."""
    before = [_row(row, time.old or 0, calls) for row in old.rows]
    after = [_row(row, time.new or 0, AS_IT_IS) for row in new.rows]
    values = tuple(together([row["free"] for row in rows], AT_MOST) for rows in (before, after))
    yield figure(ROOM, new.name, new.name, "free", time, "HP", (values[0], values[1]), True)
    runs = [
        max((row["longest free run"] for row in rows), key=lambda run: run.value or 0, default=NO_VALUE)
        for rows in (before, after)
    ]
    yield figure(ROOM, new.name, new.name, "longest free run", time, "HP", (runs[0], runs[1]), True)


def _row(row: Row | None, stage: int, calls: Calls) -> dict[str, Value]:
    """What a row holds at a stage."""
    if row is None:
        return dict.fromkeys(("taken", "free", "longest free run"), NO_VALUE)
    taken = taken_at(row, stage)
    unknown = frozenset(calls.of(panel.name) for panel in taken.unknown)
    unsure = frozenset(calls.of(panel.name) for panel in row.at(stage) if panel.start is None or panel.width is None)
    values = {"taken": Value(taken.nominal, AT_LEAST if unknown or row.spoiled else "", unknown)}
    if row.length is None:
        return {**values, "free": NO_VALUE, "longest free run": NO_VALUE}
    longest = max((end - start for start, end in runs_at(row, stage)), default=Fraction(0))
    values["free"] = Value(row.length.value - taken.nominal, AT_MOST if unknown or row.spoiled else "", unknown)
    values["longest free run"] = Value(longest, "" if certain(row, stage) else AT_MOST, unsure)
    return values


def power_figures(
    old: Inspected, new: Inspected, feeds: FeedPairs, calls: Calls, times: list[Moment]
) -> Iterator[Figure]:
    """What each supply has to spare on each voltage at each time, nominally and at the worst, and what is drawn."""
    looks = Look(old.rack, old.house, {}), Look(new.rack, new.house, {})
    for one, other in feeds:
        about = new.rack.full(other.name) if other is not None else old.rack.full(one.name if one is not None else "")
        for time in times:
            if time.old is None or time.new is None or ((one is None or other is None) and not time.last):
                continue
            before, after = _feed(looks[0], one, time.old, calls), _feed(looks[1], other, time.new, AS_IT_IS)
            for what, more in WHAT_OF_POWER:
                for voltage in sorted({v for v, w in (*before, *after) if w == what}, reverse=True):
                    text = what.replace("on", f"on {show(voltage, 'voltage')}", 1)
                    values = before.get((voltage, what), NO_VALUE), after.get((voltage, what), NO_VALUE)
                    yield figure(POWER, new.rack.name, about, text, time, "mA", values, more)


def feed_pairs(old: Rack, new: Rack, calls: Calls) -> FeedPairs:
    """Which supply is which: by name, by the rows that hang on it, or because there is no other one."""
    pairs, left, left_new = pair_up(
        [(calls.of(feed.name), _fed(feed, calls), feed) for feed in old.feeds],
        [(feed.name, _fed(feed, AS_IT_IS), feed) for feed in new.feeds],
        lambda item: item[0],
        lambda item: item[1] or None,
    )
    if len(left) == len(left_new) == 1:  # the one has taken the place of the other
        pairs, left, left_new = [*pairs, (left[0], left_new[0])], [], []
    both: FeedPairs = [(one[2], other[2]) for one, other in pairs]
    return [*both, *((item[2], None) for item in left), *((None, item[2]) for item in left_new)]


def _fed(feed: Feed, calls: Calls) -> tuple[str, ...]:
    """The rows that hang on a supply: one of another name that feeds the same rows has taken its place."""
    return tuple(sorted(calls.of(row.name) for row in feed.rows))


WHAT_OF_POWER = (("spare on", True), ("spare on at the worst", True), ("drawn on", None), ("given on", None))


def _feed(look: Look, feed: Feed | None, stage: int, calls: Calls) -> dict[tuple[Fraction, str], Value]:
    """What is drawn from a supply at a stage, and what it has to spare, by voltage."""
    if feed is None:
        return {}
    consumers = consumers_at(look, feed, stage)
    gives = {give.voltage: give.current for give in feed.supply.gives}
    drawn = {voltage for consumer in consumers for voltage in consumer.draws or ()}
    values: dict[tuple[Fraction, str], Value] = {}
    for voltage in {*gives, *drawn}:
        load: Load = load_on(voltage, consumers, look.house)
        unknown = frozenset(calls.of(thing) for thing in load.unknown)
        values[voltage, "drawn on"] = Value(load.nominal, AT_LEAST if unknown else "", unknown)
        if voltage in gives:
            rated = gives[voltage]
            values[voltage, "given on"] = Value(rated.value)
            values[voltage, "spare on"] = Value(rated.value - load.nominal, AT_MOST if unknown else "", unknown)
            values[voltage, "spare on at the worst"] = Value(rated.low - load.worst)
    return values


def price_figures(old: Inspected, new: Inspected, calls: Calls, times: list[Moment]) -> Iterator[Figure]:
    """What is to be bought for each stage, and in all."""
    currencies = {currency_of(old), currency_of(new)} - {""}
    if len(currencies) != 1:
        return  # there is no price, or the house reckons in another money now
    currency = currencies.pop()
    rack = new.rack.name
    before, after = _prices(old, currency, calls), _prices(new, currency, AS_IT_IS)
    for time in times:
        if time.old is not None and time.new is not None and time.stage in ("", *(s.name for s in new.rack.stages)):
            values = before[time.old], after[time.new]
        elif time.old is None and time.new is not None:
            values = Value(Fraction(0)), after[time.new]
        elif time.old is not None and time.new is None:
            values = before[time.old], Value(Fraction(0))
        else:
            continue
        yield figure(PRICE, rack, rack, "price", time._replace(last=False), currency, values, False)
    totals = together(before), together(after)
    yield figure(PRICE, rack, rack, "price in all", Moment("", None, None, True), currency, totals, False)


def lone_price(seen: Inspected, is_new: bool) -> list[Figure]:
    """What a rack that is on one side only adds to what is to be bought, or takes from it."""
    currency = currency_of(seen)
    if not currency:
        return []
    total, nothing = together(_prices(seen, currency, AS_IT_IS)), Value(Fraction(0))
    end = Moment("", None, None, True)
    name = seen.rack.name
    values = (nothing, total) if is_new else (total, nothing)
    found = figure(PRICE, name, name, "price in all", end, currency, values, False)
    return [found] if found.old != found.new or found.bound[0] != found.bound[1] else []


def together(values: list[Value], bound: str = AT_LEAST) -> Value:
    """A sum of numbers; with ``bound``, if something in it is not known."""
    unknown = frozenset(name for value in values for name in value.unknown)
    total = sum((value.value for value in values if value.value is not None), Fraction(0))
    return Value(total, bound if unknown else "", unknown)


def currency_of(seen: Inspected) -> str:
    """The currency in which a rack is reckoned: the house's, else that of its budget, else that of its first price."""
    if seen.house.currency:
        return seen.house.currency
    if seen.rack.budget is not None:
        return seen.rack.budget.money.currency
    return next((item.price.money.currency for item in items_of(seen.rack) if item.price is not None), "")


def _prices(seen: Inspected, currency: str, calls: Calls) -> list[Value]:
    """What is to be bought, stage by stage."""
    look = Look(seen.rack, seen.house, {})
    totals = [Fraction(0)] * len(seen.rack.stages)
    unknown: list[set[str]] = [set() for _ in totals]
    for item in items_of(seen.rack):
        cost = in_currency(look, item, currency)
        if cost is None:
            unknown[item.stage].add(calls.of(item.part))
        else:
            totals[item.stage] += cost
    return [
        Value(total, AT_LEAST if missing else "", frozenset(missing))
        for total, missing in zip(totals, unknown, strict=True)
    ]


def margin_figures(old: Inspected, new: Inspected, feeds: FeedPairs, calls: Calls) -> Iterator[Figure]:
    """What is left behind each panel, and of each adapter."""
    supplies = Calls({one.name: other.name for one, other in feeds if one is not None and other is not None})
    before, after = _margins(old, calls, supplies), _margins(new, AS_IT_IS, AS_IT_IS)
    end = Moment("", None, None, True)
    for key in dict.fromkeys((*after, *before)):
        one, other = before.get(key), after.get(key)
        about = new.rack.full(key[0]) if other is not None else old.rack.full(key[0].removeprefix("?"))
        chosen = other or one
        assert chosen is not None
        values = [Value(margin.margin if margin is not None else None) for margin in (one, other)]
        yield figure(MARGIN, new.rack.name, about, key[1], end, chosen.unit, (values[0], values[1]), True)


WHAT_OF_MARGINS = ("depth", "adapter")
"""Margins that no other figure says already."""


def _margins(seen: Inspected, calls: Calls, supplies: Calls) -> dict[tuple[str, str], Margin]:
    """The margins of a rack by the name of the thing and what they are about; the closest of several."""
    found: dict[tuple[str, str], Margin] = {}
    for margin in seen.margins:
        thing, _, what = margin.what.removeprefix(seen.rack.name + "/").partition(": ")
        word = what.replace(",", " ").split(" ", 1)[0]
        if word in WHAT_OF_MARGINS:
            key = (supplies.of(thing) if word == "adapter" else calls.of(thing), word)
            if key not in found or margin.margin < found[key].margin:
                found[key] = margin
    return found
