"""Holes beside their marks: in: differences of points in mm, out: the same seen from the row, and what explains them.

The row's frame is turned against the side piece's by its lean (``physics/drilling.py``); turning back is
y = back sin + up cos, z = back cos - up sin. A sine is an interval less than 1e-9 wide; its middle is taken: what it
decides here is which words are used, and tenths of a millimetre are the least that is told.
"""

from collections.abc import Sequence
from fractions import Fraction

from rackspec.physics.angles import cosine, sine
from rackspec.physics.outlines import Point, between_squared

TENTHS = 900
"""Tenths of a degree to either side that a row may lean."""


def seen_from_row(moved: Point, lean: Fraction) -> Point:
    """A difference (back, up) as (y, z): up the panels, and behind the seat."""
    sin, cos = sine(lean).middle, cosine(lean).middle
    return moved[0] * sin + moved[1] * cos, moved[0] * cos - moved[1] * sin


def seen_from_side(y: Fraction, z: Fraction, lean: Fraction) -> Point:
    """A difference (y, z) of a row's frame as (back, up) in the side piece."""
    sin, cos = sine(lean).middle, cosine(lean).middle
    return y * sin + z * cos, y * cos - z * sin


def mean(points: Sequence[Point]) -> Point:
    """The middle of some differences."""
    return (
        sum((point[0] for point in points), Fraction(0)) / len(points),
        sum((point[1] for point in points), Fraction(0)) / len(points),
    )


def misfit_squared(found: Sequence[Point], expected: Sequence[Point]) -> Fraction:
    """The square of the largest distance between points and where an explanation has them (mm²)."""
    return max(between_squared(one, other) for one, other in zip(found, expected, strict=True))


def lean_between(lower: Point, upper: Point) -> Fraction:
    """The lean of the line from a lower to an upper point, to the nearest tenth of a degree from -90 to 90.

    Of two leans the nearer one makes the smaller cross product with the line; halving finds where that changes sign.
    """
    back, up = upper[0] - lower[0], upper[1] - lower[1]
    low, high = -TENTHS, TENTHS
    while high - low > 1:
        middle = (low + high) // 2
        lean = Fraction(middle, 10)
        if back * cosine(lean).middle - up * sine(lean).middle >= 0:
            low = middle
        else:
            high = middle
    return Fraction(min((low, high), key=lambda tenths: _aside(back, up, Fraction(tenths, 10))), 10)


def _aside(back: Fraction, up: Fraction, lean: Fraction) -> Fraction:
    """How far a line of some lean passes beside a point."""
    return abs(back * cosine(lean).middle - up * sine(lean).middle)
