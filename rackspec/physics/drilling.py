"""Places in a side piece: in: where a row sits and leans, out: where points of the row are in the side piece.

The row's frame: y up its panels from their lower edge, z back from the seat, in mm. The side piece's: back and up from
its lower front corner. With the lean from the vertical, top backwards:
back = B + y sin(lean) + z cos(lean), up = U + y cos(lean) - z sin(lean), a rotation and a shift.
"""

from fractions import Fraction
from typing import NamedTuple

from rackspec.physics.angles import cosine, sine
from rackspec.physics.interval import Interval, exactly_at


class Spot(NamedTuple):
    """A point of a side piece (mm)."""

    back: Interval
    up: Interval


class Sitting(NamedTuple):
    """Where a row sits: the point of its seat at the lower edge of its panels (mm), and its lean (degrees)."""

    back: Fraction
    up: Fraction
    lean: Fraction


def spot(sitting: Sitting, y: Fraction, z: Fraction) -> Spot:
    """Where a point of a row is in the side piece."""
    sin, cos = sine(sitting.lean), cosine(sitting.lean)
    high, behind = exactly_at(y), exactly_at(z)
    return Spot(
        exactly_at(sitting.back).plus(high.times(sin)).plus(behind.times(cos)),
        exactly_at(sitting.up).plus(high.times(cos)).minus(behind.times(sin)),
    )


def behind_face(sitting: Sitting, thickness: Fraction) -> Spot:
    """Where the seat is if what was measured is the face of the panels, which are so thick (mm): straight behind it."""
    return spot(sitting, Fraction(0), thickness)
