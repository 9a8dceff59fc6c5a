"""Things of two racks: in: the blocks of a rack of each side, out: which stage, row, wish and bus is which.

A thing is known by its name; one of another name that says the same was renamed. A row was renamed if at least half of
what it says is the same.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import NamedTuple

from rackspec.comparison.blocks import Sides
from rackspec.comparison.facts import AS_WRITTEN, Names, Said, content, said
from rackspec.comparison.pairs import alike, pair_up
from rackspec.comparison.things import tokens
from rackspec.language.bound import Block, Fact

Pairs = list[tuple[Fact | None, Fact | None]]
"""Lines of both sides that belong together; None where a side has none."""


class Insides(NamedTuple):
    """The stages, rows, wishes and busses of two racks, and how names are read in their lines."""

    stages: Pairs
    rows: Pairs
    wishes: Pairs
    buses: Pairs
    sides: Sides


def match_insides(old: Block, new: Block, sides: Sides) -> Insides:
    """Which thing is which. ``sides`` knows how parts of the library are called."""
    before: dict[str, str] = {}
    after: dict[str, str] = {}
    sides = Sides(sides.old._replace(inside=before), sides.new._replace(inside=after))

    def remember(pairs: Pairs, word: str) -> Pairs:
        for one, other in pairs:
            if one is not None and other is not None:
                before[one.text(word)] = after[other.text(word)] = other.text(word)
        return pairs

    stages = remember(_stages(old, new), "stage")
    # what feeds a row or a bus may have another name itself: that is looked at when all names are known
    rows = remember(_blocks(old, new, "row", sides, frozenset({"power"}), by_likeness=True), "row")
    buses = remember(_blocks(old, new, "bus", sides, frozenset({"from"})), "bus")
    wishes = remember(_blocks(old, new, "wish", sides), "wish")
    return Insides(stages, rows, wishes, buses, sides)


def _stages(old: Block, new: Block) -> Pairs:
    """Stages: by name, else one that says the same at the same time, else one that says the same and not nothing."""

    def numbered(block: Block) -> list[tuple[int, Fact]]:
        return list(enumerate(block.all("stage")))

    def called(item: tuple[int, Fact]) -> Hashable:
        return item[1].text("stage")

    def rest(item: tuple[int, Fact]) -> Said:
        return said(item[1], AS_WRITTEN, None, "stage")

    pairs, gone, new_ones = pair_up(
        numbered(old),
        numbered(new),
        called,
        lambda item: (item[0], rest(item)),
        lambda item: rest(item) if len(item[1].bound.values) > 2 else None,  # more than the word and the name
    )
    both: Pairs = [(one[1], other[1]) for one, other in pairs]
    return [*both, *((fact, None) for _, fact in gone), *((None, fact) for _, fact in new_ones)]


def _blocks(
    old: Block, new: Block, word: str, sides: Sides, without: frozenset[str] = frozenset(), by_likeness: bool = False
) -> Pairs:
    """Blocks of a word: by name, else one that says the same."""
    ours = [(fact, sides.old) for fact in old.all(word) if fact.block is not None]
    theirs = [(fact, sides.new) for fact in new.all(word) if fact.block is not None]
    name: Callable[[tuple[Fact, Names]], Hashable] = lambda item: item[0].text(word)  # noqa: E731
    pairs, left, left_new = pair_up(ours, theirs, name, lambda item: _says(item[0], item[1], without))
    if by_likeness:
        more = alike(left, left_new, lambda item: tokens(_block(item[0]), item[1]), lambda item: item[0].text(word))
        matched = {id(item) for pair in more for item in pair}
        pairs += more
        left = [item for item in left if id(item) not in matched]
        left_new = [item for item in left_new if id(item) not in matched]
    both: Pairs = [(one, other) for (one, _), (other, _) in pairs]
    return [*both, *((fact, None) for fact, _ in left), *((None, fact) for fact, _ in left_new)]


def _block(fact: Fact) -> Block:
    assert fact.block is not None
    return fact.block


def _says(fact: Fact, names: Names, without: frozenset[str]) -> Hashable:
    """What a block says besides its name; None where it says nothing, which makes nothing the same."""
    block = _block(fact)
    return content(block, names, without) if block.order else None
