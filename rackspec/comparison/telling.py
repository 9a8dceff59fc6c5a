"""Which numbers are told: in: the numbers of a rack that are others, out: those that say something of their own.

All numbers stand in the JSON. What people are shown, the first line, and the reasons of a refusal are made of the same
few: a number that says the same as another is left out, and of many stages the one where least is left and the last are
told.
"""

from __future__ import annotations

from collections.abc import Sequence

from rackspec.comparison.prices import IN_ALL
from rackspec.comparison.record import ADDED, MARGIN, POWER, PRICE, REMOVED, ROOM, Figure, RackFigures

MOST_DEPTHS = 5
MOST_PRICES = 4
AT_WORST = " at the worst"

Groups = dict[tuple[str, str, str], list[Figure]]


def told_groups(rack: RackFigures) -> list[list[Figure]]:
    """The numbers of a rack that are told, stage by stage, but for the room behind panels: what is of one thing stands
    together, and prices come last."""
    groups: Groups = {}
    order: dict[str, int] = {}
    for figure in rack.figures:
        order.setdefault(figure.about, len(order))
        groups.setdefault((figure.kind, figure.about, figure.what), []).append(figure)
    told = sorted(groups.values(), key=lambda figures: (figures[0].kind == PRICE, order[figures[0].about]))
    alone = rack.action in (ADDED, REMOVED)
    return [figures for figures in told if not is_depth(figures[0]) and not _said_already(figures[0], groups, alone)]


def told_depths(rack: RackFigures) -> tuple[list[Figure], list[Figure]]:
    """The room behind panels: what is told, those that are worse or not known first, and what is only counted."""
    depths = [figure for figure in rack.figures if is_depth(figure) and (figure.new is not None or figure.lost)]
    depths.sort(key=lambda figure: (not figure.is_bad, figure.new or 0, figure.about))
    return depths[:MOST_DEPTHS], depths[MOST_DEPTHS:]


def is_depth(figure: Figure) -> bool:
    """Whether a number is the room behind a panel."""
    return figure.kind == MARGIN and figure.unit == "mm"


def says(figure: Figure) -> tuple[object, ...]:
    """What a number says, whatever it is of."""
    return figure.old, figure.new, figure.bound, figure.sure, figure.lost, figure.gained


def telling(figures: Sequence[Figure]) -> Sequence[Figure]:
    """The stages of a number that are told: where least is left, of those that are worse if any are, and the last; of
    what is to be paid, the first few."""
    if figures[0].kind == PRICE:
        return figures[:MOST_PRICES]
    if len({says(figure) for figure in figures}) == 1:
        return [figures[-1]]
    bad = [figure for figure in figures if figure.is_bad]
    least = min(bad or figures, key=lambda figure: (figure.new is not None, figure.new or 0))
    last = figures[-1]
    return [last] if least is last or says(least) == says(last) else [least, last]


def _said_already(figure: Figure, groups: Groups, alone: bool) -> bool:
    """Whether another number says the same. ``alone``: the whole rack is on one side only."""
    kind, about, what = figure.kind, figure.about, figure.what

    def values(of: str) -> dict[str, tuple[object, ...]]:
        return {one.stage: says(one) for one in groups.get((kind, about, of), ())}

    def marks(of: str) -> dict[str, tuple[object, ...]]:
        return {one.stage: (one.better, one.is_bad) for one in groups.get((kind, about, of), ())}

    if kind == ROOM and what != "free":
        free = groups.get((kind, about, "free"), ())
        if free and all((one.new is None and one.lost) or (one.old is None and one.gained) for one in free):
            return True  # where nothing is known of what is free, nothing else is told of the row
    if kind == ROOM and what == "taken":
        return bool(values("free"))
    if kind == ROOM and what == "longest free run":
        return values(what).items() <= values("free").items()
    if kind == POWER and (alone or figure.old is None or figure.new is None) and not what.startswith("spare"):
        return True
    if kind == POWER and what.startswith("drawn"):
        return bool(values(what.replace("drawn", "spare", 1))) or not (figure.old or figure.new)
    if kind == POWER and what.endswith(AT_WORST):
        nominal = what.removesuffix(AT_WORST)
        return (alone and bool(values(nominal))) or marks(what).items() <= marks(nominal).items()
    if kind == PRICE and what == IN_ALL:
        return len(values("price")) == 1 and list(values(what).values()) == list(values("price").values())
    return False
