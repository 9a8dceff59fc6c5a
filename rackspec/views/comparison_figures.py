"""Consequences in words: in: the numbers of a rack that are others, out: lines of a table, the most telling ones.

All numbers stand in the JSON. Here a number that says the same as another is left out, and of many stages the first and
the last are shown.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from rackspec.comparison.amounts import side_text, step_text
from rackspec.comparison.moments import ALL_PLANS
from rackspec.comparison.record import ADDED, MARGIN, POWER, PRICE, REMOVED, ROOM, Figure, RackFigures, Unknown
from rackspec.views.comparison_words import ARROW, bare

MOST_MARGINS = 5
MOST_PRICES = 4


class FigureLine(NamedTuple):
    """A number in words: what it is of, which number and when, its two values, the step with its sign, and whether
    that is better or worse (empty: neither, or nobody can say)."""

    of: str
    what: str
    values: str
    step: str
    mark: str


def figure_lines(rack: RackFigures) -> list[FigureLine]:
    """The numbers of a rack, as they are shown."""
    lines: list[FigureLine] = []
    groups: dict[tuple[str, str, str], list[Figure]] = {}
    order: dict[str, int] = {}  # what is of one thing stands together
    for figure in rack.figures:
        order.setdefault(figure.about, len(order))
        groups.setdefault((figure.kind, figure.about, figure.what), []).append(figure)
    staged = any(figure.stage or not (figure.last or figure.kind == PRICE) for figure in rack.figures)
    told = sorted(groups.values(), key=lambda figures: (figures[0].kind == PRICE, order[figures[0].about]))
    rest = [figures for figures in told if not is_depth(figures[0]) and not _said_already(figures[0], groups)]
    depths = sorted(
        (figure for figure in rack.figures if is_depth(figure) and figure.new is not None),
        key=lambda figure: (figure.new or 0, figure.about),
    )
    lines += _lines([figures for figures in rest if figures[0].kind != PRICE], rack.action, staged)
    lines += [_line(figure, False) for figure in depths[:MOST_MARGINS]]
    if len(depths) > MOST_MARGINS:
        lines.append(FigureLine("", f"and {len(depths) - MOST_MARGINS} more that have more left", "", "", ""))
    lines += _lines([figures for figures in rest if figures[0].kind == PRICE], rack.action, staged)
    return lines


def _lines(groups: Sequence[Sequence[Figure]], action: str, staged: bool) -> Iterator[FigureLine]:
    """Numbers, each at the stages that are shown."""
    for figures in groups:
        alike = len({(figure.old, figure.new, figure.bound) for figure in figures}) == 1
        for figure in [figures[-1]] if alike else _telling(figures):
            line = _line(figure, staged and not (alike and len(figures) > 1))
            if action in (ADDED, REMOVED):  # of a whole rack there is nothing to be better or worse
                value = f"{side_text(figure, 1)}, new" if action == ADDED else f"{side_text(figure, 0)}, gone"
                line = line._replace(values=value, step="", mark="")
            yield line


def is_depth(figure: Figure) -> bool:
    """Whether a number is the room behind a panel."""
    return figure.kind == MARGIN and figure.unit == "mm"


def _telling(figures: Sequence[Figure]) -> Sequence[Figure]:
    """The stages of a number that are shown: where least is left, and the last; of what is to be paid, all."""
    if figures[0].kind == PRICE or len(figures) == 1:
        return figures[:MOST_PRICES]
    least = min(figures, key=lambda figure: (figure.new is not None, figure.new or 0))
    last = figures[-1]
    return [last] if (least.old, least.new, least.bound) == (last.old, last.new, last.bound) else [least, last]


def _said_already(figure: Figure, groups: dict[tuple[str, str, str], list[Figure]]) -> bool:
    """Whether another number says the same."""
    kind, about, what = figure.kind, figure.about, figure.what

    def values(of: str) -> dict[str, tuple[object, object]]:
        return {one.stage: (one.old, one.new) for one in groups.get((kind, about, of), ())}

    if kind == ROOM and what == "taken":
        return bool(values("free"))
    if kind == ROOM and what == "longest free run":
        return values(what).items() <= values("free").items()
    if kind == POWER and (figure.old is None or figure.new is None) and not what.startswith("spare"):
        return True
    if kind == POWER and what.startswith("drawn"):
        return bool(values(what.replace("drawn", "spare", 1)))
    if kind == POWER and what.endswith(" at the worst"):
        return bool(values(what.removesuffix(" at the worst")))
    if kind == PRICE and what == "price in all":
        return len(values("price")) == 1
    return False


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
    if figure.old is None:
        values = f"{side_text(figure, 1)}, new"
    elif figure.new is None:
        values = f"{side_text(figure, 0)}, gone"
    else:
        values = f"{side_text(figure, 0)} {ARROW} {side_text(figure, 1)}"
    step = step_text(figure) if figure.step else ""
    mark = {True: "better", False: "worse", None: ""}[figure.better]
    if figure.step and figure.more_is_better is not None and not figure.sure:
        mark = "known now"
    return FigureLine(of, what, values, step, mark)


def time(figure: Figure, staged: bool) -> str:
    """The stage of a number."""
    if figure.stage:
        return f"at '{figure.stage}'"
    return "from the start" if staged else ""


def unknown_lines(rack: RackFigures) -> Iterator[tuple[str, str]]:
    """Facts that are not known any more, and that are known now, each as (label, facts)."""
    for label, items in (("not known yet", rack.unknown), ("settled", rack.answered)):
        if items:
            yield label, "; ".join(_facts(items))


def _facts(items: Sequence[Unknown]) -> Iterator[str]:
    """Unknown facts: the same fact of several things is told once."""
    grouped: dict[str, list[str]] = {}
    for item in items:
        grouped.setdefault(item.fact, []).append(bare(item.thing))
    for fact, things in grouped.items():
        more = f" and {len(things) - 5} more" if len(things) > 5 else ""
        yield f"{fact} of {', '.join(things[:5])}{more}"
