"""The verdict of a comparison: in: a comparison, out: one sentence that stands alone."""

from __future__ import annotations

from rackspec.comparison.record import ADDED, GONE, NEW, OTHERWISE, REMOVED, Comparison
from rackspec.views.comparison_holes import hole_clauses
from rackspec.views.comparison_numbers import MOST, forgotten_of, numbers_of
from rackspec.views.comparison_words import listed
from rackspec.views.text import counted

NO_DIFFERENCE = "no difference"
OTHERWISE_WORDS = ("has another severity or waiver", "have another severity or waiver")


def verdict(comparison: Comparison) -> str:
    """What the change does, in a sentence; ``no difference`` if it does nothing at all."""
    if comparison.is_empty:
        return NO_DIFFERENCE
    forgotten = forgotten_of(comparison)
    parts = [findings_part(comparison)] if comparison.findings or not forgotten else []
    waivers = sum(change.kind == "waiver" and change.action == ADDED for change in comparison.changes)
    if waivers:
        parts.append(f"{counted(waivers, 'new waiver')}")
    parts += forgotten
    parts += [", ".join(clauses)] if (clauses := hole_clauses(comparison)) else []
    numbers = ", ".join(numbers_of(comparison, MOST - len(forgotten)))
    if numbers:
        parts.append(numbers)
    elif not forgotten and not whole_racks(comparison) and not any(rack.figures for rack in comparison.racks):
        parts.append("room, power and price stay as they are")
    return f"{subject(comparison)}: {'; '.join(parts)}"


MOST_RACKS = 3


def whole_racks(comparison: Comparison) -> dict[str, str]:
    """The racks that are on one side only, each with what became of it."""
    return {
        change.name: change.action
        for change in comparison.changes
        if change.kind == "rack" and not change.word and change.action in (ADDED, REMOVED)
    }


def subject(comparison: Comparison) -> str:
    """What is otherwise: racks, or parts that no rack uses."""
    if comparison.pair is not None:
        return f"rack '{comparison.pair[1]}' against rack '{comparison.pair[0]}'"
    whole = whole_racks(comparison)
    added = sorted(name for name, action in whole.items() if action == ADDED)
    gone = sorted(name for name, action in whole.items() if action == REMOVED)
    changed = [name for name in comparison.concerned() if name not in added and name not in gone]
    parts = []
    for names, one, several in (
        (changed, "changes", "change"),
        (added, "is new", "are new"),
        (gone, "is gone", "are gone"),
    ):
        if len(names) == 1:
            parts.append(f"rack '{names[0]}' {one}")
        elif 1 < len(names) <= MOST_RACKS:
            parts.append(f"racks {listed(names)} {several}")
        elif names:
            parts.append(f"{counted(len(names), 'rack')} {several}")
    if parts:
        return ", ".join(parts)
    things = {(change.kind, change.name) for change in comparison.changes}
    if not things:
        return "no fact changes"
    if things == {("house", "house")}:
        return "the house changes, and no rack with it"
    verb = "changes" if len(things) == 1 else "change"
    return f"{counted(len(things), 'part')} {verb}, and no rack with {'it' if len(things) == 1 else 'them'}"


def findings_part(comparison: Comparison) -> str:
    """How many findings came, went, and count otherwise."""
    numbers = [len(comparison.of_status(status)) for status in (NEW, GONE, OTHERWISE)]
    if not any(numbers):
        return "no finding is new or gone"
    words = ("new", "gone", OTHERWISE_WORDS[0])
    told = [(number, word) for number, word in zip(numbers, words, strict=True) if number]
    parts: list[str] = []
    for number, word in told:
        if number > 1 and word == OTHERWISE_WORDS[0]:
            word = OTHERWISE_WORDS[1]
        parts.append(f"{number} {word}" if parts else f"{counted(number, 'finding')} {word}")
    return ", ".join(parts)
