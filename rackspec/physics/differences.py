"""Places that may differ by so much only: in: limits between pairs of places, out: whether all can be kept, or a ring.

A limit says x(high) - x(low) <= most. All can be kept if and only if no ring of limits has a negative sum (Bellman
1958, Ford 1956; Cormen et al., Introduction to Algorithms, "Difference constraints and shortest paths"). That ring is
the explanation. A limit hangs on sizes, each of which may be off. Parts fit if there are places for *every* choice of
sizes within their tolerances; a ring then counts each size as often as its limits add up to, at the end that leaves
less: all is linear, so the worst is at ends.

Taking each limit at its own worst is exact unless a size cancels within a ring. Two cases cover what cancels:

- A size that stands in limits which are no pair (a pitch) is tried at both ends.
- A size of a ``pair``, one limit there and one back (a hole's place), cancels only where a ring turns straight back
  through its pair, for a ring comes to a place but once. If no pair is negative by itself, plain Bellman-Ford never
  sees that. If one is (a hole that may be off by more than its clearance), ``lightest_ring`` looks for rings that do
  not turn back; what it cannot settle is settled by trying that one size at both ends, up to a bound.

Numbers are exact: whole numbers of some common part of a millimetre, or fractions.
"""

from collections.abc import Hashable, Iterator, Mapping, Sequence
from fractions import Fraction
from typing import NamedTuple

Place = Hashable
Exact = int | Fraction
MOST_BRANCHES = 64
"""Sets of sizes that are tried at most."""


class Size(NamedTuple):
    """A size: what it is meant to be, the least and the most that it may be."""

    nominal: Exact
    low: Exact
    high: Exact

    def moved(self, by: Exact) -> "Size":
        """The same with all three grown."""
        return Size(self.nominal + by, self.low + by, self.high + by)


Sizes = Mapping[Hashable, Size]


class Limit(NamedTuple):
    """x(high) - x(low) <= most + the sum of its sizes, each times a whole number.

    ``pair``: what it shares with the one limit that leads straight back; ``about``: whatever the caller wants to know.
    """

    low: Place
    high: Place
    most: Exact
    sizes: tuple[tuple[Hashable, int], ...] = ()
    pair: Hashable = None
    about: object = None

    def worst(self, sizes: Sizes) -> Exact:
        """What it allows by itself with each of its sizes at the worse end."""
        total = self.most
        for name, times in self.sizes:
            total += times * (sizes[name].low if times > 0 else sizes[name].high)
        return total


class Ring(NamedTuple):
    """Limits one behind the other: each begins where the one before ends, and the first where the last one ends."""

    limits: tuple[Limit, ...]

    def counts(self) -> dict[Hashable, int]:
        """How often each size counts in it; those that cancel are left out."""
        found: dict[Hashable, int] = {}
        for limit in self.limits:
            for size, times in limit.sizes:
                found[size] = found.get(size, 0) + times
        return {size: times for size, times in found.items() if times}

    def room(self, sizes: Sizes) -> Exact:
        """What is left in it at the worst; negative: it cannot be kept."""
        total: Exact = sum(limit.most for limit in self.limits)
        for name, times in self.counts().items():
            total += times * (sizes[name].low if times > 0 else sizes[name].high)
        return total


class Hub(NamedTuple):
    """A place that rings go through: looked for are those that pass no hub before it in their list.

    ``beside``: places, besides it, at which pairs meet that are negative by themselves: each is passed once at most.
    ``within``: where to look (None: everywhere).
    """

    place: Place
    beside: tuple[Place, ...] = ()
    within: frozenset[Place] | None = None


class Verdict(NamedTuple):
    """Whether all limits can be kept (None: undecided, the bound is reached), and else a ring that cannot be."""

    fits: bool | None
    ring: Ring | None = None


class Unsettled(Exception):
    """A walk turns back through a pair that is negative by itself: its size has to be tried at both ends."""

    def __init__(self, size: Hashable) -> None:
        super().__init__(size)
        self.size = size


def nominal(sizes: Sizes) -> dict[Hashable, Size]:
    """All sizes as they are meant to be."""
    return {name: Size(size.nominal, size.nominal, size.nominal) for name, size in sizes.items()}


def simple_rings(walk: Sequence[Limit]) -> Iterator[Ring]:
    """A walk that ends where it began, taken apart into rings that come to each place once."""
    path: list[Limit] = []
    at: dict[Place, int] = {walk[0].low: 0}
    for limit in walk:
        path.append(limit)
        back = at.get(limit.high)
        if back is None:
            at[limit.high] = len(path)
            continue
        yield Ring(tuple(path[back:]))
        for left in path[back:-1]:
            del at[left.high]
        del path[back:]


def bellman_ford(
    limits: Sequence[Limit], weights: Sequence[Exact], start: Mapping[Place, Exact]
) -> tuple[Ring | None, dict[Place, Exact]]:
    """A ring whose weights add up to less than nothing, or None and places that keep all limits.

    ``start``: where the places could be; if that keeps all limits, one turn is enough. It costs few turns if limits
    come in the order in which things push each other.
    """
    numbers: dict[Place, int] = {}
    for limit in limits:
        numbers.setdefault(limit.low, len(numbers))
        numbers.setdefault(limit.high, len(numbers))
    distance = [start.get(place, 0) for place in numbers]
    by = [-1] * len(numbers)
    arcs = [
        (numbers[limit.low], numbers[limit.high], weight, number)
        for number, (limit, weight) in enumerate(zip(limits, weights, strict=True))
    ]
    looked = 4
    for turn in range(1, len(numbers) + 2):
        changed = False
        for low, high, weight, number in arcs:
            reached = distance[low] + weight
            if reached < distance[high]:
                distance[high] = reached
                by[high] = number
                changed = True
        if not changed:
            return None, dict(zip(numbers, distance, strict=True))
        if turn >= looked or turn > len(numbers):  # looking costs as much as a turn: not each time
            looked = turn + turn // 2
            ring = _ring_of(limits, by, [arc[0] for arc in arcs])
            if ring is not None:
                return ring, {}
    raise AssertionError("as many turns as there are places show a ring")


