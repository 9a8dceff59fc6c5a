"""Facts that are not known, in words: in: facts with the things that they are of, out: phrases for a sentence."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from rackspec.comparison.gaps import LINE, PART, TIME
from rackspec.comparison.record import Unknown
from rackspec.views.comparison_words import bare

MOST_THINGS = 5
IT = re.compile(r"\bit\b")
ROW = re.compile(r"\bthe row\b")
ITS = re.compile(r"(?<=\s)its (case|ends|end screws|side pieces)\b")
"""What a thing has, named behind the beginning of a question."""


def facts_text(items: Sequence[Unknown], quotes: str = "") -> Iterator[str]:
    """Facts, each told once for all things that it is of: ``width of twin-amp``, ``which supply will feed rain-butt``.

    ``quotes`` are put around the names.
    """
    grouped: dict[str, list[str]] = {}
    for item in items:
        things = grouped.setdefault(item.fact, [])
        name = f"{quotes}{bare(item.thing)}{quotes}"
        if name not in things:
            things.append(name)
    for fact, things in grouped.items():
        if IT.search(fact) and fact != TIME and not fact.endswith(" it"):  # its verb goes with one thing only
            yield from (phrase(fact, thing) for thing in things)
        else:
            yield phrase(fact, listed(things), len(things) > 1)


def phrase(fact: str, things: str, many: bool = False) -> str:
    """A fact of things; ``many``: of more than one."""
    if fact == PART:
        return f"{things}, which {'are' if many else 'is'} not found"
    if fact == TIME:
        return f"when {things} {'are' if many else 'is'} there"
    if fact == LINE:
        return f"the line{'s' if many else ''} of {things}, which {'are' if many else 'is'} not understood"
    if fact.startswith("whether all "):
        return fact
    if ROW.search(fact):
        return ROW.sub(f"row {things}", fact)
    if IT.search(fact):
        return IT.sub(things, fact, count=1)
    if ITS.search(fact):
        return ITS.sub(rf"the \1 of {things}", fact, count=1)
    if fact.startswith("what "):
        return f"{fact} in {things}"
    return f"{fact.removeprefix('its ')} of {things}"


def listed(names: Sequence[str]) -> str:
    """Names in a sentence."""
    if len(names) > MOST_THINGS:
        return f"{', '.join(names[:MOST_THINGS])} and {len(names) - MOST_THINGS} more"
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
