"""Room for a hole in a piece: in: points and distances in grains, out: whether a point is clear of holes and edges.

A search tries thousands of places, so this is done in whole numbers: grains of a millionth of a millimetre. Who rounds
a distance up by a grain is on the safe side of what ``physics/outlines.py`` says exactly.
"""

from fractions import Fraction
from typing import NamedTuple

GRAINS = 10**6
"""Grains in a millimetre."""

Grain = tuple[int, int]
"""A point, back and up, in grains."""


class Room(NamedTuple):
    """What a point has to be clear of: holes, and the corners of an outline (fewer than three: none), and how far from
    either (grains)."""

    holes: tuple[Grain, ...]
    outline: tuple[Grain, ...]
    from_holes: int
    from_edge: int


def in_grains(point: tuple[Fraction, Fraction]) -> Grain:
    """A point in mm as the nearest grain."""
    return round(point[0] * GRAINS), round(point[1] * GRAINS)


def is_clear(point: Grain, room: Room) -> bool:
    """Whether a point is far enough from all holes, inside the outline, and far enough from its edges."""
    x, y = point
    least = room.from_holes**2
    if any((x - a) ** 2 + (y - b) ** 2 < least for a, b in room.holes):
        return False
    if len(room.outline) < 3:
        return True
    inside = False
    one = room.outline[-1]
    for other in room.outline:
        if _is_near(x, y, one, other, room.from_edge):
            return False
        if (one[1] > y) != (other[1] > y):
            side = (other[0] - one[0]) * (y - one[1]) - (x - one[0]) * (other[1] - one[1])
            inside ^= (side > 0) == (other[1] > one[1])
        one = other
    return inside


def _is_near(x: int, y: int, start: Grain, end: Grain, limit: int) -> bool:
    """Whether a point is nearer to a straight edge than a limit: products instead of quotients, so all is exact."""
    across, along = end[0] - start[0], end[1] - start[1]
    to_x, to_y = x - start[0], y - start[1]
    length, part = across * across + along * along, to_x * across + to_y * along
    if part <= 0:
        return to_x * to_x + to_y * to_y < limit * limit
    if part >= length:
        return (x - end[0]) ** 2 + (y - end[1]) ** 2 < limit * limit
    return (to_x * along - to_y * across) ** 2 < limit * limit * length