def _ring_of(limits: Sequence[Limit], by: Sequence[int], low: Sequence[int]) -> Ring | None:
    """A ring among the limits by which places were last set; its sum is negative if there is one."""
    seen = [0] * len(by)
    for start in range(len(by)):
        at = start
        while not seen[at] and by[at] >= 0:
            seen[at] = start + 1
            at = low[by[at]]
        if by[at] >= 0 and seen[at] == start + 1:
            ring = [limits[by[at]]]
            place = low[by[at]]
            while place != at:
                ring.append(limits[by[place]])
                place = low[by[place]]
            return Ring(tuple(reversed(ring)))
    return None


def negative_pairs(limits: Sequence[Limit], weights: Sequence[Exact]) -> dict[Hashable, Hashable]:
    """The pairs that are negative with each of their limits at its own worst, and the size that cancels in each."""
    sums: dict[Hashable, Exact] = {}
    for limit, weight in zip(limits, weights, strict=True):
        if limit.pair is not None:
            sums[limit.pair] = sums.get(limit.pair, 0) + weight
    found: dict[Hashable, Hashable] = {}
    for limit in limits:
        if limit.pair is not None and sums[limit.pair] < 0 and limit.sizes:
            found[limit.pair] = limit.sizes[0][0]
    return found


def from_kept_places(
    limits: Sequence[Limit],
    weights: Sequence[Exact],
    negative: Mapping[Hashable, Hashable],
    start: Mapping[Place, Exact],
) -> tuple[Ring | None, list[Exact], dict[Hashable, Exact]]:
    """The limits measured from places that keep them (Johnson 1977): rings weigh the same, and few limits are negative.

    Negative pairs are eased until they are not; kept are the limits with these. How much each was eased is the third
    part: by so much may its limits still be negative. If even these cannot be kept, there is a ring.
    """
    sums: dict[Hashable, Exact] = {}
    for limit, weight in zip(limits, weights, strict=True):
        if limit.pair in negative:
            sums[limit.pair] = sums.get(limit.pair, 0) + weight
    spare: dict[Hashable, Exact] = {pair: -(total // 2) for pair, total in sums.items()}
    eased = [weight + spare.get(limit.pair, 0) for limit, weight in zip(limits, weights, strict=True)]
    ring, kept = bellman_ford(limits, eased, start)
    if ring is not None:
        return ring, [], spare
    measured = [weight + kept[limit.low] - kept[limit.high] for limit, weight in zip(limits, weights, strict=True)]
    return None, measured, spare


def shared(limits: Sequence[Limit], sizes: Sizes) -> list[Hashable]:
    """The sizes that are not certain and can cancel otherwise than within one pair."""
    signs: dict[Hashable, tuple[set[Hashable], set[Hashable]]] = {}
    for number, limit in enumerate(limits):
        for name, times in limit.sizes:
            if sizes[name].low != sizes[name].high:
                pair = number if limit.pair is None else limit.pair
                signs.setdefault(name, (set(), set()))[times < 0].add(pair)
    return [name for name, (more, less) in signs.items() if more and less and len(more | less) > 1]


def at_both_ends(limits: Sequence[Limit], sizes: Sizes) -> Iterator[dict[Hashable, Size]]:
    """The sizes with each of those that are shared at its low and at its high end."""
    names = shared(limits, sizes)
    for choice in range(2 ** len(names)):
        fixed = dict(sizes)
        for bit, name in enumerate(names):
            fixed[name] = at_end(sizes[name], bool(choice >> bit & 1))
        yield fixed


def at_end(size: Size, high: bool) -> Size:
    """A size that is certain to be at one of its ends."""
    end = size.high if high else size.low
    return Size(end, end, end)


def judge(
    limits: Sequence[Limit],
    sizes: Sizes,
    hubs: Sequence[Hub] = (),
    start: Mapping[Place, Exact] | None = None,
    most_branches: int = MOST_BRANCHES,
) -> Verdict:
    """Whether there are places for every choice of sizes.

    ``hubs``: where there are negative pairs, the places that every other ring passes one of; ``start``: a guess.
    A ring of the answer is negative by its own sum, whatever has been tried on the way to it.
    """
    from rackspec.physics.lightest_ring import find_negative  # it needs this module; few rows need it

    if 2 ** len(shared(limits, sizes)) > most_branches:
        return Verdict(None)
    left = list(at_both_ends(limits, sizes))[::-1]
    tried = 0
    undecided = False
    while left:
        fixed = left.pop()
        tried += 1
        weights = [limit.worst(fixed) for limit in limits]
        pairs = negative_pairs(limits, weights)
        if not pairs:
            ring, _ = bellman_ford(limits, weights, start or {})
        else:
            try:
                ring = find_negative(limits, weights, fixed, hubs, pairs, start or {})
            except Unsettled as met:
                if tried + len(left) + 2 > most_branches:
                    undecided = True
                else:
                    left += [{**fixed, met.size: at_end(fixed[met.size], high)} for high in (True, False)]
                continue
        if ring is not None:
            return Verdict(False, ring)
    return Verdict(None) if undecided else Verdict(True)
