"""Changes in words: in: a change, out: a label and a sentence, which the text and the page of a comparison share."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from rackspec.comparison.record import (
    ADDED,
    MOVED,
    PINNED,
    REMOVED,
    RENAMED,
    REORDERED,
    REPLACED,
    SHIFTED,
    SWAPPED,
    Change,
    Spot,
)
from rackspec.language.quantity import show_hp

ARROW = "→"
MOST_NAMES = 6
LONGEST = 240
"""Characters of what is written on a side that are shown."""


class Told(NamedTuple):
    """A change in words: a label, a sentence, and lines that belong to it. ``loud``: it hides findings."""

    label: str
    text: str
    more: tuple[str, ...] = ()
    loud: bool = False


def bare(name: str) -> str:
    """A full name without its rack."""
    return name.partition("/")[2] or name


def quoted(name: str) -> str:
    """A name as it stands in a sentence: bare, in quotes; what stands for a blank without a name is no name."""
    return blank_text(name) if " " in name else f"'{bare(name)}'"


def blank_text(name: str) -> str:
    """A blank or gap without a name: ``a blank of 3HP`` for ``blank 3HP``."""
    what, _, width = name.partition(" ")
    return f"a {what} of {width if width != 'not known' else 'unknown width'}"


def listed(names: Sequence[str], most: int = MOST_NAMES) -> str:
    """Names in a sentence: ``'a', 'b' and 'c'``, or ``'a', 'b' and 3 more``."""
    words = [quoted(name) for name in names]
    if len(words) > most:
        words = [*words[: most - 1], f"{len(words) - most + 1} more"]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def short(text: str) -> str:
    """A text, cut between two words where it is long."""
    if len(text) <= LONGEST:
        return text
    kept = text[: LONGEST - 2]
    return f"{kept.rpartition(' ')[0] or kept} …"


def both(old: str, new: str) -> str:
    """What is written on both sides."""
    return f"{short(old)} {ARROW} {short(new)}"


def place(spot: Spot) -> str:
    """Where something starts."""
    return show_hp(spot.start) if spot.start is not None else "a place that is not known"


def panel_text(change: Change, spot: Spot) -> str:
    """A panel with its part, width, place and time."""
    width = show_hp(spot.width) if spot.width is not None else "width not known"
    when = f", from stage '{spot.since}' on" if spot.since else ""
    when += f", until stage '{spot.until}'" if spot.until else ""
    where = f"in row '{spot.row}' at {place(spot)}{when}"
    if change.kind in ("blank", "gap"):
        name = "" if bare(change.name) == spot.row else f" {quoted(change.name)}"
        return f"a {spot.what}{name} of {width} {where}"
    part = "" if spot.part == bare(change.name) else f"{spot.part}, "
    return f"{quoted(change.name)} ({part}{width}) {where}"


def in_words(change: Change, before: Change | None = None) -> Told:
    """A change in words. ``before`` is the change that is told before it."""
    spot = change.after or change.before
    if change.action in (ADDED, REMOVED) and spot is not None:
        return Told(change.action, panel_text(change, spot))
    if change.action == RENAMED:
        what = "" if change.kind in ("panel", "blank", "gap") else f"{change.kind} "
        return Told(RENAMED, f"{what}{quoted(change.was)} is now {quoted(change.name)}")
    if change.action == REPLACED:
        return _replaced(change)
    if change.action == MOVED:
        return Told(MOVED, _moved(change))
    if change.action == SWAPPED:
        return Told(SWAPPED, f"{listed(change.names)} change places{_in_row(change)}")
    if change.action == SHIFTED:
        return _shifted(change, before)
    if change.action == PINNED:
        return _pinned(change)
    return _waiver(change) if change.kind == "waiver" else _fact(change)


def _in_row(change: Change) -> str:
    spot = change.after or change.before
    return f" in row '{spot.row}'" if spot is not None else ""


def _replaced(change: Change) -> Told:
    """Another part."""
    spot = change.after or change.before
    where = f"{_in_row(change)} at {place(spot)}" if spot is not None else ""
    if change.was:
        text = f"{_thing(change.was, change.old)} by {_thing(change.name, change.new)}{where}"
    elif spot is not None and bare(change.name) == spot.row:
        text = f"{_part(change.old)} by {_part(change.new)}{where}"
    else:
        text = f"{quoted(change.name)}: {_part(change.old)} {ARROW} {_part(change.new)}"
    details = [f"{one.word} {one.old or 'not known'} {ARROW} {one.new or 'not known'}" for one in change.details]
    return Told(REPLACED, text, ("; ".join(details),) if details else ())


def _thing(name: str, part: str) -> str:
    """A panel and its part; a blank is what it is."""
    if " " in part:
        return blank_text(part)
    return quoted(name) if bare(name) == part else f"{quoted(name)} ({part})"


def _part(part: str) -> str:
    """What stands in a place: a part, or a blank."""
    return blank_text(part) if " " in part else part


def _moved(change: Change) -> str:
    """One panel that was put elsewhere."""
    old, new = change.before, change.after
    assert old is not None and new is not None
    if change.shift is not None:
        return f"{quoted(change.name)} in row '{new.row}' from {place(old)} to {place(new)}"
    was, now = (f"row '{spot.row}' at {place(spot)}" for spot in (old, new))
    return f"{quoted(change.name)} from {was} to {now}"


def together(change: Change) -> str:
    """The panels of a change of several: how many, and which."""
    names = change.names
    if len(names) == 1:
        return quoted(names[0])
    if change.unbroken and len(names) > 3:
        return f"the {len(names)} panels {quoted(names[0])} to {quoted(names[-1])}"
    return listed(names)


def _shifted(change: Change, before: Change | None) -> Told:
    """Panels that moved because of what stands before them."""
    many = len(change.names) > 1
    if change.shift is None:
        stand = "they stand" if many else "it stands"
        if change.before is None or change.before.start is None:
            return Told("placed", f"{together(change)}{_in_row(change)}: it is known now where {stand}")
        return Told("unplaced", f"{together(change)}{_in_row(change)}: nobody knows any more where {stand}")
    far = f"{show_hp(abs(change.shift))} to the {'right' if change.shift > 0 else 'left'}"
    verb = "move" if many else "moves"
    if before is not None and _is_cause(before, change):
        behind = _behind(before, change)
        if len(change.names) <= 3:
            return Told("", f"and {together(change)} {behind} {verb} {far}")
        which = f"{quoted(change.names[0])} to {quoted(change.names[-1])}" if change.unbroken else listed(change.names)
        return Told("", f"and the {len(change.names)} panels {behind}, {which}, {verb} {far}")
    text = f"{together(change)}{_in_row(change)}, {far}"
    if change.because is not None:
        part, wider = change.because
        word = "wider" if wider > 0 else "narrower"
        text += f", because '{part}' in front of {'them' if many else 'it'} is {show_hp(abs(wider))} {word}"
    return Told(MOVED, text)


def _behind(before: Change, change: Change) -> str:
    """Where panels stand that something moved along; of what went to another row, in which of the two."""
    old, new, row = before.before, before.after, change.after
    if old is None or new is None or row is None or old.row == new.row:
        return "behind it"
    return f"behind {'it' if row.row == new.row else 'its old place'}{_in_row(change)}"


def _is_cause(before: Change, change: Change) -> bool:
    """Whether what is told before it is what pushes or pulls panels along."""
    if before.action not in (ADDED, REMOVED, REPLACED, MOVED) or change.because is not None:
        return False
    spots = [spot for spot in (before.before, before.after) if spot is not None]
    return any(change.after is not None and spot.row == change.after.row for spot in spots)


def _pinned(change: Change) -> Told:
    """Panels whose places are written down, or are no longer."""
    many = len(change.names) > 1
    if change.new == "at":
        text = f"{'their places are' if many else 'its place is'} written down ('at' instead of '{change.old}')"
    else:
        text = f"{'their places hang' if many else 'its place hangs'} on the panel above ('{change.new}', not 'at')"
    return Told("pinned" if change.new == "at" else "unpinned", f"{together(change)}{_in_row(change)}: {text}")


def _waiver(change: Change) -> Told:
    """A waiver, which hides findings."""
    on = f"'{bare(change.name)}'" if "/" in change.name else "the whole rack"
    if change.action == ADDED:
        return Told("waived", f"{change.word} on {on}, a new waiver: {_reason(change.new)}", loud=True)
    if change.action == REMOVED:
        return Told("unwaived", f"{change.word} on {on}, the waiver is gone: {_reason(change.old)}")
    return Told("waiver", f"{change.word} on {on}: {both(_reason(change.old), _reason(change.new))}", loud=True)


def _reason(text: str) -> str:
    """Reason and last day of a waiver, as written."""
    return text.partition("because ")[2] or text


KINDS = {"panel": "", "blank": "", "gap": "", "rack": ""}
"""What stands in front of a fact in a rack; other kinds stand there with the name of the thing."""


def _fact(change: Change) -> Told:
    """A fact of a thing in a rack, or the whole thing."""
    what = KINDS.get(change.kind, change.kind)
    name = "" if change.kind in ("rack", "case") else quoted(change.name)
    thing = " ".join(part for part in (what, name) if part)
    spot = change.after or change.before
    if spot is not None and bare(change.name) == spot.row:  # a blank without a name
        thing = f"a {spot.what}{_in_row(change)} at {place(spot)}"
    if not change.word:
        text = change.new or change.old
        return Told(change.action, f"{thing}: {short(text)}" if text else thing)
    if change.kind in ("panel", "blank", "gap") and change.word == "stage":
        return Told("stage", f"{thing}: {both(change.old, change.new)}")
    label, text = fact_text(change)
    return Told(label, f"{thing}: {text}" if thing else text)


def fact_text(change: Change) -> tuple[str, str]:
    """What happened to a fact, and the fact: its word, and what is written on each side."""
    word = change.word
    if change.action == REORDERED:
        lines = "panels" if word == "panels" else f"'{word}' lines"
        return "order", f"{lines} in another order: {both(change.old, change.new)}"
    if not change.old:
        return ADDED, f"{word} {short(change.new)}"
    if not change.new:
        return REMOVED, f"{word} {short(change.old)}"
    return "changed", f"{word} {both(change.old, change.new)}{known_better(change)}"


def known_better(change: Change) -> str:
    """How a value was known and is known now, where that is not the same."""
    old, new = change.levels
    return f"  ({old} before, {new} now)" if old and new else ""
