"""Rules and their pages: in: a function with its page as docstring, out: an entry of RULES.

A rule is one function beside its siblings. It gets a ``Look`` at one rack and yields what it sees: findings, margins,
and facts that are not known yet. Its docstring is its page: summary, *Why*, *Bad*, *Good*, *Source*; the two examples
are run as tests. Rules that reading and linking hold to have a page only (``rules/reading.py``).
"""

from collections.abc import Callable, Iterator
from datetime import date
from functools import cache
from typing import Any, NamedTuple

from rackspec.findings import ERROR, NOTE, WARNING, Finding, Place
from rackspec.model.house import House
from rackspec.model.rack import Rack
from rackspec.physics.margin import Margin


class NotKnown(NamedTuple):
    """A fact that a check needs and nobody wrote: of which thing, which fact, how to come by it, where it would be."""

    thing: str
    fact: str
    how: str
    place: Place


Seen = Finding | Margin | NotKnown


class Look(NamedTuple):
    """What a rule looks at: one rack, the limits in force, what another rule has worked out already (``memory``), and
    the day that counts as today (None: no day was given, and nothing is old)."""

    rack: Rack
    house: House
    memory: dict[str, Any]
    today: date | None = None


class Rule(NamedTuple):
    """A rule: its id (the readable name of the bad thing), severity, subject, page, and the function that looks."""

    id: str
    severity: str
    subject: str
    page: str
    file: str
    look: Callable[[Look], Iterator[Seen]] | None


RULES: dict[str, Rule] = {}


def rule(severity: str, subject: str) -> Callable[[Callable[[Look], Iterator[Seen]]], Callable[[Look], Iterator[Seen]]]:
    """Register a function as a rule; its name gives the id."""

    def register(function: Callable[[Look], Iterator[Seen]]) -> Callable[[Look], Iterator[Seen]]:
        name = function.__name__.replace("_", "-")
        RULES[name] = Rule(name, severity, subject, function.__doc__ or "", function.__module__, function)
        return function

    return register


def page(name: str, severity: str, subject: str, text: str) -> None:
    """Register the page of a rule that reading or linking holds to."""
    RULES[name] = Rule(name, severity, subject, text, "rackspec.rules.reading", None)


def milder(severity: str, steps: int) -> str:
    """A severity, so many steps milder."""
    ladder = (ERROR, WARNING, NOTE)
    return ladder[min(ladder.index(severity) + steps, 2)]


def steps_for(nominal: bool, guessed: bool) -> int:
    """How much milder a finding is: one step if only the worst case breaks the limit, one if it rests on a guess."""
    return (0 if nominal else 1) + (1 if guessed else 0)


PLANNED = frozenset(
    """
    fronts-clash lid-meets-knobs drop-too-large wire-too-thin fuse-too-large fuse-never-blows box-outside-case
    piece-exceeds-stock fold-against-flutes washer-needed glue-lets-go rack-tips
    """.split()
)
"""Rules that are to come. A waiver or flag may name one already: it is no unknown name, and nothing is waived yet."""


@cache
def load_rules() -> dict[str, Rule]:
    """All rules, from all files of this folder, in the order of the subjects: whichever file was imported first."""
    from rackspec.rules import (
        adapter,
        bolts,
        budgets,
        buying,
        decisions,
        depth,
        ends,
        fit,
        growth,
        headers,
        mixed,
        power,
        reading,
        sides,
        spacing,
        stale,
    )

    money = (budgets, mixed, stale, buying)
    files = (power, adapter, headers, bolts, spacing, ends, sides, depth, decisions, fit, growth, *money, reading)
    order = {file.__name__: place for place, file in enumerate(files)}
    return {name: RULES[name] for name in sorted(RULES, key=lambda name: order[RULES[name].file])}
