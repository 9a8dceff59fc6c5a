"""A text at a glance: in: a text, out: where its outermost blocks are, without reading what is inside.

A rack that uses a library of a thousand modules needs a dozen of them: only those are read. Where the braces do not
match there is no outline, and the text is read whole.
"""

import re
from typing import NamedTuple

from rackspec.findings import Source

BRACE = re.compile(r"[{}]")
STRING = re.compile(r'"[^"\n]*"')
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
    for match in BRACE.finditer(text):
        at = match.start()
        line = text.rfind("\n", 0, at) + 1
        before = text[line:at]
        if '"' in before or "#" in before:
            before = STRING.sub("", before)
            if '"' in before or "#" in before:
                continue  # inside of a text or a comment
        end = text.find("\n", at)
        end = len(text) if end < 0 else end
        behind = text[at + 1 : end].strip()
        if behind and behind[0] != "#":
            return None
        if match[0] == "{":
            if depth == 0:
                begin = line
                header = HEADER.match(text, begin, at)
                _facts(text, last, begin, pieces)
            depth += 1
            continue
        depth -= 1
        if depth < 0 or before.strip():
            return None
        if depth == 0:
            last = min(end + 1, len(text))
            word = header.group(1) if header else ""
            name = header.group(2) or "" if header else ""
            pieces.append(Piece(word, name, begin, last, header.start(2) if header and name else begin, True))
    if depth:
        return None
    _facts(text, last, len(text), pieces)
    return pieces


def _facts(text: str, start: int, end: int, pieces: list[Piece]) -> None:
    """Facts between two outermost blocks."""
    if not text[start:end].strip():
        return
    pieces.extend(
        Piece(match.group(1), "", match.start(), match.end(), match.start(), False)
        for match in FACT.finditer(text, start, end)
    )
