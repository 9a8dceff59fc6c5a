"""What a change of the library reaches: in: the things of a side, out: for a part the things of racks that use it.

A part is used by the racks that name it, and by what is ``like`` it, takes it or holds it; a seller by the racks whose
files may name it.
"""

from __future__ import annotations

from collections.abc import Iterator

from rackspec.comparison.facts import IN_A_RACK, PLACING, given_name, references
from rackspec.comparison.things import RACK, things_of
from rackspec.language.bound import Block, Fact
from rackspec.pipeline import Result

SILENT = frozenset({"have", "sells", "anyway"})
"""Lines that name a thing and are not otherwise when it is: who sells to a rack is known by the rack itself."""


class Uses:
    """Who names whom on a side."""

    def __init__(self, result: Result) -> None:
        self._result = result
        self._by_part: dict[str, list[str]] = {}
        self._in_racks: dict[str, list[str]] = {}
        self._is_read = False

    def _read(self) -> None:
        """Look through all things, when it is first asked for: most comparisons change no part."""
        self._is_read = True
        for thing in things_of(self._result):
            if thing.kind == RACK:
                for part, name in in_rack(thing.block):
                    self._in_racks.setdefault(part, []).append(name)
                continue
            for part in named_in(thing.block):
                self._by_part.setdefault(part, []).append(thing.name)
        for inspected in self._result.racks:
            for seller in inspected.rack.sellers:
                self._in_racks.setdefault(seller.name, []).append(inspected.rack.name)

    def of(self, part: str) -> tuple[str, ...]:
        """The full names of what uses a part in racks, in order."""
        if not self._is_read:
            self._read()
        seen = {part}
        waiting = [part]
        found: set[str] = set()
        while waiting:
            name = waiting.pop()
            found.update(self._in_racks.get(name, ()))
            for user in self._by_part.get(name, ()):
                if user not in seen:
                    seen.add(user)
                    waiting.append(user)
        return tuple(sorted(found))


def parts_in(fact: Fact) -> Iterator[str]:
    """The names of parts in a line."""
    statement = fact.bound.statement
    if statement is None or statement.word in SILENT:
        return
    for key, kinds in references(statement).items():
        value = fact.bound.values.get(key)
        if value is not None and value.kind == "name" and not IN_A_RACK.issuperset(kinds):
            yield value.text


def named_in(block: Block) -> Iterator[str]:
    """The names of parts in a block of the library."""
    if block.header is not None:
        yield from parts_in(block.header)
    for fact in block.order:
        yield from parts_in(fact)


def in_rack(block: Block) -> Iterator[tuple[str, str]]:
    """The parts that a rack names, each with the full name of what names it: a panel, a row, a bus, or the rack."""
    waiting: list[tuple[Block, str]] = [(block, block.name)]
    while waiting:
        inner, name = waiting.pop()
        for fact in inner.order:
            for part in parts_in(fact):
                if fact.word in PLACING:
                    yield part, f"{block.name}/{fact.text('as') or part}"
                else:
                    yield part, name
            if fact.block is not None:
                given = given_name(fact)
                waiting.append((fact.block, f"{block.name}/{given}" if given else block.name))
