"""The numbers of a verdict: in: a comparison, out: by how much room, power and price change, in a few words each.

They are taken from those that the table shows: with everything that is planned, or at the stage that is named.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from rackspec.comparison.amounts import amount, side_text
from rackspec.comparison.gaps import LINE, PART
from rackspec.comparison.moments import ALL_PLANS
from rackspec.comparison.prices import IN_ALL
from rackspec.comparison.record import (
    ADDED,
    MARGIN,
    POWER,
    PRICE,
    REMOVED,
    ROOM,
    Comparison,
    Figure,
    RackFigures,
)
from rackspec.comparison.telling import AT_WORST, telling, told_depths, told_groups
from rackspec.views.comparison_facts import facts_text, listed
from rackspec.views.comparison_holes import lost_holes

MOST = 5
"""Clauses that are told; others are counted."""
MOST_FORGOTTEN = 2


class Clause(NamedTuple):
    """A few words of a verdict; ``bad``: it is for the worse, and is told before what is not."""

    text: str
    bad: bool = False


def numbers_of(comparison: Comparison, most: int = MOST) -> list[str]:
    """Room, power, depth and price of all racks, at most ``most`` of them."""
    changing = [rack for rack in comparison.racks if rack.action not in (ADDED, REMOVED)]
    several = len(comparison.concerned()) > 1
    clauses = list(dict.fromkeys(clause for rack in changing for clause in _of_rack(rack, several)))
    clauses += [clause for rack in comparison.racks if rack not in changing for clause in _whole(rack, several)]
    if len(clauses) <= most + 1:
        return [clause.text for clause in clauses]
    kept = sorted(range(len(clauses)), key=lambda number: (not clauses[number].bad, number))[:most]
    return [*(clauses[number].text for number in sorted(kept)), f"and {len(clauses) - most} more"]


def forgotten_of(comparison: Comparison) -> list[str]:
    """What is not known any more, in a few words; empty where all is known that was."""
    items = [item for rack in comparison.racks for item in rack.forgotten]
    parts = sorted({item.thing for item in items if item.fact == PART})
    lines = sorted({item.thing.partition("/")[2] for item in items if item.fact == LINE})
    facts = list(facts_text([item for item in items if item.fact not in (PART, LINE)], quotes="'"))
    told = []
    if lines:
        names = listed([f"'{name}'" for name in lines])
        told.append(f"what is said of {names} is not understood any more")
    if len(parts) > 3:
        told.append(f"{len(parts)} parts are not found any more")
    elif parts:
        names = listed([f"'{part}'" for part in parts])
        told.append(f"{names} {'is' if len(parts) == 1 else 'are'} not found any more")
    if len(facts) > MOST_FORGOTTEN:
        facts = [facts[0], f"{len(facts) - 1} more facts"]
    if facts:
        words = " and ".join(facts)
        asks = words.startswith(("when ", "which ", "what ", "whether "))
        told.append(f"not known any more {words}" if asks else f"{words} not known any more")
    return told or [*lost_holes(comparison), *_lost_sums(comparison)]


SUMS = {ROOM: "how much room is free", POWER: "how much current is to spare", PRICE: "how much is to be paid"}


def _lost_sums(comparison: Comparison) -> list[str]:
    """Sums that are not known any more because of something that is new, or of lines that were not understood."""
    lost = {
        figure.kind
        for rack in comparison.racks
        if rack.action not in (ADDED, REMOVED)
        for figure in rack.figures
        if figure.lost and figure.more_is_better is not None and figure.old is not None
    }
    named = [words for kind, words in SUMS.items() if kind in lost]
    if not named and MARGIN in lost:
        named = ["how much room is left behind a panel, or of an adapter,"]
    words = named[0] if len(named) == 1 else f"{', '.join(named[:-1])} and {named[-1]}" if named else ""
    return [f"{words} {'is' if len(named) == 1 else 'are'} not known as well as before"] if words else []


def _of_rack(rack: RackFigures, several: bool) -> Iterator[Clause]:
    """What a rack comes to that both sides have. ``several``: it is not the only one, and has to be named."""
    chosen = [telling(figures)[-1] for figures in told_groups(rack)]
    in_rack = f" in '{rack.name}'" if several else ""
    yield from _room([figure for figure in chosen if figure.kind == ROOM], rack, several)
    power = [figure for figure in chosen if figure.kind == POWER and figure.what.startswith("spare")]
    for about in dict.fromkeys(figure.about for figure in power):
        yield from _power([figure for figure in power if figure.about == about], rack, several)
    yield from _depths([figure for group in told_depths(rack) for figure in group], in_rack)
    yield from _price(rack, several)


def named(full: str, several: bool) -> str:
    """The name of a thing, with its rack where there are several."""
    return f"'{full if several else full.partition('/')[2] or full}'"


def when(figure: Figure) -> str:
    """The stage of a number, unless it is with everything that is planned."""
    if figure.last:
        return ""
    if figure.stage == ALL_PLANS:
        return f" {ALL_PLANS}"
    return f" at '{figure.stage}'" if figure.stage else " from the start"


def _room(figures: Sequence[Figure], rack: RackFigures, several: bool) -> Iterator[Clause]:
    """What is free, row by row, or in all rows where some came or went; else the longest free run."""
    whole = [figure for figure in figures if "/" not in figure.about]
    figures = whole or figures
    rows = {figure.about for figure in figures if figure.what == "free" and figure.better is not None}
    for figure in figures:
        where = f" in row {named(figure.about, several)}" if rack.rows > 1 else f" in '{rack.name}'" if several else ""
        if figure in whole:
            where = f" in '{rack.name}'" if several else ""
        if figure.better is None or figure.step is None:
            continue
        far = amount(abs(figure.step), "HP")
        if figure.what == "free":
            yield Clause(f"{far} {'more' if figure.better else 'less'} room{where}{when(figure)}", not figure.better)
        elif figure.what == "longest free run" and figure.about not in rows:
            word = "longer" if figure.better else "shorter"
            yield Clause(f"longest free run {far} {word}{where}{when(figure)}", not figure.better)


def _power(figures: Sequence[Figure], rack: RackFigures, several: bool) -> Iterator[Clause]:
    """What a supply has to spare, voltage by voltage."""
    name = named(figures[0].about, several)
    where = f" of {name}" if rack.supplies > 1 or several else ""
    if all(figure.new is None and not figure.lost for figure in figures):
        yield Clause(f"supply {name} is gone", True)
        return
    if all(figure.old is None and not figure.gained for figure in figures):
        yield Clause(f"supply {name} is new")
        return
    # what is assumed at the worst of something that nobody knows is told in the table
    unsure = {figure.what + AT_WORST for figure in figures if not figure.sure}
    for better, word in ((False, "less"), (True, "more")):
        here = [figure for figure in figures if figure.better is better and figure.what not in unsure]
        for time in dict.fromkeys(when(figure) for figure in here):
            parts: list[str] = []
            for figure in (one for one in here if when(one) == time):
                assert figure.step is not None
                what = figure.what if not parts else figure.what.removeprefix("spare ")
                parts.append(f"{amount(abs(figure.step), 'mA')}{'' if parts else f' {word}'} {what}")
            yield Clause(" and ".join(parts) + where + time, not better)


def _depths(figures: Sequence[Figure], in_rack: str) -> Iterator[Clause]:
    """The room behind panels."""
    for better, word in ((False, "less"), (True, "more")):
        some = [figure for figure in figures if figure.better is better]
        if len(some) == 1 and some[0].step is not None:
            far = amount(abs(some[0].step), "mm")
            yield Clause(f"{far} {word} behind {named(some[0].about, False)}{in_rack}", not better)
        elif some:
            yield Clause(f"{word} room behind {len(some)} panels{in_rack}", not better)


def _price(rack: RackFigures, several: bool) -> Iterator[Clause]:
    """What is to be paid in all."""
    for figure in rack.figures:
        if figure.kind != PRICE or figure.what != IN_ALL:
            continue
        if figure.better is not None and figure.step is not None:
            whose = f"'{rack.name}' " if several else ""
            far = amount(abs(figure.step), figure.unit)
            yield Clause(f"{whose}{far} {'cheaper' if figure.better else 'dearer'}", not figure.better)
        elif figure.gained and not figure.lost and figure.old is not None and figure.new is not None:
            whose = f"the price of '{rack.name}'" if several else "its price"
            if figure.new > figure.old:
                yield Clause(f"{amount(figure.new - figure.old, figure.unit)} more of {whose} is known")


def _whole(rack: RackFigures, several: bool) -> Iterator[Clause]:
    """What a rack costs that is new, or cost that is gone."""
    side = 1 if rack.action == ADDED else 0
    for figure in rack.figures:
        if figure.kind == PRICE and figure.what == IN_ALL and (figure.new if side else figure.old):
            name = f"'{rack.name}'" if several else "it"
            if side:
                yield Clause(f"{side_text(figure, 1)} to be paid for {name}", True)
            elif figure.sure and not figure.lost:
                yield Clause(f"{side_text(figure, 0)} less to be paid without {name}")
