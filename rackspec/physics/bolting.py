"""A panel on its rail: in: holes, threads and screws in mm, out: whether a screw enters, meets its thread and holds.

Nominal sizes; tolerances of whole rows are another matter. A screw of the largest diameter that ISO 965-1 allows
leaves c = (hole - screw) / 2 on each side: 3.2 mm and M3 give 0.110 mm. A slot adds half of its length beyond its
width, sideways.
"""

from collections.abc import Sequence
from fractions import Fraction
from math import floor
from typing import NamedTuple

from rackspec.physics.threads import Thread

TURNS_GOOD = Fraction(3)
"""Turns of thread below which a screw is weak (common practice, no source); the house may say otherwise."""


class HoleAt(NamedTuple):
    """A hole of a panel: its centre along the row from the row's 0HP (mm), its width and length (equal if round)."""

    x: Fraction
    width: Fraction
    length: Fraction


def clearance(hole: HoleAt, thread: Thread) -> Fraction:
    """How far a screw may stand off the hole's centre sideways (mm); negative if it does not enter the hole at all."""
    return (hole.width - thread.largest) / 2 + (hole.length - hole.width) / 2


def enters(hole: HoleAt, thread: Thread) -> bool:
    """Whether the largest screw of a thread goes through a hole."""
    return hole.width >= thread.largest


def nearest_thread(x: Fraction, first: Fraction, pitch: Fraction, count: int) -> Fraction:
    """The position of the thread of a strip that is nearest to ``x`` (mm)."""
    number = floor((x - first) / pitch + Fraction(1, 2))  # two holes half-way between threads go the same way
    return first + min(max(number, 0), count - 1) * pitch


def past_end(x: Fraction, first: Fraction, pitch: Fraction, count: int) -> bool:
    """Whether ``x`` (mm) lies before the first or behind the last thread of a strip, by half a pitch or more."""
    return x <= first - pitch / 2 or x >= first + (count - 1) * pitch + pitch / 2


def beside(value: Fraction, pitch: Fraction) -> Fraction:
    """How far ``value`` (mm) is off the nearest multiple of a pitch: from -pitch/2, which counts, up to pitch/2."""
    steps = value / pitch + Fraction(1, 2)
    return value - steps.numerator // steps.denominator * pitch


class Meeting(NamedTuple):
    """How holes meet the threads of a strip (mm, right is positive).

    ``shift`` of the panel that is needed (None: no shift serves all holes); ``worst``: the number of the hole that is
    furthest off, and ``off``: its distance from the nearest thread; the holes ask for shifts from ``least`` to
    ``most``, which are the wrong way round where they contradict each other; ``pair``: the holes that ask for these.
    """

    shift: Fraction | None
    worst: int
    off: Fraction
    least: Fraction
    most: Fraction
    pair: tuple[int, int]


def meet(
    holes: Sequence[HoleAt], thread: Thread, first: Fraction, pitch: Fraction, count: int, slack: Fraction
) -> Meeting:
    """Whether all holes of a panel meet threads at once, if the panel may be shifted by ``slack`` mm to either side.

    Each hole allows the shifts from -off - c to -off + c; the panel needs one shift that all holes allow.
    """
    low, high = -slack, slack
    worst, worst_off = 0, Fraction(0)
    leftmost = rightmost = 0
    for number, hole in enumerate(holes):
        off = hole.x - nearest_thread(hole.x, first, pitch, count)
        room = clearance(hole, thread)
        if -off - room > low:
            low, leftmost = -off - room, number
        if -off + room < high:
            high, rightmost = -off + room, number
        if abs(off) - room > abs(worst_off) - clearance(holes[worst], thread) or not number:
            worst, worst_off = number, off
    shift = None if low > high else min(max(Fraction(0), low), high)
    return Meeting(shift, worst, worst_off, low, high, (leftmost, rightmost))


class Engagement(NamedTuple):
    """How a screw holds: how far it reaches behind the seat, how much thread it finds (mm), and turns of it."""

    reach: Fraction
    engaged: Fraction
    turns: Fraction


def engagement(length: Fraction, panel: Fraction, recess: Fraction, tapped: Fraction, thread: Thread) -> Engagement:
    """A screw of ``length`` through a panel into thread that begins ``recess`` behind the seat and is ``tapped`` long.

    reach = length - panel; engaged = min(tapped, reach - recess), counted in turns of the pitch.
    """
    reach = length - panel
    engaged = min(tapped, max(reach - recess, Fraction(0)))
    return Engagement(reach, engaged, engaged / thread.pitch)


def shortest_that_holds(
    panel: Fraction,
    recess: Fraction,
    tapped: Fraction,
    room: Fraction | None,
    thread: Thread,
    good: Fraction = TURNS_GOOD,
    thinnest: Fraction | None = None,
) -> int | None:
    """The shortest standard screw (mm) with ``good`` turns, or all the thread there is, that does not bottom; or None.

    Thread is counted behind the ``panel``, room behind the ``thinnest`` one that it may be (None: the same).
    """
    wanted = min(good, tapped / thread.pitch)
    for length in thread.lengths():
        held = engagement(Fraction(length), panel, recess, tapped, thread)
        if room is not None and length - (panel if thinnest is None else thinnest) > room:
            return None
        if held.turns >= wanted:
            return length
    return None
