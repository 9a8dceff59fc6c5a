"""Tables for spreadsheets: in: the names of columns and rows of cells, out: text as RFC 4180 has it.

A spreadsheet takes a cell that begins with ``= + - @``, a tab or the end of a line for a formula and may run it, quoted
or not (OWASP, CSV Injection); other guards hold back ``|`` and ``%``, too. Such a text gets an apostrophe in front. So
does what stands behind a mark at which some spreadsheets split cells: a program that splits there would see the
beginning of a cell. What is a number here stays one, below zero too, so that a column can be added up: digits compute
nothing.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence
from fractions import Fraction

from rackspec.language.quantity import plain_number

OPENING = "=+\\-@|%\t\r\n\uff1d\uff0b\uff0d\uff20"
"""What a formula may begin with; some spreadsheets take the wide forms of the four (U+FF1D …) for the narrow ones."""
AT_THE_START = re.compile(rf"^(?=\s*[{OPENING}])")
BEHIND_A_MARK = re.compile(rf"(?<=[;,|\t\r\n])(?=\s*[{OPENING}])")
APOSTROPHE = "'"

Cell = str | int | Fraction | None
"""A text, a number that ends as a decimal, or nothing."""
MOST_PLACES = 30
"""Places of a decimal; sums of money have far fewer."""


def guarded(text: str) -> str:
    """A text that no spreadsheet takes for a formula."""
    return BEHIND_A_MARK.sub(APOSTROPHE, AT_THE_START.sub(APOSTROPHE, text))


def cell_text(cell: Cell) -> str:
    """A cell as it is written."""
    if cell is None:
        return ""
    return guarded(cell) if isinstance(cell, str) else plain_number(Fraction(cell), MOST_PLACES)


def as_csv(head: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    """A table: its head, then a line a row, each with as many cells. Raises ValueError for a row of another length."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow([cell_text(name) for name in head])
    for row in rows:
        if len(row) != len(head):
            raise ValueError(f"{len(row)} cells under {len(head)} heads")
        writer.writerow([cell_text(cell) for cell in row])
    return text.getvalue()
