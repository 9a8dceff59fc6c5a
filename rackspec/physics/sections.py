"""Bodies in the section of a case: in: leaning rectangles in mm, out: how far two are apart, and where one may go.

Two rectangles are apart if a line along a side of either one keeps them apart, and by as much as the best of these
lines does (separating axes). A sine or a root is an interval less than 1e-9 wide, and so is what follows from it. A
search for a place tries thousands of moves, so it is done in whole grains (``physics/clear_room.py``).
"""

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from rackspec.physics.angles import cosine, sine
from rackspec.physics.clear_room import GRAINS
from rackspec.physics.drilling import Sitting
from rackspec.physics.interval import Interval, exactly_at, root
from rackspec.physics.outlines import Point


class Frame(NamedTuple):
    """Where a row is in a side piece: the point of its seat at the lower edge of its panels (mm), sine and cosine of
    its lean."""

    back: Interval
    up: Interval
    sin: Interval
    cos: Interval


class Slab(NamedTuple):
    """A rectangle of a row's section (mm): from ``low`` to ``high`` up the panels, ``front`` to ``behind`` the seat."""

    frame: Frame
    low: Fraction
    high: Fraction
    front: Fraction
    behind: Fraction


class Shove(NamedTuple):
    """A direction (millionths, back and up) and how far a moving body is before and behind another along it (grains;
    negative: not)."""

    back: int
    up: int
    before: int
    behind: int


def frame_at(sitting: Sitting) -> Frame:
    """The frame of a row that sits as planned."""
    return Frame(exactly_at(sitting.back), exactly_at(sitting.up), sine(sitting.lean), cosine(sitting.lean))


def frame_by(lower: Point, upper: Point, height: Fraction, behind: Fraction) -> Frame | None:
    """The frame of a row by its two holes in a side piece, of which the lower one is ``height`` above the lower edge of
    its panels, and both are ``behind`` the seat (mm); None where they are the same point."""
    back, up = upper[0] - lower[0], upper[1] - lower[1]
    length = root(back**2 + up**2)
    if not length.low:
        return None
    each = Interval(1 / length.high, 1 / length.low)
    sin, cos = each.times(exactly_at(back)), each.times(exactly_at(up))
    along, across = exactly_at(height), exactly_at(behind)
    return Frame(
        exactly_at(lower[0]).minus(sin.times(along)).minus(cos.times(across)),
        exactly_at(lower[1]).minus(cos.times(along)).plus(sin.times(across)),
        sin,
        cos,
    )


def corners(slab: Slab) -> list[tuple[Interval, Interval]]:
    """The corners of a rectangle, back and up."""
    frame = slab.frame
    found = []
    for y in (slab.low, slab.high):
        for z in (slab.front, slab.behind):
            high, deep = exactly_at(y), exactly_at(z)
            found.append(
                (
                    frame.back.plus(frame.sin.times(high)).plus(frame.cos.times(deep)),
                    frame.up.plus(frame.cos.times(high)).minus(frame.sin.times(deep)),
                )
            )
    return found


Axis = tuple[Interval, Interval]


def _axes(one: Slab, other: Slab) -> list[Axis]:
    found: list[Axis] = []
    for frame in (one.frame, other.frame):
        found += [(frame.sin, frame.cos), (frame.cos, exactly_at(Fraction(0)).minus(frame.sin))]
    return list(dict.fromkeys(found))


def _reach(points: Sequence[tuple[Interval, Interval]], axis: Axis) -> tuple[Interval, Interval]:
    """From where to where points are along a direction."""
    along = [point[0].times(axis[0]).plus(point[1].times(axis[1])) for point in points]
    return (
        Interval(min(one.low for one in along), min(one.high for one in along)),
        Interval(max(one.low for one in along), max(one.high for one in along)),
    )


def _gaps(one: Slab, other: Slab) -> list[tuple[Axis, Interval, Interval]]:
    """For each direction how far a rectangle is before another, and how far behind it."""
    mine, yours = corners(one), corners(other)
    found = []
    for axis in _axes(one, other):
        (start, end), (first, last) = _reach(mine, axis), _reach(yours, axis)
        found.append((axis, first.minus(end), start.minus(last)))
    return found


def apart(one: Slab, other: Slab) -> Interval:
    """How far two rectangles are apart (mm); negative where they overlap, by as much as one would have to move."""
    gaps = [gap for _, *both in _gaps(one, other) for gap in both]
    return Interval(max(gap.low for gap in gaps), max(gap.high for gap in gaps))


def shoves(moving: Slab, other: Slab) -> tuple[Shove, ...]:
    """The same for a body that is to be moved, rounded to the side that keeps it away."""
    return tuple(
        Shove(
            round(axis[0].middle * GRAINS),
            round(axis[1].middle * GRAINS),
            int(before.low * GRAINS // 1),
            int(behind.low * GRAINS // 1),
        )
        for axis, before, behind in _gaps(moving, other)
    )


def on_its_side(found: Sequence[Shove]) -> tuple[Shove, ...]:
    """Only those ways of being apart that hold already: what is before another body stays before it."""
    far = -(10**6) * GRAINS
    return tuple(
        shove._replace(
            before=shove.before if shove.before >= 0 else far, behind=shove.behind if shove.behind >= 0 else far
        )
        for shove in found
    )


def keeps_clear(found: Sequence[Shove], back: int, up: int) -> bool:
    """Whether a body that is moved (whole mm) is clear of another one: by more than all that was rounded."""
    least = abs(back) + abs(up) + 1
    for shove in found:
        moved = shove.back * back + shove.up * up
        if shove.before - moved >= least or shove.behind + moved >= least:
            return True
    return False
