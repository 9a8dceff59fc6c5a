"""Bound lines: what a line says in the block where it stands, and the blocks made of them.

A ``Bound`` belongs to a text and a kind of block, wherever it stands; a ``Fact`` is one at its place.
"""

from collections.abc import Mapping
from datetime import date
from typing import NamedTuple

from rackspec.findings import Place, Source
from rackspec.language.values import Slip, Value
from rackspec.language.words import Statement

STATED, MEASURED, GUESSED = "stated", "measured", "guessed"


class Evidence(NamedTuple):
    """How far a value can be trusted: stated, measured or guessed; what says so; since when."""

    level: str
    text: str = ""
    dated: date | None = None


class Bound(NamedTuple):
    """What one line says: its statement, its values by key, its literal words, and its evidence.

    ``once`` is what it may not say twice in one block (None: it may be said again). ``spoiled``: some of it was not
    understood, so what is missing in it is not missed.
    """

    statement: Statement | None
    values: Mapping[str, Value]
    flags: tuple[str, ...]
    evidence: Evidence | None
    slips: tuple[Slip, ...]
    spoiled: bool
    once: tuple[object, ...] | None
    names: tuple[str, ...]


class Fact(NamedTuple):
    """A bound line at its place; ``block`` is what it opens."""

    bound: Bound
    source: Source
    offset: int
    block: "Block | None" = None

    @property
    def word(self) -> str:
        """The word of its statement."""
        statement = self.bound.statement
        return statement.word if statement is not None else ""

    def place(self, key: str = "", label: str = "") -> Place:
        """The span of one of its values, or of what the whole line says."""
        value = self.bound.values.get(key)
        if value is not None:
            return Place(self.source, self.offset + value.start, self.offset + value.end, label)
        word = self.bound.values[""]
        return Place(self.source, self.offset + word.start, self.offset + word.end, label)

    def text(self, key: str) -> str:
        """The name or text under a key, or nothing."""
        value = self.bound.values.get(key)
        return str(value.data) if value is not None and value.data is not None else ""


class Block(NamedTuple):
    """A block: its kind, its name ('' without one), its facts in their order, and its header.

    ``spoiled``: a line of it was not understood, so nothing is said to be missing from it. ``loose``: what looks like a
    name in such lines.
    """

    kind: str
    name: str
    order: tuple[Fact, ...]
    spoiled: bool
    loose: tuple[str, ...]
    header: Fact | None

    def all(self, word: str) -> tuple[Fact, ...]:
        """All facts of a word, as they stand."""
        return tuple([fact for fact in self.order if fact.word == word])

    def place(self) -> Place:
        """Where its name stands."""
        assert self.header is not None, "the file itself has no place"
        return self.header.place(self.kind)
