"""The cheapest order by HiGHS, a solver for programmes in whole numbers: in: a basket, out: what it found and how sure.

An extra: ``pip install 'rackspec[order]'``. This is the only module that imports it. The solver reckons with floats;
what it proposes is rounded to units and reckoned again exactly. Its bound is rounded down by more than it may be off.
"""

from __future__ import annotations

from fractions import Fraction
from importlib.util import find_spec
from math import ceil, isfinite
from typing import TYPE_CHECKING, NamedTuple

from rackspec.physics.basket import Basket, Found, Landed, landed
from rackspec.solve.programme import FINEST, Programme, before, programme_of

if TYPE_CHECKING:
    from highspy import Highs

SECONDS = 20.0
"""How long it may take, if nobody says."""
OFF, PART_OFF = Fraction(1, 1000), Fraction(1, 10**9)
"""How far the solver's bound may be off: in what it reckons in (steps or hundredths), and as a part of the bound."""
MARGIN = Fraction(1, 1000)
"""By how much goods have to pass a threshold where the solver took a sum for one that it is not."""
TRIES = 3
OPTIONS: tuple[tuple[str, str | bool | int | float], ...] = (
    ("output_flag", False),
    ("threads", 1),
    ("parallel", "off"),
    ("random_seed", 0),
    ("mip_rel_gap", 0.0),
)


class SolverMissing(Exception):
    """The extra is not installed; its text is the line for the user."""

    def __init__(self) -> None:
        super().__init__(
            "proofs for large orders need HiGHS, a solver that is not installed here: pip install 'rackspec[order]'"
        )


class Answer(NamedTuple):
    """What one run said: units of each lot (None: no order), a bound and the sum it believes in, in the basket's money
    (None: none), whether there is no order at all, and how many seconds it took."""

    units: tuple[int, ...] | None
    bound: Fraction | None
    believed: Fraction | None
    impossible: bool
    seconds: float


def is_there() -> bool:
    """Whether the extra is installed."""
    return find_spec("highspy") is not None


def solve(basket: Basket, seconds: float = SECONDS, at_most: Fraction | None = None) -> Found:
    """The cheapest order of a basket.

    ``at_most``: only orders that cost no more are looked for. Where there is none, the order is None, that is proved,
    the bound is ``at_most``, and ``impossible`` stays False. An order is ``proved`` if none can be cheaper by half of
    the smallest step between sums: the largest number of which all prices in the basket are multiples, or, where
    exchange rates make that finer, a ten-thousandth. After ``seconds`` it is the best order so far, with a bound: then,
    and only then, another run may find another one. Raises SolverMissing.
    """
    nothing = -sum((before(post) for post in basket.posts), Fraction(0))
    best: Landed | None = None
    bound, impossible, left, step = nothing, False, seconds, FINEST
    for attempt in range(TRIES):
        # later tries only look for a better order: what they leave out counts for the bound
        programme = programme_of(basket, MARGIN * attempt)
        answer = run(programme, left, at_most)
        left -= answer.seconds
        if not attempt:
            step = max(programme.step, FINEST)
            impossible = answer.impossible and at_most is None
            told = at_most if answer.impossible else answer.bound
            # what costs more than 'at_most' was not looked at: no bound goes beyond it
            told = told if told is None or at_most is None else min(told, at_most)
            bound = max(bound, told) if told is not None else bound
        order = landed(basket, answer.units) if answer.units is not None else None
        if order is not None and (best is None or order.cost < best.cost):
            best = order
        as_believed = order is not None and answer.believed is not None and order.cost - answer.believed < step / 2
        if answer.units is None or as_believed or left <= 0:
            break
    if best is None or (at_most is not None and best.cost > at_most):
        return Found(None, bound, impossible or (at_most is not None and bound >= at_most), impossible, "solver")
    proved = abs(best.cost - bound) < step / 2  # an order below its own bound would prove nothing at all
    return Found(best, min(bound, best.cost), proved, False, "solver")


def run(programme: Programme, seconds: float, at_most: Fraction | None) -> Answer:
    """One run of the solver."""
    solver = loaded(programme)
    if not programme.costs:  # nothing can be chosen; the solver has no verdict on that
        short = any(row.low is not None and row.low > 0 for row in programme.rows)
        nothing = Answer(tuple(0 for _ in programme.units), Fraction(0), Fraction(0), False, 0.0)
        return nothing._replace(units=None, impossible=True) if short else nothing
    solver.setOptionValue("time_limit", seconds)
    if at_most is not None:
        solver.setOptionValue("objective_bound", float(at_most * programme.scale) + 0.5)
    solver.run()
    status = solver.modelStatusToString(solver.getModelStatus())
    took = float(solver.getRunTime())
    # every column has a highest value: a programme that is unbounded or infeasible is infeasible
    if "nfeasible" in status or status == "Bound on objective reached":
        return Answer(None, None, None, True, took)
    info = solver.getInfo()
    dual = float(info.mip_dual_bound)
    bound = bound_from(programme, dual) if isfinite(dual) else None
    if int(info.primal_solution_status) != 2:  # not a feasible point
        return Answer(None, bound, None, False, took)
    values = list(solver.getSolution().col_value)
    units = tuple(sum(round(values[column]) for column in columns) for columns in programme.units)
    return Answer(units, bound, Fraction(info.objective_function_value) / programme.scale, False, took)


def bound_from(programme: Programme, dual: float) -> Fraction:
    """A sum in the basket's money that no order is cheaper than, by the solver's bound."""
    exact = Fraction(dual)
    safe = (exact - OFF - abs(exact) * PART_OFF) / programme.scale
    if programme.step < FINEST:  # floats cannot tell its multiples apart
        return safe
    return ceil(safe / programme.step) * programme.step


def loaded(programme: Programme) -> Highs:
    """A solver that holds a programme."""
    try:
        import highspy
    except ImportError:
        raise SolverMissing from None

    class Quiet(highspy.Highs):
        """One without callbacks: where they are set up, 1.16 prints a greeting before output can be turned off."""

        def enableCallbacks(self) -> None:  # noqa: N802
            """None."""

    solver = Quiet()  # type: ignore[no-untyped-call]
    for name, value in OPTIONS:
        solver.setOptionValue(name, value)
    endless = highspy.kHighsInf
    model = highspy.HighsLp()
    model.num_col_ = len(programme.costs)
    model.num_row_ = len(programme.rows)
    model.col_cost_ = [float(cost) for cost in programme.costs]
    model.col_lower_ = [0.0] * len(programme.costs)
    model.col_upper_ = [float(top) for top in programme.tops]
    model.row_lower_ = [-endless if row.low is None else float(row.low) for row in programme.rows]
    model.row_upper_ = [endless if row.high is None else float(row.high) for row in programme.rows]
    starts = [0]
    for row in programme.rows:
        starts.append(starts[-1] + len(row.terms))
    model.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    model.a_matrix_.start_ = starts
    model.a_matrix_.index_ = [column for row in programme.rows for column, _ in row.terms]
    model.a_matrix_.value_ = [float(each) for row in programme.rows for _, each in row.terms]
    model.integrality_ = [highspy.HighsVarType.kInteger] * len(programme.costs)
    solver.passModel(model)
    return solver
