"""Margins of two racks: in: a rack of each side, out: what is left behind each panel, and of each adapter."""

from __future__ import annotations

from collections.abc import Iterator

from rackspec.comparison.feeding import FeedPairs, not_counted
from rackspec.comparison.gaps import Seen
from rackspec.comparison.prices import END
from rackspec.comparison.record import MARGIN, Figure
from rackspec.comparison.renames import AS_IT_IS, Calls
from rackspec.comparison.values import ABSENT, AT_MOST, NOT_KNOWN, Value, figure
from rackspec.physics.currents import load_on
from rackspec.physics.margin import Margin
from rackspec.rules.loads import consumers_at
from rackspec.rules.registry import Look

WHAT_OF_MARGINS = ("depth", "adapter")
"""Margins that no other figure says already."""

Key = tuple[str, str]


def margin_figures(old: Seen, new: Seen, feeds: FeedPairs, calls: Calls) -> Iterator[Figure]:
    """What is left behind each panel, and of each adapter."""
    supplies = Calls({one.name: other.name for one, other in feeds if one is not None and other is not None})
    before, after = _margins(old, calls, supplies), _margins(new, AS_IT_IS, AS_IT_IS)
    there = things(old, calls, supplies), things(new, AS_IT_IS, AS_IT_IS)
    for key in dict.fromkeys((*after, *before)):
        one, other = before.get(key), after.get(key)
        about = new.rack.full(key[0]) if other is not None else old.rack.full(key[0].removeprefix("?"))
        chosen = other or one
        assert chosen is not None
        values = [
            found[1] if found is not None else NOT_KNOWN if key in names else ABSENT
            for found, names in ((one, there[0]), (other, there[1]))
        ]
        yield figure(MARGIN, new.rack.name, about, key[1], END, chosen[0].unit, (values[0], values[1]), True)


def things(seen: Seen, calls: Calls, supplies: Calls) -> set[Key]:
    """What a side has that has a margin if enough is known of it."""
    panels = [panel.name for panel in seen.rack.panels() if panel.what in ("module", "supply")]
    found = {(calls.of(name), "depth") for name in (*panels, *seen.gaps.things())}
    named = {bus.source for bus in seen.rack.buses} | {row.power for row in seen.rack.rows}
    return found | {(supplies.of(name), "adapter") for name in {*named, *(feed.name for feed in seen.rack.feeds)}}


def _margins(seen: Seen, calls: Calls, supplies: Calls) -> dict[Key, tuple[Margin, Value]]:
    """The margins of a rack by the name of the thing and what they are about; the closest of several."""
    found: dict[Key, tuple[Margin, Value]] = {}
    for margin in seen.inspected.margins:
        thing, _, what = margin.what.removeprefix(seen.rack.name + "/").partition(": ")
        word = what.replace(",", " ").split(" ", 1)[0]
        if word in WHAT_OF_MARGINS:
            key = (supplies.of(thing) if word == "adapter" else calls.of(thing), word)
            if key not in found or margin.margin < found[key][0].margin:
                found[key] = margin, _value(seen, margin, thing, word, calls)
    return found


def _value(seen: Seen, margin: Margin, thing: str, word: str, calls: Calls) -> Value:
    """A margin with what in it was assumed, because nobody wrote it down."""
    assumed = margin.what.rpartition(", ")[2] if margin.what.endswith(" assumed") else ""
    unknown = frozenset(assumed.removesuffix(" assumed").split(" and ")) - {""}
    if word == "depth":
        return Value(margin.margin, "", unknown, assumed=True)
    stage = len(seen.rack.stages) - 1
    look = Look(seen.rack, seen.inspected.house, {})
    for feed in seen.rack.feeds:
        if feed.name == thing:
            consumers = consumers_at(look, feed, stage)
            left_out = not_counted(seen, feed, stage, calls)
            for give in feed.supply.gives:
                left_out |= {calls.of(name) for name in load_on(give.voltage, consumers, look.house).unknown}
            return Value(margin.margin, AT_MOST if left_out else "", unknown | left_out, assumed=True)
    return Value(margin.margin, "", unknown, assumed=True)
