"""Values with their origin: in: facts of a block, out: what is known, how it is known, and where it was written.

Every value is stated, measured or guessed, by the word behind it or by the ``basis`` of its block. A value that nobody
wrote is not there at all: unknown is not zero.
"""

from fractions import Fraction
from typing import NamedTuple

from rackspec.findings import Place
from rackspec.language.bound import GUESSED, MEASURED, STATED, Evidence, Fact
from rackspec.language.quantity import Money, Quantity

PRACTICE = "common practice"
"""The level of a value that nobody wrote: a band that the program or the house assumes."""

TRUST = {MEASURED: 0, STATED: 1, GUESSED: 2, PRACTICE: 3}
"""The levels from the strongest to the weakest."""


class Known(NamedTuple):
    """A quantity that somebody wrote (or that is assumed): its value, its evidence and its place."""

    quantity: Quantity
    evidence: Evidence
    place: Place

    @property
    def value(self) -> Fraction:
        """Nominal value in base units."""
        return self.quantity.value

    @property
    def low(self) -> Fraction:
        """Its lower end in base units."""
        return self.quantity.low

    @property
    def high(self) -> Fraction:
        """Its upper end in base units."""
        return self.quantity.high

    @property
    def is_guess(self) -> bool:
        """Whether it is a guess of the builder or of common practice."""
        return TRUST[self.evidence.level] >= TRUST[GUESSED]


class KnownMoney(NamedTuple):
    """A sum of money with its evidence and place."""

    money: Money
    evidence: Evidence
    place: Place


def evidence_of(fact: Fact, basis: Evidence) -> Evidence:
    """The evidence of a fact: its own, else its block's."""
    return fact.bound.evidence or basis


def known(fact: Fact, key: str, basis: Evidence) -> Known | None:
    """The quantity under ``key`` of a fact, or None where it was not understood."""
    value = fact.bound.values.get(key)
    if value is None or not isinstance(value.data, Quantity):
        return None
    return Known(value.data, evidence_of(fact, basis), fact.place(key))


def known_point(fact: Fact, key: str, basis: Evidence) -> tuple[Known, Known] | None:
    """The two lengths of the point under ``key`` of a fact, or None where it was not understood."""
    value = fact.bound.values.get(key)
    if value is None or not isinstance(value.data, tuple):
        return None
    first, second = value.data
    if not isinstance(first, Quantity) or not isinstance(second, Quantity):
        return None
    evidence, place = evidence_of(fact, basis), fact.place(key)
    return Known(first, evidence, place), Known(second, evidence, place)


def weakest(values: list[Known]) -> str:
    """The weakest level that a result rests on; empty without values."""
    levels = [value.evidence.level for value in values]
    return max(levels, key=lambda level: TRUST[level]) if levels else ""


def rests_on(what: str, values: list[Known]) -> str:
    """How far a result can be trusted, in words: ``widths stated`` or ``widths: 2 measured, 5 stated, 1 guessed``."""
    counts: dict[str, int] = {}
    for value in values:
        counts[value.evidence.level] = counts.get(value.evidence.level, 0) + 1
    if len(counts) == 1:
        return f"{what} {_spoken(next(iter(counts)))}"
    parts = [f"{counts[level]} {_spoken(level)}" for level in sorted(counts, key=lambda level: TRUST[level])]
    return f"{what}: {', '.join(parts)}" if parts else ""


def _spoken(level: str) -> str:
    return f"from {level}" if level == PRACTICE else level
