"""What can be refused: in: a comparison and what is not wanted, out: reasons, in words with their numbers."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from rackspec.comparison.amounts import amount, side_text
from rackspec.comparison.moments import ALL_PLANS
from rackspec.comparison.prices import IN_ALL
from rackspec.comparison.record import (
    ADDED,
    MARGIN,
    NEW,
    OTHERWISE,
    POWER,
    PRICE,
    REMOVED,
    ROOM,
    Comparison,
    Figure,
    RackFigures,
)
from rackspec.comparison.telling import telling, told_depths, told_groups
from rackspec.findings import NOTE, Finding


def refused(comparison: Comparison, what: str) -> list[str]:
    """Why a change is refused, one reason a text; empty where it does nothing of the kind. ``what`` is one of
    REFUSABLE, else KeyError."""
    return list(REASONS[what](comparison))


def _any(comparison: Comparison) -> Iterator[str]:
    """Anything at all."""
    if comparison.changes:
        count = len(comparison.changes)
        yield f"{count} change{'' if count == 1 else 's'}"
    for change in comparison.findings:
        if not comparison.changes:
            yield f"{change.status} {change.shown.severity}: {change.shown.message} ({change.shown.rule})"
    for rack in comparison.racks:
        if not comparison.changes:
            yield f"the numbers of rack '{rack.name}' are others"


def counts(finding: Finding | None) -> bool:
    """Whether a finding is an error or a warning that nobody has accepted."""
    return finding is not None and finding.waiver is None and finding.severity != NOTE


def _new_findings(comparison: Comparison) -> Iterator[str]:
    """Errors and warnings that are new, or that were a note or were waived; a note asks for nothing to be done."""
    for change in comparison.findings:
        if change.status in (NEW, OTHERWISE) and counts(change.new) and not counts(change.old):
            assert change.new is not None
            yield f"new {change.new.severity}: {change.new.message} ({change.new.rule})"


def _figures(rack: RackFigures) -> Iterator[Figure]:
    """The numbers of a rack that are told; of one that is worse at several stages only where least is left."""
    for figures in told_groups(rack):
        here = telling(figures)
        bad = [figure for figure in here if figure.is_bad]
        yield min(bad, key=lambda figure: (figure.new is not None, figure.new or 0)) if bad else here[-1]


def _less_room(comparison: Comparison) -> Iterator[str]:
    """A row with less that is free, or with a shorter free run; a panel with less behind it; or that is not known."""
    for rack in comparison.racks:
        for figure in _figures(rack):
            # of a row that is gone nothing is left to be less; the rack has numbers of its own then
            is_there = figure.new is not None or figure.lost
            if is_there and figure.kind == ROOM and figure.what in ("free", "longest free run"):
                yield from _worse(figure)
        told, more = told_depths(rack)
        for figure in told:
            yield from _worse(figure)
        if any(figure.is_bad for figure in more):
            yield f"{rack.name}: less room behind other panels too, or nobody knows how much"


def _less_power(comparison: Comparison) -> Iterator[str]:
    """A supply, or its adapter, with less to spare, nominally or at the worst; or that is not known."""
    for rack in comparison.racks:
        for figure in _figures(rack) if rack.action not in (ADDED, REMOVED) else ():
            spare = figure.kind == POWER and figure.what.startswith("spare")
            if spare or (figure.kind == MARGIN and figure.unit == "mA"):
                yield from _worse(figure)


def _dearer(comparison: Comparison) -> Iterator[str]:
    """A rack for which more is to be paid in all, or for which that is not known any more."""
    for rack in comparison.racks:
        figures = [figure for figure in rack.figures if figure.kind == PRICE and figure.what == IN_ALL]
        for figure in figures:
            if rack.action == ADDED:
                yield f"{rack.name}: a new rack, for which {side_text(figure, 1)} is to be paid in all"
            else:
                yield from _worse(figure)
        if not figures:  # in all it is as much, but less of it is known than was
            yield from (
                line for figure in _figures(rack) if figure.kind == PRICE and figure.lost for line in _worse(figure)
            )


def _worse(figure: Figure) -> Iterator[str]:
    """A number that is surely worse, that is not known any more, or that is not there any more."""
    what = WORDS.get(figure.what, figure.what)
    stage = (
        "" if not figure.stage else f" {figure.stage}" if figure.stage == ALL_PLANS else f" at stage '{figure.stage}'"
    )
    start = f"{figure.about}: {what}{stage}: {side_text(figure, 0)}"
    if figure.better is False:
        step = figure.step
        assert step is not None
        more = "more" if step > 0 else "less"
        yield f"{start}, now {side_text(figure, 1)}, {amount(abs(step), figure.unit)} {more}"
    elif figure.new is None and figure.lost:
        yield f"{start}, and now that is not known any more"
    elif figure.is_bad:
        known = "less of it is known than before" if figure.bound[0] else "it is not known any more"
        yield f"{start}, now {side_text(figure, 1)}: {known}"
    elif figure.old is not None and figure.new is None and figure.old > 0:
        yield f"{start}, and now there is none"


WORDS = {
    "free": "free width",
    "depth": "room behind it",
    "adapter": "left of its adapter",
    "price in all": "to be paid in all",
    "price": "to be paid",
}
"""What figures are called in a sentence."""

REASONS: dict[str, Callable[[Comparison], Iterator[str]]] = {
    "any": _any,
    "new-findings": _new_findings,
    "less-room": _less_room,
    "less-power": _less_power,
    "dearer": _dearer,
}

REFUSABLE = tuple(REASONS)
"""What ``--refuse`` takes."""
