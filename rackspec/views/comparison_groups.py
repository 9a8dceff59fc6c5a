"""Changes by thing: in: the changes of a comparison, out: a heading for each rack, part and house, with its changes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby
from typing import NamedTuple

from rackspec.comparison.record import ADDED, CHANGED, REMOVED, RENAMED, Change
from rackspec.views.comparison_words import Told, both, fact_text, in_words, known_better, short

MOST_TOUCHED = 6


class Group(NamedTuple):
    """A thing, what became of it (empty: it changed) and what that reaches, and its changes in words.

    A change without a label belongs to the one before it.
    """

    heading: str
    note: str
    lines: tuple[Told, ...]


def groups_of(changes: Iterable[Change]) -> Iterator[Group]:
    """The changes by thing, in their order."""
    for _, found in groupby(changes, key=_thing):
        group = list(found)
        yield _rack(group) if group[0].rack else _part(group)


def _thing(change: Change) -> tuple[str, str]:
    """What a change is told under: its rack, or a thing of the library."""
    return ("rack", change.rack) if change.rack else (change.kind, change.name)


def _rack(changes: Sequence[Change]) -> Group:
    """The changes of a rack."""
    lines: list[Told] = []
    note = ""
    before: Change | None = None
    for change in changes:
        if change.kind == "rack" and not change.word:
            note = became(change)
            if change.old or change.new:
                lines.append(Told("", change.new or change.old))
            continue
        told = in_words(change, before)
        before = change if told.label else before
        lines.append(told)
    return Group(f"rack {changes[0].rack}", note, tuple(lines))


def became(change: Change) -> str:
    """What became of a thing as a whole."""
    words = {ADDED: "new", REMOVED: "gone", RENAMED: f"it was '{change.was}'"}
    return words.get(change.action, "")


def _part(changes: Sequence[Change]) -> Group:
    """The changes of a thing of the library."""
    first = changes[0]
    notes = [became(change) for change in changes if not change.word]
    notes.append(touched(first))
    lines = []
    for change in changes:
        if change.word:
            lines.append(Told(*part_fact(change)))
        elif change.old or change.new:
            lines.append(Told("", short(change.new or change.old)))
    heading = first.kind if first.kind == "house" else f"{first.kind} {first.name}"
    return Group(heading, ", ".join(note for note in notes if note), tuple(lines))


def part_fact(change: Change) -> tuple[str, str]:
    """A fact of a thing of the library: its word, and what is written on each side."""
    if change.action != CHANGED:
        return fact_text(change)
    if not change.old:
        return change.word, f"{short(change.new)}  (new)"
    if not change.new:
        return change.word, f"{short(change.old)}  (gone)"
    return change.word, both(change.old, change.new) + known_better(change)


def touched(change: Change) -> str:
    """Which things of racks a change of the library reaches."""
    if change.kind in ("house", "rack", "seller"):
        return ""
    if not change.touches:
        return "used in no rack"
    racks: dict[str, list[str]] = {}
    for name in change.touches:
        rack, _, thing = name.partition("/")
        racks.setdefault(rack, []).append(thing)
    parts = []
    for rack, things in list(racks.items())[:MOST_TOUCHED]:
        more = f" and {len(things) - 4} more" if len(things) > 4 else ""
        named = ", ".join(thing for thing in things[:4] if thing)
        parts.append(f"{rack}: {named}{more}" if named else rack)
    if len(racks) > MOST_TOUCHED:
        parts.append(f"{len(racks) - MOST_TOUCHED} more racks")
    return f"in {'; '.join(parts)}"
