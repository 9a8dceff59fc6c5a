"""The tables of grammar/BUYING.md: in: the page, out: each order that is worked out there, by its name."""

from __future__ import annotations

from decimal import Decimal
from typing import NamedTuple

from tests.conftest import ROOT

PAGE = ROOT / "grammar" / "BUYING.md"
HEAD = ["units", "price", "sum", "left over"]
IN_ALL = "in all"


class Line(NamedTuple):
    """A line of a table: what, how many units, what one costs, what all cost, pieces that are left over."""

    what: str
    units: int
    price: Decimal
    sum: Decimal
    left: int


class Table(NamedTuple):
    """An order: its lines, and what it comes to."""

    lines: tuple[Line, ...]
    total: Decimal


def cents(money: Decimal) -> int:
    """A sum of money in hundredths; raises if it has smaller parts."""
    assert money * 100 == int(money * 100)
    return int(money * 100)


def read_tables() -> dict[str, Table]:
    """All tables of orders; the first cell of their first row is their name."""
    found: dict[str, list[list[str]]] = {}
    name = ""
    for line in PAGE.read_text(encoding="utf-8").splitlines():
        cells = [cell.strip() for cell in line.strip("|").split("|")] if line.startswith("|") else []
        if not cells:
            name = ""
        elif cells[1:] == HEAD:
            name = cells[0]
            assert name not in found, f"two tables are called {name}"
            found[name] = []
        elif name and not cells[0].startswith("---"):
            found[name].append(cells)
    return {name: table(rows) for name, rows in found.items()}


def table(rows: list[list[str]]) -> Table:
    """A table out of its rows, of which the last is the sum of all."""
    *lines, last = rows
    assert last[0] == IN_ALL
    return Table(
        tuple(
            Line(what, int(units), Decimal(price), Decimal(sum_), int(left or 0))
            for what, units, price, sum_, left in lines
        ),
        Decimal(last[3]),
    )


PAGE_TABLES = read_tables()
