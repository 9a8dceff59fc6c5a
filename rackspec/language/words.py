"""The words of the language: in: the prepared lists of words.txt, out: for each block its statements.

Everything that knows a word asks here: the check of a line, its messages, completion, reference and highlighter.
"""

from typing import Any, NamedTuple

from rackspec.language.grammar import PREPARED
from rackspec.language.pattern import State, compile_items


class Statement(NamedTuple):
    """One line of the table: a word in a block, what follows it, and how often it may stand.

    ``each`` names the value once for each of which it may stand; ``many`` any number of times, otherwise once (where
    ``evidence`` may follow: once for each kind of evidence). ``later``: no rule looks at it yet.
    """

    block: str
    word: str
    items: list[Any]
    opens: str
    evidence: bool
    must: bool
    many: bool
    each: str
    later: bool
    help: str


class Block(NamedTuple):
    """A kind of block: its statements by word, those of its groups included."""

    name: str
    groups: tuple[str, ...]
    help: str
    statements: dict[str, Statement]


def contains(items: list[Any], what: str) -> str:
    """The first argument of the first item of that kind, searched at the outermost level; empty if there is none."""
    for item in items:
        if item[0] == what:
            return str(item[1]) if len(item) > 1 else what
    return ""


def make_statement(block: str, word: str, items: list[Any], marks: list[list[str]], text: str) -> Statement:
    """A statement out of a row of the prepared lists."""
    marked = {mark[0]: mark[1] if len(mark) > 1 else "" for mark in marks}
    return Statement(
        block=block,
        word=word,
        items=items,
        opens=contains(items, "opens"),
        evidence=bool(contains(items, "evidence")),
        must="!must" in marked,
        many="!many" in marked,
        each=marked.get("!each", ""),
        later="!later" in marked,
        help=text,
    )


def make_blocks(rows: list[Any]) -> dict[str, Block]:
    """All blocks; a group's statements come into each block that includes it, and are its own from there on."""
    blocks: dict[str, Block] = {}
    for name, groups, text, statements in rows:
        table: dict[str, Statement] = {}
        for group in groups:
            for inherited in blocks[group].statements.values():
                table[inherited.word] = inherited._replace(block=name)
        for word, items, marks, help_text in statements:
            table[word] = make_statement(name, word, items, marks, help_text)
        blocks[name] = Block(name, tuple(groups), text, table)
    return blocks


BLOCKS = make_blocks(PREPARED.words)

RESERVED = frozenset({"blank", "gap", "plus", "minus"})
"""Words that can never be names."""

_compiled: dict[int, State] = {}


def automaton(statement: Statement) -> State:
    """The automaton of a statement's pattern, made when it is first needed."""
    key = id(statement.items)
    if key not in _compiled:
        _compiled[key] = compile_items(statement.word, statement.items)
    return _compiled[key]
