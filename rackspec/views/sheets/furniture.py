"""What stands on every page: in: what a sheet is about, out: its title, bars to measure, caution and title block.

Everything lies within 190 x 254 mm in the middle of the paper, so a sheet made for A4 can be printed on Letter too, and
the other way round. The title block has the fields of ISO 7200 and is 180 mm wide.
"""

from typing import NamedTuple

from rackspec.views.sheets.drawing import (
    INCH,
    MARK,
    MEDIUM,
    MIDDLE,
    NARROW,
    NOTE,
    THIN,
    WIDE,
    Box,
    Line,
    Mark,
    Polyline,
    Sheet,
    Text,
    Window,
    moved,
    rectangle,
)
from rackspec.views.sheets.lettering import fitted, wrapped

PAPERS = {"A4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Sizes in mm, upright: ISO 216; ANSI Y14.1."""
SHORT, LONG = 190.0, 254.0
"""mm of a page that both papers can print on."""
BLOCK = 180.0
"""Width of the title block in mm (ISO 7200)."""
FOOT, HEAD, SIDE = 56.0, 17.0, 17.0
"""mm that block, caution and bars take below the drawing, title and note above it, bars beside it."""
CARE = (
    "Clamp the piece, centre-punch, wear glasses, and follow the tool's instructions. Local codes and the practice of "
    "licensed people come before this sheet."
)
CAUTION = f"Caution: measure the bars before you mark anything. {CARE}"
HOLD = "NOT FOR DRILLING"
AT_FULL_SIZE = "print at 100 %, do not fit to page"


class Info(NamedTuple):
    """What the title block says of all sheets of a file; ``issued`` is a date or ``undated``."""

    rack: str
    title: str
    revision: str
    issued: str
    document: str
    paper: str = "A4"
    prints: tuple[float, float] = (1.0, 1.0)


class Leaf(NamedTuple):
    """One sheet to be made: its own title, its name within the file, and what is on it in mm of the area.

    ``up``: whether UP has a meaning on it. ``hold``: it must not be drilled by. ``note``: what else is said above it.
    """

    title: str
    name: str
    marks: tuple[Mark, ...]
    windows: tuple[Window, ...]
    lying: bool = False
    up: bool = True
    hold: bool = False
    note: str = ""


def area(lying: bool) -> Box:
    """The room for a drawing, in mm from the lower left corner of what both papers can print on."""
    wide, high = (LONG, SHORT) if lying else (SHORT, LONG)
    return (0.0, FOOT, wide - SIDE, high - HEAD)


def sheets(info: Info, leaves: tuple[Leaf, ...]) -> tuple[Sheet, ...]:
    """All pages of a file."""
    return tuple(sheet(info, leaf, number, len(leaves)) for number, leaf in enumerate(leaves, 1))


def sheet(info: Info, leaf: Leaf, number: int, of: int) -> Sheet:
    """One page with everything on it."""
    size = PAPERS[info.paper]
    wide, high = (size[1], size[0]) if leaf.lying else size
    inner = (LONG, SHORT) if leaf.lying else (SHORT, LONG)
    right, up = (wide - inner[0]) / 2, (high - inner[1]) / 2
    marks = [*header(info, leaf, inner), *bars(inner, info.prints), *caution(inner[0]), *block(info, leaf, number, of)]
    windows = tuple(
        window._replace(
            box=(window.box[0] + right, window.box[1] + up, window.box[2] + right, window.box[3] + up),
        )
        for window in leaf.windows
    )
    placed = tuple(moved(mark, right, up) for mark in (*marks, *leaf.marks))
    title = f"{info.rack}: {leaf.title}, sheet {number} of {of}"
    return Sheet(title, wide, high, placed, windows, info.prints)


def header(info: Info, leaf: Leaf, inner: tuple[float, float]) -> list[Mark]:
    """What it is, and how to print it; an arrow where up has a meaning."""
    wide, high = inner
    top = high - 4.5
    how = f"{AT_FULL_SIZE[0].upper()}{AT_FULL_SIZE[1:]}. Lengths in mm.{for_printer(info.prints)}"
    first = f"{HOLD}. {leaf.title}" if leaf.hold else leaf.title
    marks: list[Mark] = [
        Text(NOTE, (0, top), fitted(first, 3.5, wide - 22), 3.5),
        Text(NOTE, (0, top - 6), how, 2.8),
        *((Text(NOTE, (0, top - 10.5), fitted(leaf.note, 2.5, wide - 22)),) if leaf.note else ()),
    ]
    if leaf.up:
        x = wide - 8.5
        tip = high - 0.5
        marks += [
            Line(NOTE, (x, high - 11), (x, tip - 3), WIDE),
            Polyline(NOTE, ((x - 1.5, tip - 4), (x, tip), (x + 1.5, tip - 4)), MEDIUM),
            Text(NOTE, (x, high - 15), "UP", 3.0, MIDDLE),
        ]
    return marks


def for_printer(prints: tuple[float, float]) -> str:
    """That a sheet is made for a printer which does not print at full size."""
    if prints == (1.0, 1.0):
        return ""
    across, up = (f"{value * 100:.2f}".rstrip("0").rstrip(".") for value in prints)
    return f" For a printer that prints {across} % across, {up} % up."


def bars(inner: tuple[float, float], prints: tuple[float, float]) -> list[Mark]:
    """A bar of 100 mm and one of 4 in, across and up."""
    marks: list[Mark] = []
    low, side = FOOT - 13.5, inner[0] - SIDE
    for length, step, steps, told, row in ((100.0, 10.0, 10, "100 mm", 0), (4 * INCH, INCH, 4, "4 in", 1)):
        y = low + 8 - row * 6.5
        x = side + 7 + row * 7.5
        marks += [Line(MARK, (0, y), (length, y), NARROW), Line(MARK, (x, FOOT), (x, FOOT + length), NARROW)]
        for number in range(steps + 1):
            tick = 3.0 if number in (0, steps) else 1.5
            at = number * step
            marks += [
                Line(MARK, (at, y), (at, y - tick), THIN),
                Line(MARK, (x, FOOT + at), (x - tick, FOOT + at), THIN),
            ]
        marks += [
            Text(NOTE, (length + 2, y - 2.5), told),
            Text(NOTE, (x, FOOT + 103.5), told, turn=90.0),
        ]
    said = [
        "Measure the four bars.",
        "If one is off: print again at",
        "100 %, or give --correct what",
        "100 mm measures.",
    ]
    if prints != (1.0, 1.0):
        said = ["Measure the four bars.", "They allow for your printer", "and have to be right now."]
    return [*marks, *(Text(NOTE, (125, low + 9.5 - 4.1 * number), line) for number, line in enumerate(said))]


def caution(wide: float) -> list[Mark]:
    """The caution, in two or three lines above the title block."""
    lines = wrapped(CAUTION, 2.5, min(wide, SHORT))
    return [Text(NOTE, (0, 34.3 - 4.1 * number), line) for number, line in enumerate(lines)]


def block(info: Info, leaf: Leaf, number: int, of: int) -> list[Mark]:
    """The title block: owner, creator, approval, document type; title, date of issue; identification number, sheet."""
    fields = (
        ((0, 50, "Legal owner", "-"), (50, 80, "Creator", "rackspec"), (80, 130, "Approved by", ""),
         (130, 180, "Document type", info.document)),
        ((0, 130, "Title", info.title or info.rack), (130, 180, "Date of issue", info.issued)),
        ((0, 130, "Identification number", f"{info.rack} / {leaf.name}"), (130, 150, "Revision", info.revision or "-"),
         (150, 180, "Sheet", f"{number} of {of}")),
    )  # fmt: skip
    high = 9.0
    marks: list[Mark] = [rectangle(NOTE, (0, 0, BLOCK, 3 * high), WIDE)]
    for row, cells in enumerate(fields):
        bottom = (2 - row) * high
        if row:
            marks.append(Line(NOTE, (0, bottom + high), (BLOCK, bottom + high), NARROW))
        for left, right, label, value in cells:
            if left:
                marks.append(Line(NOTE, (left, bottom), (left, bottom + high), NARROW))
            marks.append(Text(NOTE, (left + 1, bottom + 5.7), label, 2.5))
            marks.append(Text(NOTE, (left + 1, bottom + 1.2), fitted(value, 2.8, right - left - 2), 2.8))
    return marks
