"""The one layout: in: a text, out: the same facts at fixed stops, or what was not understood of it. Never raises.

Each line is laid out by itself, by its own words and how deep in blocks it stands, never by its neighbours: a fact that
changes changes its line and no other. Only blanks are ever different. Before a text is given out it is read again, and
held against what was read before: the same values, comments and facts in the same places.
"""

import re
from typing import NamedTuple

from rackspec.findings import ERROR, Finding, Source
from rackspec.language.binding import bind
from rackspec.language.layout_proof import BLANKS, end_of, says_the_same, start_of
from rackspec.language.lines import read_shape, read_tree
from rackspec.language.tree import BLANK, CLOSES, OPENS, Shape
from rackspec.language.values import Value
from rackspec.language.words import BLOCKS

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
"""What reading may find in a file that is laid out all the same: it is plain how each of its lines is read."""

KNOWN = frozenset(word for block in BLOCKS.values() for word in block.statements)
"""All words, whatever block they belong to."""

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
    _, more = bind(tree)
    refused = tuple(found for found in (*findings, *more) if found.severity == ERROR and not is_harmless(found))
    if refused:
        return Layout(source.text, refused)
    text = lay_out(source.text)
    if text != source.text and not says_the_same(text, tree):
        return Layout(source.text, astray=True)
    return Layout(text)


def is_harmless(found: Finding) -> bool:
    """Whether a text with this finding can be laid out all the same.

    A word that no block knows may well be a newer one, and a layout needs no words. A known word in a block that has
    none such is another matter: braces may be astray, and how the lines are indented shows where.
    """
    if found.rule != "unknown-word":
        return found.rule in HARMLESS
    word = found.place.source.text[found.place.start : found.place.end]
    return word not in KNOWN and not SPACES.search(word)  # several words: a row of a table, with its columns


def lay_out(text: str) -> str:
    """A text of which every line is understood, laid out."""
    if not text.endswith("\n"):
        text = text.rstrip("\r") + first_end(text)
    laid: list[str] = []
    known: dict[tuple[int, str], tuple[str, int]] = {}
    depth = 0
    edge = True  # at the start of the text or of a block, where no blank line is kept
    gap = ""
    for line in text.split("\n")[:-1]:
        key = (depth, line)
        done = known.get(key)
        if done is None:
            shape = read_shape(line.removesuffix("\r"))
            end = "\r\n" if line.endswith("\r") else "\n"
            done = known[key] = (lay_out_line(line, shape, depth) + end, shape.does)
        own, does = done
        if does == BLANK and own.isspace():
            gap = gap or own
            continue
        if gap and not edge and does != CLOSES:
            laid.append(gap)
        laid.append(own)
        gap = ""
        edge = does == OPENS
        depth += 1 if does == OPENS else -1 if does == CLOSES else 0
    return "".join(laid)


def first_end(text: str) -> str:
    """The line end of a text: that of its first line."""
    at = text.find("\n")
    return "\r\n" if at > 0 and text[at - 1] == "\r" else "\n"


def lay_out_line(line: str, shape: Shape, depth: int) -> str:
    """One line at the stops of its depth, without its end; a line without anything in it is empty."""
    if shape.does == BLANK:
        comment = line.strip(BLANKS)
        return comment and " " * (INDENT * depth) + comment
    if shape.does == CLOSES:
        return " " * (INDENT * (depth - 1)) + with_comment("}", line[line.index("}") + 1 :].strip(BLANKS))
    rest = line[end_of(line, shape.values[-1]) :].strip(BLANKS)
    fact = lay_out_values(line, shape.values, aligned=depth > 0 and shape.does != OPENS)
    if shape.does == OPENS:
        fact += " {"
        rest = rest[1:].strip(BLANKS)
    return " " * (INDENT * depth) + with_comment(fact, rest)


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
    return line[start_of(line, value) : end_of(line, value)]


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
