"""Seeded random racks go in; our exact packing must agree with an independent solver on every one.

Source: `scipy.optimize.milp` of scipy (tried with 1.17.1), which solves with HiGHS (Q. Huangfu and J. A. J. Hall,
"Parallelizing the dual revised simplex method", Mathematical Programming Computation 10, 2018).  The programmes given
to it are the textbook ones: a 0/1 variable for "thing i in run j", and for stages one for "thing i starts at HP p".
"""

import random
from collections import Counter
from collections.abc import Sequence

import numpy
import pytest
import scipy
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import lil_array

from rackspec.physics.packing import most_that_fits, pack, pack_stages

SOLVER = f"scipy {scipy.__version__}, HiGHS"
OPTIMAL, INFEASIBLE = 0, 2


def solved(costs: Sequence[float], rows: lil_array, low: Sequence[float], high: Sequence[float]) -> float | None:
    """Least cost over 0/1 variables, None if there is no solution."""
    # HiGHS says "solve error" now and then behind its presolve (1 of some hundred racks); without it, it does not.
    for presolve in (True, False):
        result = milp(
            numpy.array(costs),
            constraints=LinearConstraint(rows.tocsr(), low, high),
            integrality=numpy.ones(len(costs)),
            bounds=Bounds(0, 1),
            options={"presolve": presolve},
        )
        if result.status in (OPTIMAL, INFEASIBLE):
            break
    assert result.status in (OPTIMAL, INFEASIBLE), (SOLVER, result.message)
    return float(result.fun) if result.status == OPTIMAL else None


def widest_choice(runs: Sequence[int], items: Sequence[int], all_of_them: bool) -> int | None:
    """HP of the things that can stand in the runs at most, by HiGHS; None if all are asked for and cannot."""
    rows = lil_array((len(items) + len(runs), len(items) * len(runs)))
    for i, width in enumerate(items):
        for j in range(len(runs)):
            rows[i, i * len(runs) + j] = 1
            rows[len(items) + j, i * len(runs) + j] = width
    low = [1 if all_of_them else 0] * len(items) + [0] * len(runs)
    costs = [-width for width in items for _ in runs]
    value = solved(costs, rows, low, [1] * len(items) + list(runs))
    return None if value is None else -round(value)


def starts_exist(stages: Sequence[Sequence[tuple[int, int]]], items: Sequence[tuple[int, int]]) -> bool:
    """Whether every thing finds a start, by HiGHS: no HP is taken twice."""
    variables = [
        (i, start)
        for i, (width, stage) in enumerate(items)
        for left, right in stages[stage]
        for start in range(left, right - width + 1)
    ]
    if {i for i, _ in variables} != set(range(len(items))):
        return False
    cells = sorted({hp for left, right in stages[-1] for hp in range(left, right)})
    row_of = {hp: len(items) + row for row, hp in enumerate(cells)}
    rows = lil_array((len(items) + len(cells), len(variables)))
    for column, (i, start) in enumerate(variables):
        rows[i, column] = 1
        for hp in range(start, start + items[i][0]):
            rows[row_of[hp], column] = 1
    low = [1] * len(items) + [0] * len(cells)
    return solved([0] * len(variables), rows, low, [1] * (len(items) + len(cells))) is not None


def tight_rack(seed: int) -> tuple[list[int], list[int]]:
    """Free runs cut into things without a rest, then a few HP moved from one thing to another: a hard question."""
    chance = random.Random(seed)
    runs = [chance.randint(8, 60) for _ in range(chance.randint(2, 5))]
    widths = chance.choice(((2, 3, 4, 6, 8, 10, 12, 16, 20, 28), (8, 9, 10, 12, 14, 16, 18, 20, 28)))
    items: list[int] = []
    for run in runs:
        while run:
            items.append(min(run, chance.choice(widths)))
            run -= items[-1]
    for _ in range(chance.randint(0, 6)):
        giver, taker = chance.randrange(len(items)), chance.randrange(len(items))
        if items[giver] > 1:
            items[giver] -= 1
            items[taker] += 1
    chance.shuffle(items)
    return runs, items


