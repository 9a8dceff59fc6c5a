"""Two blocks held against each other: in: a block of each side, out: the facts in which they differ, in a fixed order.

Equal facts are put aside first; of the rest those belong together that are about the same (the same word, and the same
voltage, part or name where a word may stand several times).
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from typing import NamedTuple

from rackspec.comparison.facts import (
    AS_WRITTEN,
    Names,
    Said,
    content,
    datum,
    given_name,
    is_sequence,
    references,
    said,
    subject,
    title,
    written,
)
from rackspec.comparison.pairs import pair_up
from rackspec.language.bound import Block, Evidence, Fact
from rackspec.language.words import BLOCKS
from rackspec.model.known import evidence_of
from rackspec.model.layers import basis_of

LISTED = frozenset({"have", "also", "holds", "sells", "box", "stage"})
"""Words of lists: what is gone from one and what is new in it have nothing to do with each other."""


class Sides(NamedTuple):
    """How the names in lines are read: those of the old side as the new side calls them, those of the new as they are
    (but for the rack's own name in front of them)."""

    old: Names = AS_WRITTEN
    new: Names = AS_WRITTEN


class Difference(NamedTuple):
    """A fact that is otherwise: its word (within blocks of the block: ``side corner``), what is written on each side
    (empty: it is not there), what it says on each side (None: nothing), exactly, and how well it is known on each side,
    where that is not the same."""

    word: str
    old: str
    new: str
    was: Hashable
    now: Hashable
    levels: tuple[str, str] = ("", "")


class Line(NamedTuple):
    """A fact of a side with what it says; ``about`` is what it is about, ``level`` how it says that it is known,
    ``trust`` how it is known (by its block, if it does not say), ``number`` which line of its block it is."""

    fact: Fact
    says: Said
    about: Hashable
    level: str
    trust: str
    number: int

    @property
    def word(self) -> str:
        """Its word."""
        return self.fact.word


def lines_of(block: Block | None, names: Names, without: frozenset[str]) -> list[Line]:
    """The lines of a block, with what they say in the words of the new side."""
    if block is None:
        return []
    basis = basis_of(block)
    return [
        Line(
            fact, _whole(fact, names, basis), _about(fact, names), _level(fact), evidence_of(fact, basis).level, number
        )
        for number, fact in enumerate(block.order)
        if fact.word not in without
    ]


def _whole(fact: Fact, names: Names, basis: Evidence) -> Said:
    """What a line says, with the block that it opens."""
    line = said(fact, names, basis)
    return line if fact.block is None else (*line, content(fact.block, names))


def _level(fact: Fact) -> str:
    return fact.bound.evidence.level if fact.bound.evidence is not None else ""


def _trust(fact: Fact, basis: Evidence) -> str:
    """How a fact is known; empty where that is not said of such facts."""
    statement = fact.bound.statement
    return evidence_of(fact, basis).level if statement is not None and statement.evidence else ""


def _about(fact: Fact, names: Names) -> Hashable:
    """What a line is about besides its word: its voltage or other key, or the names in it."""
    once = fact.bound.once
    if once is None:
        return subject(fact, names)
    statement = fact.bound.statement
    return once[1:-1] if statement is not None and statement.evidence else once[1:]


def differences(
    old: Block | None, new: Block | None, sides: Sides, without: frozenset[str] = frozenset(), path: str = ""
) -> list[Difference]:
    """In which facts two blocks differ; one that is not there (None) says nothing. ``without``: words left out."""
    either = new or old
    if either is None:
        return []
    found = heads(old.header if old else None, new.header if new else None, sides, path)
    pairs, left_old, left_new = pair_up(
        lines_of(old, sides.old, without),
        lines_of(new, sides.new, without),
        lambda line: (line.word, line.says),
        lambda line: (line.word, line.about, line.level),
        lambda line: (line.word, line.about),
        lambda line: (line.word, title(line.fact)) if line.fact.block is not None else None,
        lambda line: line.word if line.word not in LISTED else None,
    )
    for one, other in pairs:
        if one.says != other.says:
            found += _of_pair(one, other, sides, path)
    found += [Difference(path + line.word, _text(line.fact), "", line.says, None) for line in left_old]
    found += [Difference(path + line.word, "", _text(line.fact), None, line.says) for line in left_new]
    for word in {line.word for line, _ in pairs}:
        if is_sequence(either.kind, word):
            found += order_of([pair for pair in pairs if pair[0].word == word], path + word)
    ranks = {word: number for number, word in enumerate(BLOCKS[either.kind].statements)}
    depth = len(path.split())

    def order(difference: Difference) -> tuple[int, str, str, str]:
        word = difference.word.split()[depth]
        return (ranks.get(word, -1), difference.word, difference.new or difference.old, repr(difference.was))

    return sorted(found, key=order)


def _of_pair(one: Line, other: Line, sides: Sides, path: str) -> list[Difference]:
    """In which facts two lines differ that belong together."""
    if one.fact.block is None or other.fact.block is None:
        levels = (one.trust, other.trust) if one.trust != other.trust and one.word != "basis" else ("", "")
        return [Difference(path + one.word, _text(one.fact), _text(other.fact), one.says, other.says, levels)]
    return differences(one.fact.block, other.fact.block, sides, path=f"{path}{one.word} ")


def _text(fact: Fact) -> str:
    """A line as it was written; of a block what its header says, and how long it is."""
    if fact.block is None:
        return written(fact) or fact.word
    size = sum(1 for _ in fact.block.order)
    return f"{written(fact)} ({size} line{'' if size == 1 else 's'})".lstrip()


def order_of(pairs: Sequence[tuple[Line, Line]], word: str) -> list[Difference]:
    """Lines whose order says something, and stand in another one on the new side."""
    pairs = sorted(pairs, key=lambda pair: pair[0].number)
    numbers = [other.number for _, other in pairs]
    if numbers == sorted(numbers):
        return []
    was = [one for one, _ in pairs]
    now = [other for _, other in sorted(pairs, key=lambda pair: pair[1].number)]
    old, new = (", ".join(given_name(line.fact) or _text(line.fact) for line in lines) for lines in (was, now))
    return [Difference(f"{word} order", old, new, tuple(line.says for line in was), tuple(line.says for line in now))]


def heads(old: Fact | None, new: Fact | None, sides: Sides, path: str = "") -> list[Difference]:
    """In what two lines that give a name differ, value by value, the names that they give left out."""
    ours, theirs = _head(old, sides.old), _head(new, sides.new)
    found = []
    for label in sorted(ours.keys() | theirs.keys()):
        if label == "kind" and not (ours and theirs):
            continue
        one, other = ours.get(label, ("", None)), theirs.get(label, ("", None))
        if one[1] != other[1]:
            found.append(Difference(path + label, one[0], other[0], one[1], other[1]))
    return found


def _head(header: Fact | None, names: Names) -> dict[str, tuple[str, Hashable]]:
    """What a line that gives a name says, by what it says it of: as written, and what it is worth."""
    if header is None or header.bound.statement is None:
        return {}
    found: dict[str, tuple[str, Hashable]] = {"kind": (header.word, header.word)}
    refers = references(header.bound.statement)
    name = header.word if given_name(header) else ""
    for key, value in header.bound.values.items():
        if not key or key == name:
            continue
        label = "title" if value.kind == "text" and key in ("text", header.word) else key
        worth = names.of(value.text, refers[key]) if key in refers and value.kind == "name" else datum(value)
        found[label] = (value.text, worth)
    if header.bound.spoiled:
        found["heading"] = (written(header), written(header))
    return found
