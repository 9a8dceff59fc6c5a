"""The one layout: in: a text, out: the same facts at fixed stops, or what was not understood of it. Never raises.

Each line is laid out by itself, by its own words and how deep in blocks it stands, never by its neighbours: a fact that
changes changes its line and no other. Only blanks are ever different. Before a text is given out it is read again, and
held against what was read before: the same values, comments and facts in the same places.
"""

import re
from typing import NamedTuple

from rackspec.findings import ERROR, Finding, Source
from rackspec.language.binding import bind
from rackspec.language.bound import Block
from rackspec.language.lines import read_shape, read_tree
from rackspec.language.tree import BLANK, CLOSES, OPENS, Node, Shape
from rackspec.language.values import Value

INDENT = 4
"""Columns a block."""
WORD = 10
"""Columns of the word of a fact, with the blank behind it."""
POSITION = 8
"""Where the position behind ``at`` ends, so that those of two digits and of three stand below each other."""
COMMENT = 32
"""Where a comment behind a fact begins, counted from where the fact does; a longer fact pushes it ``STEP`` by STEP."""
STEP = 8

HARMLESS = frozenset(("said-twice", "fact-missing", "version-not-known", "value-impossible", "unknown-currency"))
"""What reading may find in a file that is laid out all the same: each of its lines is understood."""

SPACES = re.compile(r"[ \t]+")
JOINTS = re.compile(
    r"[ \t]*(?:(\.\.|[,()])[ \t]*|(\+-|±)[ \t]*|\b(plus|minus)\b[ \t]*|(?<=[^\s(,.])[ \t]*(\+)(?=[0-9]))"
)
"""What joins measures: a range, a point; a tolerance; a sum; the upper limit of a tolerance with two."""


class Layout(NamedTuple):
    """The text laid out; or ``text`` as it was, with what was not understood of it in ``refused``.

    ``astray`` says that the result did not hold what the text holds: a fault of this program, and nothing is changed.
    """

    text: str
    refused: tuple[Finding, ...] = ()
    astray: bool = False


def tidy(source: Source) -> Layout:
    """Lay a text out."""
    tree, findings = read_tree(source)
    block, more = bind(tree)
    refused = tuple(found for found in (*findings, *more) if found.severity == ERROR and found.rule not in HARMLESS)
    if refused:
        return Layout(source.text, refused)
    text = lay_out(source.text)
    if text != source.text and not holds_the_same(text, source.text, tree.nodes, block):
        return Layout(source.text, astray=True)
    return Layout(text)


def lay_out(text: str) -> str:
    """A text of which every line is understood, laid out."""
    laid: list[str] = []
    depth = 0
    opened = False
    gap = ""
    end = first_end(text)
    for line in text.split("\n"):
        own_end = "\r\n" if line.endswith("\r") else "\n"
        line = line.removesuffix("\r")
        shape = read_shape(line)
        if shape.does == CLOSES:
            depth -= 1
            gap = ""
        elif shape.does == BLANK and not line.strip(" \t"):
            gap = gap or own_end
            continue
        if gap and laid and not opened:
            laid.append(gap)
        gap = ""
        laid.append(lay_out_line(line, shape, depth) + own_end)
        opened = shape.does == OPENS
        depth += opened
    if laid and not text.endswith("\n"):
        laid[-1] = laid[-1].rstrip("\r\n") + end
    return "".join(laid)


def first_end(text: str) -> str:
    """The line end of a text: that of its first line."""
    at = text.find("\n")
    return "\r\n" if at > 0 and text[at - 1] == "\r" else "\n"


def lay_out_line(line: str, shape: Shape, depth: int) -> str:
    """One line at the stops of its depth, without its end."""
    margin = " " * (INDENT * depth)
    if shape.does == BLANK:
        return margin + line.strip()
    if not shape.values:
        return margin + with_comment("}", line[line.index("}") + 1 :].strip())
    rest = line[end_of(line, shape.values[-1]) :].strip()
    fact = lay_out_values(line, shape.values, aligned=depth > 0 and shape.does != OPENS)
    if shape.does == OPENS:
        fact += " {"
        rest = rest[1:].strip()
    return margin + with_comment(fact, rest)


