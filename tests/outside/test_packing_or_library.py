"""A published instance of bin packing goes in; the packing must reach its best and call nothing impossible too soon.

Source: OR-Library (J. E. Beasley, 1990), file ``binpack1``, instance u120_00 (E. Falkenauer, "A Hybrid Grouping Genetic
Algorithm for Bin Packing", Journal of Heuristics 2, 1996): capacity 150, 120 items, the file states a best of 48 bins.

The widths below are transcribed from memory. What is published of the instance, and checked here: 120 items, their sum
7078, first-fit-decreasing and best-fit-decreasing both need 49 bins, the best is 48.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Sequence

import numpy
import pytest
import scipy
from scipy.optimize import Bounds, LinearConstraint, linprog, milp

from rackspec.physics.packing import pack

SOLVER = f"scipy {scipy.__version__}, HiGHS"
CAPACITY, BEST = 150, 48
WIDTHS = [
    int(text)
    for text in (
        "42 69 67 57 93 90 38 36 45 42 33 79 27 57 44 84 86 92 46 38 85 33 82 73 49 70 59 23 57 72 74 69 33 42 28 "
        "46 30 64 29 74 41 49 55 98 80 32 25 38 82 30 35 39 57 84 62 50 55 27 30 36 20 78 47 26 45 41 58 98 91 96 "
        "73 84 37 93 91 43 73 85 81 79 71 80 76 83 41 78 70 23 42 87 43 84 60 55 49 78 73 62 36 44 94 69 32 96 70 "
        "84 58 78 25 80 58 66 83 24 98 60 42 43 43 39"
    ).split()
]


def bins_by_rule(widths: Sequence[int], best_fit: bool) -> int:
    """Bins that a rule of thumb needs: each width, as they come, into the first bin or the fullest that takes it."""
    rests: list[int] = []
    for width in widths:
        taking = [number for number, rest in enumerate(rests) if rest >= width]
        if not taking:
            rests.append(CAPACITY - width)
        elif best_fit:
            rests[min(taking, key=rests.__getitem__)] -= width
        else:
            rests[taking[0]] -= width
    return len(rests)


def best_pattern(kinds: Sequence[int], counts: Sequence[int], values: Sequence[float]) -> tuple[float, list[int]]:
    """The filling of one bin that is worth most, by dynamic programming, and its worth."""
    best = [0.0] * (CAPACITY + 1)
    taken_at: list[list[int]] = []
    for width, count, value in zip(kinds, counts, values, strict=True):
        better, taken = best[:], [0] * (CAPACITY + 1)
        for room in range(CAPACITY + 1):
            for number in range(1, min(count, room // width) + 1):
                worth = best[room - number * width] + number * value
                if worth > better[room] + 1e-12:
                    better[room], taken[room] = worth, number
        best = better
        taken_at.append(taken)
    room, pattern = CAPACITY, [0] * len(kinds)
    for place in range(len(kinds) - 1, -1, -1):
        pattern[place] = taken_at[place][room]
        room -= pattern[place] * kinds[place]
    return best[CAPACITY], pattern


def by_column_generation(widths: Sequence[int]) -> tuple[float, int]:
    """The linear bound and a number of bins that does, by HiGHS alone.

    P. C. Gilmore and R. E. Gomory, "A Linear Programming Approach to the Cutting-Stock Problem", Operations Research 9,
    1961: patterns are added until none is worth more than a bin; then whole numbers of these patterns are asked for.
    """
    counted = Counter(widths)
    kinds = sorted(counted, reverse=True)
    counts = [counted[kind] for kind in kinds]
    patterns = [[CAPACITY // kind if kind == own else 0 for kind in kinds] for own in kinds]
    while True:
        matrix = numpy.array(patterns).T
        relaxed = linprog(numpy.ones(len(patterns)), A_ub=-matrix, b_ub=-numpy.array(counts), method="highs")
        assert relaxed.status == 0, (SOLVER, relaxed.message)
        worth, pattern = best_pattern(kinds, counts, [-float(value) for value in relaxed.ineqlin.marginals])
        if worth <= 1 + 1e-9:
            break
        patterns.append(pattern)
    whole = milp(
        numpy.ones(len(patterns)),
        constraints=LinearConstraint(matrix, counts, numpy.inf),
        integrality=numpy.ones(len(patterns)),
        bounds=Bounds(0, numpy.inf),
    )
    assert whole.status == 0, (SOLVER, whole.message)
    used = numpy.round(whole.x)
    assert all(matrix @ used >= counts)
    assert all(matrix.T @ numpy.array(kinds) <= CAPACITY)
    return float(relaxed.fun), int(used.sum())


def made_anew(seed: int) -> list[int]:
    """120 random widths of 20 to 100 HP: the class u120 that the instance belongs to."""
    chance = random.Random(seed)
    return [chance.randint(20, 100) for _ in range(120)]


def test_the_widths_are_those_of_the_instance() -> None:
    """What is published of u120_00: 120 items, sum 7078, both rules of thumb 49."""
    assert len(WIDTHS) == 120
    assert sum(WIDTHS) == 7078
    assert -(-sum(WIDTHS) // CAPACITY) == BEST
    decreasing = sorted(WIDTHS, reverse=True)
    assert bins_by_rule(decreasing, best_fit=False) == bins_by_rule(decreasing, best_fit=True) == BEST + 1


def test_an_independent_solver_reaches_the_best() -> None:
    """The linear bound is 47.27, so 48 bins are due, and 48 do."""
    bound, bins = by_column_generation(WIDTHS)
    assert bound == pytest.approx(47.27, abs=0.005)
    assert bins == BEST


def test_the_best_is_reached() -> None:
    """Rules of thumb need 49 runs of 150 HP; that is no reason to say that 48 are impossible."""
    packed = pack([CAPACITY] * BEST, WIDTHS)
    assert packed.verdict == "fits"
    loads: Counter[int] = Counter()
    for width, run in zip(WIDTHS, packed.places, strict=True):
        loads[run] += width
    assert set(loads) == set(range(BEST))
    assert sum(loads.values()) == 7078
    assert max(loads.values()) <= CAPACITY


def test_one_run_less_is_impossible() -> None:
    """47 runs of 150 HP are 7050 HP, 28 HP less than the sum: proved before any search."""
    assert pack([CAPACITY] * (BEST - 1), WIDTHS) == ("impossible", (), 0)


@pytest.mark.parametrize("bound", [0, 1, 100, 5_000, 10_000, 25_001, 27_000])
def test_too_little_work_is_never_called_impossible(bound: int) -> None:
    """Where the work is cut off the answer may be missing; "impossible" would be wrong, for 48 runs do."""
    assert pack([CAPACITY] * BEST, WIDTHS, bound).verdict in ("fits", "undecided")


def test_equal_racks_get_equal_answers() -> None:
    """Nothing is left to chance: neither a second time nor the order of the things changes what is found."""
    first = pack([CAPACITY] * BEST, WIDTHS)
    assert pack([CAPACITY] * BEST, WIDTHS) == first
    turned = pack([CAPACITY] * BEST, WIDTHS[::-1])
    assert turned[::2] == first[::2]


@pytest.mark.parametrize("seed", [40, 74, 83, 92, 95])
def test_others_of_the_class_fit_too(seed: int) -> None:
    """As few runs as the sum allows do, and both rules of thumb need one more."""
    widths = made_anew(seed)
    fewest = -(-sum(widths) // CAPACITY)
    decreasing = sorted(widths, reverse=True)
    assert min(bins_by_rule(decreasing, best_fit=False), bins_by_rule(decreasing, best_fit=True)) == fewest + 1
    packed = pack([CAPACITY] * fewest, widths)
    assert packed.verdict == "fits"
    loads: Counter[int] = Counter()
    for width, run in zip(widths, packed.places, strict=True):
        loads[run] += width
    assert max(loads.values()) <= CAPACITY


@pytest.mark.parametrize(("seed", "fits"), [(56, True), (12, False), (51, False)])
def test_where_it_is_hard_nothing_wrong_is_said(seed: int, fits: bool) -> None:
    """HiGHS finds a filling, or its linear bound is more than the runs there are: ours must not say otherwise."""
    widths = made_anew(seed)
    fewest = -(-sum(widths) // CAPACITY)
    bound, bins = by_column_generation(widths)
    assert (bins == fewest) if fits else (bound - 1e-6 > fewest)
    assert pack([CAPACITY] * fewest, widths).verdict in (("fits" if fits else "impossible"), "undecided")
