"""Whole lengths of free runs and whole widths of things come in; the exact answer whether all things fit goes out.

Said as "which widths stand in which run", or "impossible", or "undecided" when the bound on the work is reached.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

from rackspec.physics.run_refilling import add_things, refill_runs

FITS: Final = "fits"
IMPOSSIBLE: Final = "impossible"
UNDECIDED: Final = "undecided"

# The search keeps one bit for each whole length up to the longest run.  Half a kilometre of rail is no rack, and a
# length with hundreds of digits must not ask for the memory of the machine: beyond this the answer is "undecided".
LONGEST_SEARCHED: Final = 100_000

# Of the steps allowed, the search has this share first; then the runs are filled anew again and again for half of the
# steps, and the search goes on with the rest. Below so few steps the search has all of them.
_FIRST_SHARE: Final = 8
_LEAST_TO_REFILL: Final = 5_000

# Said by the ways to fill a run when the bound on the work is reached: they are not exhausted.
_PAUSE: Final = (-1,)


class Filling(NamedTuple):
    """Verdict; for each filled run its length and the widths that stand in it; steps of work spent."""

    verdict: str
    loads: tuple[tuple[int, tuple[int, ...]], ...]
    steps: int


class _Choice(NamedTuple):
    """One opened state of the search: what can still be chosen for `length`, and what was chosen last."""

    length: int
    completions: Iterator[tuple[int, ...]]
    key: tuple[tuple[int, ...], tuple[int, ...]]
    chosen: list[tuple[int, ...]]


def fill_runs(runs: Sequence[int], widths: Sequence[int], most_steps: int) -> Filling:
    """Stand all `widths` (HP, at least 1) into `runs` (HP, at least 0), each in one run, or prove that it cannot be.

    A depth-first search that fills one run after the other ("bin completion"; R. E. Korf, "An Improved Algorithm for
    Optimal Bin Packing", IJCAI 2003; for runs of unequal length A. S. Fukunaga and R. E. Korf, "Bin Completion
    Algorithms for Multicontainer Packing, Knapsack, and Covering Problems", JAIR 28, 2007).  Such a search can stay for
    ever in the corner where its first runs put it; so it is paused while `refill_runs` looks elsewhere.  That can find
    a filling, but only the search can say "impossible".  Raises nothing.
    """
    total = sum(widths)
    if total > sum(runs) or max(widths, default=0) > max(runs, default=0):
        return Filling(IMPOSSIBLE, (), 0)
    for tightest in (False, True):
        quick = _widest_first(runs, widths, tightest)
        if quick is not None:
            return Filling(FITS, quick, 0)
    if max(runs) > LONGEST_SEARCHED:
        return Filling(UNDECIDED, (), 0)
    if most_steps < _LEAST_TO_REFILL:
        return _Search(runs, widths).answer(most_steps)
    search = _Search(runs, widths)
    found = search.answer(most_steps // _FIRST_SHARE)
    if found.verdict != UNDECIDED:
        return found
    refilled = refill_runs(runs, widths, most_steps // 2)
    if refilled.loads is not None:
        return Filling(FITS, refilled.loads, search.steps + refilled.steps)
    found = search.answer(most_steps - refilled.steps)
    return found._replace(steps=found.steps + refilled.steps)


def _widest_first(
    runs: Sequence[int], widths: Sequence[int], tightest: bool
) -> tuple[tuple[int, tuple[int, ...]], ...] | None:
    """The two quick guesses: widest thing first, into the shortest run or the tightest rest; None if it gets stuck."""
    rests = sorted(runs)
    lengths = list(rests)
    loads: list[list[int]] = [[] for _ in rests]
    for width, count in sorted(Counter(widths).items(), reverse=True):
        order = sorted(range(len(rests)), key=rests.__getitem__) if tightest else range(len(rests))
        for index in order:
            taken = min(count, rests[index] // width)
            rests[index] -= taken * width
            loads[index].extend([width] * taken)
            count -= taken
        if count:
            return None
    return tuple((length, tuple(load)) for length, load in zip(lengths, loads, strict=True) if load)


class _Search:
    """The exact search.  `counts[i]` things of width `widths[i]` (widest first) are still without a place."""

    def __init__(self, runs: Sequence[int], widths: Sequence[int]) -> None:
        counted = Counter(widths)
        self.widths = tuple(sorted(counted, reverse=True))
        self.counts = [counted[width] for width in self.widths]
        self.runs = sorted(run for run in runs if run >= self.widths[-1])
        self.waste = sum(self.runs) - sum(widths)
        self.most_steps = 0
        self.steps = 0
        self.stack: list[_Choice] = []
        self.begun = False
        # States from which everything was tried in vain: (counts, runs).
        self.failed: set[tuple[tuple[int, ...], tuple[int, ...]]] = set()

    def answer(self, most_steps: int) -> Filling:
        """Search, or go on searching; the stack holds one choice for each run filled so far."""
        self.most_steps = most_steps
        stack = self.stack
        if not self.begun:
            self.begun = True
            self._push(self._open())
        while stack:
            if self.steps >= self.most_steps:
                return Filling(UNDECIDED, (), self.steps)
            choice = stack[-1]
            if choice.chosen:
                self._take_back(choice)
            completion = next(choice.completions, None)
            if completion == _PAUSE:
                return Filling(UNDECIDED, (), self.steps)
            if completion is None:
                self.failed.add(choice.key)
                stack.pop()
                self._give_back_run(choice.length)
                continue
            self.steps += 1
            self._put(choice, completion)
            if not any(self.counts):
                loads = tuple((made.length, self._as_widths(made.chosen[0])) for made in stack)
                return Filling(FITS, loads, self.steps)
            self._push(self._open())
        return Filling(IMPOSSIBLE, (), self.steps)

    def _push(self, opened: _Choice | None) -> None:
        if opened is not None:
            self.stack.append(opened)

    def _open(self) -> _Choice | None:
        """Choose the run to fill next, or None if the state is known or shown to be hopeless."""
        self.steps += 1
        if self.waste < 0 or not self.runs:
            return None
        key = (tuple(self.counts), tuple(self.runs))
        if key in self.failed:
            return None
        sums = self._sums()
        if sums is None:
            self.failed.add(key)
            return None
        widest = next(index for index, count in enumerate(self.counts) if count)
        # If the widest thing fits only into runs of the greatest length, one of those must hold it, and they are all
        # alike: fill that one around it.  Otherwise the shortest run leaves the fewest ways.
        longest = self.runs[-1]
        shorter = next((run for run in reversed(self.runs) if run < longest), 0)
        if self.widths[widest] > shorter:
            self.runs.pop()
            return _Choice(longest, self._completions(longest, sums, widest), key, [])
        shortest = self.runs.pop(0)
        return _Choice(shortest, self._completions(shortest, sums, None), key, [])

    def _give_back_run(self, length: int) -> None:
        if self.runs and length >= self.runs[-1]:
            self.runs.append(length)
        else:
            self.runs.insert(0, length)

    def _put(self, choice: _Choice, completion: tuple[int, ...]) -> None:
        choice.chosen.append(completion)
        self.waste -= choice.length
        for index in completion:
            self.counts[index] -= 1
            self.waste += self.widths[index]

    def _take_back(self, choice: _Choice) -> None:
        self.waste += choice.length
        for index in choice.chosen.pop():
            self.counts[index] += 1
            self.waste -= self.widths[index]

    def _as_widths(self, completion: tuple[int, ...]) -> tuple[int, ...]:
        return tuple(self.widths[index] for index in completion)

    def _sums(self) -> list[int] | None:
        """For each i the sums that things of `widths[i:]` can make (bit s set: sum s); None if a bound says no.

        The bound: a run is never filled beyond the greatest sum that fits into it.
        """
        mask = (1 << (self.runs[-1] + 1)) - 1
        sums = [1] * (len(self.widths) + 1)
        reachable = 1
        for index in range(len(self.widths) - 1, -1, -1):
            reachable = add_things(reachable, self.widths[index], self.counts[index], mask)
            sums[index] = reachable
        if self._unreachable(reachable) > self.waste:
            return None
        # The same for the widest kinds alone, leaving the narrower ones out.
        waste = self.waste + sum(w * c for w, c in zip(self.widths, self.counts, strict=True))
        reachable = 1
        for width, count in zip(self.widths, self.counts, strict=True):
            if count:
                reachable = add_things(reachable, width, count, mask)
                waste -= width * count
                if self._unreachable(reachable) > waste:
                    return None
        return sums

    def _unreachable(self, sums: int) -> int:
        """HP of the runs left that no choice of things with these sums can use."""
        lost = 0
        last = -1
        lost_in_last = 0
        for run in self.runs:
            if run != last:
                last = run
                lost_in_last = run + 1 - (sums & ((1 << (run + 1)) - 1)).bit_length()
            lost += lost_in_last
        return lost

    def _completions(self, length: int, sums: list[int], forced: int | None) -> Iterator[tuple[int, ...]]:
        """All ways worth trying to fill `length`, fullest first, as indices of widths; with `forced` among them."""
        taken = () if forced is None else (forced,)
        rest = length - sum(self.widths[index] for index in taken)
        counts = list(self.counts)
        for index in taken:
            counts[index] -= 1
        waste = self.waste
        for lost in range(min(waste, rest) + 1):
            for completion in self._exactly(0, rest - lost, taken, counts, sums):
                if completion == _PAUSE or not self._beaten(completion, lost, counts):
                    yield completion

    def _exactly(
        self, first: int, rest: int, taken: tuple[int, ...], counts: list[int], sums: list[int]
    ) -> Iterator[tuple[int, ...]]:
        """All ways to make `rest` from things of `widths[first:]`, widest first."""
        if rest == 0:
            yield taken
            return
        for index in range(first, len(self.widths)):
            if not sums[index] >> rest & 1:
                return
            if counts[index] and self.widths[index] <= rest:
                self.steps += 1
                while self.steps >= self.most_steps:
                    yield _PAUSE
                counts[index] -= 1
                yield from self._exactly(index, rest - self.widths[index], (*taken, index), counts, sums)
                counts[index] += 1

    def _beaten(self, completion: tuple[int, ...], lost: int, counts: list[int]) -> bool:
        """Whether another filling of this run is at least as good (dominance).

        If a thing left outside can change places with some things inside (together no wider than it, and it still
        fits), then whatever works with this filling works with the other: those inside go where it stood.
        """
        any_sum = 1
        sum_of_several = 0
        for index in completion:
            width = self.widths[index]
            sum_of_several |= (sum_of_several | (any_sum & ~1)) << width
            any_sum |= any_sum << width
        wider = _spread(any_sum, lost)
        better = wider | sum_of_several
        return any(count and better >> width & 1 for width, count in zip(self.widths, counts, strict=True))


def _spread(sums: int, reach: int) -> int:
    """Bits of all sums plus 1 to `reach`."""
    if reach == 0:
        return 0
    spread = sums << 1
    covered = 1
    while covered < reach:
        step = min(covered, reach - covered)
        spread |= spread << step
        covered += step
    return spread
