"""Free runs and wished-for widths in whole HP come in; whether every wish finds a place, and which, goes out.

The answer is exact: "fits" with the places, "impossible" as proved, or "undecided" where the bound on work is reached.
"""

from collections import defaultdict, deque
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import NamedTuple

from rackspec.physics.run_filling import FITS, LONGEST_SEARCHED, UNDECIDED, fill_runs
from rackspec.physics.staged_filling import fill_stages

__all__ = ["MostThatFits", "Packing", "StagedPacking", "most_that_fits", "pack", "pack_stages"]


class Packing(NamedTuple):
    """Whether all things fit into the runs.

    `verdict` is "fits", "impossible" or "undecided"; `places` holds, for each thing in the order given, the index of
    its run (empty unless "fits"); `steps` is the work it took, to be printed beside the bound.
    """

    verdict: str
    places: tuple[int, ...]
    steps: int


class MostThatFits(NamedTuple):
    """The things that can stand in the runs at once, as many HP of them as possible.

    `places` holds the index of the run of each thing, or None where it finds no place; `left_out` the indices of
    those; `left_out_width` their sum in HP; `proved` is False where the bound on the work was reached and a better
    choice may exist.
    """

    places: tuple[int | None, ...]
    left_out: tuple[int, ...]
    left_out_width: int
    proved: bool
    steps: int


class StagedPacking(NamedTuple):
    """As `Packing`, but `starts` holds for each thing the HP at which it starts (empty unless "fits")."""

    verdict: str
    starts: tuple[int, ...]
    steps: int


def pack(runs: Sequence[int], items: Sequence[int], most_steps: int = 200_000) -> Packing:
    """Find a run for every thing, or prove that there is none.

    `runs`: free lengths in whole HP (0 or more); `items`: widths in whole HP (1 or more).  Raises ValueError on
    others.  The order of either never changes the verdict "fits" against "impossible".
    """
    _require(runs, 0, "a run")
    _require(items, 1, "a thing")
    verdict, loads, steps = fill_runs(runs, items, most_steps)
    if verdict != FITS:
        return Packing(verdict, (), steps)
    places = _places(runs, items, loads)
    return Packing(verdict, tuple(places[index] for index in range(len(items))), steps)


def most_that_fits(runs: Sequence[int], items: Sequence[int], most_steps: int = 200_000) -> MostThatFits:
    """Choose the things that get a place so that those left out are together as narrow as possible.

    Units and errors as in `pack`.  What is left out would all stand in one more run of just that length: so the
    shortest such run with which everything fits is looked for, from the shortest that the sums allow.  Of things of
    equal width the later ones in the order given are left out.
    """
    _require(runs, 0, "a run")
    _require(items, 1, "a thing")
    longest = max(runs, default=0)
    possible = [index for index, width in enumerate(items) if width <= longest]
    widths = [items[index] for index in possible]
    total = sum(widths)
    extra = max(0, total - sum(runs))
    stride = 1
    steps = 0
    proved = True
    while True:
        extra = min(extra, total)
        remaining = max(0, most_steps - steps)
        verdict, loads, spent = fill_runs([*runs, extra], widths, remaining // 2 if extra < total else 0)
        steps += spent + 1
        if verdict == FITS:
            break
        proved = proved and verdict != UNDECIDED
        if steps >= most_steps or total > LONGEST_SEARCHED:
            # The bound is reached: lengths may now be skipped, and the answer is only a good one.
            proved = False
            stride *= 2
        extra += stride
    # The additional run is served last, and among runs of equal length it is the last one too.
    found = _places([*runs, extra], widths, loads)
    places: list[int | None] = [None] * len(items)
    for position, index in enumerate(possible):
        if found[position] < len(runs):
            places[index] = found[position]
    left_out = tuple(index for index, place in enumerate(places) if place is None)
    return MostThatFits(tuple(places), left_out, sum(items[index] for index in left_out), proved, steps)


def pack_stages(
    stages: Sequence[Sequence[tuple[int, int]]], items: Sequence[tuple[int, int]], most_steps: int = 200_000
) -> StagedPacking:
    """Find a start for every thing when the free lengths grow from stage to stage, or prove that there is none.

    `stages[s]`: intervals (start, end) in whole HP that are free from stage s on for ever, in any order; each lies
    inside what is free at stage s + 1.  Intervals that touch are one interval: keep at least 1 HP between two rows.
    `items`: (width, first stage); a thing stands inside what is free at its first stage and keeps that place for
    ever.  Raises ValueError for a width below 1, a stage that is not there, or free space that shrinks.
    """
    _require((width for width, _ in items), 1, "a thing")
    merged = [_merged(stage) for stage in stages]
    for stage, (earlier, later) in enumerate(pairwise(merged)):
        for start, end in earlier:
            if not any(left <= start and end <= right for left, right in later):
                raise ValueError(f"{start} to {end} HP is free at stage {stage}, but not at stage {stage + 1}")
    for _, stage in items:
        if not 0 <= stage < len(stages):
            raise ValueError(f"stage {stage} is not one of the {len(stages)} stages")
    # A stage at which nothing new is due, or at which nothing grows, is no stage of its own.
    due: list[list[int]] = []
    free: list[list[tuple[int, int]]] = []
    joined: dict[int, int] = {}
    for stage in sorted({stage for _, stage in items}):
        if not free or free[-1] != merged[stage]:
            free.append(merged[stage])
            due.append([])
        joined[stage] = len(free) - 1
        due[-1].extend(width for width, first in items if first == stage)
    if not items:
        return StagedPacking(FITS, (), 0)
    verdict, blocks, steps = fill_stages(free, due, most_steps)
    if verdict != FITS:
        return StagedPacking(verdict, (), steps)
    found: defaultdict[tuple[int, int], deque[int]] = defaultdict(deque)
    for block in sorted(blocks):
        start = block.start
        for width in block.widths:
            found[block.stage, width].append(start)
            start += width
    return StagedPacking(verdict, tuple(found[joined[stage], width].popleft() for width, stage in items), steps)


def _require(values: Iterable[int], least: int, thing: str) -> None:
    for value in values:
        if value < least:
            raise ValueError(f"{thing} of {value} HP: at least {least} HP is due")


def _places(runs: Sequence[int], items: Sequence[int], loads: Sequence[tuple[int, tuple[int, ...]]]) -> dict[int, int]:
    """Turn loads of lengths into the index of the run of each thing: earlier runs get the earlier things."""
    unused: defaultdict[int, deque[int]] = defaultdict(deque)
    for index, length in enumerate(runs):
        unused[length].append(index)
    waiting: defaultdict[int, deque[int]] = defaultdict(deque)
    for index, width in enumerate(items):
        waiting[width].append(index)
    by_run = sorted((unused[length].popleft(), load) for length, load in loads)
    return {waiting[width].popleft(): run for run, load in by_run for width in load}


def _merged(intervals: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    """The same free space as sorted intervals that do not touch."""
    merged: list[tuple[int, int]] = []
    for start, end in sorted(intervals):
        if end < start:
            raise ValueError(f"an interval from {start} HP to {end} HP ends before it starts")
        if merged and start <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(end, merged[-1][1]))
        elif start < end:
            merged.append((start, end))
    return merged
