"""Holes in a board: in: its corners and a hole in mm, out: whether the hole lies in it, whole.

Exact: sides are compared by their squares.
"""

from collections.abc import Sequence
from fractions import Fraction

Corner = tuple[Fraction, Fraction]
"""Back and up."""


def holds(corners: Sequence[Corner], centre: Corner, radius: Fraction) -> bool:
    """Whether a round hole lies within an outline and does not reach its edge.

    The centre is within if a ray from it crosses the outline an odd number of times (Shimrat 1962).
    """
    x, y = centre
    within = False
    for (a, b), (c, d) in zip(corners, [*corners[1:], *corners[:1]], strict=True):
        if (b > y) != (d > y) and x < a + (c - a) * (y - b) / (d - b):
            within = not within
        if square_from(centre, (a, b), (c, d)) <= radius * radius:
            return False
    return within


def square_from(point: Corner, start: Corner, end: Corner) -> Fraction:
    """The square of the distance from a point to a straight line between two points."""
    (x, y), (a, b), (c, d) = point, start, end
    long = (c - a) ** 2 + (d - b) ** 2
    share = min(max(((x - a) * (c - a) + (y - b) * (d - b)) / long, Fraction(0)), Fraction(1)) if long else Fraction(0)
    return (a + share * (c - a) - x) ** 2 + (b + share * (d - b) - y) ** 2
