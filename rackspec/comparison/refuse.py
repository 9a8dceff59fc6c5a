"""What can be refused: in: a comparison and what is not wanted, out: reasons, in words with their numbers."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from rackspec.comparison.amounts import amount, side_text
from rackspec.comparison.record import MARGIN, NEW, OTHERWISE, POWER, PRICE, ROOM, Comparison, Figure
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


def _figures(comparison: Comparison) -> Iterator[Figure]:
    """The numbers of all racks; of one that is worse at several stages only where least is left."""
    for rack in comparison.racks:
        told: set[tuple[object, ...]] = set()
        groups: dict[tuple[str, str], list[Figure]] = {}
        for figure in rack.figures:
            groups.setdefault((figure.about, figure.what), []).append(figure)
        for figures in groups.values():
            worse = [figure for figure in figures if figure.better is False and figure.new is not None]
            if not worse:
                yield figures[-1]
                continue
            figure = min(worse, key=lambda figure: figure.new or 0)
            says = (figure.about, figure.kind, figure.old, figure.new)
            if says not in told:  # such as the longest free run of a row in which all that is free is in one run
                told.add(says)
                yield figure


def _less_room(comparison: Comparison) -> Iterator[str]:
    """A row with less that is free, or with a shorter free run; a panel with less behind it."""
    for figure in _figures(comparison):
        row = figure.kind == ROOM and figure.what in ("free", "longest free run")
        # of a row or a panel that is gone nothing is left to be less; the rack has numbers of its own then
        if figure.new is not None and (row or (figure.kind == MARGIN and figure.unit == "mm")):
            yield from _worse(figure)


def _less_power(comparison: Comparison) -> Iterator[str]:
    """A supply, or its adapter, with less to spare, nominally or at the worst."""
    for figure in _figures(comparison):
        spare = figure.kind == POWER and figure.what.startswith("spare")
        if spare or (figure.kind == MARGIN and figure.unit == "mA"):
            yield from _worse(figure)


def _dearer(comparison: Comparison) -> Iterator[str]:
    """A rack for which more is to be paid in all; a price that nobody wrote down is not known to be more."""
    for figure in _figures(comparison):
        if figure.kind == PRICE and figure.what == "price in all":
            yield from _worse(figure)


def _worse(figure: Figure) -> Iterator[str]:
    """A number that is surely worse, or is not there any more."""
    what = WORDS.get(figure.what, figure.what)
    stage = f" at stage '{figure.stage}'" if figure.stage else ""
    if figure.old is not None and figure.new is None and figure.old > 0:
        yield f"{figure.about}: {what}{stage}: {side_text(figure, 0)}, and now there is none"
    elif figure.better is False:
        step = figure.step
        assert step is not None
        more = "more" if step > 0 else "less"
        difference = amount(abs(step), figure.unit)
        yield f"{figure.about}: {what}{stage}: {side_text(figure, 0)}, now {side_text(figure, 1)}, {difference} {more}"


WORDS = {
    "free": "free width",
    "depth": "room behind it",
    "adapter": "left of its adapter",
    "price in all": "to be paid in all",
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
