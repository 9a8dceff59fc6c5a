"""Ways out of holes in the wrong place: in: how far they are off, out: what can be done, the least work first.

All of it is bench practice, no source. A screw in a slot holds by what its head clamps, so a slot needs a washer, and
is worth it up to two millimetres. A new hole near to an old one lets the drill slip into it: the old one is plugged
first.
"""

from fractions import Fraction
from math import ceil

from rackspec.language.quantity import show
from rackspec.model.rack import Row
from rackspec.model.seats import TOP
from rackspec.physics.pushing import Push
from rackspec.physics.threads import THREADS
from rackspec.rules.choices import Chosen
from rackspec.rules.registry import Look

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


def plugging(look: Look, diameter: Fraction, off: Fraction) -> str:
    """Drilling once more, ``off`` mm away: beside the old hole if that is far enough, else where it was plugged."""
    if off >= look.house.limit("holes good").value * diameter:
        return f"drill new ones ({CARE})"
    return f"plug the holes with glued dowels, let them dry, and drill again ({CARE})"


def apart_ways(look: Look, row: Row, chosen: Chosen, push: Push, line: str) -> str:
    """What to do about rails that cannot be pushed far enough: the holes of one of them (``line``) have to move."""
    rail, sign = ("upper", 1) if line == TOP else ("lower", -1)
    if push.left == push.right:
        by = _moved(push.left * sign)
    else:
        ends = (("left", push.left), ("right", push.right))
        by = " and ".join(f"{_moved(end * sign)} at the {name}" for name, end in ends if end)
    diameter = diameter_of(chosen)
    start = f"set the {rail} rail {by}"
    if not row.standing.drilled:
        return f"{start}, or measure 'apart' again, from thread to thread"
    if diameter is None:
        return f"{start}: file its end holes to slots, or plug them and drill again ({CARE})"
    ways = []
    if push.most <= SLOT_MOST:
        size = slot(diameter, push.most)
        ways.append(f"file its end holes to slots of {size}, with a washer under each head")
    ways.append(plugging(look, diameter, push.most))
    return f"{start}: {', or '.join(ways)}"


def _moved(value: Fraction) -> str:
    return f"{mm(up_to_tenths(abs(value)))} {'higher' if value > 0 else 'lower'}"
