"""Every ring of a small row, one by one: in: a row with its threads, out: verdicts and margins by looking at them all.

Not a test: the slow and simple way that the fast one is held against. It knows no Bellman-Ford, no hubs, no scenarios:
it walks all rings that come to each place once, and counts sizes as they add up.
"""

from collections.abc import Hashable, Iterator
from fractions import Fraction

from rackspec.physics.differences import Limit, Place, Ring, nominal
from rackspec.physics.row import RowProblem, Threads
from rackspec.physics.row_limits import row_limits


class AllRings:
    """All rings of a row, with their rooms at one level."""

    def __init__(self, problem: RowProblem, threads: Threads, at_worst: bool) -> None:
        self.row = row_limits(problem, threads)
        self.sizes = self.row.sizes if at_worst else nominal(self.row.sizes)
        self.rings = list(all_rings(self.row.limits))
        self.rooms = [Fraction(ring.room(self.sizes)) / self.row.parts for ring in self.rings]

    def fits(self) -> bool:
        """Whether no ring lacks room."""
        return all(room >= 0 for room in self.rooms)

    def margin(self, name: Hashable, sign: int) -> Fraction | None:
        """What a size may grow (sign 1) or shrink (-1) by, where the row fits; None: as much as you like."""
        found = [
            room / (-sign * ring.counts()[name])
            for ring, room in zip(self.rings, self.rooms, strict=True)
            if -sign * ring.counts().get(name, 0) > 0
        ]
        return min(found, default=None)

    def row_margin(self) -> Fraction | None:
        """The least margin of all faces and holes."""
        made = [(name, sign) for name in self.sizes for sign in (1, -1) if isinstance(name, tuple)]
        found = [
            self.margin(name, sign) for name, sign in made if name[0] == "hole" or (name[0] == "face" and sign == 1)
        ]
        return min((margin for margin in found if margin is not None), default=None)


def all_rings(limits: tuple[Limit, ...]) -> Iterator[Ring]:
    """All rings that come to each place once."""
    numbers: dict[Place, int] = {}
    for limit in limits:
        numbers.setdefault(limit.low, len(numbers))
        numbers.setdefault(limit.high, len(numbers))
    out: list[list[Limit]] = [[] for _ in numbers]
    for limit in limits:
        out[numbers[limit.low]].append(limit)

    def onward(start: int, at: int, path: list[Limit], seen: set[int]) -> Iterator[Ring]:
        for limit in out[at]:
            place = numbers[limit.high]
            if place == start:
                yield Ring((*path, limit))
            elif place > start and place not in seen:
                path.append(limit)
                seen.add(place)
                yield from onward(start, place, path, seen)
                seen.remove(place)
                path.pop()

    for start in range(len(numbers)):
        yield from onward(start, start, [], {start})
