"""A panel on its rail: in: holes, threads and screws in mm, out: whether a screw enters, meets its thread and holds.

Nominal sizes; tolerances of whole rows are another matter. A screw of the largest diameter that ISO 965-1 allows
leaves c = (hole - screw) / 2 on each side: 3.2 mm and M3 give 0.110 mm. A slot adds half of its length beyond its
width, sideways.
"""

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from rackspec.physics.threads import Thread

TURNS_HOLD, TURNS_GOOD = 1, 3
"""Turns of thread: below the first a screw holds nothing, below the second it is weak (common practice, no source)."""


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
    number = round((x - first) / pitch)
    return first + min(max(number, 0), count - 1) * pitch


class Meeting(NamedTuple):
    """How holes meet the threads of a strip: the shift of the panel that is needed (mm, right is positive; None:
    there is none), and the hole that is furthest off with its distance to the nearest thread."""

    shift: Fraction | None
    worst: HoleAt
    off: Fraction


def meet(
    holes: Sequence[HoleAt], thread: Thread, first: Fraction, pitch: Fraction, count: int, slack: Fraction
) -> Meeting:
    """Whether all holes of a panel meet threads at once, if the panel may be shifted by ``slack`` mm to either side.

    Each hole allows the shifts from -off - c to -off + c; the panel needs one shift that all holes allow.
    """
    low, high = -slack, slack
    worst, worst_off = holes[0], Fraction(0)
    for hole in holes:
        off = hole.x - nearest_thread(hole.x, first, pitch, count)
        room = clearance(hole, thread)
        low, high = max(low, -off - room), min(high, -off + room)
        if abs(off) - room > abs(worst_off) - clearance(worst, thread) or hole is holes[0]:
            worst, worst_off = hole, off
    if low > high:
        return Meeting(None, worst, worst_off)
    return Meeting(min(max(Fraction(0), low), high), worst, worst_off)


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
    panel: Fraction, recess: Fraction, tapped: Fraction, room: Fraction | None, thread: Thread
) -> int | None:
    """The shortest standard screw (mm) with good turns, or all the thread there is, that does not bottom; or None."""
    wanted = min(Fraction(TURNS_GOOD), tapped / thread.pitch)
    for length in thread.lengths():
        held = engagement(Fraction(length), panel, recess, tapped, thread)
        if room is not None and held.reach > room:
            return None
        if held.turns >= wanted:
            return length
    return None
