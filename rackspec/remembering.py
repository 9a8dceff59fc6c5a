"""An inspection that takes from memory what it can: in: a project and a memory, out: what an inspection says.

What comes out is the same as without a memory. A rack is taken from it only if its digest is known, and is put into it
only if nothing about names or reading is wrong in any file that it hangs on: what would be told of those is told anew.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from typing import NamedTuple

from rackspec.files import ReadText
from rackspec.findings import Finding, Source
from rackspec.memory import Memory, Plain, digest
from rackspec.model.library import Entry
from rackspec.plain import Homeless, from_plain, to_plain
from rackspec.project import Project
from rackspec.rules.registry import Rule
from rackspec.seeing import see
from rackspec.signatures import Signatures
from rackspec.spec_file import File
from rackspec.summary import RackSummary

Told = Callable[[int], None]
"""Is told how many racks have been looked at since it was told last."""


class Seen(NamedTuple):
    """What was seen of a project: findings, summaries in order, and words that are not checked yet."""

    findings: list[Finding]
    summaries: list[RackSummary]
    not_checked: list[str]


class Kept(NamedTuple):
    """What a rack says, and where it stands."""

    place: tuple[str, int]
    findings: tuple[Finding, ...]
    summary: RackSummary


def stamp(source: Source) -> bytes:
    """What a text is known under."""
    return digest(source.text)


def is_clean(memory: Memory, read: ReadText) -> bool:
    """Whether reading is known to find nothing wrong in a text."""
    if read.findings:
        return False
    key = stamp(read.source)
    if key not in memory.clean:
        return False
    memory.used.add(key)
    return True


def inspect_remembering(
    project: Project,
    rules: dict[str, Rule],
    today: date,
    memory: Memory,
    told: Told,
    first: Callable[[Project, Signatures], None],
) -> Seen | None:
    """Link and inspect what is not known yet, and take the rest from memory. None: it has to be done without one.

    ``first`` may put something into the memory before it is asked.
    """
    library = project.open_library()
    signatures = Signatures(project, today)
    sound = signatures.sound
    first(project, signatures)
    kept: list[Kept] = []
    new: list[tuple[Entry, bytes | None, Kept | None]] = []
    for entry in project.things_to_link(library):
        key = signatures.of(entry)
        known = memory.racks.get(key) if entry.kind == "rack" and key is not None else None
        if key is not None and known is not None:
            memory.used.add(key)
            findings, summary = from_plain(known, signatures)
            kept.append(Kept(place_of(entry), findings, summary))
            told(1)
        elif key is not None and entry.kind != "rack" and key in memory.linked:
            memory.used.add(key)
        else:
            new.append((entry, key, look_at(entry, project, rules, today, sound)))
            told(1)
    if project.is_sound != sound:
        return None  # a file that was used turned out to be broken, and waivers were read as if it was not
    learn(new, project, signatures, memory)
    kept += [rack for _, _, rack in new if rack is not None]
    kept.sort(key=lambda rack: rack.place)
    return Seen(
        [finding for rack in kept for finding in rack.findings] + project.findings(),
        [rack.summary for rack in kept],
        words_of(project, memory),
    )


def place_of(entry: Entry) -> tuple[str, int]:
    """By what racks are in order."""
    return entry.place.source.name, entry.place.start


def look_at(entry: Entry, project: Project, rules: dict[str, Rule], today: date, sound: bool) -> Kept | None:
    """Link a thing, and inspect it if it is a rack. ``sound``: every line of the run is understood."""
    racks = project.link_things([entry])
    if not racks:
        return None
    seen = see(racks[0], project.house, rules, today, sound)
    return Kept(place_of(entry), tuple(seen.findings), seen.summary)


def learn(
    looked_at: Sequence[tuple[Entry, bytes | None, Kept | None]],
    project: Project,
    signatures: Signatures,
    memory: Memory,
) -> None:
    """Put what was seen into memory, as far as it may be kept."""
    troubled = project.troubled()
    for entry, key, rack in looked_at:
        if key is None or signatures.sources(entry) & troubled:
            continue
        if rack is None:
            if entry.kind != "rack":
                memory.linked.add(key)
                memory.used.add(key)
            continue
        try:
            memory.racks[key] = to_plain((rack.findings, rack.summary), signatures)
            memory.used.add(key)
        except Homeless:
            continue


def words_of(project: Project, memory: Memory) -> list[str]:
    """Words that are not checked yet, of the files that were named; what is clean is learned."""
    words: list[str] = []
    for path, file in project.files.items():
        if path in project.named:
            key = stamp(file.source)
            if file.block is None:
                words += memory.clean[key]
                continue
            own = tuple(line.word for line in file.later())
            words += own
            if not file.findings:
                memory.clean[key] = own
                memory.used.add(key)
    return words


def read_whole(file: File) -> File:
    """A file that was outlined, read whole."""
    return File(file.path, ReadText(file.source, (), False), whole=True)


__all__ = ["Plain", "inspect_remembering", "is_clean", "learn", "look_at", "read_whole", "stamp"]
