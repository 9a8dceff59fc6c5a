"""The tables of the language's reference: in: the table of words, units, values and limits, out: markdown.

``grammar/LANGUAGE.md`` has them between markers (``<!-- table: module -->`` and ``<!-- end -->``).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from rackspec.language.quantity import plain_number
from rackspec.language.units import BASE_SYMBOL, UNITS, Unit
from rackspec.language.values import CLASSES
from rackspec.language.words import BLOCKS, Statement
from rackspec.model.house import OWN
from rackspec.views.explanations import GROUPS, how_often, pattern_text

MARKER = re.compile(r"<!-- table: ([a-z-]+) -->\n.*?<!-- end -->", re.DOTALL)

NOT_CHECKED = "*Not checked yet.*"
"""What stands behind the help of a word that no rule looks at yet."""

EXACT_PLACES = 12
"""Decimals that hold every factor of units.txt to its end (the ounce has nine)."""


def writable_blocks() -> list[str]:
    """The blocks that a builder writes, in the order of the table; the groups they include are none."""
    return [name for name in BLOCKS if name not in GROUPS]


def cell(text: str) -> str:
    """A text as it may stand in a cell."""
    return text.replace("|", "\\|")


def code(text: str) -> str:
    """A text as code in a cell, or nothing."""
    return f"`{cell(text)}`" if text else ""


def table(head: tuple[str, ...], rows: Sequence[tuple[str, ...]]) -> str:
    """A markdown table."""
    lines = ["| " + " | ".join(head) + " |", "| " + " | ".join("---" for _ in head) + " |"]
    lines += ["| " + " | ".join(row) + " |" for row in rows]
    return "\n".join(lines)


def in_reading_order(block: str) -> list[Statement]:
    """The statements of a block, its own ones first and those that every thing may carry last."""

    def rank(statement: Statement) -> int:
        return sum(statement.word in BLOCKS[group].statements for group in ("bought", "known"))

    return sorted(BLOCKS[block].statements.values(), key=rank)


def block_table(block: str) -> str:
    """The words of a block: what follows each, how often it may stand, what it says. Raises KeyError for no block."""
    rows = []
    for statement in in_reading_order(block):
        says = cell(statement.help) + (f". {NOT_CHECKED}" if statement.later else "")
        rows.append((code(statement.word), code(pattern_text(statement.items)), how_often(statement), says))
    return table(("word", "what follows", "how often", "what it says"), rows)


def classes_in(items: list[Any]) -> set[str]:
    """The classes of value that a pattern names."""
    found: set[str] = set()
    for item in items:
        if item[0] == "value":
            found.add(item[1])
        elif item[0] in ("either", "optional"):
            for inner in item[1]:
                found |= classes_in(inner)
    return found


def used_classes() -> list[str]:
    """The classes of value that some word takes, in their order; one that stands for itself (HP) needs no row."""
    used: set[str] = set()
    for block in BLOCKS.values():
        for statement in block.statements.values():
            used |= classes_in(statement.items)
    return [name for name in CLASSES if name in used and CLASSES[name].example != name]


def values_table() -> str:
    """The classes of value: how each is called in the tables of words, and what would do."""
    rows = [(code(name), CLASSES[name].called, cell(CLASSES[name].example)) for name in used_classes()]
    return table(("in the tables", "is", "such as"), rows)


def factor_text(unit: Unit) -> str:
    """What one of a unit is in the unit its dimension is kept in."""
    symbol = BASE_SYMBOL[unit.dimension]
    if unit.factor == Fraction(1):
        return "the base of its kind"
    return f"{plain_number(unit.factor, EXACT_PLACES)}{symbol}"


def units_table() -> str:
    """The units by dimension: how each is written, what it is exactly, and whether some word takes it."""
    dimensions = {CLASSES[name].dimension for name in used_classes()}
    symbols: dict[str, list[str]] = {}
    for spelling, unit in UNITS.items():
        if spelling != unit.name or len(spelling) < 3:
            symbols.setdefault(unit.name, []).append(spelling)
    rows = []
    before = ""
    for unit in dict.fromkeys(UNITS.values()):
        # a unit whose only spelling is its name is written by it; µ and μ look alike and are one row's two spellings
        written = " or ".join(code(symbol) for symbol in symbols.get(unit.name, [unit.name]))
        kind = unit.dimension + ("" if unit.dimension in dimensions else " (no word takes it yet)")
        name = unit.name.replace("_", " ")
        rows.append((kind if unit.dimension != before else "", name, written, factor_text(unit)))
        before = unit.dimension
    return table(("kind", "unit", "written", "is exactly"), rows)


def limits_table() -> str:
    """The program's own limits and bands, which a house may change."""
    rows = []
    for name, quantity in OWN.items():
        of_what = " for each HP of panel" if quantity.dimension == "current" else ""
        if name.startswith("old "):
            of_what = " days"
        rows.append((code(name), quantity.text + of_what))
    return table(("limit", "without a house"), rows)


def table_of(name: str) -> str:
    """The table of that name: a block, ``values``, ``units`` or ``limits``. Raises KeyError for another name."""
    match name:
        case "values":
            return values_table()
        case "units":
            return units_table()
        case "limits":
            return limits_table()
        case _:
            return block_table(name)


def with_tables(page: str) -> str:
    """A page with the tables between its markers made anew. Raises KeyError where a marker names no table."""
    return MARKER.sub(lambda match: f"<!-- table: {match[1]} -->\n{table_of(match[1])}\n<!-- end -->", page)
