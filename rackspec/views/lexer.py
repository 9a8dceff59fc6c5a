"""A pygments lexer: in: the terminals of the grammar and the table of words, out: tokens for colouring a spec."""

from __future__ import annotations

import re
from typing import Any, ClassVar

from pygments.lexer import RegexLexer
from pygments.token import Comment, Keyword, Literal, Name, Number, Operator, Punctuation, String, Text

from rackspec.language.grammar import PREPARED
from rackspec.language.words import BLOCKS

TOKENS = {
    "COMMENT": Comment.Single,
    "TEXT": String.Double,
    "DATE": Literal.Date,
    "PINS": Number,
    "GAUGE": Number,
    "MONEY": Number,
    "LIMITS": Number,
    "MEASURE": Number,
    "NUMBER": Number,
    "SCREW": Name.Constant,
    "PLUS": Operator.Word,
    "MINUS": Operator.Word,
    "RANGE": Operator,
    "PLUSMINUS": Operator,
    "NAME": Name,
}
"""The colour class of each terminal of rackspec.lark, the longest first."""


def literals() -> set[str]:
    """The words inside of patterns."""
    found: set[str] = set()

    def walk(items: list[Any]) -> None:
        for item in items:
            if item[0] == "literal":
                found.add(item[1])
            elif item[0] in ("either", "optional"):
                for inner in item[1]:
                    walk(inner)

    for block in BLOCKS.values():
        for statement in block.statements.values():
            walk(statement.items)
    return found | {"stated", "measured", "guessed"}


def statement_words() -> set[str]:
    """The words that lines begin with."""
    return {word for block in BLOCKS.values() for word in block.statements}


def any_of(words: set[str]) -> str:
    """A pattern for any of some words, as whole words."""
    return (
        "(?:" + "|".join(re.escape(word) for word in sorted(words, key=lambda word: (-len(word), word))) + r")(?![\w-])"
    )


def patterns() -> list[tuple[str, Any]]:
    """The rules of the lexer, in the order in which they are tried."""
    terminals = {terminal.name: terminal.pattern.to_regexp() for terminal in PREPARED.lines.terminals}
    rules: list[tuple[str, Any]] = [(terminals["COMMENT"], Comment.Single)]
    rules.append((r"(?m)^[ \t]*" + any_of(statement_words()), Keyword))
    rules += [(terminals[name], token) for name, token in TOKENS.items() if name not in ("COMMENT", "NAME")]
    rules.append((r"(?<![\w-])" + any_of(literals()), Keyword.Pseudo))
    rules += [(terminals["NAME"], Name), (r"[{}(),]", Punctuation), (r"\s+", Text), (r".", Text)]
    return rules


class RackspecLexer(RegexLexer):
    """Colours .rackspec files."""

    name = "rackspec"
    aliases: ClassVar[list[str]] = ["rackspec"]
    filenames: ClassVar[list[str]] = ["*.rackspec"]
    url = ""
    flags = re.MULTILINE
    tokens: ClassVar[dict[str, Any]] = {"root": patterns()}
