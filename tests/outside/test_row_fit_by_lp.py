"""Random rows go in; whether they go together must be what a linear programme says, which is written here anew.

Solver: HiGHS through ``scipy.optimize.linprog`` (Q. Huangfu and J. A. J. Hall, "Parallelizing the dual revised simplex
method", Mathematical Programming Computation 10, 2018). The programme asks for places that leave as much slack t as
possible in every condition: t >= 0 if and only if the row goes together, and |t| says how close that is. HiGHS counts
in floats, so rows with |t| < 1e-6 mm are left to the exact test that takes all rings one by one (``tests/physics``).
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise, product

import numpy
import pytest
import scipy
from scipy.optimize import linprog

from rackspec.physics.differences import Limit, nominal
from rackspec.physics.row import LINES, NutLine, RowEnds, RowHole, RowPanel, RowProblem, Size, StripLine, Threads
from rackspec.physics.row_fit import row_fit, row_verdict
from rackspec.physics.row_limits import row_limits
from tests.physics.random_rows import Kind, random_row

SOLVER = f"scipy {scipy.__version__}, HiGHS"
CLOSE = 1e-6
Term = tuple[str, float]
Sizes = dict[tuple[object, ...], Fraction]


class Programme:
    """Conditions sum(coefficient x variable) + t <= bound, by names of variables."""

    def __init__(self) -> None:
        self.conditions: list[tuple[list[Term], float, int]] = []

    def at_most(self, terms: list[Term], bound: Fraction | int, slack: int = 1) -> None:
        """One condition (mm); ``slack`` 0: it is rigid by nature (a strip without travel), and asks for none."""
        self.conditions.append((terms, float(bound), slack))

    def slack(self) -> float:
        """The most slack that all conditions can have at once (mm, no more than 1)."""
        names = sorted({name for terms, _, _ in self.conditions for name, _ in terms})
        column = {name: number for number, name in enumerate(names)}
        matrix = numpy.zeros((len(self.conditions), len(names) + 1))
        for line, (terms, _, slack) in enumerate(self.conditions):
            matrix[line, -1] = slack
            for name, coefficient in terms:
                matrix[line, column[name]] += coefficient
        goal = numpy.zeros(len(names) + 1)
        goal[-1] = -1
        bounds = [(None, None)] * len(names) + [(None, 1)]
        found = linprog(goal, matrix, [bound for _, bound, _ in self.conditions], bounds=bounds, method="highs")
        assert found.status == 0, (SOLVER, found.message)
        return float(found.x[-1])


def programme(problem: RowProblem, threads: Threads, sizes: Sizes) -> Programme:
    """The row in the builder's words: what has to hold of edges, screws, nuts, strips and the case."""
    row = Programme()
    length, beyond = problem.ends.length, problem.ends.beyond
    for name, line in zip(LINES, (problem.bottom, problem.top), strict=True):
        edges = [f"{name} edge {number}" for number in range(len(problem.panels))]
        widths = [sizes["face", number] for number in range(len(problem.panels))]
        for (left, right), width in zip(pairwise(edges), widths, strict=False):
            row.at_most([(left, 1), (right, -1)], -width)
        if edges:
            row.at_most([(edges[0], -1)], beyond)
            row.at_most([(edges[-1], 1)], length + beyond - widths[-1])
        screws: list[str] = []
        for number, panel in enumerate(problem.panels):
            own = []
            for hole_number, hole in enumerate(panel.holes):
                if hole.line != name or line is None:
                    continue
                screw = f"{name} screw {number} {hole_number}"
                middle = sizes["hole", number, hole_number]
                row.at_most([(edges[number], 1), (screw, -1)], hole.room - middle)
                row.at_most([(screw, 1), (edges[number], -1)], hole.room + middle)
                own.append((hole.offset.nominal, hole_number, screw))
                if isinstance(line, StripLine):
                    thread = threads[number][hole_number]
                    assert thread is not None
                    place = thread * sizes["pitch", name]
                    row.at_most([(screw, 1), (f"{name} strip", -1)], place, slack=0)
                    row.at_most([(screw, -1), (f"{name} strip", 1)], -place, slack=0)
            screws += [screw for _, _, screw in sorted(own)]
        if isinstance(line, StripLine):
            row.at_most([(f"{name} strip", 1)], sizes["first", name] + line.play / 2, slack=0)
            row.at_most([(f"{name} strip", -1)], line.play / 2 - sizes["first", name], slack=0)
        if isinstance(line, NutLine):
            across = sizes["across", name]
            for left, right in pairwise(screws):
                row.at_most([(left, 1), (right, -1)], -across)
            if screws:
                row.at_most([(screws[0], -1)], -across / 2)
                row.at_most([(screws[-1], 1)], length - across / 2)
    for number, panel in enumerate(problem.panels):
        if panel.turn is not None:
            both = [f"{name} edge {number}" for name in LINES]
            row.at_most([(both[0], 1), (both[1], -1)], panel.turn, slack=0)
            row.at_most([(both[1], 1), (both[0], -1)], panel.turn, slack=0)
    return row


def all_sizes(problem: RowProblem) -> Iterator[tuple[tuple[object, ...], Size]]:
    """Every size of a row with its tolerance."""
    for number, panel in enumerate(problem.panels):
        yield ("face", number), panel.face
        for hole_number, hole in enumerate(panel.holes):
            yield ("hole", number, hole_number), hole.offset
    for name, line in zip(LINES, (problem.bottom, problem.top), strict=True):
        if isinstance(line, StripLine):
            yield ("first", name), line.first
            yield ("pitch", name), line.pitch
        elif line is not None:
            yield ("across", name), line.across


