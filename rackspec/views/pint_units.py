"""Conversions by pint: in: a unit of the language, out: one of it in every other unit of its kind, exactly.

pint reads the same definitions file as the exact table; here, where nobody waits for it, it does the converting.
"""

from __future__ import annotations

import os
from fractions import Fraction
from functools import cache
from typing import Any

from rackspec.language.folder import grammar_folder
from rackspec.language.units import UNITS


@cache
def registry() -> Any:
    """pint's registry of our units."""
    import pint

    return pint.UnitRegistry(os.path.join(grammar_folder(), "units.txt"), non_int_type=Fraction, cache_folder=None)


def quantity(value: Fraction, spelling: str) -> Any:
    """A pint quantity, for whoever wants to compute on with it."""
    return registry().Quantity(value, UNITS[spelling].name)


def converted(spelling: str) -> list[tuple[str, Fraction]]:
    """One of the unit in each other unit of its dimension: (symbol, value)."""
    unit = UNITS[spelling]
    one = quantity(Fraction(1), spelling)
    symbols: dict[str, str] = {}
    for symbol, other in UNITS.items():
        if other.dimension == unit.dimension and other is not unit and symbol != other.name:
            symbols.setdefault(other.name, symbol)  # the first spelling behind the name is the symbol
    return [(symbol, Fraction(one.to(name).magnitude)) for name, symbol in symbols.items()]
