"""What was seen of a rack in plain values, and back: in: findings and a summary, out: tuples, texts and whole numbers.

A place is kept by the block that it stands in, and how far behind that block's beginning, so that it is still right
when lines above the block come and go.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from rackspec.findings import Edit, Finding, Place, Waiver
from rackspec.memory import Plain
from rackspec.physics.margin import Margin
from rackspec.rules.registry import NotKnown
from rackspec.signatures import Signatures
from rackspec.summary import Accepted, PowerLine, RackSummary, RowLine, WishLine

KINDS: tuple[Any, ...] = (
    Finding,
    Edit,
    Waiver,
    Margin,
    NotKnown,
    RackSummary,
    RowLine,
    WishLine,
    PowerLine,
    Accepted,
)
NUMBERS = {kind: number for number, kind in enumerate(KINDS)}
FRACTION, PLACE, LIST = -1, -2, -3


class Homeless(Exception):
    """A place that stands in no block, or a value of a kind that is not known here: what holds it cannot be kept."""


def to_plain(value: object, signatures: Signatures) -> Plain:
    """A value as plain ones. Raises Homeless."""
    if value is None or isinstance(value, str | int):
        return value
    if isinstance(value, Fraction):
        return FRACTION, value.numerator, value.denominator
    if isinstance(value, Place):
        return place_to_plain(value, signatures)
    if not isinstance(value, tuple):
        raise Homeless
    if type(value) is tuple:
        return LIST, *[to_plain(part, signatures) for part in value]
    if type(value) not in NUMBERS:
        raise Homeless
    return NUMBERS[type(value)], *[to_plain(part, signatures) for part in value]


def place_to_plain(place: Place, signatures: Signatures) -> Plain:
    """A place: the name of its block, from its beginning on, its length, its label."""
    if place.source is signatures.house:
        return PLACE, "", place.start, place.end - place.start, place.label
    piece = signatures.piece(place)
    if piece is None or not piece.name or signatures.piece_of(piece.name) != (place.source, piece):
        raise Homeless
    return PLACE, piece.name, place.start - piece.start, place.end - place.start, place.label


def from_plain(plain: Plain, signatures: Signatures) -> Any:
    """What was made plain."""
    if not isinstance(plain, tuple):
        return plain
    kind = plain[0]
    if kind == FRACTION:
        return Fraction(plain[1], plain[2])
    if kind == LIST:
        return tuple([from_plain(part, signatures) for part in plain[1:]])
    if kind == PLACE:
        _, name, start, length, label = plain
        if not name:
            assert signatures.house is not None
            return Place(signatures.house, start, start + length, label)
        found = signatures.piece_of(name)
        assert found is not None, "a rack is kept with everything that it hangs on"
        source, piece = found
        return Place(source, piece.start + start, piece.start + start + length, label)
    return KINDS[kind](*[from_plain(part, signatures) for part in plain[1:]])
