"""Named things of two sides: in: two results, out: which thing of the old side is which of the new one.

A thing is known by its name. One that has another name and says exactly the same was renamed; a rack was renamed if at
least half of what it says is the same.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from rackspec.comparison.facts import AS_WRITTEN, Names, Said, content, nameless
from rackspec.comparison.pairs import alike, pair_up
from rackspec.comparison.renames import Calls
from rackspec.language.bound import Block
from rackspec.pipeline import Inspected, Result

RACK, HOUSE = "rack", "house"
MISSED = "unknown-name"
"""The rule of a name that is not found."""
ROUNDS = 20
"""How often renames are looked for: one may bring another to light, because a line that names a thing says the same
once the thing's new name is known."""


class Thing(NamedTuple):
    """A named thing of a side: its block, where its file is among those of the side, whether it stands in a file that
    was named (the others are reached by ``use`` and are there as far as they are used), and what was seen of it if it
    is a rack."""

    kind: str
    name: str
    block: Block
    file: str
    named: bool
    rack: Inspected | None


class Matched(NamedTuple):
    """Things of both sides: pairs, what is gone, what is new, how the new side calls what the old one has, and names
    that a side says and does not have."""

    pairs: tuple[tuple[Thing, Thing], ...]
    gone: tuple[Thing, ...]
    new: tuple[Thing, ...]
    library: Calls
    missed: frozenset[str]


def things_of(result: Result) -> list[Thing]:
    """All named things of a side, and its house, in the order of their files."""
    racks = {(id(seen.rack.place.source), seen.rack.place.start): seen for seen in result.racks}
    named = set(result.names)
    folder = common_folder(result.names)
    found = []
    for block in result.things:
        assert block.header is not None  # only the block of a whole file has none
        source = block.header.source
        seen = racks.get((id(source), block.place().start)) if block.kind == RACK else None
        name = HOUSE if block.kind == HOUSE else block.name
        found.append(Thing(block.kind, name, block, source.name.removeprefix(folder), source.name in named, seen))
    return sorted(found, key=lambda thing: (thing.file, thing.block.header.offset if thing.block.header else 0))


def common_folder(names: tuple[str, ...]) -> str:
    """The folder that all files are in, with its slash: it is called otherwise on the other side."""
    common = names[0].split("/")[:-1] if names else []
    for name in names:
        parts = name.split("/")[:-1]
        while common != parts[: len(common)]:
            common.pop()
    return "".join(part + "/" for part in common)


def match(old: Result, new: Result) -> Matched:
    """Which thing is which."""
    pairs, left_old, left_new = pair_up(
        things_of(old),
        things_of(new),
        lambda thing: (thing.kind, thing.name, thing.file),
        lambda thing: (thing.kind, thing.name),
        lambda thing: thing.name if thing.kind not in (RACK, HOUSE) else None,
    )
    library: dict[str, str] = {}
    theirs = [(thing, says(thing, AS_WRITTEN)) for thing in left_new]
    for _ in range(ROUNDS):
        ours = [(thing, says(thing, Names(Calls(library)))) for thing in left_old]
        renamed, left, theirs = pair_up(ours, theirs, lambda pair: pair[1])
        left_old = [thing for thing, _ in left]
        pairs += [(one, other) for (one, _), (other, _) in renamed]
        library.update((one.name, other.name) for (one, _), (other, _) in renamed)
        if not renamed:
            break
    left_new = [thing for thing, _ in theirs]
    racks = alike(
        [thing for thing in left_old if thing.kind == RACK],
        [thing for thing in left_new if thing.kind == RACK],
        lambda thing: tokens(thing.block, Names(Calls(library), rack=thing.name)),
        called,
    )
    library.update((one.name, other.name) for one, other in racks)
    matched = {id(thing) for pair in racks for thing in pair}
    return Matched(
        pairs=tuple(sorted([*pairs, *racks], key=lambda pair: (pair[1].kind, pair[1].name, pair[0].name))),
        gone=tuple(thing for thing in left_old if id(thing) not in matched),
        new=tuple(thing for thing in left_new if id(thing) not in matched),
        library=Calls(library),
        missed=missed_names(old) | missed_names(new),
    )


def named_in_all(block: Block) -> Iterator[str]:
    """All names that a block says, and the blocks in it."""
    for fact in (*((block.header,) if block.header is not None else ()), *block.order):
        yield from (value.text for value in fact.bound.values.values() if value.kind == "name")
        if fact.block is not None:
            yield from named_in_all(fact.block)


def library_of(one: Thing, other: Thing, matched: Matched) -> Calls:
    """How parts are called in two things: where one of them still says a name that is gone on its side, it is that name
    which it means, and not another one."""
    doubtful = [pair for pair in matched.library.names.items() if not matched.missed.isdisjoint(pair)]
    if not doubtful:
        return matched.library
    before, after = set(named_in_all(one.block)), set(named_in_all(other.block))
    kept = {(old, new) for old, new in doubtful if old not in after and new not in before}
    names = {old: new for old, new in matched.library.names.items() if (old, new) in kept or (old, new) not in doubtful}
    return Calls(names)


def missed_names(result: Result) -> frozenset[str]:
    """Names of parts that a side names and does not have."""
    return frozenset(
        finding.names[0] for finding in result.findings if finding.rule == MISSED and len(finding.names) == 1
    )


def is_missed(part: str, result: Result) -> bool:
    """Whether a side names a part that it does not have: then it is gone there, and not only used no more."""
    return any(finding.rule == MISSED and finding.names == (part,) for finding in result.findings)


def called(thing: Thing) -> str:
    """The name of a thing."""
    return thing.name


def says(thing: Thing, names: Names) -> Said | None:
    """What a thing says besides its name; None where it says nothing, which makes nothing the same."""
    if not thing.block.order:
        return None
    return content(thing.block, names._replace(rack=thing.name if thing.kind == RACK else ""))


def tokens(block: Block, names: Names, path: tuple[str, ...] = ()) -> Iterator[Said]:
    """What a block says, line by line, whatever it calls its own things: names of the library count, its own do not."""
    for fact in block.order:
        yield (path, nameless(fact, names))
        if fact.block is not None:
            yield from tokens(fact.block, names, (*path, fact.block.kind))