def as_meant(problem: RowProblem) -> Sizes:
    """All sizes nominal."""
    return {name: Fraction(size.nominal) for name, size in all_sizes(problem)}


def corners(problem: RowProblem) -> Iterator[Sizes]:
    """Each choice of ends of all tolerances: a linear programme is worst at one of them."""
    named = list(all_sizes(problem))
    for ends in product(*(sorted({size.low, size.high}) for _, size in named)):
        yield {name: Fraction(end) for (name, _), end in zip(named, ends, strict=True)}


def slack_of(problem: RowProblem, threads: Threads, sizes: Sizes) -> float:
    """The slack of a row (mm); an empty row has all of it."""
    row = programme(problem, threads, sizes)
    return row.slack() if row.conditions else 1.0


def test_the_programme_knows_a_row_worked_out_by_hand() -> None:
    """A panel with two holes 10.20 mm apart before threads 10.16 mm apart: each screw has 0.11 mm, 0.02 go to each."""
    certain = [Size(value, value, value) for value in map(Fraction, ("20.02", "5", "15.2", "2.54", "5.08"))]
    face, one, other, first, pitch = certain
    holes = tuple(RowHole("bottom", offset, Fraction("0.11")) for offset in (one, other))
    panel = RowPanel("a", Fraction(0), Fraction("20.32"), face, holes, None)
    ends = RowEnds(Fraction(40), Fraction(0))
    problem = RowProblem((panel,), StripLine(first, pitch, 4, Fraction(20)), None, ends)
    assert slack_of(problem, ((0, 2),), as_meant(problem)) == pytest.approx(0.09, abs=1e-9)
    assert slack_of(problem, ((0, 1),), as_meant(problem)) == pytest.approx(0.11 - 5.12 / 2, abs=1e-9)


@pytest.mark.parametrize("group", range(4))
def test_rows_as_they_are_meant(group: int) -> None:
    """Strips, nuts, both, slots, odd pitches, play: the verdict is that of the linear programme."""
    told = {True: 0, False: 0}
    close = 0
    for seed in range(100 * group, 100 * group + 100):
        problem = random_row(seed, Kind(panels=9, wild=0.01))
        fit = row_fit(problem)
        slack = slack_of(problem, fit.threads, as_meant(problem))
        if abs(slack) < CLOSE:
            close += 1
            continue
        assert fit.fits_nominal == (slack > 0), (SOLVER, seed, slack)
        told[fit.fits_nominal] += 1
    assert min(told.values()) >= 15, told
    assert close <= 10


@pytest.mark.parametrize("group", range(3))
def test_rows_at_their_worst(group: int) -> None:
    """A row fits at its worst if the linear programme finds slack at every corner of its tolerances."""
    told = {True: 0, False: 0}
    kind = Kind(panels=4, tolerances=("0.02", "0.05", "0.15", "0.3"), uncertain=5, wild=0.02)
    for seed in range(1000 + 60 * group, 1060 + 60 * group):
        problem = random_row(seed, kind)
        fit = row_fit(problem)
        if not fit.fits_nominal:
            continue
        least = 1.0
        for sizes in corners(problem):
            least = min(least, slack_of(problem, fit.threads, sizes))
            if least < -CLOSE:
                break
        if abs(least) < CLOSE:
            continue
        assert fit.fits_worst == (least > 0), (SOLVER, seed, least)
        told[least > 0] += 1
    assert min(told.values()) >= 4, told


def limits_alone(limits: tuple[Limit, ...], bounds: list[Fraction]) -> float:
    """The slack of some limits with nothing else (mm)."""
    alone = Programme()
    for limit, bound in zip(limits, bounds, strict=True):
        alone.at_most([(str(limit.high), 1), (str(limit.low), -1)], bound)
    return alone.slack()


def test_a_ring_cannot_be_kept_even_by_itself() -> None:
    """Each ring that is given as the reason is closed, lacks room, and is impossible with nothing else around it.

    With any one of its limits taken away it is possible: nothing in it is beside the point.
    """
    looked = {True: 0, False: 0}
    for seed in range(2000, 2250):
        problem = random_row(seed, Kind(panels=6, wild=0.03))
        fit = row_fit(problem)
        if fit.ring is None:
            continue
        row = row_limits(problem, fit.threads)
        at_worst = fit.ring.at_worst
        ring = row_verdict(row, at_worst).ring
        assert ring is not None
        places = [limit.low for limit in ring.limits]
        assert [limit.high for limit in ring.limits] == [*places[1:], places[0]]
        assert len(set(places)) == len(places)
        sizes = row.sizes if at_worst else nominal(row.sizes)
        counts = ring.counts()
        bounds = []
        for limit in ring.limits:
            bound = Fraction(limit.most)
            for name, times in limit.sizes:
                size = sizes[name]
                bound += times * (size.low if counts.get(name, 0) > 0 else size.high)
            bounds.append(bound / row.parts)
        assert sum(bounds) == -fit.ring.short < 0
        slack = limits_alone(ring.limits, bounds)
        assert slack == pytest.approx(-float(fit.ring.short) / len(bounds), abs=1e-7), (SOLVER, seed)
        left_out = random.Random(seed).randrange(len(bounds))
        others = (*ring.limits[:left_out], *ring.limits[left_out + 1 :])
        assert limits_alone(others, bounds[:left_out] + bounds[left_out + 1 :]) > 0, (SOLVER, seed)
        looked[at_worst] += 1
    assert min(looked.values()) >= 15, looked
