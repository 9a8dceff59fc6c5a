"""Whether a row goes together: in: a row, out: whether it fits as meant and at its worst, and what is in the way.

Each hole stands before the thread that is nearest to where it is meant to be. Holes that are meant to be near the
middle between two threads may take either: the answer is that of the first choice that fits best, among those looked at
(``most_tries``). A choice that does not fit has a ring; only another thread for one of its own screws can mend that, so
only those are tried.
"""

from collections.abc import Sequence
from typing import NamedTuple

from rackspec.physics.differences import Limit, Ring, Sizes, Verdict, judge, nominal
from rackspec.physics.row import LINES, RowProblem, StripLine, Threads
from rackspec.physics.row_limits import RowLimits, What, panel_of, parts_of, row_limits, thread_choices
from rackspec.physics.row_ring import RowRing, explained

MOST_TRIES = 32
"""Choices of threads that are looked at."""


class RowFit(NamedTuple):
    """Whether a row fits with all sizes as meant, and with any within their tolerances (None: undecided).

    ``ring``: what is in the way, of the first of these two that fails. ``threads``: before which each hole stands.
    """

    fits_nominal: bool
    fits_worst: bool | None
    ring: RowRing | None
    threads: Threads


def row_fit(
    problem: RowProblem, threads: Threads | None = None, most_tries: int = MOST_TRIES, brief: bool = True
) -> RowFit:
    """Whether a row fits; ``threads`` fixes them. Not ``brief``: the ring is as it was found, which is sooner done."""
    if threads is not None:
        return _fit(problem, threads, brief)[0]
    parts = parts_of(problem)
    choices = {
        (number, name): thread_choices(problem, number, name, parts)
        for number, panel in enumerate(problem.panels)
        for name in LINES
        if isinstance(problem.line(name), StripLine) and any(hole.line == name for hole in panel.holes)
    }
    open_choices = {key: found for key, found in choices.items() if len(found) > 1}
    nearest = {key: found[0] for key, found in choices.items()}
    best, ring = _fit(problem, _threads(problem, nearest), brief)
    if not open_choices or best.fits_worst:
        return best
    left = [
        {**nearest, **{key: take(found) for key, found in open_choices.items()}} for take in (max, min)
    ]  # a strip may want all panels to choose the same way; taken from the end
    left += _others(nearest, open_choices, ring)
    seen = {_threads(problem, nearest)}
    while left and len(seen) < most_tries:
        chosen = left.pop()
        threads = _threads(problem, chosen)
        if threads in seen:
            continue
        seen.add(threads)
        found, ring = _fit(problem, threads, brief)
        if _rank(found) > _rank(best):
            best = found
        if best.fits_worst:
            break
        left += _others(chosen, open_choices, ring)
    return best


Choice = dict[tuple[int, str], tuple[int, ...]]
"""The threads of each panel on each line."""
Choices = dict[tuple[int, str], tuple[tuple[int, ...], ...]]


def _rank(fit: RowFit) -> int:
    """How good a choice of threads is."""
    return fit.fits_nominal + (fit.fits_nominal and fit.fits_worst is not False)


def _others(chosen: Choice, open_choices: Choices, ring: Ring | None) -> list[Choice]:
    """The choices with other threads for one panel of a ring."""
    found: list[Choice] = []
    for limit in ring.limits if ring is not None else ():
        about = limit.about
        if isinstance(about, What) and about.kind == "screw" and about.panel is not None:
            key = (about.panel, about.line)
            found += [{**chosen, key: other} for other in open_choices.get(key, ()) if other != chosen[key]]
    return found


def _threads(problem: RowProblem, chosen: Choice) -> Threads:
    """The threads of all holes, given those of each panel on each line."""
    found = []
    for number, panel in enumerate(problem.panels):
        taken = {name: iter(chosen.get((number, name), ())) for name in LINES}
        found.append(tuple(next(taken[hole.line], None) for hole in panel.holes))
    return tuple(found)


def _fit(problem: RowProblem, threads: Threads, brief: bool) -> tuple[RowFit, Ring | None]:
    row = row_limits(problem, threads)
    first = row_verdict(row, False, brief)
    if not first.fits:
        assert first.ring is not None
        return RowFit(False, False, explained(problem, row, first.ring, False), threads), first.ring
    worst = row_verdict(row, True, brief)
    ring = explained(problem, row, worst.ring, True) if worst.ring is not None else None
    return RowFit(True, worst.fits, ring, threads), worst.ring


def row_verdict(row: RowLimits, at_worst: bool, brief: bool = True) -> Verdict:
    """Whether all limits of a row can be kept; if not, a ring of as few panels as will do."""
    sizes = row.sizes if at_worst else nominal(row.sizes)
    found = judge(row.limits, sizes, row.hubs, row.start)
    return found if found.ring is None or not brief else Verdict(False, _of_few_panels(row, sizes, found.ring))


def _of_few_panels(row: RowLimits, sizes: Sizes, ring: Ring) -> Ring:
    """A ring among the places of a ring, with every panel left out that is not needed for one.

    The ring that is found first may go round by things that are in order.
    """
    hubs = {hub.place for hub in row.hubs if hub.within is None}
    near: Sequence[Limit] = row.limits
    for number in sorted({panel_of(limit.low) for limit in ring.limits} - {None}, key=str):
        places = {limit.low for limit in ring.limits} | hubs
        near = [limit for limit in near if limit.low in places and limit.high in places]
        kept = [limit for limit in near if number not in (panel_of(limit.low), panel_of(limit.high))]
        found = judge(kept, sizes, row.hubs, row.start).ring
        if found is not None:
            ring = found
    return ring
