"""The numbers of a verdict: in: a comparison, out: by how much room, power and price change, in a few words each.

They are those with everything that is planned; only where nothing changes there, those of an earlier stage.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from rackspec.comparison.amounts import amount
from rackspec.comparison.record import MARGIN, POWER, PRICE, ROOM, Comparison, Figure
from rackspec.views.comparison_words import bare

AT_WORST = " at the worst"


def numbers_of(comparison: Comparison) -> Iterator[str]:
    """Room, power, depth and price, over all racks."""
    figures = [figure for rack in comparison.racks for figure in rack.figures]
    room = [figure for figure in figures if figure.kind == ROOM and figure.step is not None]
    whole = {figure.rack for figure in room if figure.about == figure.rack}  # rows came or went: their sum tells
    room = [figure for figure in room if figure.rack not in whole or figure.about == figure.rack]
    free = list(_steps([figure for figure in room if figure.what == "free"], "room"))
    yield from free
    if not free:
        yield from _longest([figure for figure in room if figure.what == "longest free run"])
    yield from _power([figure for figure in figures if figure.kind == POWER and figure.what.startswith("spare")])
    yield from _depths([figure for figure in figures if figure.kind == MARGIN and figure.unit == "mm"])
    yield from _prices([figure for figure in figures if figure.kind == PRICE and figure.what == "price in all"])


def _telling(figures: Sequence[Figure]) -> tuple[Sequence[Figure], str]:
    """The numbers of the last stage; if nothing changes there, those of the first one at which something does."""
    last = [figure for figure in figures if figure.last]
    if last or not figures:
        return last, ""
    stage = figures[0].stage
    here = [figure for figure in figures if figure.stage == stage]
    return here, f" at '{stage}'" if stage else " from the start"


def _steps(figures: Sequence[Figure], what: str) -> Iterator[str]:
    """How much less and how much more there is of something, over all rows or supplies."""
    here, when = _telling(figures)
    for better, word in ((False, "less"), (True, "more")):
        steps = [figure.step for figure in here if figure.better is better and figure.step is not None]
        if steps:
            yield f"{amount(abs(sum(steps, Fraction(0))), here[0].unit)} {word} {what}{when}"


def _longest(figures: Sequence[Figure]) -> Iterator[str]:
    """The longest free run, where as much is free as before; of several rows the one that changes most."""
    here, when = _telling(figures)
    for better, word in ((False, "shorter"), (True, "longer")):
        steps = [abs(figure.step) for figure in here if figure.better is better and figure.step is not None]
        if steps:
            yield f"longest free run {amount(max(steps), 'HP')} {word}{when}"


def _power(figures: Sequence[Figure]) -> Iterator[str]:
    """What is to spare on each voltage; at the worst only where that alone changes."""
    nominal = {(figure.about, figure.what) for figure in figures}
    for what in dict.fromkeys(figure.what for figure in figures):
        here = [figure for figure in figures if figure.what == what]
        if what.endswith(AT_WORST):
            here = [one for one in here if (one.about, what.removesuffix(AT_WORST)) not in nominal]
        yield from _steps(here, what)
        for figure in here:
            if figure.new is None and figure.last:
                yield f"'{bare(figure.about)}' is gone with what it had {what}"


def _depths(figures: Sequence[Figure]) -> Iterator[str]:
    """The room behind panels."""
    for better, word in ((False, "less"), (True, "more")):
        some = [figure for figure in figures if figure.better is better]
        if len(some) == 1 and some[0].step is not None:
            yield f"{amount(abs(some[0].step), 'mm')} {word} behind '{bare(some[0].about)}'"
        elif some:
            yield f"{word} room behind {len(some)} panels"


def _prices(figures: Sequence[Figure]) -> Iterator[str]:
    """What is to be paid in all, currency by currency."""
    for unit in sorted({figure.unit for figure in figures}):
        here = [figure for figure in figures if figure.unit == unit]
        total = sum((figure.step for figure in here if figure.step is not None), Fraction(0))
        if total and all(figure.sure for figure in here):
            yield f"{amount(abs(total), unit)} {'dearer' if total > 0 else 'cheaper'}"
        elif total:
            yield f"{amount(abs(total), unit)} {'more' if total > 0 else 'less'} of its price is known"
