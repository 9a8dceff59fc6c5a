"""The two lark grammars: in: the grammar folder, out: a parser for lines and one for the table of words.

Building a grammar takes lark longer than reading a small rack takes us, so its tables are prepared once: a wheel ships
them, a checkout keeps them beside the bytecode. They are used only if text and lark are the ones they were made with;
without them the grammar is built anew, and nothing else changes.
"""

import hashlib
import os
import pickle
import sys
import tempfile
from io import BytesIO
from typing import Any, NamedTuple

import lark

from rackspec.language.folder import grammar_text

FILES = ("rackspec.lark", "words.lark", "words.txt")
HERE = os.path.dirname(os.path.abspath(__file__))
SHIPPED = os.path.join(HERE, "prepared")
KEPT = os.path.join(HERE, "__pycache__", "prepared")


class Prepared(NamedTuple):
    """What is prepared: the parser that runs, and the table of words as plain lists."""

    lines: lark.Lark
    words: list[Any]


def digest() -> str:
    """What the tables were made from: the grammar's texts and lark's version.

    Python's version is no part of it: the tables are plain data, and the patterns in them are text that lark compiles
    when it loads them, so one wheel serves every Python (tests/packaging holds that).
    """
    made_from = [lark.__version__, *(grammar_text(name) for name in FILES)]
    return hashlib.sha256("\0".join(made_from).encode()).hexdigest()


def build_lines(start: str = "single") -> lark.Lark:
    """The grammar of lines, built from its text. ``single`` is one line; ``file``, a whole text, is only for tests."""
    return lark.Lark(grammar_text("rackspec.lark"), parser="lalr", start=start, maybe_placeholders=False, lexer="basic")


def build_words() -> list[Any]:
    """The table of words as lists, by way of its own grammar."""
    from rackspec.language.table import read_table

    parser = lark.Lark(grammar_text("words.lark"), parser="lalr", start="table", maybe_placeholders=True)
    return read_table(parser.parse("\n" + grammar_text("words.txt")))


def write_prepared(path: str) -> None:
    """Write the prepared tables to ``path`` (through a temporary file). Raises OSError."""
    tables = BytesIO()
    build_lines().save(tables)
    words = pickle.dumps(build_words())
    folder = os.path.dirname(path)
    with tempfile.NamedTemporaryFile(dir=folder, prefix="prepared-", delete=False) as file:
        file.write(f"{digest()} {len(words)}\n".encode() + words + tables.getvalue())
    os.replace(file.name, path)


def read_prepared(path: str) -> Prepared | None:
    """The prepared tables at ``path``, or None where there are none or others than this grammar's."""
    try:
        with open(path, "rb") as file:
            head = file.readline().split()
            if len(head) != 2 or head[0] != digest().encode():
                return None
            words = pickle.loads(file.read(int(head[1])))
            return Prepared(lark.Lark.load(file), words)
    except (OSError, ValueError, EOFError, pickle.UnpicklingError):
        return None


def prepare() -> Prepared:
    """The tables: shipped, kept or built."""
    prepared = read_prepared(SHIPPED) or read_prepared(KEPT)
    if prepared is not None:
        return prepared
    if not sys.dont_write_bytecode and os.path.isdir(os.path.dirname(KEPT)):
        try:
            write_prepared(KEPT)
        except OSError:
            pass  # a read-only checkout builds its grammar each time
    return Prepared(build_lines(), build_words())


PREPARED = prepare()
