"""The lightest ring that does not turn straight back: in: limits and hubs, out: the ring with the least room.

Every ring passes one of the hubs. From each hub in turn, with the hubs before it taken away, shortest walks go out and
come home by another pair than they left by. A place keeps more than one walk: as many as are needed so that whichever
pair a walk may not come home by, and whichever it may not turn back through, the shortest of the others is among them
(one, two or seldom up to five). Walks pass a place beside the hub once, which doubles the places, not the rings.

A walk may come to some other place twice. It then falls apart into rings, of which one has no more room than the whole,
unless one of them is a pair that is negative by itself: that is said (``Unsettled``), never guessed.
"""

from collections.abc import Hashable, Mapping, Sequence
from heapq import heapify, heappop, heappush
from typing import NamedTuple

from rackspec.physics.differences import (
    MOST_BRANCHES,
    Exact,
    Hub,
    Limit,
    Place,
    Ring,
    Sizes,
    Unsettled,
    at_both_ends,
    at_end,
    from_kept_places,
    negative_pairs,
    simple_rings,
)

NO_PAIR = -1


class _Label(NamedTuple):
    """A walk from the hub: its length, the pair it left by, the pair it may not turn back through, its last limit."""

    length: Exact
    origin: int
    last: int
    limit: int
    before: "_Label | None"
    steps: int


class _Graph:
    """Limits as arcs between numbered places, hubs last: things push each other on first."""

    def __init__(
        self,
        limits: Sequence[Limit],
        weights: Sequence[Exact],
        hubs: Sequence[Hub],
        negative: Mapping[Hashable, Hashable],
        spare: Mapping[Hashable, Exact],
    ) -> None:
        self.limits = limits
        self.negative = negative
        self.spare = spare
        last = {hub.place for hub in hubs if hub.within is None}
        numbers: dict[Place, int] = {}
        for late in (False, True):
            for limit in limits:
                for place in (limit.low, limit.high):
                    if (place in last) == late:
                        numbers.setdefault(place, len(numbers))
        self.numbers = numbers
        pairs: dict[Hashable, int] = {}
        self.out: list[list[tuple[int, Exact, int, bool, int]]] = [[] for _ in numbers]
        for number, (limit, weight) in enumerate(zip(limits, weights, strict=True)):
            pair = NO_PAIR if limit.pair is None else pairs.setdefault(limit.pair, len(pairs))
            arc = (numbers[limit.high], weight, pair, limit.pair in negative, number)
            self.out[numbers[limit.low]].append(arc)

    def walk_through(self, hub: Hub, gone: frozenset[Place], most: Exact | None) -> tuple[Exact, list[Limit]] | None:
        """The shortest walk from a hub back to it that comes home by another pair; None: there is none.

        ``most``: no walk of this length or more is looked for.
        """
        spare = self._still_to_gain(hub, gone)
        enough = None if most is None or spare is None else most + spare
        numbers = self.numbers
        if hub.place not in numbers:
            return None
        start = numbers[hub.place]
        closed = [False] * len(numbers)
        for place, number in numbers.items():
            closed[number] = place in gone or (hub.within is not None and place not in hub.within)
        beside = {numbers[place]: 1 << bit for bit, place in enumerate(hub.beside) if place in numbers}
        n = len(numbers)
        kept: list[list[_Label]] = [[] for _ in range(n << len(hub.beside))]
        fresh: dict[int, list[_Label]] = {}
        for high, weight, pair, bad, number in self.out[start]:
            if not closed[high] and high != start and (enough is None or weight < enough):
                label = _Label(weight, pair, pair if bad else NO_PAIR, number, None, 1)
                if _keep(kept[high], label):
                    fresh.setdefault(high, []).append(label)
        heap = list(fresh)
        heapify(heap)
        best: _Label | None = None
        too_long = len(kept) + (len(self.limits) << len(hub.beside))
        while heap:
            key = heappop(heap)
            labels = [label for label in fresh.pop(key) if any(label is other for other in kept[key])]
            layer, at = divmod(key, n)
            layer |= beside.get(at, 0)
            for high, weight, pair, bad, number in self.out[at]:
                if closed[high]:
                    continue
                if layer & beside.get(high, 0):
                    continue
                reached = layer * n + high
                for label in labels:
                    if pair != NO_PAIR and pair == label.last:
                        continue
                    length = label.length + weight
                    if enough is not None and length >= enough:
                        continue
                    if high == start:
                        if (pair == NO_PAIR or pair != label.origin) and (best is None or length < best.length):
                            best = _Label(length, 0, 0, number, label, 0)
                            if spare is not None:
                                enough = min(length, length if most is None else most) + spare
                        continue
                    went = _Label(length, label.origin, pair if bad else NO_PAIR, number, label, label.steps + 1)
                    if not _keep(kept[reached], went):
                        continue
                    if went.steps > too_long:
                        return went.length, self._path(went)
                    waiting = fresh.get(reached)
                    if waiting is None:
                        fresh[reached] = [went]
                        heappush(heap, reached)
                    else:
                        waiting.append(went)
        if best is None or (most is not None and best.length >= most):
            return None
        return best.length, self._path(best)

    def _still_to_gain(self, hub: Hub, gone: frozenset[Place]) -> Exact | None:
        """By how much a walk may still become shorter on its way home; None: there is no telling.

        Only negative pairs make it shorter. A walk takes two of them at most at each place that it passes once.
        """
        once = {hub.place, *hub.beside}
        most: Exact = 0
        for limit in self.limits:
            if limit.pair in self.spare and not (gone and (limit.low in gone or limit.high in gone)):
                if limit.low not in once and limit.high not in once:
                    return None
                most = max(most, self.spare[limit.pair])
        return most * (2 * len(once) - 1)

    def _path(self, label: _Label | None) -> list[Limit]:
        path: list[Limit] = []
        while label is not None:
            path.append(self.limits[label.limit])
            label = label.before
        return path[::-1]

    def lightest_of(self, walk: Sequence[Limit], sizes: Sizes) -> tuple[Exact, Ring] | None:
        """The ring of a walk with the least room. Raises Unsettled where the walk turns back and none is negative."""
        best: tuple[Exact, Ring] | None = None
        turned: Hashable = None
        for ring in simple_rings(walk):
            pair = ring.limits[0].pair
            if len(ring.limits) == 2 and pair is not None and pair == ring.limits[1].pair:
                if pair in self.negative:
                    turned = self.negative[pair]
                continue
            room = ring.room(sizes)
            if best is None or room < best[0]:
                best = room, ring
        if turned is not None and (best is None or best[0] >= 0):
            raise Unsettled(turned)
        return best


