"""Values that cannot be: in: a value and where it stands in its statement, out: why no such thing exists.

A measure is never below zero, except a voltage, a position and an offset; some things cannot be nothing either.
"""

from __future__ import annotations

from rackspec.language.quantity import Money, Quantity
from rackspec.language.values import Slip, Value

SIGNED = frozenset({"inward", "at"})
"""Keys of values that may be below zero: an offset, and a position (which the rules look at)."""

MORE_THAN_NOTHING = frozenset(
    """
    width length face thickness height every across thread hole slot x blank gap size adapter current efficiency
    """.split()
)
"""Keys of values that are more than zero. (What is drawn or given may be nothing.)"""

OF_HUNDRED = frozenset({"efficiency", "current"})
"""Keys of shares that are parts of a whole."""

NOT_SOLD = {"pack": "a pack of 0 pieces holds nothing", "from": "a price from 0 on is one for nothing"}
"""What is wrong with an offer whose number is nothing, by its key. (A stock of nothing may well be.)"""


def impossible(word: str, key: str, value: Value) -> Slip | None:
    """What is wrong with the size of a value, or None."""
    if value.kind == "number" and key == "holes" and value.data == 0:
        return Slip(
            "value-impossible", "a strip without holes is none", value.start, value.end, "write how many it has"
        )
    if value.kind == "number" and word == "sells" and value.data == 0 and key in NOT_SOLD:
        return Slip("value-impossible", NOT_SOLD[key], value.start, value.end, "write how many pieces, or leave it out")
    if value.kind == "number" and key == "holds" and value.data == 0:
        message = f"0 of a thing is nothing that '{word}' could say"
        return Slip("value-impossible", message, value.start, value.end, "write how many, or delete the line")
    if isinstance(value.data, Money) and word == "rate" and value.data.value == 0:
        message = f"'rate' of {value.text} is nothing at all"
        return Slip("value-impossible", message, value.start, value.end, "write what one of the money is worth")
    quantity = value.data
    if not isinstance(quantity, Quantity) or (quantity.dimension == "voltage" and key != "adapter"):
        return None
    span = (value.start, value.end)
    if quantity.value < 0 and key not in SIGNED:
        bare = value.text.removeprefix("-")
        if bare == value.text:
            message = f"{value.text} comes to less than nothing, which '{word}' cannot be"
            return Slip("value-impossible", message, *span, "work it out again: more is taken away than is there")
        message = f"{value.text} is below zero, which '{word}' cannot be"
        if word in ("draws", "gives"):
            message = f"{value.text} is below zero; the sign belongs to the voltage, not to the current"
        return Slip("value-impossible", message, *span, f"write {bare}", bare)
    if quantity.low < 0 and key not in SIGNED:
        message = f"{value.text} goes below zero, which '{word}' cannot be"
        return Slip("value-impossible", message, *span, "write a smaller tolerance, or both ends as 'a..b'")
    if quantity.value == 0 and key in ("longer", "heavier"):
        message = f"every parcel is {key} than {value.text}"
        return Slip("value-impossible", message, *span, "write what every parcel costs behind 'ships'")
    if quantity.value == 0 and key in MORE_THAN_NOTHING and word not in ("draws", "gives", "spare", "assume"):
        message = f"'{word}' of {value.text} is nothing at all"
        return Slip("value-impossible", message, *span, "measure it, or delete the line until it is known")
    if quantity.dimension == "share" and key in OF_HUNDRED and quantity.high > 100:
        message = f"{value.text} is more than the whole"
        return Slip("value-impossible", message, *span, "write a share of at most 100%")
    return None
