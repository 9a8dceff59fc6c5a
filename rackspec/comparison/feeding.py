"""Power of two racks: in: a rack of each side, out: what each supply gives, what is drawn from it, what is left."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from rackspec.comparison.gaps import Seen
from rackspec.comparison.moments import Moment
from rackspec.comparison.pairs import pair_up
from rackspec.comparison.record import POWER, Figure
from rackspec.comparison.renames import AS_IT_IS, Calls
from rackspec.comparison.rooms import missing_in
from rackspec.comparison.values import ABSENT, AT_LEAST, AT_MOST, NOT_KNOWN, Value, figure
from rackspec.language.quantity import show
from rackspec.model.parts import PanelPart
from rackspec.model.rack import Feed, Panel, Rack
from rackspec.physics.currents import load_on
from rackspec.rules.loads import consumers_at
from rackspec.rules.registry import Look

FeedPairs = list[tuple[Feed | None, Feed | None]]
"""The supplies of both sides; None where a side has none."""

WHAT_OF_POWER = (("spare on", True), ("spare on at the worst", True), ("drawn on", None), ("given on", None))
Key = tuple[Fraction, str]


def power_figures(
    old: Seen | None, new: Seen | None, feeds: FeedPairs, calls: Calls, times: list[Moment]
) -> Iterator[Figure]:
    """What each supply has to spare on each voltage at each time, nominally and at the worst, and what is drawn."""
    side = new or old
    assert side is not None
    for one, other in feeds:
        feed = other or one
        assert feed is not None
        owner = new if other is not None else old
        assert owner is not None
        about = owner.rack.full(feed.name)
        for time in times:
            alone = one is None or other is None
            if (alone and not time.last) or (not alone and (time.old is None or time.new is None)):
                continue
            before, after = _feed(old, one, time.old or 0, calls), _feed(new, other, time.new or 0, AS_IT_IS)
            name = feed.name if other is not None else calls.of(feed.name)
            rests = (
                _without(old, one, name, feed.supply.name, calls),
                _without(new, other, name, feed.supply.name, AS_IT_IS),
            )
            for what, more in WHAT_OF_POWER:
                for voltage in sorted({v for v, w in (*before, *after) if w == what}, reverse=True):
                    text = what.replace("on", f"on {show(voltage, 'voltage')}", 1)
                    values = before.get((voltage, what), rests[0]), after.get((voltage, what), rests[1])
                    yield figure(POWER, side.rack.name, about, text, time, "mA", values, more)


def _without(seen: Seen | None, feed: Feed | None, name: str, supply: str, calls: Calls) -> Value:
    """What a voltage comes to that a side does not have: nothing, or what nobody knows. ``name`` is what the new side
    calls the feed, ``supply`` its part."""
    if seen is None:
        return ABSENT
    if feed is not None:
        return NOT_KNOWN if feed.supply.spoiled or not feed.supply.gives else ABSENT
    named = {bus.source for bus in seen.rack.buses} | {row.power for row in seen.rack.rows} | seen.gaps.things()
    parts = {one.part for one in seen.gaps.missing}
    is_named = name in {calls.of(other) for other in named} or supply in parts
    return NOT_KNOWN if is_named or seen.gaps.lines() else ABSENT


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


def _feed(seen: Seen | None, feed: Feed | None, stage: int, calls: Calls) -> dict[Key, Value]:
    """What is drawn from a supply at a stage, and what it has to spare, by voltage."""
    if feed is None or seen is None:
        return {}
    look = Look(seen.rack, seen.inspected.house, {})
    consumers = consumers_at(look, feed, stage)
    left_out = not_counted(seen, feed, stage, calls)
    half_read = [panel for panel in _spoiled(seen, feed, stage) if _part(panel).draws is not None]
    gives = {give.voltage: give.current for give in feed.supply.gives}
    drawn = {voltage for consumer in consumers for voltage in consumer.draws or ()}
    values: dict[Key, Value] = {}
    for voltage in {*gives, *drawn}:
        load = load_on(voltage, consumers, look.house)
        unsaid = {
            calls.of(panel.name)
            for panel in half_read
            if voltage not in {draw.voltage for draw in _part(panel).draws or ()}
        }
        unknown = left_out | unsaid | {calls.of(thing) for thing in load.unknown}
        wide = {consumer.name for consumer in consumers if consumer.width is not None}
        at_worst = left_out | unsaid | {calls.of(thing) for thing in load.unknown if thing not in wide}
        values[voltage, "drawn on"] = Value(load.nominal, AT_LEAST if unknown else "", unknown)
        if voltage in gives:
            rated = gives[voltage]
            values[voltage, "given on"] = Value(rated.value)
            values[voltage, "spare on"] = Value(rated.value - load.nominal, AT_MOST if unknown else "", unknown)
            worst = rated.low - load.worst
            values[voltage, "spare on at the worst"] = Value(worst, AT_MOST if at_worst else "", unknown)
    return values


def not_counted(seen: Seen, feed: Feed, stage: int, calls: Calls) -> frozenset[str]:
    """What draws from a supply at a stage, or may do so, and is left out of its sum: panels whose part is not found or
    of which no draw was understood, and lines that were not understood."""
    names = {calls.of(panel.name) for panel in _spoiled(seen, feed, stage) if _part(panel).draws is None}
    for row in (*feed.rows, *seen.rack.unfed):
        names |= missing_in(row, stage, calls, seen.gaps)
    fed = {row.name for one in seen.rack.feeds for row in one.rows}
    for row in seen.rack.rows:  # what feeds it is named and not found: it may be this one
        if row.name not in fed and row.power:
            names |= {calls.of(panel.name) for panel in row.at(stage) if panel.what == "module"}
            names |= missing_in(row, stage, calls, seen.gaps)
    return seen.gaps.whole | names


def _spoiled(seen: Seen, feed: Feed, stage: int) -> list[Panel]:
    """The modules that a supply feeds, or may feed, of which some lines were not understood."""
    rows = (*feed.rows, *seen.rack.unfed)
    panels = (panel for row in rows for panel in row.at(stage) if panel.what == "module")
    return [panel for panel in panels if panel.part is not None and panel.part.spoiled]


def _part(panel: Panel) -> PanelPart:
    assert panel.part is not None
    return panel.part
