"""Currents on one voltage: in: what each consumer draws, out: their sum, nominal and at the worst, and what is unknown.

Kirchhoff's current law: what a supply gives on a voltage is the sum of what is drawn on it.
"""

from collections.abc import Iterable
from fractions import Fraction
from typing import NamedTuple

from rackspec.language.units import HP
from rackspec.model.house import House, volts
from rackspec.model.known import Known

LEAST_BAND = Fraction(10)
"""mA; a module whose draw nobody stated is taken to draw at least this at the worst (common practice, no source)."""


class Consumer(NamedTuple):
    """One thing that draws: its name, what it draws by voltage in mA, its width in mm, how many there are.

    ``draws`` is None where nobody stated anything and empty where it draws nothing. A voltage that is left out while
    another is stated is not known either, as long as common practice has a band for it (+12 V and -12 V).
    """

    name: str
    draws: dict[Fraction, Known] | None
    width: Fraction | None
    pieces: int


class Load(NamedTuple):
    """What is drawn on one voltage, in mA: the known nominal sum, the worst sum (bands of common practice included),
    the part of the nominal sum that is guessed, and the consumers of which nobody stated anything."""

    nominal: Fraction
    worst: Fraction
    guessed: Fraction
    known: tuple[Known, ...]
    unknown: tuple[str, ...]
    terms: tuple[tuple[str, Fraction], ...]

    @property
    def at_least(self) -> bool:
        """Whether the nominal sum lacks something."""
        return bool(self.unknown)


def load_on(voltage: Fraction, consumers: Iterable[Consumer], house: House) -> Load:
    """What the consumers draw on one voltage (V)."""
    nominal = worst = guessed = Fraction(0)
    known: list[Known] = []
    unknown: list[str] = []
    terms: list[tuple[str, Fraction]] = []
    for consumer in consumers:
        current = None if consumer.draws is None else consumer.draws.get(voltage)
        if current is None:
            limit = house.limits.get(f"assume draws {volts(voltage)}")
            if limit is None or consumer.draws == {}:
                continue
            unknown.append(consumer.name)
            if consumer.width is not None:
                most = max(limit.quantity.high * consumer.width / HP, LEAST_BAND) * consumer.pieces
                worst += most
            continue
        nominal += current.value * consumer.pieces
        worst += current.high * consumer.pieces
        known.append(current)
        terms.append((consumer.name, current.value * consumer.pieces))
        if current.is_guess:
            guessed += current.value * consumer.pieces
    return Load(nominal, worst, guessed, tuple(known), tuple(unknown), tuple(terms))


def usable(rated: Fraction, spare: Fraction) -> Fraction:
    """What of a rating (mA) may be used when ``spare`` % of it is to be left: 20 % of 1.2 A leaves 0.96 A."""
    return rated * (100 - spare) / 100