def with_comment(fact: str, comment: str) -> str:
    """A fact with the comment behind it, at the first stop that leaves two blanks."""
    if not comment:
        return fact
    over = max(0, len(fact) + 2 - COMMENT)
    return fact.ljust(COMMENT + -(-over // STEP) * STEP) + comment


def lay_out_values(line: str, values: tuple[Value, ...], *, aligned: bool) -> str:
    """The values of a line, one blank between them; of a fact in a block its word in a column of its own."""
    parts = [spaced(written(line, value), value.kind) for value in values]
    if not aligned or len(parts) < 2:
        return " ".join(parts)
    word = parts[0]
    if word == "at":
        place = f"{word} {parts[1].rjust(POSITION - len(word) - 1)}"
        return "  ".join((place, " ".join(parts[2:]))) if len(parts) > 2 else place
    return f"{word:<{WORD - 1}} " + " ".join(parts[1:])


def written(line: str, value: Value) -> str:
    """The text of a value as it stands in its line; a point with its brackets."""
    if value.kind == "point":
        return line[line.rindex("(", 0, value.start + 1) : end_of(line, value)]
    return line[value.start : value.end]


def end_of(line: str, value: Value) -> int:
    """Where a value ends in its line; a point behind its bracket."""
    return line.index(")", value.end - 1) + 1 if value.kind == "point" else value.end


def spaced(text: str, kind: str) -> str:
    """The text of a value with single blanks in it, where there are any; what stands in quotes is left as it is."""
    if kind == "text":
        return text
    if kind in ("amount", "point"):
        text = JOINTS.sub(joined, text)
    return SPACES.sub(" ", text).strip() if " " in text or "\t" in text else text


def joined(joint: re.Match[str]) -> str:
    """What joins two measures, with its blanks."""
    close, tolerance, word, limit = joint.groups()
    if close:
        return ", " if close == "," else str(close)
    return f" {tolerance}" if tolerance else f" {word} " if word else f" {limit}"


def holds_the_same(text: str, before: str, nodes: tuple[Node, ...], block: Block) -> bool:
    """Whether a text says what the one before it says: read again, with the same values, comments and facts."""
    tree, findings = read_tree(Source("", text))
    again, _ = bind(tree)
    return (
        not findings
        and values_of(tree.nodes) == values_of(nodes)
        and comments_of(text) == comments_of(before)
        and facts_of(again) == facts_of(block)
    )


def values_of(nodes: tuple[Node, ...]) -> list[object]:
    """What all lines say, in order and nested: the kinds of their values, and their texts without blanks."""
    return [
        (
            node.shape.does,
            [
                (value.kind, value.text if value.kind == "text" else SPACES.sub("", value.text))
                for value in node.shape.values
            ],
            None if node.inside is None else values_of(node.inside),
        )
        for node in nodes
    ]


def comments_of(text: str) -> list[tuple[int, bool, str]]:
    """All comments, each with how many lines that say something stand above it, and whether it is in the last one."""
    found = []
    facts = 0
    for line in text.split("\n"):
        shape = read_shape(line.removesuffix("\r"))
        if shape.does == BLANK:
            if line.strip():
                found.append((facts, False, line.strip()))
            continue
        facts += 1
        at = line.find("#", end_of(line, shape.values[-1]) if shape.values else 0)
        if at >= 0:
            found.append((facts, True, line[at:].strip()))
    return found


def facts_of(block: Block) -> list[object]:
    """What a block says: all facts in order, with exact values and evidence, without places and texts of numbers."""
    return [
        (
            fact.word,
            sorted((key, value.kind, said(value)) for key, value in fact.bound.values.items()),
            fact.bound.flags,
            fact.bound.evidence,
            None if fact.block is None else facts_of(fact.block),
        )
        for fact in block.order
    ]


def said(value: Value) -> str:
    """What a value says, exactly, however it was written."""
    data = value.data
    pair = data if value.kind == "point" else (data,)
    if value.kind in ("amount", "money", "point") and data is not None:
        return "; ".join(", ".join(str(part) for part in quantity[:-1]) for quantity in pair)
    return str(data)
