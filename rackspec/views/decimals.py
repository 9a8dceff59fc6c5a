"""Exact numbers as decimals: in: a fraction, out: a number with at most six places, never rounded to the good side."""

from __future__ import annotations

from fractions import Fraction
from math import ceil, floor

PLACES = 10**6


def down(value: Fraction) -> int | float:
    """At most six places, rounded down: for what is free, left or given."""
    return _plain(Fraction(floor(value * PLACES), PLACES))


def up(value: Fraction) -> int | float:
    """At most six places, rounded up: for what is needed, taken or drawn."""
    return _plain(Fraction(ceil(value * PLACES), PLACES))


def _plain(value: Fraction) -> int | float:
    return value.numerator if value.denominator == 1 else float(value)
