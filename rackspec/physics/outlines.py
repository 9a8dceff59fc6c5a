"""Holes in a piece: in: its corners and points in mm, out: whether a point is in it, and how far from its edge.

Distances are kept squared, so that they are exact: a root is taken only where one is shown.
"""

from collections.abc import Sequence
from fractions import Fraction

Point = tuple[Fraction, Fraction]


def between_squared(one: Point, other: Point) -> Fraction:
    """The square of the distance of two points (mm²)."""
    return (one[0] - other[0]) ** 2 + (one[1] - other[1]) ** 2


def to_line_squared(point: Point, start: Point, end: Point) -> Fraction:
    """The square of the distance of a point from a straight piece of edge (mm²)."""
    run = (end[0] - start[0], end[1] - start[1])
    length = run[0] ** 2 + run[1] ** 2
    if not length:
        return between_squared(point, start)
    along = ((point[0] - start[0]) * run[0] + (point[1] - start[1]) * run[1]) / length
    along = min(max(along, Fraction(0)), Fraction(1))
    return between_squared(point, (start[0] + along * run[0], start[1] + along * run[1]))


def to_edge_squared(point: Point, corners: Sequence[Point]) -> Fraction:
    """The square of the distance of a point from the nearest edge of an outline (mm²)."""
    return min(
        to_line_squared(point, corner, corners[(number + 1) % len(corners)]) for number, corner in enumerate(corners)
    )


def is_inside(point: Point, corners: Sequence[Point]) -> bool:
    """Whether a point is within an outline: a line from it backwards crosses the edge an odd number of times.

    On the edge itself either may be said; its distance from the edge is 0 then.
    """
    back, up = point
    crossings = 0
    for number, (back_one, up_one) in enumerate(corners):
        back_other, up_other = corners[(number + 1) % len(corners)]
        if (up_one > up) != (up_other > up):
            meets = back_one + (up - up_one) * (back_other - back_one) / (up_other - up_one)
            crossings += meets > back
    return crossings % 2 == 1


def area(corners: Sequence[Point]) -> Fraction:
    """The area within an outline (mm²), by the surveyor's formula."""
    twice = Fraction(0)
    for number, (back, up) in enumerate(corners):
        next_back, next_up = corners[(number + 1) % len(corners)]
        twice += back * next_up - next_back * up
    return abs(twice) / 2
