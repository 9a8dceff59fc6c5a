"""Consequences in words: in: the numbers of a rack that are others, out: lines of a table, the most telling ones.

All numbers stand in the JSON; which of them are shown is decided in ``comparison.telling``.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from rackspec.comparison.amounts import side_text, step_text
from rackspec.comparison.moments import ALL_PLANS
from rackspec.comparison.record import ADDED, POWER, PRICE, REMOVED, ROOM, Figure, RackFigures
from rackspec.comparison.telling import says, telling, told_depths, told_groups
from rackspec.views.comparison_facts import facts_text
from rackspec.views.comparison_holes import hole_lines
from rackspec.views.comparison_words import ARROW, bare


class FigureLine(NamedTuple):
    """A number in words: what it is of, which number and when, its two values, the step with its sign, and whether
    that is better or worse, or known otherwise than it was (empty: none of these)."""

    of: str
    what: str
    values: str
    step: str
    mark: str


def figure_lines(rack: RackFigures) -> list[FigureLine]:
    """The numbers of a rack, as they are shown."""
    alone = rack.action in (ADDED, REMOVED)
    staged = any(figure.stage or not (figure.last or figure.kind == PRICE) for figure in rack.figures) and not alone
    told = told_groups(rack)
    depths, more = told_depths(rack)
    lines = [*_lines([figures for figures in told if figures[0].kind != PRICE], rack.action, staged)]
    lines += [_line(figure, False) for figure in depths]
    if more:
        worse = any(figure.is_bad for figure in more)
        lines.append(FigureLine("", f"and {len(more)} more{'' if worse else ' that have more left'}", "", "", ""))
    return [*lines, *_lines([figures for figures in told if figures[0].kind == PRICE], rack.action, staged)]


def _lines(groups: Sequence[Sequence[Figure]], action: str, staged: bool) -> Iterator[FigureLine]:
    """Numbers, each at the stages that are shown."""
    for figures in groups:
        alike = len(figures) > 1 and len({says(figure) for figure in figures}) == 1
        for figure in telling(figures):
            line = _line(figure, staged and not (alike and figure.kind != PRICE))
            if action in (ADDED, REMOVED):  # of a whole rack there is nothing to be better or worse
                value = f"{side_text(figure, 1)}, new" if action == ADDED else f"{side_text(figure, 0)}, gone"
                line = line._replace(values=value, step="", mark="")
            yield line


WORDS = {"depth": "room behind it", "adapter": "left of its adapter", "free": "free width"}


def _line(figure: Figure, staged: bool) -> FigureLine:
    """A number."""
    what = WORDS.get(figure.what, figure.what)
    if figure.kind == PRICE:
        of, what = "price", "in all" if figure.what == "price in all" else time(figure, True)
    else:
        of = bare(figure.about)
        if figure.kind == ROOM:
            of = f"row {of}" if "/" in figure.about else "all rows"
        if staged and figure.kind in (ROOM, POWER) and figure.what != "length":
            what += f", {figure.stage}" if figure.stage == ALL_PLANS else f" {time(figure, staged)}"
    if figure.lost or figure.gained or None not in (figure.old, figure.new):
        values = f"{side_text(figure, 0)} {ARROW} {side_text(figure, 1)}"
    elif figure.old is None:
        values = f"{side_text(figure, 1)}, new"
    else:
        values = f"{side_text(figure, 0)}, gone"
    return FigureLine(of, what, values, step_text(figure) if figure.step else "", mark(figure))


def mark(figure: Figure) -> str:
    """Whether a number is better or worse, or is known now, or not any more."""
    if figure.better is not None:
        return "better" if figure.better else "worse"
    if figure.lost:
        return "less of it known" if figure.bound[0] and figure.new is not None else "not known any more"
    if figure.gained:
        return "more of it known" if figure.bound[1] and figure.old is not None else "known now"
    return ""


def time(figure: Figure, staged: bool) -> str:
    """The stage of a number."""
    if figure.stage:
        return f"at '{figure.stage}'"
    return "from the start" if staged else ""


def fact_lines(rack: RackFigures) -> Iterator[tuple[str, str]]:
    """What stands below the numbers, each as (label, text): what becomes of drill points; facts that are not known any
    more, that nobody knows of what is new, and that are known now."""
    yield from hole_lines(rack)
    forgotten = set(rack.forgotten)
    fresh = tuple(item for item in rack.unknown if item not in forgotten)
    for label, items in (("not known now", rack.forgotten), ("not known yet", fresh), ("settled", rack.answered)):
        if items:
            yield label, "; ".join(facts_text(items))
