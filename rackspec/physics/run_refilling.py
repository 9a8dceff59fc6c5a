"""Runs and widths come in that no short search has settled; a filling of all widths goes out, or None.

Runs are emptied a few at a time and filled anew, each as full as can be. None is no proof: a filling may still exist.
"""

from collections import Counter
from collections.abc import Sequence
from typing import NamedTuple

# How often chance has its way: once in so many times. Tried out on random racks of 120 things; nothing hangs on them
# but how soon a filling is found.
_NOT_THE_WIDEST = 8
_NOT_THE_FULLEST = 32
_NOT_THE_MOST = 2
_NOT_THE_EMPTIEST = 2
_LESS_UNEVEN = 4
_MOST_EMPTIED = 5


class Refilling(NamedTuple):
    """For each filled run its length and the widths that stand in it, None if none was found; steps of work spent."""

    loads: tuple[tuple[int, tuple[int, ...]], ...] | None
    steps: int


class _Load(NamedTuple):
    """A run: its length, the indices of the widths that stand in it, and what they leave free."""

    length: int
    kinds: tuple[int, ...]
    rest: int


def refill_runs(runs: Sequence[int], widths: Sequence[int], most_steps: int) -> Refilling:
    """Look for a place for all `widths` (HP, at least 1) in `runs` (HP, at least 0); None proves nothing.

    A run is filled around its widest thing as the subset-sum bits allow ("minimum bin slack"; J. N. D. Gupta and
    J. C. Ho, Production Planning & Control 10, 1999). What finds no place then is put together with the things of two
    to five runs, which are filled anew; it stays so if no more is left over, and rests that are more uneven are
    preferred: a great one takes a thing, many small ones do not. Chance is a row of numbers that always begins alike,
    so equal racks get equal answers. Raises nothing.
    """
    return _Refill(runs, widths, most_steps).answer()


class _Refill:
    """`left[i]` things of width `widths[i]` (widest first) are without a place."""

    def __init__(self, runs: Sequence[int], widths: Sequence[int], most_steps: int) -> None:
        counted = Counter(widths)
        self.widths = tuple(sorted(counted, reverse=True))
        self.left = [counted[width] for width in self.widths]
        self.runs = sorted(run for run in runs if run >= self.widths[-1])
        self.most_steps = most_steps
        self.steps = 0
        self.state = 1

    def answer(self) -> Refilling:
        """Fill all runs, then a few of them again and again."""
        loads = self._fill(self.runs, self.left)
        over = self._width(self.left)
        while over and self.steps < self.most_steps:
            emptied = min(2 + self._chance(_MOST_EMPTIED - 1), len(loads))
            kept = len(loads) - emptied
            for last in range(len(loads) - 1, kept - 1, -1):
                chosen = self._run_to_empty(loads, last + 1)
                loads[chosen], loads[last] = loads[last], loads[chosen]
            before = loads[kept:]
            left = list(self.left)
            for load in before:
                for index in load.kinds:
                    left[index] += 1
            after = self._fill([load.length for load in before], left)
            now = self._width(left)
            uneven = _unevenness(after) >= _unevenness(before)
            if now < over or (now == over and (uneven or self._once_in(_LESS_UNEVEN))):
                over, self.left = now, left
                loads[kept:] = after
        if over:
            return Refilling(None, self.steps)
        found = tuple((load.length, tuple(self.widths[index] for index in load.kinds)) for load in loads if load.kinds)
        return Refilling(found, self.steps)

    def _chance(self, below: int) -> int:
        """The next number of a linear congruential generator (D. E. Knuth's multiplier), 0 up to `below` - 1."""
        self.state = (self.state * 6364136223846793005 + 1442695040888963407) % 2**64
        return (self.state >> 33) % below

    def _once_in(self, times: int) -> bool:
        return self._chance(times) == 0

    def _width(self, left: Sequence[int]) -> int:
        return sum(count * width for count, width in zip(left, self.widths, strict=True))

    def _run_to_empty(self, loads: Sequence[_Load], below: int) -> int:
        """One of the first `below` runs: any, or the emptiest of three."""
        chosen = self._chance(below)
        if self._once_in(_NOT_THE_EMPTIEST):
            return chosen
        return max((chosen, self._chance(below), self._chance(below)), key=lambda number: loads[number].rest)

    def _fill(self, lengths: Sequence[int], left: list[int]) -> list[_Load]:
        """Fill runs of these lengths with things of `left`, which are taken from it."""
        waiting = sorted(lengths)
        loads: list[_Load] = []
        while waiting and self.steps < self.most_steps:
            kinds = [index for index, count in enumerate(left) if count and self.widths[index] <= waiting[-1]]
            if not kinds:
                break
            first = kinds[self._chance(len(kinds))] if self._once_in(_NOT_THE_WIDEST) else kinds[0]
            left[first] -= 1
            sums = self._sums(kinds, left, waiting[-1] - self.widths[first])
            length, filled = self._tightest(waiting, self.widths[first], sums[0])
            if filled and self._once_in(_NOT_THE_FULLEST):
                filled = (sums[0] & ((1 << filled) - 1)).bit_length() - 1
            others = self._choose(kinds, left, sums, filled)
            waiting.remove(length)
            loads.append(_Load(length, (first, *others), length - self.widths[first] - filled))
        loads.extend(_Load(length, (), length) for length in waiting)
        return loads

    def _sums(self, kinds: Sequence[int], left: Sequence[int], longest: int) -> list[int]:
        """For each place in `kinds` the sums up to `longest` that the kinds from there on make (bit s set: sum s)."""
        self.steps += len(kinds) + 1
        mask = (1 << (longest + 1)) - 1
        sums = [1] * (len(kinds) + 1)
        for place in range(len(kinds) - 1, -1, -1):
            sums[place] = add_things(sums[place + 1], self.widths[kinds[place]], left[kinds[place]], mask)
        return sums

    def _tightest(self, waiting: Sequence[int], width: int, sums: int) -> tuple[int, int]:
        """The length that a thing of `width` and others fill best (chance decides a tie), and the sum of the others."""
        best = (waiting[-1] + 1, 0, 0, 0)
        for length in dict.fromkeys(waiting):
            if length >= width:
                rest = length - width
                filled = (sums & ((1 << (rest + 1)) - 1)).bit_length() - 1
                best = min(best, (rest - filled, self._chance(4), length, filled))
        return best[2], best[3]

    def _choose(self, kinds: Sequence[int], left: list[int], sums: Sequence[int], rest: int) -> list[int]:
        """Things that make exactly `rest`, wide ones rather than narrow ones; they are taken from `left`."""
        chosen: list[int] = []
        for place, index in enumerate(kinds):
            if not rest:
                break
            width, taken = self.widths[index], None
            for count in range(min(left[index], rest // width), -1, -1):
                if sums[place + 1] >> (rest - count * width) & 1:
                    if taken is not None and not self._once_in(_NOT_THE_MOST):
                        break
                    taken = count
            assert taken is not None, "the sums say that there is a way"
            left[index] -= taken
            rest -= taken * width
            chosen.extend([index] * taken)
        return chosen


def _unevenness(loads: Sequence[_Load]) -> int:
    return sum(load.rest * load.rest for load in loads)


def add_things(sums: int, width: int, count: int, mask: int) -> int:
    """Bits of all sums when `count` more things of `width` may be added."""
    count = min(count, mask.bit_length() // width)
    step = 1
    while count:
        step = min(step, count)
        sums |= sums << (width * step) & mask
        count -= step
        step *= 2
    return sums
