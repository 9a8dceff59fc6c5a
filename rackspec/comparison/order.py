"""The order in which changes are told: in: changes, out: the same, rack by rack, row by row from the left, then parts.

Waivers come first in their rack: they hide findings.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from rackspec.comparison.record import (
    ADDED,
    MOVED,
    PINNED,
    REMOVED,
    RENAMED,
    REPLACED,
    SHIFTED,
    SWAPPED,
    Change,
)

IN_RACK = ("waiver", "rack", "stage", "row", "panel", "about", "wish", "bus", "case")
ACTIONS = (REMOVED, RENAMED, REPLACED, ADDED, SWAPPED, MOVED, SHIFTED, PINNED)


def in_order(changes: Iterable[Change]) -> list[Change]:
    """Changes in the order in which they are told."""
    return sorted(changes, key=_place)


def _place(change: Change) -> tuple[bool, str, int, str, int, Fraction, int, str, str, str]:
    """Where a change is told."""
    kind = IN_RACK.index(change.kind) if change.kind in IN_RACK else IN_RACK.index("panel")
    spot = change.after or change.before
    stands = spot is not None
    row = spot.row if spot is not None else ""
    if change.kind == "row" and not stands:
        row = change.name.partition("/")[2]
    starts = [one.start for one in (change.before, change.after) if one is not None and one.start is not None]
    at = min(starts, default=Fraction(0)) if change.action == SHIFTED else (starts[-1] if starts else Fraction(0))
    if change.kind in ("panel", "blank", "gap", "row"):
        kind = IN_RACK.index("row")
    action = ACTIONS.index(change.action) if change.action in ACTIONS else len(ACTIONS)
    thing = "" if stands else f"{change.kind} {change.name}"
    return (not change.rack, change.rack, kind, row, int(stands), at, action, thing, change.word, change.fingerprint)
