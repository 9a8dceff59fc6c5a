"""Units that are not the language's own: in: a number and a unit, out: the same measure in a unit of the language.

Here pint's default registry is asked, for a remedy that can be copied; it is imported only when a unit is not known.
"""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from typing import Any

from rackspec.language.quantity import plain_number, read_number
from rackspec.language.units import BASE_SYMBOL

INCH_MARKS = {'"': "in", "″": "in", "'": "ft", "′": "ft"}

DIMENSIONS = {
    "length": {"[length]": 1},
    "area": {"[length]": 2},
    "current": {"[current]": 1},
    "voltage": {"[mass]": 1, "[length]": 2, "[time]": -3, "[current]": -1},
    "power": {"[mass]": 1, "[length]": 2, "[time]": -3},
    "mass": {"[mass]": 1},
}
"""pint's dimensions that the language has too."""


@cache
def registry() -> Any:
    """pint's default registry, made once. It means other things by ``mil`` and ``U``: only the unknown comes here."""
    import pint

    return pint.UnitRegistry(non_int_type=Fraction)


def in_our_units(number: str, unit: str) -> str:
    """``0.5`` and ``cubit`` as a measure in our base unit, or an empty text where pint does not know it either."""
    import pint

    if unit in INCH_MARKS:
        return number + INCH_MARKS[unit]
    try:
        measured = read_number(number) * registry().parse_units(unit)
        found = dict(measured.dimensionality)
        dimension = next((name for name, powers in DIMENSIONS.items() if powers == found), "")
        if not dimension:
            return ""
        converted = measured.to(BASE_SYMBOL[dimension].replace("mm2", "mm**2"))
        value = converted.magnitude
    except (pint.PintError, ValueError, ZeroDivisionError, TypeError, AttributeError, ArithmeticError):
        return ""
    if not isinstance(value, Fraction):
        value = Fraction(value).limit_denominator(1_000_000)
    text = plain_number(value)
    return "" if text.startswith("~") or text == "0" else text + BASE_SYMBOL[dimension]
