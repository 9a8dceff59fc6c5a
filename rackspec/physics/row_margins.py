"""How much more a row would bear: in: a row that fits, out: by how much a size may still grow, and the row's margin.

A ring bears that a size grows by its room divided by how often it counts the size (Dinkelbach 1967: take the growth
that the ring found last bears, look again, until there is no ring). A screw in its own hole bears any place of that
hole: there the size cancels. A row's margin is the least of these over the sizes that a builder makes: faces and holes.
"""

from collections.abc import Hashable, Iterator
from fractions import Fraction
from typing import NamedTuple

from rackspec.physics.differences import Exact, Ring, Sizes, Unsettled, judge, nominal
from rackspec.physics.lightest_ring import lightest_ring
from rackspec.physics.row import RowProblem
from rackspec.physics.row_fit import RowFit
from rackspec.physics.row_limits import RowLimits, row_limits
from rackspec.physics.row_ring import RowRing, explained

ANYTHING = 10**6
"""mm that a size is grown by first: more than any row has."""


class Margin(NamedTuple):
    """How much a size may still grow (mm), less than nothing where it has to shrink for the row to fit.

    ``room`` None: there is no such number. Without a ``ring`` nothing limits it; with one, no size of it helps.
    """

    room: Fraction | None
    ring: RowRing | None


class Undecided(Exception):
    """The bound on the work is reached before there is an answer."""


def face(panel: int) -> Hashable:
    """The name of a panel's width, by the panel's number from the left."""
    return ("face", panel)


def hole(panel: int, number: int) -> Hashable:
    """The name of a hole's place from the left edge of its panel, by both numbers."""
    return ("hole", panel, number)


def size_margin(problem: RowProblem, fit: RowFit, name: Hashable, sign: int, at_worst: bool) -> Margin:
    """How much a size may grow (``sign`` 1) or shrink (-1), with the threads of an answer. Raises Undecided."""
    row = row_limits(problem, fit.threads)
    sizes = row.sizes if at_worst else nominal(row.sizes)
    by, ring = _growth(row, sizes, name, sign, ANYTHING * row.parts)
    told = None if ring is None else explained(problem, row, ring, at_worst)
    return Margin(None if by is None or ring is None else Fraction(by) / row.parts, told)


def _growth(row: RowLimits, sizes: Sizes, name: Hashable, sign: int, by: Exact) -> tuple[Exact | None, Ring | None]:
    """By how much a size may grow, up to ``by``, and the ring that says so; (None, ring): that ring bears no growth."""
    limiting: Ring | None = None
    while True:
        grown = {**sizes, name: sizes[name].moved(sign * by)}
        verdict = judge(row.limits, grown, row.hubs, row.start)
        if verdict.fits:
            return by, limiting
        if verdict.ring is None:
            raise Undecided
        limiting = verdict.ring
        times = -sign * limiting.counts().get(name, 0)
        if times <= 0:
            return None, limiting
        by = _shared_out(limiting.room(sizes), times)


def row_margin(problem: RowProblem, fit: RowFit) -> Margin | None:
    """The margin of a row that fits: at its worst if it does there, else as meant. None: it does not fit, or undecided.

    The lightest ring bears least: none counts a face or a hole more than once in one direction, since strips and rails
    are passed once each and all else leads to the left.
    """
    if not fit.fits_nominal:
        return None
    at_worst = bool(fit.fits_worst)
    row = row_limits(problem, fit.threads)
    sizes = row.sizes if at_worst else nominal(row.sizes)
    try:
        by, ring = _least(row, sizes)
    except (Undecided, Unsettled):
        return None
    if ring is None:
        return Margin(None, None)
    return Margin(Fraction(by) / row.parts, explained(problem, row, ring, at_worst))


def _least(row: RowLimits, sizes: Sizes) -> tuple[Exact, Ring | None]:
    """The least growth that a face or a hole bears, and the ring that says so."""
    best: Ring | None = lightest_ring(row.limits, sizes, row.hubs, row.start)
    by: Exact = ANYTHING * row.parts
    names: list[Hashable] = []
    if best is not None:
        times = max((abs(times) for name, times in best.counts().items() if _made(name)), default=0)
        if times:
            by = _shared_out(best.room(sizes), times)
        else:  # nothing that a builder makes: each size by itself
            best, names = None, [name for name in sizes if _made(name)]
    for name, sign in _ways(names):
        less, ring = _growth(row, sizes, name, sign, by)
        if ring is not None and less is not None:
            by, best = less, ring
    return by, best


def _shared_out(room: Exact, times: int) -> Exact:
    """What is left for each time a size counts; a whole number where it is one, which is quicker to go on with."""
    share = Fraction(room) / times
    return share.numerator if share.denominator == 1 else share


def _ways(names: list[Hashable]) -> Iterator[tuple[Hashable, int]]:
    for name in names:
        yield name, 1
        if not _is_face(name):
            yield name, -1


def _made(name: Hashable) -> bool:
    return isinstance(name, tuple) and name[0] in ("face", "hole")


def _is_face(name: Hashable) -> bool:
    return isinstance(name, tuple) and name[0] == "face"
