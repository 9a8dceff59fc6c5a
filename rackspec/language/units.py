"""Units: in: the definitions of units.txt, out: an exact table of spellings.

The definitions file is pint's and is the only place where a factor is written. Reading it here, exactly and without
pint, keeps pint's import off the way of every run; a test holds both readings against each other, unit by unit.
"""

from fractions import Fraction
from typing import NamedTuple

from rackspec.language.folder import grammar_text


class Unit(NamedTuple):
    """A unit: its full name, its dimension (``length``) and how many base units (mm, mA, V, g …) it is."""

    name: str
    dimension: str
    factor: Fraction


def read_units(text: str) -> dict[str, Unit]:
    """Every spelling of every unit that the definitions name. A definition is ``name = factor * unit = symbol = …``."""
    table: dict[str, Unit] = {}
    for line in text.splitlines():
        line = line.split("#", 1)[0].strip()
        if "=" not in line or line.startswith(("@", "group", "system")):
            continue
        name, definition, *spellings = (part.strip() for part in line.split("="))
        if definition.startswith("["):
            unit = Unit(name, definition[1:-1], Fraction(1))
        else:
            factor, _, reference = definition.partition(" * ")
            base = table[reference]
            unit = Unit(name, base.dimension, Fraction(factor) * base.factor)
        for spelling in (name, *spellings):
            table[spelling] = unit
            if spelling.endswith("2"):  # pint takes no raised figure in a name
                table[spelling[:-1] + "²"] = unit
    return table


UNITS = read_units(grammar_text("units.txt"))

BASE_SYMBOL = {
    "length": "mm",
    "area": "mm2",
    "current": "mA",
    "voltage": "V",
    "power": "W",
    "mass": "g",
    "angle": "deg",
    "share": "%",
    "time": "d",
}
"""The symbol that values of a dimension are shown in; it is also the unit they are kept in."""

ARTICLED = {
    "length": "a length",
    "area": "a cross-section",
    "current": "a current",
    "voltage": "a voltage",
    "power": "a power",
    "mass": "a mass",
    "angle": "an angle",
    "share": "a share in %",
    "time": "a time",
}
"""How a dimension is called in a sentence."""

EXAMPLES = {
    "length": "84HP, 12mm or 1/2in",
    "area": "0.5mm2",
    "current": "60mA or 1.2A",
    "voltage": "+12V",
    "power": "15W",
    "mass": "150g",
    "angle": "15deg",
    "share": "20%",
    "time": "30d",
}
"""What would do, for a value whose unit is missing or wrong."""

HP = UNITS["HP"].factor
"""Millimetres in one HP (IEC 60297-3-101), from the definitions file."""
