"""Numbers known between two ends: in: roots, sines and cosines, out: intervals of fractions, rounded outward.

A root or a sine is no fraction. It is kept between two that are less than 1e-9 apart, and what it decides is decided by
both ends; between them the answer is open.
"""

from fractions import Fraction
from math import isqrt
from typing import NamedTuple

FINE = 10**12
"""Parts of a unit that roots and series are rounded to, outward."""


class Interval(NamedTuple):
    """A number that is at least ``low`` and at most ``high``."""

    low: Fraction
    high: Fraction

    @property
    def middle(self) -> Fraction:
        """Half-way between its ends."""
        return (self.low + self.high) / 2

    def plus(self, other: "Interval") -> "Interval":
        """The sum of two numbers."""
        return Interval(self.low + other.low, self.high + other.high)

    def minus(self, other: "Interval") -> "Interval":
        """One number without the other."""
        return Interval(self.low - other.high, self.high - other.low)

    def times(self, other: "Interval") -> "Interval":
        """The product of two numbers."""
        ends = [one * two for one in self for two in other]
        return Interval(min(ends), max(ends))


def exactly_at(value: Fraction) -> Interval:
    """A number that is known exactly."""
    return Interval(value, value)


def outward(low: Fraction, high: Fraction) -> Interval:
    """Ends with short fractions around two numbers, so that sums of many stay small."""
    return Interval(
        Fraction(low.numerator * FINE // low.denominator, FINE),
        Fraction(-(-high.numerator * FINE // high.denominator), FINE),
    )


def root(value: Fraction) -> Interval:
    """The square root of a number that is not negative; exact where it is a fraction."""
    whole = isqrt(value.numerator), isqrt(value.denominator)
    if whole[0] ** 2 == value.numerator and whole[1] ** 2 == value.denominator:
        return exactly_at(Fraction(*whole))
    floor = isqrt(value.numerator * FINE**2 // value.denominator)
    return Interval(Fraction(floor, FINE), Fraction(floor + 1, FINE))


def distance(across: Interval, along: Interval) -> Interval:
    """The length of the long side of a right-angled triangle."""
    ends = [sorted((abs(side.low), abs(side.high))) for side in (across, along)]
    for pair, side in zip(ends, (across, along), strict=True):
        if side.low <= 0 <= side.high:
            pair[0] = Fraction(0)
    return Interval(root(ends[0][0] ** 2 + ends[1][0] ** 2).low, root(ends[0][1] ** 2 + ends[1][1] ** 2).high)