def staged_rack(seed: int) -> tuple[list[list[tuple[int, int]]], list[tuple[int, int]]]:
    """One or two short rows in which things are taken out stage by stage, and things that nearly fill them."""
    chance = random.Random(seed)
    free: set[int] = set()
    cells = [hp + 1000 * row for row in range(chance.randint(1, 2)) for hp in range(chance.randint(10, 18))]
    stages: list[list[tuple[int, int]]] = []
    for last in range(chance.randint(2, 4) - 1, -1, -1):
        while last and len(free) < len(cells) * 0.3:
            start = chance.choice(cells)
            free |= set(range(start, start + chance.randint(3, 8))) & set(cells)
        if not last:
            free = set(cells)
        elif stages:
            start = chance.choice(cells)
            free |= set(range(start, start + chance.randint(2, 6))) & set(cells)
        edges = sorted(hp for hp in free if hp - 1 not in free), sorted(hp + 1 for hp in free if hp + 1 not in free)
        stages.append(list(zip(*edges, strict=True)))
    items: list[tuple[int, int]] = []
    room = len(cells) - chance.randint(0, 4)
    while room > 1:
        width = min(room, chance.randint(2, 6))
        items.append((width, chance.randrange(len(stages))))
        room -= width
    return stages, items


def opened_rack(seed: int) -> tuple[list[list[tuple[int, int]]], list[tuple[int, int]]]:
    """A row that is opened from its middle to both sides, beside rows of equal length that stay as they are."""
    chance = random.Random(seed)
    length = chance.randint(14, 24)
    left, right = length // 3, length - length // 4
    equal = chance.choice((0, 0, 2))
    side = chance.randint(5, 7)
    stages: list[list[tuple[int, int]]] = []
    for _ in range(chance.randint(1, 3)):
        stages.append([(left, right)])
        left, right = left - chance.randint(0, left), right + chance.randint(0, length - right)
    stages.append([(0, length)])
    stages = [[*stage, *((1000 * (row + 1), 1000 * (row + 1) + side) for row in range(equal))] for stage in stages]
    items: list[tuple[int, int]] = []
    room = length + equal * side - chance.randint(0, 3)
    while room > 0:
        width = min(room, chance.choice((2, 3, 4, 5, 7)))
        items.append((width, chance.randrange(len(stages))))
        room -= width
    return stages, items


@pytest.mark.parametrize("first", range(0, 300, 50))
def test_every_verdict_on_tight_racks_agrees(first: int) -> None:
    seen: Counter[str] = Counter()
    for seed in range(first, first + 50):
        runs, items = tight_rack(seed)
        verdict = pack(runs, items).verdict
        seen[verdict] += 1
        expected = "impossible" if widest_choice(runs, items, all_of_them=True) is None else "fits"
        assert verdict == expected, (SOLVER, seed, runs, items)
    assert min(seen["fits"], seen["impossible"]) >= 3, seen


def test_the_width_left_out_is_the_least() -> None:
    left_out = 0
    for seed in range(500, 600):
        runs, items = tight_rack(seed)
        items = [*items[:9], 5]
        runs = [max(0, run - 3) for run in runs[:2]]
        chosen = most_that_fits(runs, items)
        assert chosen.proved
        assert sum(items) - chosen.left_out_width == widest_choice(runs, items, all_of_them=False), (SOLVER, seed)
        left_out += len(chosen.left_out)
    assert left_out > 50


@pytest.mark.parametrize("first", range(1000, 1800, 100))
def test_every_verdict_on_growing_racks_agrees(first: int) -> None:
    seen: Counter[str] = Counter()
    for seed in range(first, first + 100):
        stages, items = staged_rack(seed) if seed % 2 else opened_rack(seed)
        verdict = pack_stages(stages, items).verdict
        seen[verdict] += 1
        assert verdict == ("fits" if starts_exist(stages, items) else "impossible"), (SOLVER, seed, stages, items)
    assert min(seen["fits"], seen["impossible"]) >= 5, seen
