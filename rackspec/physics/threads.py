"""Metric coarse threads: in: a designation, out: pitch, limits of the screw's diameter, clearance holes and lengths.

Pitch: ISO 261. Largest and smallest major diameter of a screw, tolerance 6g: ISO 965-1. Clearance holes (fine,
medium, coarse): ISO 273. Lengths: the series of ISO 7045. Thin square nuts: DIN 562 (M3 and up; M2 and M2.5 from
memory, by analogy). ``tests/outside/test_threads.py`` holds them against the data of a public package.
"""

from fractions import Fraction
from typing import NamedTuple

SERIES = (3, 4, 5, 6, 8, 10, 12, 16, 20, 25, 30, 35, 40, 45, 50, 60)
"""Standard lengths in mm (ISO 7045), without those in brackets that are to be avoided."""


class Thread(NamedTuple):
    """A thread, all in mm: pitch, the screw's largest and smallest major diameter, clearance holes, shortest and
    longest standard screw, width across the flats and height of the thin square nut."""

    name: str
    pitch: Fraction
    largest: Fraction
    smallest: Fraction
    clearance: tuple[Fraction, Fraction, Fraction]
    shortest: int
    longest: int
    nut: tuple[Fraction, Fraction]

    def lengths(self) -> tuple[int, ...]:
        """The standard lengths of its screws, in mm."""
        return tuple(length for length in SERIES if self.shortest <= length <= self.longest)


def _thread(name: str, numbers: str, shortest: int, longest: int) -> Thread:
    """A thread out of a row of numbers: pitch, largest, smallest, three clearance holes, nut."""
    pitch, largest, smallest, fine, medium, coarse, across, high = (Fraction(text) for text in numbers.split())
    return Thread(name, pitch, largest, smallest, (fine, medium, coarse), shortest, longest, (across, high))


THREADS = {
    thread.name: thread
    for thread in (
        _thread("M2", "0.4 1.981 1.886 2.2 2.4 2.6 4 1.2", 3, 20),
        _thread("M2.5", "0.45 2.480 2.380 2.7 2.9 3.1 5 1.6", 3, 25),
        _thread("M3", "0.5 2.980 2.874 3.2 3.4 3.6 5.5 1.8", 4, 30),
        _thread("M4", "0.7 3.978 3.838 4.3 4.5 4.8 7 2.2", 5, 40),
        _thread("M5", "0.8 4.976 4.826 5.3 5.5 5.8 8 2.7", 6, 50),
    )
}
"""Threads that occur in racks, by designation."""


class Screw(NamedTuple):
    """A screw: its thread's designation and its length under the head in mm."""

    thread: str
    length: Fraction


def read_screw(designation: str) -> Screw | None:
    """``M3x6`` as a screw; None for a thread alone."""
    thread, _, length = designation.partition("x")
    try:
        return Screw(thread, Fraction(length))
    except ValueError:
        return None
