"""A screw through a side piece into a rail's end: in: lengths in mm, out: how it holds, and which length serves.

A screw goes through a washer, the side piece and what lies between it and the rail (shims; counted with the side here)
into the thread of the end. into = length - washer - side;
engaged = min(into, deep); it bottoms by into - deep before its head clamps. How much thread is enough is a shop rule:
one diameter in metal, one and a half to two in aluminium; three turns are the least that is not warned of.
Washers: the greatest thickness by ISO 7089. Lengths of screws are nominal.
"""

from fractions import Fraction
from typing import NamedTuple

from rackspec.physics.threads import Thread

ENOUGH = Fraction(3, 2)
"""Diameters of thread that an end screw is recommended to find (aluminium, shop rule; sources disagree)."""
WASHER = {
    "M2": Fraction(7, 20),
    "M2.5": Fraction(11, 20),
    "M3": Fraction(11, 20),
    "M4": Fraction(9, 10),
    "M5": Fraction(11, 10),
}
"""How thick a plain washer is at most (ISO 7089, mm), by the thread of its screw."""
A_ROW = 4
"""End screws of a row: two rails with two ends each."""


class Ends(NamedTuple):
    """Two ends of what a length may be, in mm."""

    low: Fraction
    high: Fraction


class Through(NamedTuple):
    """What an end screw goes through and into (mm): side piece with shims, washer, tapped depth at its least (None: not
    known)."""

    side: Ends
    washer: Ends
    deep: Fraction | None


class EndHold(NamedTuple):
    """How an end screw sits (mm): how far its tip goes into the rail (negative: it does not get there), how much of
    that is in thread, and how far beyond the thread's end it would have to go (negative: room is left; None: the depth
    is not known)."""

    into: Fraction
    engaged: Fraction
    beyond: Fraction | None

    def turns(self, thread: Thread) -> Fraction:
        """Turns of thread that hold it."""
        return self.engaged / thread.pitch

    def diameters(self, thread: Thread) -> Fraction:
        """The same in diameters of the screw."""
        return self.engaged / diameter(thread)


def diameter(thread: Thread) -> Fraction:
    """The nominal diameter of a thread (mm)."""
    return Fraction(thread.name.removeprefix("M"))


def end_hold(length: Fraction, side: Fraction, washer: Fraction, deep: Fraction | None) -> EndHold:
    """A screw of ``length`` through a washer and a side piece with its shims into an end tapped ``deep`` (all mm)."""
    into = length - washer - side
    engaged = max(into, Fraction(0))
    if deep is None:
        return EndHold(into, engaged, None)
    return EndHold(into, min(engaged, deep), into - deep)


def serving_end_screws(thread: Thread, through: Through, good: Fraction) -> tuple[int, ...]:
    """The standard lengths (mm) that find ENOUGH thread and never bottom, at the ends that hurt, the shortest first.

    Where the end is not tapped deep enough for that: the longest that does not bottom and finds ``good`` turns; empty
    where there is none.
    """
    wanted = max(good * thread.pitch, ENOUGH * diameter(thread))
    well: list[int] = []
    best: int | None = None
    for length in thread.lengths():
        if through.deep is not None and length - through.washer.low - through.side.low > through.deep:
            break
        held = end_hold(Fraction(length), through.side.high, through.washer.high, through.deep)
        if held.engaged >= wanted:
            well.append(length)
        elif held.engaged >= good * thread.pitch:
            best = length
    if well:
        return tuple(well)
    return (best,) if best is not None else ()


def serving_end_screw(thread: Thread, through: Through, good: Fraction) -> int | None:
    """The first of these lengths; None where there is none."""
    return next(iter(serving_end_screws(thread, through, good)), None)
