"""A text at a glance: in: a text, out: where its outermost blocks are, without reading what is inside.

A rack that uses a library of a thousand modules needs a dozen of them: only those are read. Where the braces do not
match there is no outline, and the text is read whole.
"""

import re
from typing import NamedTuple

from rackspec.findings import Source

BRACE = re.compile(r'^[ \t]*(?:([^\n"#{}]*(?:"[^"\n]*"[^\n"#{}]*)*)\{|(\}))[ \t]*(?:#[^\n]*)?\r?$', re.MULTILINE)
NAME = r"[^\W\d_]\w*(?:-\w+)*"
HEADER = re.compile(rf"[ \t]*({NAME})(?:[ \t]+({NAME})(?![\w/]))?")
FACT = re.compile(rf"^[ \t]*({NAME})[^\n]*$", re.MULTILINE)


class Piece(NamedTuple):
    """An outermost block or fact: its word, the name behind it ('' if none), its span, and the span of the name."""

    word: str
    name: str
    start: int
    end: int
    name_start: int
    is_block: bool


def outline(source: Source) -> list[Piece] | None:
    """The outermost pieces of a text in order, or None where it has to be read whole."""
    text = source.text
    pieces: list[Piece] = []
    depth = begin = last = 0
    header: re.Match[str] | None = None
    braces = 0
    for match in BRACE.finditer(text):
        braces += 1
        if match.group(2) is None:
            if depth == 0:
                begin = match.start()
                header = HEADER.match(text, begin, match.end())
                _facts(text, last, begin, pieces)
            depth += 1
        else:
            depth -= 1
            if depth < 0:
                return None
            if depth == 0:
                last = min(match.end() + 1, len(text))
                word = header.group(1) if header else ""
                name = header.group(2) or "" if header else ""
                pieces.append(Piece(word, name, begin, last, header.start(2) if header and name else begin, True))
    if depth or braces != _braces(text):
        return None
    _facts(text, last, len(text), pieces)
    return pieces


def _braces(text: str) -> int:
    """Braces in the text that may open or close blocks; more than the outline saw means that it saw too few."""
    count = text.count("{") + text.count("}")
    if '"' in text or "#" in text:
        for match in re.finditer(r'"[^"\n]*"|#[^\n]*', text):
            if "{" in match[0] or "}" in match[0]:
                count -= match[0].count("{") + match[0].count("}")
    return count


def _facts(text: str, start: int, end: int, pieces: list[Piece]) -> None:
    """Facts between two outermost blocks."""
    if not text[start:end].strip():
        return
    for match in FACT.finditer(text, start, end):
        pieces.append(Piece(match.group(1), "", match.start(), match.end(), match.start(), False))
