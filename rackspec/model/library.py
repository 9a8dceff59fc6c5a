"""The one name space of a run: in: the blocks of all files, out: parts by name, each built when it is first asked for.

Names of the library are given once over all kinds and all files. A file that was only reached by ``use`` is known by
its outline, and its blocks are read one by one as they are needed.
"""

from __future__ import annotations

from collections.abc import Callable

from rackspec.findings import ERROR, NOTE, Finding, Place, Source
from rackspec.language.bound import Block
from rackspec.language.suggest import nearest
from rackspec.model.layers import Layers
from rackspec.model.parts import Insert, PanelPart, Rail, make_insert, make_panel_part, make_rail
from rackspec.model.sellers import Seller, make_seller
from rackspec.model.sheets import Sheet, make_sheet
from rackspec.model.wares import Part, Ware, make_part

KINDS = ("insert", "rail", "module", "supply", "part", "sheet", "seller", "rack")
"""Kinds of things that a file may name."""

DEEPEST_LIKE = 100
"""Steps of ``like`` that are followed."""


class Entry:
    """A named thing of the library; ``block`` gives its block, which may still have to be read."""

    __slots__ = ("_block", "_read", "kind", "name", "place")

    def __init__(
        self, kind: str, name: str, place: Place, block: Block | None, read: Callable[[], Block] | None
    ) -> None:
        self.kind = kind
        self.name = name
        self.place = place
        self._block = block
        self._read = read

    @property
    def block(self) -> Block:
        """Its block, read now if it was not yet."""
        if self._block is None:
            assert self._read is not None
            self._block = self._read()
        return self._block


