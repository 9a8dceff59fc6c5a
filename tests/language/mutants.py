"""Single edits of a text: in: a text and a seeded random source, out: the text with one slip of the hand in it."""

from __future__ import annotations

import re
import string
from collections.abc import Callable
from random import Random

TOKEN = re.compile(r'"[^"\n]*"|#[^\n]*|[+-]?[\w./%°²-]+|[{}(),]|\S')
ALPHABET = string.ascii_letters + string.digits + " \t.,;:-+/\"'{}()#=_%<>ü"
SHORTEST = 1


def _places(text: str) -> list[int]:
    """Where a slip can be: everywhere but in comments, which say nothing to the program."""
    places: list[int] = []
    at = 0
    for line in text.splitlines(keepends=True):
        hidden = line.find("#") if '"' not in line.partition("#")[0] or line.partition("#")[0].count('"') % 2 == 0 else -1
        seen = len(line) if hidden < 0 else hidden
        places += range(at, at + seen)
        at += len(line)
    return places


def delete_character(text: str, random: Random) -> str:
    at = random.choice(_places(text))
    return text[:at] + text[at + 1 :]


def insert_character(text: str, random: Random) -> str:
    at = random.choice(_places(text))
    return text[:at] + random.choice(ALPHABET) + text[at:]


def replace_character(text: str, random: Random) -> str:
    at = random.choice(_places(text))
    return text[:at] + random.choice(ALPHABET) + text[at + 1 :]


def swap_characters(text: str, random: Random) -> str:
    at = random.choice(_places(text)[:-1])
    return text[:at] + text[at + 1] + text[at] + text[at + 2 :]


def _token(text: str, random: Random) -> re.Match[str]:
    tokens = [match for match in TOKEN.finditer(text) if match[0][0] != "#"]
    return random.choice(tokens)


def delete_token(text: str, random: Random) -> str:
    token = _token(text, random)
    return text[: token.start()] + text[token.end() :]


def duplicate_token(text: str, random: Random) -> str:
    token = _token(text, random)
    return text[: token.end()] + " " + token[0] + text[token.end() :]


def replace_token(text: str, random: Random) -> str:
    token, other = _token(text, random), _token(text, random)
    return text[: token.start()] + other[0] + text[token.end() :]


def delete_line(text: str, random: Random) -> str:
    lines = text.splitlines(keepends=True)
    del lines[random.randrange(len(lines))]
    return "".join(lines)


def duplicate_line(text: str, random: Random) -> str:
    lines = text.splitlines(keepends=True)
    at = random.randrange(len(lines))
    return "".join([*lines[: at + 1], *lines[at:]])


def swap_lines(text: str, random: Random) -> str:
    lines = text.splitlines(keepends=True)
    at = random.randrange(len(lines) - 1)
    lines[at : at + 2] = [lines[at + 1], lines[at]]
    return "".join(lines)


Edit = Callable[[str, Random], str]
IN_LINES: tuple[Edit, ...] = (
    delete_character,
    insert_character,
    replace_character,
    swap_characters,
    delete_token,
    duplicate_token,
    replace_token,
)
"""Edits of a character or a token."""

OF_LINES: tuple[Edit, ...] = (delete_line, duplicate_line, swap_lines)
"""Edits of whole lines."""
