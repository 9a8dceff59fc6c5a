"""Facts that checks need: in: a rack of each side, out: which are not known any more, and which are known now."""

from __future__ import annotations

from rackspec.comparison.record import Unknown
from rackspec.comparison.renames import Renames
from rackspec.pipeline import Inspected

Unknowns = tuple[Unknown, ...]


def unknowns(old: Inspected, new: Inspected, renames: Renames) -> tuple[Unknowns, Unknowns]:
    """What the new side does not know and the old one did (or did not need), and the other way round."""
    before = {Unknown(renames.of(item.thing), item.fact): Unknown(item.thing, item.fact) for item in old.not_known}
    after = {Unknown(item.thing, item.fact): None for item in new.not_known}
    gained = tuple(item for item in after if item not in before)
    answered = tuple(before[item] for item in before if item not in after)
    return gained, answered