class Library:
    """All named things of a run, and the findings about names that are made while they are looked up."""

    def __init__(self, reach: dict[Source, frozenset[Source]]) -> None:
        self.entries: dict[str, Entry] = {}
        self.findings: list[Finding] = []
        self.loose: set[str] = set()
        self._reach = reach
        self.used: set[str] = set()
        self._taken: set[tuple[str, Source]] = set()
        self._rings: set[frozenset[str]] = set()
        self._missing: dict[str, list[tuple[Place, tuple[str, ...]]]] = {}
        self._unused: dict[str, tuple[Place, Entry]] = {}
        self._panel_parts: dict[str, PanelPart] = {}
        self._inserts: dict[str, Insert] = {}
        self._rails: dict[str, Rail] = {}
        self._sheets: dict[str, Sheet] = {}
        self._parts: dict[str, Part] = {}
        self._sellers: dict[str, Seller] = {}
        self._selling: list[Entry] | None = None

    def add(self, entry: Entry) -> None:
        """Take a thing into the name space; a name that is taken is a finding with both places."""
        earlier = self.entries.get(entry.name)
        if earlier is None:
            self.entries[entry.name] = entry
            return
        self._taken.add((entry.name, entry.place.source))
        message = f"the name '{entry.name}' is taken: it is {_article(earlier.kind)} already"
        remedy = "give one of the two another name"
        if earlier.kind == entry.kind and earlier.kind != "rack":
            remedy += f", or make it a revision: {entry.kind} {entry.name}-b like {entry.name} {{"
        others = (earlier.place.labelled("named here first"),)
        self.findings.append(Finding("name-taken", ERROR, message, entry.place, others=others, remedy=remedy))

    def find(self, name: str, kinds: tuple[str, ...], place: Place) -> Entry | None:
        """The thing of that name, which must be of one of ``kinds``; what is wrong is remembered as a finding."""
        entry = self.entries.get(name)
        if entry is None:
            self.miss(name, kinds, place)
            return None
        if entry.kind not in kinds:
            message = f"'{name}' is {_article(entry.kind)}; {_or(kinds)} is due here"
            others = (entry.place.labelled("named here"),)
            near = nearest(name, [other.name for other in self.entries.values() if other.kind in kinds])
            remedy = f"write the name of {_or(kinds)}" + (f", such as '{near[0]}'" if near else "")
            self.findings.append(Finding("name-of-other-kind", ERROR, message, place, others=others, remedy=remedy))
            return None
        self.used.add(name)
        reach = self._reach.get(place.source)
        if reach is not None and entry.place.source not in reach:
            self._unused.setdefault(f"{place.source.name}\0{entry.place.source.name}", (place, entry))
        return entry

    def miss(self, name: str, kinds: tuple[str, ...], place: Place) -> None:
        """Remember that a name is not known; said once, with all places."""
        self._missing.setdefault(name, []).append((place, kinds))

    def told(self, unsure: frozenset[Source]) -> list[Finding]:
        """All findings about names, when everything has been looked up.

        ``unsure`` are files that may use more than was read, because a ``use`` of them failed or a line was not
        understood: what they miss may well be there.
        """
        found = list(self.findings)
        for name, looked_for in self._missing.items():
            missed = [(place, kinds) for place, kinds in looked_for if not self._reach_of(place.source) & unsure]
            if missed and name not in self.loose:
                kinds = min((kinds for _, kinds in missed), key=len)
                places = sorted((place for place, _ in missed), key=lambda place: (place.source.name, place.start))
                found.append(self._unknown(name, kinds, places))
        for place, entry in self._unused.values():
            if place.source in unsure or (entry.name, place.source) in self._taken:
                continue
            message = f"'{entry.name}' comes from {entry.place.source.name}, which this file does not use"
            remedy = (
                f"add a line 'use' with the path of {entry.place.source.name}, so that the file can be inspected alone"
            )
            others = (entry.place.labelled("named here"),)
            found.append(Finding("use-left-out", NOTE, message, place, others=others, remedy=remedy))
        return found

    def troubled(self) -> set[Source]:
        """The files in which something about names is wrong so far, or may turn out to be."""
        places = [finding.place for finding in self.findings]
        places += [place for missed in self._missing.values() for place, _ in missed]
        for place, entry in self._unused.values():
            places += [place, entry.place]
        return {place.source for place in places}

    def _reach_of(self, source: Source) -> frozenset[Source]:
        return self._reach.get(source, frozenset())

    def _unknown(self, name: str, kinds: tuple[str, ...], places: list[Place]) -> Finding:
        fitting = [entry.name for entry in self.entries.values() if entry.kind in kinds]
        near = nearest(name, fitting)
        what = " or ".join(kinds) if len(kinds) < 3 else "part"
        message = f"no {what} is called '{name}'"
        if near:
            quoted = " or ".join(f"'{other}'" for other in near)
            remedy = f"write {quoted}, or add {_article(what)} '{name}'"
        elif fitting:
            remedy = f"add {_article(what)} '{name}', or 'use' the file that has it"
        else:
            remedy = f"no {what} is known here at all: 'use' the file that has them"
        others = tuple(place.labelled("and here") for place in places[1:4])
        return Finding("unknown-name", ERROR, message, places[0], others=others, remedy=remedy, names=(name,))

    def layers(self, entry: Entry) -> Layers:
        """The layers of a thing: itself, and what it is ``like``."""
        blocks = [entry.block]
        seen = [entry]
        while len(blocks) <= DEEPEST_LIKE:
            header = blocks[-1].header
            name = header.text("like") if header is not None else ""
            if header is None or not name:
                break
            parent = self.find(name, (entry.kind,), header.place("like"))
            if parent is None:
                break
            if parent in seen:
                last = seen[-1].name
                message = f"'{last}' is like '{name}', which in the end is like '{last}'"
                remedy = "take 'like' away from one of them and write its lines out"
                place = header.place("like")
                ring = frozenset(other.name for other in seen[seen.index(parent) :])
                if ring not in self._rings:
                    self._rings.add(ring)
                    self.findings.append(
                        Finding("like-cycle", ERROR, message, place, remedy=remedy, names=(entry.name,))
                    )
                break
            if len(blocks) == DEEPEST_LIKE:
                message = f"'{entry.name}' is like '{name}' by more than {DEEPEST_LIKE} steps"
                remedy = "write its lines out instead of 'like'"
                place = entry.block.header.place("like") if entry.block.header is not None else entry.place
                self.findings.append(
                    Finding("like-too-long", ERROR, message, place, remedy=remedy, names=(entry.name,))
                )
                break
            seen.append(parent)
            blocks.append(parent.block)
        return Layers(tuple(blocks))

    def panel_part(self, entry: Entry) -> PanelPart:
        """A module or supply, built once."""
        if entry.name not in self._panel_parts:
            title = entry.block.header.text("text") if entry.block.header else ""
            part = make_panel_part(entry.kind, entry.name, title, self.layers(entry))
            self._panel_parts[entry.name] = part
        return self._panel_parts[entry.name]

    def insert(self, entry: Entry) -> Insert:
        """An insert, built once."""
        if entry.name not in self._inserts:
            self._look_for_two_forms(entry)
            title = entry.block.header.text("text") if entry.block.header else ""
            self._inserts[entry.name] = make_insert(entry.name, title, self.layers(entry))
        return self._inserts[entry.name]

    def _look_for_two_forms(self, entry: Entry) -> None:
        """An insert is a strip or a nut; one that is both is a slip."""
        strips, nuts = entry.block.all("strip"), entry.block.all("nut")
        if strips and nuts:
            message = f"'{entry.name}' is said to be a strip and a nut"
            remedy = "delete one of the two lines, or make it two inserts"
            others = (strips[0].place("", "a strip"),)
            self.findings.append(Finding("said-twice", ERROR, message, nuts[0].place(""), others, remedy=remedy))

    def rail(self, entry: Entry) -> Rail:
        """A rail, built once; the inserts it names must be there."""
        if entry.name not in self._rails:
            title = entry.block.header.text("text") if entry.block.header else ""
            rail = make_rail(entry.name, title, self.layers(entry))
            self._rails[entry.name] = rail
            for name, place in rail.takes:
                self.find(name, ("insert",), place)
        return self._rails[entry.name]

    def sheet(self, entry: Entry) -> Sheet:
        """A sheet, built once."""
        if entry.name not in self._sheets:
            self._sheets[entry.name] = make_sheet(entry.name, self.layers(entry))
        return self._sheets[entry.name]

    def part(self, entry: Entry) -> Part:
        """A part, built once."""
        if entry.name not in self._parts:
            title = entry.block.header.text("text") if entry.block.header else ""
            self._parts[entry.name] = make_part(entry.name, title, self.layers(entry))
        return self._parts[entry.name]

    def seller(self, entry: Entry) -> Seller:
        """A seller, built once."""
        if entry.name not in self._sellers:
            title = entry.block.header.text("text") if entry.block.header else ""
            self._sellers[entry.name] = make_seller(entry.name, title, self.layers(entry))
        return self._sellers[entry.name]

    def sellers_for(self, source: Source) -> list[Entry]:
        """The sellers that a file may name: its own, and those of the files that it uses, in order of their names."""
        if self._selling is None:
            selling = [entry for entry in self.entries.values() if entry.kind == "seller"]
            self._selling = sorted(selling, key=lambda entry: entry.name)
        reach = self._reach_of(source)
        found = [entry for entry in self._selling if entry.place.source in reach]
        self.used.update(entry.name for entry in found)
        return found

    def ware(self, name: str) -> Ware | None:
        """What an order has to know of a thing that is bought; None where no part has that name. Finds nothing wrong:
        whoever names a thing looks it up with ``find``."""
        entry = self.entries.get(name)
        if entry is None:
            return None
        match entry.kind:
            case "rail":
                rail = self.rail(entry)
                return Ware(name, entry.kind, entry.place, rail.bought, rail.length, 0, None)
            case "insert":
                return Ware(name, entry.kind, entry.place, self.insert(entry).bought, None, 0, None)
            case "sheet":
                sheet = self.sheet(entry)
                longest = max(sheet.sides, key=lambda side: side.value) if sheet.sides is not None else None
                return Ware(name, entry.kind, entry.place, sheet.bought, longest, sheet.there or 0, None)
            case "part":
                part = self.part(entry)
                return Ware(name, entry.kind, entry.place, part.bought, None, 0, part)
            case "module" | "supply":
                return Ware(name, entry.kind, entry.place, self.panel_part(entry).bought, None, 0, None)
            case _:
                return None


def _article(word: str) -> str:
    return f"an {word}" if word[0] in "aeiou" else f"a {word}"


def _or(kinds: tuple[str, ...]) -> str:
    return " or ".join(_article(kind) for kind in kinds)
