"""Colour for a terminal: in: a role and a text, out: the text with its colour, by pygments.

Excerpts of specs are coloured by a lexer that takes its words from the table of words; colour only underlines what the
text says anyway.
"""

from __future__ import annotations

from functools import cache
from typing import Any

from pygments import highlight
from pygments.console import colorize
from pygments.formatters import TerminalFormatter

from rackspec.views.lexer import RackspecLexer

ROLES = {"error": "brightred", "warning": "brightyellow", "note": "brightcyan", "label": "brightblack", "heading": "*"}


@cache
def _tools() -> tuple[Any, Any]:
    return RackspecLexer(stripnl=False, ensurenl=False), TerminalFormatter()


def paint(role: str, text: str) -> str:
    """The text in the colour of its role."""
    if not text:
        return text
    if role == "code":
        lexer, formatter = _tools()
        return str(highlight(text, lexer, formatter))
    if role == "heading":
        return f"\x1b[1m{text}\x1b[0m"
    return str(colorize(ROLES[role], text))
