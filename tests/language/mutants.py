"""Slips of the hand made on purpose: in: a text and a seeded source of chance, out: the text with one slip in it."""

from __future__ import annotations

import re
import string
from collections.abc import Callable
from random import Random

TOKEN = re.compile(r'"[^"\n]*"|#[^\n]*|[+-]?[\w./%°²-]+|[{}(),]|\S')
KEYS = string.ascii_letters + string.digits + " \t.,;:-+/\"'{}()#=_%<>ü"

Edit = Callable[[str, Random], str]


def _place(text: str, chance: Random) -> int:
    """Somewhere in the text, but not in a comment: a slip in a comment is none."""
    while True:
        at = chance.randrange(len(text) - 1)
        before = text[text.rfind("\n", 0, at) + 1 : at]
        if "#" not in re.sub(r'"[^"]*"', "", before):
            return at


def _token(text: str, chance: Random) -> re.Match[str]:
    return chance.choice([match for match in TOKEN.finditer(text) if match[0][0] != "#"])


def delete_character(text: str, chance: Random) -> str:
    """A key that was not hit."""
    at = _place(text, chance)
    return text[:at] + text[at + 1 :]


def insert_character(text: str, chance: Random) -> str:
    """A key too many."""
    at = _place(text, chance)
    return text[:at] + chance.choice(KEYS) + text[at:]


def replace_character(text: str, chance: Random) -> str:
    """The key beside the one that was meant."""
    at = _place(text, chance)
    return text[:at] + chance.choice(KEYS) + text[at + 1 :]


def swap_characters(text: str, chance: Random) -> str:
    """Two keys in the wrong order."""
    at = _place(text, chance)
    return text[:at] + text[at + 1] + text[at] + text[at + 2 :]


def delete_token(text: str, chance: Random) -> str:
    """A word or value left out."""
    token = _token(text, chance)
    return text[: token.start()] + text[token.end() :]


def duplicate_token(text: str, chance: Random) -> str:
    """A word or value written twice."""
    token = _token(text, chance)
    return text[: token.end()] + " " + token[0] + text[token.end() :]


def replace_token(text: str, chance: Random) -> str:
    """A word or value out of some other place."""
    token, other = _token(text, chance), _token(text, chance)
    return text[: token.start()] + other[0] + text[token.end() :]


def delete_line(text: str, chance: Random) -> str:
    """A line left out."""
    lines = text.splitlines(keepends=True)
    del lines[chance.randrange(len(lines))]
    return "".join(lines)


def duplicate_line(text: str, chance: Random) -> str:
    """A line pasted twice."""
    lines = text.splitlines(keepends=True)
    at = chance.randrange(len(lines))
    return "".join([*lines[: at + 1], *lines[at:]])


def swap_lines(text: str, chance: Random) -> str:
    """Two lines in the other order."""
    lines = text.splitlines(keepends=True)
    at = chance.randrange(len(lines) - 1)
    lines[at : at + 2] = [lines[at + 1], lines[at]]
    return "".join(lines)


IN_LINES: tuple[Edit, ...] = (
    delete_character,
    insert_character,
    replace_character,
    swap_characters,
    delete_token,
    duplicate_token,
    replace_token,
)
"""Edits of one character or one token."""

OF_LINES: tuple[Edit, ...] = (delete_line, duplicate_line, swap_lines)
"""Edits of whole lines."""
