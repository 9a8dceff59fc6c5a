"""Ways out of holes in the wrong place: in: how far they are off, out: what can be done, the least work first.

All of it is bench practice, no source. A screw in a slot holds by what its head clamps, so a slot needs a washer, and
is worth it up to two millimetres. A new hole near to an old one lets the drill slip into it: the old one is plugged
first.
"""

from fractions import Fraction
from math import ceil

from rackspec.language.quantity import show
from rackspec.physics.threads import THREADS
from rackspec.rules.choices import Chosen

SLOT_MOST = Fraction(2)
"""mm that a hole may be filed out of its place."""
CARE = "clamp the piece, punch the mark, drill small first, and wear glasses"
"""What to do whenever a remedy means drilling."""


def mm(value: Fraction) -> str:
    """A length in millimetres."""
    return show(value, "length")


def up_to_tenths(value: Fraction) -> Fraction:
    """A length in tenths of a millimetre, never less than it is."""
    return Fraction(ceil(value * 10), 10)


def diameter_of(chosen: Chosen) -> Fraction | None:
    """The diameter of the holes for the end screws of a row (mm): ISO 273, medium."""
    end_hole = chosen.rail.end_hole if chosen.rail is not None else None
    thread = THREADS.get(end_hole.thread) if end_hole is not None else None
    return thread.clearance[1] if thread is not None else None


def slot(diameter: Fraction, off: Fraction) -> str:
    """The slot that a hole is filed to, if its screw has to stand ``off`` mm away: ``4.5mm x 5.7mm``."""
    return f"{mm(diameter)} x {mm(up_to_tenths(diameter + off))}"
