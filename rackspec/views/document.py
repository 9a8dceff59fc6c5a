"""A little document: in: headings, paragraphs, lists, tables and drawings, out: the same as text or as markdown.

Text is never wider than ``WIDTH`` columns, unless a single word or a drawing is; both renderings say the same words.
"""

import re
import textwrap
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from rackspec.views.text import visible, wide

WIDTH = 100
"""Columns of a line of text."""
GAP = 2
"""Columns between two columns of a table."""


class Heading(NamedTuple):
    """A heading of a level from 1 (the document) to 4."""

    level: int
    text: str


class Paragraph(NamedTuple):
    """Running text."""

    text: str


class Points(NamedTuple):
    """A list; with ``boxes`` each point has a box to tick."""

    items: tuple[str, ...]
    boxes: bool = False


class Table(NamedTuple):
    """A table: the heads of its columns, its rows, and the numbers of the columns that are set to the right."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: frozenset[int] = frozenset()


class Drawing(NamedTuple):
    """Lines that are kept as they are."""

    lines: tuple[str, ...]


Block = Heading | Paragraph | Points | Table | Drawing
Document = tuple[Block, ...]


def as_text(document: Iterable[Block]) -> str:
    """A document for a terminal or a printer."""
    lines: list[str] = []
    for block in document:
        if lines:
            lines.append("")
        if isinstance(block, Heading) and block.level <= 2 and lines:
            lines.append("")
        lines += _text_lines(block)
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _text_lines(block: Block) -> Iterator[str]:
    """The lines of one block."""
    if isinstance(block, Heading):
        text = visible(block.text)
        yield text.upper() if block.level == 2 else text
        if block.level <= 3:
            yield {1: "=", 2: "=", 3: "-"}[block.level] * min(wide(text), WIDTH)
    elif isinstance(block, Paragraph):
        yield from wrapped(block.text, WIDTH)
    elif isinstance(block, Points):
        mark = "[ ] " if block.boxes else "- "
        for item in block.items:
            for number, line in enumerate(wrapped(item, WIDTH - len(mark))):
                yield (" " * len(mark) if number else mark) + line
    elif isinstance(block, Table):
        yield from _text_table(block)
    else:
        yield from (visible(line) for line in block.lines)


def wrapped(text: str, width: int) -> list[str]:
    """A text in lines of at most so many columns; a word that is longer stays whole."""
    lines: list[str] = []
    for line in textwrap.wrap(visible(text), width, break_long_words=False, break_on_hyphens=False) or [""]:
        words: list[str] = []
        for word in line.split(" "):  # letters that take two columns make a line longer than it counts
            if words and wide(" ".join([*words, word])) > width:
                lines.append(" ".join(words))
                words = []
            words.append(word)
        lines.append(" ".join(words))
    return lines


def _text_table(table: Table) -> Iterator[str]:
    """A table with a line below its head; cells that are too wide for the page are wrapped."""
    widths = column_widths([table.head, *table.rows])
    yield from _text_row(table, table.head, widths)
    yield (" " * GAP).join("-" * width for width in widths)
    for row in table.rows:
        yield from _text_row(table, row, widths)


def _text_row(table: Table, row: tuple[str, ...], widths: list[int]) -> Iterator[str]:
    cells = [wrapped(cell, width) for cell, width in zip(row, widths, strict=True)]
    for number in range(max(len(cell) for cell in cells)):
        parts = []
        for column, (cell, width) in enumerate(zip(cells, widths, strict=True)):
            text = cell[number] if number < len(cell) else ""
            space = " " * max(0, width - wide(text))
            parts.append(space + text if column in table.right else text + space)
        yield (" " * GAP).join(parts).rstrip()


def column_widths(rows: list[tuple[str, ...]]) -> list[int]:
    """How wide each column is, so that a table fits the page: the widest give way, down to their longest word."""
    columns = list(zip(*rows, strict=True))
    widths = [max(1, *(wide(visible(cell)) for cell in column)) for column in columns]
    least = [max(1, *(wide(word) for cell in column for word in (visible(cell).split() or [""]))) for column in columns]
    room = WIDTH - GAP * (len(columns) - 1)
    while sum(widths) > room:
        able = [number for number, width in enumerate(widths) if width > least[number]]
        if not able:
            break
        widest = max(able, key=lambda number: widths[number])
        widths[widest] -= 1
    return widths


def as_markdown(document: Iterable[Block]) -> str:
    """A document for a page of a repository."""
    return "\n\n".join("\n".join(_markdown_lines(block)) for block in document) + "\n"


def _markdown_lines(block: Block) -> Iterator[str]:
    if isinstance(block, Heading):
        yield f"{'#' * block.level} {escaped(block.text)}"
    elif isinstance(block, Paragraph):
        yield escaped(block.text)
    elif isinstance(block, Points):
        mark = "- [ ] " if block.boxes else "- "
        yield from (mark + escaped(item) for item in block.items)
    elif isinstance(block, Table):
        yield f"| {' | '.join(escaped(cell) for cell in block.head)} |"
        yield f"|{'|'.join('---:' if number in block.right else '---' for number in range(len(block.head)))}|"
        yield from (f"| {' | '.join(escaped(cell) for cell in row)} |" for row in block.rows)
    else:
        lines = [visible(line) for line in block.lines]
        ticks = max((len(run) for line in lines for run in re.findall("`+", line)), default=0)
        fence = "`" * max(3, ticks + 1)
        yield from (fence, *lines, fence)


MARKS = re.compile(r"([\\`*_~|\[\]<>$#])")


def escaped(text: str) -> str:
    """A text in which nothing is taken for a mark of markdown."""
    text = MARKS.sub(r"\\\1", visible(text).replace("&", "&amp;"))
    return re.sub(r"^([+-]|[0-9]+\.)(?=\s)", r"\\\1", text)
