"""Exact numbers as decimals: in: a fraction, out: a number with at most six places, never rounded to the good side."""

from __future__ import annotations

from fractions import Fraction
from math import ceil, floor, inf, nextafter

PLACES = 10**6


def down(value: Fraction) -> int | float:
    """At most six places, rounded down: for what is free, left or given."""
    return _plain(Fraction(floor(value * PLACES), PLACES), -inf)


def up(value: Fraction) -> int | float:
    """At most six places, rounded up: for what is needed, taken or drawn."""
    return _plain(Fraction(ceil(value * PLACES), PLACES), inf)


def _plain(value: Fraction, bad_side: float) -> int | float:
    if value.denominator == 1:
        return value.numerator
    number = float(value)
    # what is printed counts, not the binary value: above 9e9 six places are more than a float has
    printed = Fraction(repr(number))
    flatters = printed > value if bad_side < 0 else printed < value
    return nextafter(number, bad_side) if flatters else number