def _keep(kept: list[_Label], label: _Label) -> bool:
    """Put a walk among those kept at a place, if it may be needed there; those that it makes needless go."""
    for other in kept:
        if (
            other.length <= label.length
            and (other.origin == label.origin or other.origin == NO_PAIR)
            and (other.last == label.last or other.last == NO_PAIR)
        ):
            return False
    place = 0
    while place < len(kept) and kept[place].length <= label.length:
        place += 1
    if place and not _needed(kept[:place], label):
        return False
    later = kept[place:]
    del kept[place:]
    kept.append(label)
    for other in later:
        if _needed(kept, other):
            kept.append(other)
    return True


def _needed(shorter: Sequence[_Label], label: _Label) -> bool:
    """Whether some pair to come home by, and one to go on by, is barred to all shorter walks and free for this one."""
    for origin in {NO_PAIR, *(other.origin for other in shorter)}:
        if origin == label.origin and origin != NO_PAIR:
            continue
        lasts = {other.last for other in shorter if other.origin == NO_PAIR or other.origin != origin}
        if not lasts:
            return True
        if len(lasts) == 1:
            (last,) = lasts
            if last not in (NO_PAIR, label.last):
                return True
    return False


def find_negative(
    limits: Sequence[Limit],
    weights: Sequence[Exact],
    sizes: Sizes,
    hubs: Sequence[Hub],
    negative: Mapping[Hashable, Hashable],
    start: Mapping[Place, Exact],
) -> Ring | None:
    """A ring with less room than nothing, or None; ``weights`` as each limit is at its worst, ``negative`` its pairs.

    Raises Unsettled where it takes a size at both ends to tell.
    """
    halves: dict[Hashable, Limit] = {}
    for limit in limits:
        if limit.pair in negative:
            other = halves.setdefault(limit.pair, limit)
            if other is not limit:
                back = Ring((other, limit))
                if back.room(sizes) < 0:
                    return back
    ring, measured, spare = from_kept_places(limits, weights, negative, start)
    if ring is not None:
        return ring
    graph = _Graph(limits, measured, hubs, negative, spare)
    # The last hub first: what is left there holds no other ring, so no walk of a later search goes round for ever.
    for number in range(len(hubs) - 1, -1, -1):
        found = graph.walk_through(hubs[number], frozenset(hub.place for hub in hubs[:number]), 0)
        if found is not None:
            lightest = graph.lightest_of(found[1], sizes)
            if lightest is not None and lightest[0] < 0:
                return lightest[1]
            raise AssertionError("a walk shorter than nothing holds a negative ring or turns back")
    return None


def lightest_ring(
    limits: Sequence[Limit],
    sizes: Sizes,
    hubs: Sequence[Hub],
    start: Mapping[Place, Exact] | None = None,
    most: Exact | None = None,
    most_branches: int = MOST_BRANCHES,
) -> Ring | None:
    """The ring with the least room of those that do not turn straight back, where all limits can be kept.

    ``start``: where places could be; ``most``: the room from which on rings do not matter. None where there is no such
    ring. Raises Unsettled where the bound on sizes that are tried at both ends is reached.
    """
    best: Ring | None = None
    left = list(at_both_ends(limits, sizes))[::-1]
    tried = 0
    while left:
        fixed = left.pop()
        tried += 1
        weights = [limit.worst(fixed) for limit in limits]
        negative = negative_pairs(limits, weights)
        ring, measured, spare = from_kept_places(limits, weights, negative, start or {})
        assert ring is None, "all limits can be kept"
        graph = _Graph(limits, measured, hubs, negative, spare)
        try:
            for number, hub in enumerate(hubs):
                gone = frozenset(other.place for other in hubs[:number])
                found = graph.walk_through(hub, gone, most)
                if found is not None:
                    lightest = graph.lightest_of(found[1], fixed)
                    if lightest is not None and (most is None or lightest[0] < most):
                        most, best = lightest
        except Unsettled as met:
            if tried + len(left) + 2 > most_branches:
                raise
            left += [{**fixed, met.size: at_end(fixed[met.size], high)} for high in (True, False)]
    return best
