"""A project: in: the paths that were named, out: for each root its files, its library, its house and its racks.

A file that was named is read whole. A file that is only reached by ``use`` is read as far as it is needed.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from functools import cache

from rackspec.files import HOUSE_FILE, ReadText, files_below, from_bytes, inside, read_file, root_of, shown
from rackspec.findings import ERROR, NOTE, Finding, Source
from rackspec.language.bound import Block
from rackspec.model.house import House, make_house
from rackspec.model.library import Entry, Library
from rackspec.model.link import loose_in, make_rack
from rackspec.model.offers import link_kit, link_seller
from rackspec.model.rack import Later, Rack
from rackspec.spec_file import File
from rackspec.store import DISK, Store
from rackspec.uses import UseLine, cycles, resolve

UNUSABLE = ("insert", "rail", "module", "supply", "part", "sheet")
"""Kinds of parts that somebody should use."""


class Project:
    """All files of one root that a run has to do with."""

    def __init__(self, root: str, base: str, store: Store = DISK) -> None:
        self.root = root
        self.base = base
        self.store = store
        self.files: dict[str, File] = {}
        self.named: set[str] = set()
        self.edges: dict[str, list[tuple[str, UseLine]]] = {}
        self.house: House = make_house(None)
        self._house_block: Block | None = None
        self._findings: list[Finding] = []
        self._library: Library | None = None
        self.reach: dict[Source, frozenset[Source]] = {}

    def add_named(self, path: str, read: ReadText, whole: bool = True) -> None:
        """A file that was named: it is read whole, unless it is known that nothing is wrong in it."""
        if path not in self.named:
            self.named.add(path)
            self.files[path] = File(path, read, whole)

    def close(self) -> None:
        """Read everything that is reached by ``use``, and the house."""
        house = os.path.join(self.root, HOUSE_FILE)
        if house not in self.files and self.store.is_file(house):
            self._read_used(house, None)
        waiting = sorted(self.files)
        while waiting:
            path = waiting.pop(0)
            file = self.files[path]
            self.edges[path] = []
            for line in file.uses():
                used = resolve(line, path, os.path.dirname(path), self.root, self.store)
                self._findings += used.findings
                for target in used.paths:
                    self.edges[path].append((target, line))
                    if target not in self.files and self._read_used(target, line):
                        waiting.append(target)
        self._findings += cycles(self.edges)

    def _read_used(self, path: str, line: UseLine | None) -> bool:
        """Read a file that is used; one that cannot be read is a finding at its ``use``."""
        try:
            read = read_file(path, shown(path, self.base), self.store)
        except OSError as error:
            if line is not None:
                message = f"'{line.text}' cannot be read: {error.strerror}"
                self._findings.append(
                    Finding("use-not-found", ERROR, message, line.place, remedy="mend the path or the rights")
                )
            return False
        self.files[path] = File(path, read, whole=False)
        return True

    def _reach(self) -> dict[Source, frozenset[Source]]:
        """For each file the files whose names it may use: its own, and what it uses, directly or not."""
        reach: dict[Source, frozenset[Source]] = {}
        for path, file in self.files.items():
            seen = {path}
            waiting = [path]
            while waiting:
                for target, _ in self.edges.get(waiting.pop(), ()):
                    if target not in seen and target in self.files:
                        seen.add(target)
                        waiting.append(target)
            reach[file.source] = frozenset(self.files[name].source for name in seen)
        return reach

    def open_library(self) -> Library:
        """The name space of everything that was read, and the house."""
        self.reach = self._reach()
        library = self._library = Library(self.reach)
        house_block = self._house_block
        for path in sorted(self.files, key=lambda name: self.files[name].source.name):
            file = self.files[path]
            for entry in file.named_things():
                library.add(entry)
            if file.block is not None:
                library.loose.update(loose_in(file.block))
            found = file.house_block()
            if found is not None and found.header is not None:
                if house_block is None:
                    house_block = found
                else:
                    self._second_house(found, house_block)
        self._house_block = house_block
        self.house = make_house(house_block)
        return library

    def link(self) -> list[Rack]:
        """The racks of the files that were named; names are looked up over everything that was read."""
        return self.link_things(self.things_to_link(self.open_library()))

    def things_to_link(self, library: Library) -> list[Entry]:
        """The named things of the files that were named."""
        named = self._named_sources()
        return [entry for entry in library.entries.values() if entry.place.source in named]

    def link_things(self, entries: list[Entry]) -> list[Rack]:
        """Look up every name of some things; the racks among them."""
        library = self.library
        racks: list[Rack] = []
        for entry in entries:
            if entry.kind == "rack":
                rack, found_names = make_rack(entry.block, library)
                racks.append(rack)
                self._findings += found_names
            else:
                link_part(entry, library)
        return sorted(racks, key=lambda rack: (rack.file.name, rack.place.start))

    @property
    def library(self) -> Library:
        """The name space of the run; it is there when the racks have been linked."""
        assert self._library is not None
        return self._library

    def _named_sources(self) -> set[Source]:
        return {self.files[path].source for path in self.named}

    def _second_house(self, second: Block, first: Block) -> None:
        assert second.header is not None and first.header is not None
        message = "a second 'house' block; there is one for all racks of a folder"
        others = (first.header.place("", "the first one"),)
        remedy = "move its lines into the first one"
        self._findings.append(Finding("name-taken", ERROR, message, second.header.place(""), others, remedy=remedy))

    def troubled(self) -> set[Source]:
        """The files in which something is wrong that is told of them, not of a rack."""
        troubled = {file.source for file in self.files.values() if file.findings}
        troubled |= {finding.place.source for finding in self._findings}
        return troubled | self.library.troubled()

    def later(self) -> list[Later]:
        """Lines of the library and house, in the files that were named, that no rule looks at yet."""
        return [line for path, file in self.files.items() if path in self.named for line in file.later()]

    @property
    def house_source(self) -> Source | None:
        """The file that holds the house."""
        return None if self._house_block is None else self._house_block.place().source

    def shown_names(self) -> list[str]:
        """The names of the files that were named, as they are shown, in order."""
        return sorted(self.files[path].source.name for path in self.named)

    def things(self) -> list[Block]:
        """The blocks of all named things of the files that were named, and of those that they use; and the house."""
        assert self._library is not None
        named, used = self._named_sources(), self._library.used
        blocks = [
            entry.block for entry in self._library.entries.values() if entry.place.source in named or entry.name in used
        ]
        return blocks if self._house_block is None else [*blocks, self._house_block]

    def _unsure(self) -> set[Source]:
        """Files that may use more than was read."""
        unsure = {
            finding.place.source for finding in self._findings if finding.rule in ("use-not-found", "use-outside-root")
        }
        return unsure | {file.source for file in self.files.values() if file.block is not None and file.block.spoiled}

    @property
    def is_sound(self) -> bool:
        """Whether every line was understood and every file was read."""
        return not any(file.findings for file in self.files.values()) and not self._unsure()

    def unused(self) -> list[Finding]:
        """Parts of the files that were named which nothing of them uses."""
        assert self._library is not None
        named = self._named_sources()
        return [
            Finding(
                "part-unused",
                NOTE,
                f"{entry.kind} '{entry.name}' is used by no rack, rail, seller or other part here",
                entry.place,
                remedy="delete it, or leave it for a rack to come",
                rests_on="the files that were named, and what they use",
                names=(entry.name,),
            )
            for entry in self._library.entries.values()
            if entry.kind in UNUSABLE and entry.place.source in named and entry.name not in self._library.used
        ]

    def findings(self) -> list[Finding]:
        """What was found while reading and linking."""
        found = list(self._findings)
        for file in self.files.values():
            found += file.findings
        if self._library is not None:
            found += self._library.told(frozenset(self._unsure()))
        return found


def link_part(entry: Entry, library: Library) -> None:
    """Look up the names that a part of the library uses itself."""
    match entry.kind:
        case "rail":
            library.rail(entry)
        case "seller":
            link_seller(entry, library)
        case "part":
            link_kit(entry, library)
        case _:
            header = entry.block.header
            if header is not None and header.text("like"):
                library.layers(entry)


def read_projects(
    paths: tuple[str, ...],
    folder: str,
    stdin_text: bytes | None,
    named: str,
    store: Store = DISK,
    is_clean: Callable[[ReadText], bool] = lambda _: False,
) -> tuple[list[Project], list[str]]:
    """The projects of all paths, by root, and the paths that could not be read, each with the reason.

    ``is_clean``: whether it is known of a text that reading finds nothing wrong in it; then it is outlined only.
    """
    projects: dict[str, Project] = {}
    failed: list[str] = []

    @cache
    def project_of(where: str) -> Project:
        root = root_of(where, store)
        return projects.setdefault(root, Project(root, folder, store))

    for path in paths:
        if path == "-":
            where = os.path.join(folder, named) if named else os.path.join(folder, "-")
            project = project_of(os.path.dirname(where))
            project.add_named(store.real(where), from_bytes(named or "-", stdin_text or b""))
            continue
        full = os.path.join(folder, path)
        if path and store.is_folder(full):
            closed: list[OSError] = []
            found = files_below(full, root_of(full, store), store, closed)
            failed += [f"{shown(str(error.filename), folder)}: {error.strerror}" for error in closed]
        elif path and store.exists(full) and not inside(full, root_of(os.path.dirname(full), store), store):
            failed.append(f"{path}: this link leads out of the folder it belongs to")
            continue
        elif path and store.exists(full):
            found = [full]
        else:
            failed.append(f"{path or repr(path)}: there is no such file or folder")
            continue
        for name in found:
            try:
                read = read_file(name, shown(name, folder), store)
            except OSError as error:
                failed.append(f"{shown(name, folder)}: {error.strerror or 'cannot be read'}")
                continue
            project_of(os.path.dirname(name)).add_named(store.real(name), read, not is_clean(read))
    for project in projects.values():
        project.close()
    return [projects[root] for root in sorted(projects)], failed
