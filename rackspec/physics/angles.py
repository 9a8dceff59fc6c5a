"""Sine and cosine: in: an angle in degrees, out: intervals around them, exact where they are fractions.

Series of Taylor with their remainder, on an angle below 45 degrees; pi by the formula of Machin (1706),
pi = 16 atan(1/5) - 4 atan(1/239).
"""

from fractions import Fraction
from functools import cache

from rackspec.physics.interval import Interval, exactly_at, outward

TERMS = 9
"""Terms of the series: below 45 degrees the next one is less than 1e-17."""


def _atan_of_one_over(number: int) -> Interval:
    """The angle whose tangent is 1/number, in radians: an alternating series lies between two of its sums."""
    total, below = Fraction(0), Fraction(0)
    for term in range(14):
        below = total
        total += Fraction((-1) ** term, (2 * term + 1) * number ** (2 * term + 1))
    return outward(min(total, below), max(total, below))


@cache
def pi() -> Interval:
    """The ratio of a circle's circumference to its diameter."""
    fifth, small = _atan_of_one_over(5), _atan_of_one_over(239)
    return Interval(16 * fifth.low - 4 * small.high, 16 * fifth.high - 4 * small.low)


def _series(angle: Fraction, first: int) -> Interval:
    """Sine (``first`` 1) or cosine (0) of an angle in radians that is at least 0 and below 1."""
    term = angle if first else Fraction(1)
    total, below = Fraction(0), Fraction(0)
    for number in range(TERMS):
        below = total
        total += term
        step = 2 * number + first
        term = -term * angle * angle / ((step + 1) * (step + 2))
    return outward(min(total, below), max(total, below))


@cache
def sine(degrees: Fraction) -> Interval:
    """The sine of an angle in degrees."""
    turned = degrees % 360
    if turned >= 180:
        other = sine(turned - 180)
        return Interval(-other.high, -other.low)
    if turned > 90:
        return sine(180 - turned)
    if turned in (0, 30, 90):
        return exactly_at({0: Fraction(0), 30: Fraction(1, 2), 90: Fraction(1)}[int(turned)])
    if turned > 45:
        return _between(90 - turned, 0)
    return _between(turned, 1)


def cosine(degrees: Fraction) -> Interval:
    """The cosine of an angle in degrees."""
    return sine(degrees + 90)


def _between(degrees: Fraction, first: int) -> Interval:
    """Sine or cosine of an angle up to 45 degrees: over it the sine rises and the cosine falls."""
    low, high = pi().low * degrees / 180, pi().high * degrees / 180
    ends = _series(low, first), _series(high, first)
    return Interval(min(end.low for end in ends), max(end.high for end in ends))
