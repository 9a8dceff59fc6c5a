"""Lines to tree: in: a text, out: its tree and the slips found on the way. Never raises.

Each line is read by itself (the grammar's rule ``single``): a bad line spoils no other, and equal lines, of which a
library has many, are read once. Braces are matched over the lines; where they do not match, indentation tells which one
is missing.
"""

from __future__ import annotations

from typing import Any

from lark import Tree
from lark.exceptions import UnexpectedInput

from rackspec.findings import ERROR, Finding, Place, Source
from rackspec.language import tree as shapes
from rackspec.language.alike import keep_alike, read_alike
from rackspec.language.braces import nest
from rackspec.language.conflict import without_conflicts
from rackspec.language.grammar import PREPARED
from rackspec.language.tree import BLANK, CLOSES, FACT, OPENS, Shape
from rackspec.language.values import Slip, Value, read_value

LONGEST_LINE = 2_000
"""Characters. A longer line is no fact; reading it would take time that grows with its square."""

_EMPTY = Shape(BLANK, 0, ())
_SHAPES: dict[str, Shape] = {}
MOST_REMEMBERED = 50_000
MOST_SLIPS = 8
"""Slips of one line that are told; a line with more is no line of this language."""


def read_shape(line: str) -> Shape:
    """The shape of one line (without its line end). Remembered by its text."""
    shape = _SHAPES.get(line)
    if shape is None:
        if len(_SHAPES) > MOST_REMEMBERED:
            _SHAPES.clear()
        shape = _SHAPES[line] = read_alike(line) or _read(line)
    return shape


def _read(line: str) -> Shape:
    """Read a line; what is a known slip is mended in thought and read again, so that its values are not lost."""
    stripped = line.strip(" \t")
    if not stripped or stripped[0] == "#":
        return _EMPTY
    indent = len(line) - len(line.lstrip(" \t"))
    if stripped == "}":
        return Shape(CLOSES, indent, (), text=line)
    if len(line) > LONGEST_LINE:
        message = f"a line of {len(line)} characters is no fact"
        slip = Slip(
            "line-not-understood", message, indent, indent + 20, f"write lines of at most {LONGEST_LINE} characters"
        )
        return Shape(FACT, indent, (), (slip,), True, (), line)
    slips: list[Slip] = []
    mended = line
    while len(slips) < MOST_SLIPS:
        try:
            read = PREPARED.lines.parse(mended).children
        except UnexpectedInput as error:
            from rackspec.language.slips import loose_names, slip_at  # most files never need it

            slip = slip_at(mended, error)
            slips.append(slip._replace(mend=None))
            if slip.mend is None or slip.mend == mended:
                break
            mended = slip.mend
            continue
        does = FACT
        values: tuple[Value, ...] = ()
        children: list[Any] = []
        for part in read:
            if isinstance(part, Tree):
                children = part.children
                values = tuple([read_value(child) for child in children])
            else:
                does = OPENS if part.type == "OPENS" else CLOSES
        if not slips:
            keep_alike(line, does, indent, children)
        return Shape(does, indent, values, tuple(slips), False, (), line)
    does = OPENS if mended.split("#", 1)[0].rstrip().endswith("{") else FACT
    names = loose_names(mended)
    return Shape(does, indent, first_word(mended, indent, names), tuple(slips), True, names, line)


def first_word(line: str, indent: int, names: tuple[str, ...]) -> tuple[Value, ...]:
    """The word of a broken line, if it begins with one."""
    if names and line.startswith(names[0], indent):
        return (Value("name", indent, indent + len(names[0]), names[0], names[0]),)
    return ()


def read_tree(source: Source, start: int = 0, end: int | None = None) -> tuple[shapes.Tree, list[Finding]]:
    """The tree of a text, or of a part of it that begins and ends with a whole line."""
    findings: list[Finding] = []
    text = source.text if start == 0 and end is None else source.text[start:end]
    offset = start
    placed: list[tuple[Shape, int, str]] = []
    at, length = 0, len(text)
    known = _SHAPES
    while at <= length:  # line by line, not all lines at once: a library has hundreds of thousands
        end = text.find("\n", at)
        if end < 0:
            end = length
        line = text[at:end]
        if line.endswith("\r"):
            line = line[:-1]
        shape = known.get(line) or read_shape(line)
        if shape is not _EMPTY:
            placed.append((shape, offset + at, shape.text))
        at = end + 1
    if "<<<<<<<" in text or ">>>>>>>" in text:
        placed, marked = without_conflicts(source, placed)
        findings += marked
    for shape, offset, _ in placed:
        for slip in shape.slips:
            findings.append(told(source, offset, slip))
    nodes, unmatched = nest(source, placed)
    findings += unmatched
    return shapes.Tree(source, nodes), findings


def told(source: Source, offset: int, slip: Slip) -> Finding:
    """A slip of a line as a finding at its place."""
    place = Place(source, offset + slip.start, offset + slip.end)
    return Finding(slip.rule, ERROR, slip.message, place, remedy=slip.remedy)
