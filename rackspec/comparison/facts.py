"""Facts as they can be compared: in: bound lines, out: what each says, without its place and its spelling.

Quantities count by their exact values: ``84HP`` and ``426.72mm`` say the same. Evidence counts too: a guess that was
measured is a change. Names of things that are called otherwise on the new side are put into the old side's lines first.
"""

from __future__ import annotations

import re
from collections.abc import Hashable, Mapping
from datetime import date
from functools import lru_cache
from types import MappingProxyType
from typing import Any, NamedTuple

from rackspec.comparison.renames import AS_IT_IS, Calls
from rackspec.language.bound import Block, Evidence, Fact
from rackspec.language.pattern import State
from rackspec.language.quantity import Money, Quantity
from rackspec.language.values import Value
from rackspec.language.words import Statement, automaton
from rackspec.model.layers import basis_of

IN_A_RACK = frozenset({"placed", "row", "bus", "wish", "stage", "rack", "any"})
"""Kinds of things that a rack names itself; all others belong to the library."""

NONE: Mapping[str, str] = MappingProxyType({})
NO_REFERENCES: Mapping[str, tuple[str, ...]] = MappingProxyType({})

Said = tuple[Hashable, ...]
"""What a line says: two lines that say the same are equal."""


class Names(NamedTuple):
    """How things of one side are called on the new side: those of the library, those of one rack that are on both sides
    (``inside``, by their names in it), and the rack's own name on this side."""

    library: Calls = AS_IT_IS
    inside: Mapping[str, str] = NONE
    rack: str = ""

    def of(self, name: str, kinds: tuple[str, ...]) -> str:
        """A name that refers to a thing of one of ``kinds``, as the new side has it; empty for the rack itself.

        A thing of the rack that the other side does not have is marked: a thing there that happens to have its name is
        another one.
        """
        if not IN_A_RACK.isdisjoint(kinds):
            bare = name.removeprefix(self.rack + "/") if self.rack else name
            if bare == self.rack and "rack" in kinds:
                return ""
            if bare in self.inside:
                return self.inside[bare]
            if IN_A_RACK.issuperset(kinds):
                return f"?{bare}"
        return self.library.of(name)


AS_WRITTEN = Names()
"""Names of a side that is taken as it is."""


def references(statement: Statement) -> Mapping[str, tuple[str, ...]]:
    """The keys of a statement under which names of things stand, each with the kinds that may stand there."""
    found = _REFERENCES.get(id(statement.items))
    if found is None:
        found = _REFERENCES[id(statement.items)] = MappingProxyType(_referring(automaton(statement)))
    return found


_REFERENCES: dict[int, Mapping[str, tuple[str, ...]]] = {}


def _referring(state: State) -> dict[str, tuple[str, ...]]:
    """The references of an automaton, which has no loops; a state that is reached twice is looked at once."""
    found: dict[str, tuple[str, ...]] = {}
    waiting, seen = [state], {id(state)}
    while waiting:
        for edge, behind in waiting.pop().edges:
            if edge.kind == "reference":
                found[edge.key] = tuple(dict.fromkeys((*found.get(edge.key, ()), *edge.kinds)))
            if id(behind) not in seen:
                seen.add(id(behind))
                waiting.append(behind)
    return found


def datum(value: Value) -> Hashable:
    """What a value is worth: exact, without the text it was written in."""
    return _worth(value.data) if value.data is not None else ("?", value.text)


def _worth(data: Any) -> Hashable:
    match data:
        case Quantity():
            return (data.dimension, data.value, data.low, data.high)
        case Money():
            return (data.value, data.currency)
        case tuple():
            return tuple(_worth(part) for part in data)
        case date():
            return data.isoformat()
        case _:
            plain: Hashable = data
            return plain


def said(fact: Fact, names: Names, basis: Evidence | None = None, without: str = "") -> Said:
    """What a line says. ``basis`` is the evidence of its block: a line that repeats it says no more than one that does
    not. ``without``: a key that is left out (the name that the line gives)."""
    bound = fact.bound
    refers = references(bound.statement) if bound.statement is not None else NO_REFERENCES
    parts: list[tuple[str, Hashable]] = []
    flags = tuple(flag for flag in bound.flags if flag != without) if without else bound.flags
    for key, value in bound.values.items():
        if key in ("", "evidence", "dated") or key == without:
            continue
        if key in refers and value.kind == "name":
            name = names.of(value.text, refers[key])
            if not name:
                flags = tuple(flag for flag in flags if flag != key)
                continue
            parts.append((key, name))
        else:
            parts.append((key, datum(value)))
    parts.sort(key=lambda part: part[0])
    if bound.spoiled:
        parts.append(("", written(fact)))
    evidence = bound.evidence
    if evidence is not None and evidence == basis and fact.word != "basis":
        evidence = None
    return (fact.word, tuple(parts), flags, spoken(evidence))


