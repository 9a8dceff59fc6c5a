"""Numbers of two racks: in: a rack of each side, out: its room, current, price and margins, old and new."""

from __future__ import annotations

from rackspec.comparison.feeding import FeedPairs, feed_pairs, power_figures
from rackspec.comparison.gaps import Seen
from rackspec.comparison.margins import margin_figures
from rackspec.comparison.moments import Moment, moments
from rackspec.comparison.prices import lone_price, price_figures
from rackspec.comparison.record import Figure
from rackspec.comparison.renames import AS_IT_IS, Calls
from rackspec.comparison.rooms import room_figures
from rackspec.comparison.values import is_told


def figures_of(old: Seen, new: Seen, inside: Calls, library: Calls) -> list[Figure]:
    """All numbers of a rack that are others on the new side. ``inside`` and ``library`` are how the new side calls
    things of the old rack and parts."""
    times = moments(old.rack, new.rack, inside)
    wishes = Calls({f"wish {one}": f"wish {other}" for one, other in inside.names.items()})
    feeds = feed_pairs(old.rack, new.rack, inside.also(library.names))
    found = [
        *room_figures(old, new, inside, times),
        *power_figures(old, new, feeds, inside, times),
        *price_figures(old, new, library.also(wishes.names), times),
        *margin_figures(old, new, feeds, inside),
    ]
    return [one for one in found if is_told(one)]


def lone_figures(seen: Seen, is_new: bool, unsure: bool) -> list[Figure]:
    """The numbers of a rack that is on one side only, with everything that is planned for it. ``unsure``: lines of the
    other side were not understood, and it may be among them."""
    last = len(seen.rack.stages) - 1
    times = [Moment(seen.rack.stages[last].name, last, last, True)]
    old, new = (None, seen) if is_new else (seen, None)
    feeds: FeedPairs = [(None, feed) if is_new else (feed, None) for feed in seen.rack.feeds]
    found = [
        *room_figures(old, new, AS_IT_IS, times),
        *power_figures(old, new, feeds, AS_IT_IS, times),
        *lone_price(seen, is_new, unsure),
    ]
    return [one for one in found if is_told(one)]
