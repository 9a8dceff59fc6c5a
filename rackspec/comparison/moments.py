"""Stages of two racks: in: a rack of each side, out: the times at which the two are held against each other."""

from __future__ import annotations

from typing import NamedTuple

from rackspec.comparison.renames import Calls
from rackspec.model.rack import Rack

ALL_PLANS = "with everything planned"
"""What the last stages are called together where they are not the same stage."""


class Moment(NamedTuple):
    """A time: how it is called (empty: from the start), the number of the stage on each side (None: the side has no
    such stage), and whether it is the last on both."""

    stage: str
    old: int | None
    new: int | None
    last: bool


def moments(old: Rack, new: Rack, calls: Calls) -> list[Moment]:
    """The start, the stages that both have, those of one side only, and the last ones. ``calls`` is how the new side
    calls what the old one has."""
    ours = {calls.of(stage.name): stage.number for stage in old.stages if stage.name}
    theirs = {stage.name: stage.number for stage in new.stages if stage.name}
    last = (len(old.stages) - 1, len(new.stages) - 1)
    found = [Moment("", 0, 0, last == (0, 0))]
    for name, number in theirs.items():
        found.append(Moment(name, ours.get(name), number, (ours.get(name), number) == last))
    found += [Moment(name, number, None, False) for name, number in ours.items() if name not in theirs]
    if not any(moment.last for moment in found):
        found.append(Moment(ALL_PLANS, last[0], last[1], True))
    return found