def nameless(fact: Fact, names: Names) -> Said:
    """What a line says, whatever a rack calls its own things: of names only those of the library count."""
    statement = fact.bound.statement
    refers = references(statement) if statement is not None else NO_REFERENCES
    found: list[tuple[str, Hashable]] = []
    for key, value in sorted(fact.bound.values.items(), key=lambda item: item[0]):
        if value.kind != "name":
            found.append((key, datum(value)))
        elif key in refers and IN_A_RACK.isdisjoint(refers[key]):
            found.append((key, names.of(value.text, refers[key])))
    return (fact.word, tuple(found))


def spoken(evidence: Evidence | None) -> Hashable:
    """Evidence as a plain value."""
    if evidence is None:
        return None
    return (evidence.level, evidence.text, evidence.dated.isoformat() if evidence.dated else "")


ATOM = re.compile(r'"[^"]*"|#|[^\s"#]+')
MOST_REMEMBERED = 20_000


@lru_cache(MOST_REMEMBERED)
def _atoms(line: str) -> tuple[str, ...]:
    """The words of a line, texts whole, up to its comment."""
    atoms: list[str] = []
    for atom in ATOM.findall(line):
        if atom == "#":
            break
        atoms.append(atom)
    return tuple(atoms)


def written(fact: Fact) -> str:
    """What a line says behind its word, as it was written, with single spaces; without comment and brace."""
    text = fact.source.text
    end = text.find("\n", fact.offset)
    atoms = _atoms(text[fact.offset : end if end >= 0 else len(text)].rstrip("\r"))
    rest = " ".join(atoms[1:])
    return rest if rest.endswith('"') else rest.removesuffix("{").rstrip()


def subject(fact: Fact, names: Names) -> Hashable:
    """What a line that may stand any number of times is about: the names in it, empty if it has none; of things that
    are called by their size, that (``M3x8``, ``M4 washer``, ``blank 6HP``); of an offer, how many it is for too."""
    bound = fact.bound
    refers = references(bound.statement) if bound.statement is not None else NO_REFERENCES
    offer = bound.statement is not None and bound.statement.word == "sells"
    about: list[Hashable] = []
    for key, value in sorted(bound.values.items(), key=lambda item: item[0]):
        if not key:
            continue
        if value.kind == "name":
            about.append(names.of(value.text, refers[key]) if key in refers else value.text)
        elif key == "part" and value.kind in ("screw", "amount"):
            about.append(value.text if value.kind == "screw" else datum(value))
        elif offer and key in ("pack", "from"):
            about.append((key, datum(value)))
    return (*about, *(flag for flag in bound.flags if flag in CALLED or (offer and flag == "pair")))


CALLED = frozenset({"washer", "nut"})
"""Words that belong to what a thing is called."""


def title(header: Fact | None) -> str:
    """The title in a header, with its quotes; empty without one."""
    if header is None:
        return ""
    values = header.bound.values.items()
    return next((value.text for key, value in values if key != "evidence" and value.kind == "text"), "")


SEQUENCES = frozenset({("row", "or"), ("rack", "stage"), ("side", "corner")})
"""Lines whose order says something: the first rails that do are taken, stages follow each other, an outline is drawn
from corner to corner."""

PLACING = frozenset({"at", "next", "instead"})
"""Lines of a row, whose order says where panels stand."""


def is_sequence(kind: str, word: str) -> bool:
    """Whether the order of such lines in such a block says something."""
    return (kind, word) in SEQUENCES or (kind == "row" and word in PLACING)


def content(block: Block, names: Names, without: frozenset[str] = frozenset()) -> Said:
    """What a block says as a whole, its own name left out: title, what it is like, its lines in any order, and those
    whose order counts in theirs. ``without``: words that are left out."""
    basis = basis_of(block)
    in_order: list[Hashable] = []
    anyhow: list[tuple[str, Hashable]] = []
    for fact in block.order:
        if fact.word in without:
            continue
        line: Hashable = said(fact, names, basis)
        if fact.block is not None:
            line = (line, content(fact.block, names))
        if is_sequence(block.kind, fact.word):
            in_order.append(line)
        else:
            anyhow.append((repr(line), line))
    anyhow.sort(key=lambda pair: pair[0])
    return (heading(block, names), tuple(in_order), tuple(line for _, line in anyhow))


def heading(block: Block, names: Names) -> Said:
    """What a header says besides the name that it gives."""
    if block.header is None or block.header.bound.statement is None:
        return ()
    header = block.header
    return said(header, names, None, header.word if given_name(header) else "")


def given_name(header: Fact) -> str:
    """The name that a header gives: it stands directly behind the word."""
    value = header.bound.values.get(header.word)
    return value.text if value is not None and value.kind in ("name", "screw") else ""


def same_lines(old: Block, new: Block) -> bool:
    """Whether two blocks hold the same lines in the same order: then they say the same, unless a name changed.

    Lines that were read alike are one object, which makes this the quick answer for most blocks.
    """
    if len(old.order) != len(new.order):
        return False
    for one, other in zip(old.order, new.order, strict=True):
        if one.bound is not other.bound or (one.block is None) != (other.block is None):
            return False
        if one.block is not None and other.block is not None and not same_lines(one.block, other.block):
            return False
    return (old.header.bound if old.header else None) is (new.header.bound if new.header else None)
