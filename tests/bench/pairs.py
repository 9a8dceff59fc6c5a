"""Side by side: in: things to time, out: the median of each, and the median ratio of runs that followed each other.

A ratio is taken within each round, where both sides met the same noise, and the middle one of all rounds is told.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from statistics import median
from typing import NamedTuple


class Timed(NamedTuple):
    """Seconds of each thing, one list entry a round."""

    seconds: dict[str, list[float]]

    def median(self, name: str) -> float:
        """Seconds of the middle round."""
        return median(self.seconds[name])

    def ratio(self, name: str, other: str) -> float:
        """How many times as long ``name`` takes as ``other``."""
        return median(a / b for a, b in zip(self.seconds[name], self.seconds[other], strict=True))


def interleaved(things: Mapping[str, Callable[[], float]], rounds: int) -> Timed:
    """Run all things once unmeasured, then in turn for so many rounds. A thing returns its seconds."""
    for run in things.values():
        run()
    seconds: dict[str, list[float]] = {name: [] for name in things}
    for number in range(rounds):
        # every other round backwards, so that none always follows the same one
        for name in list(things) if number % 2 == 0 else reversed(list(things)):
            seconds[name].append(things[name]())
    return Timed(seconds)
