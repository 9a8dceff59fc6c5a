"""Facts of rails, inserts, sheets, sellers, cases: in: a thing and a fact that is asked for, out: whether it says it.

A question may be new because something else is there now, such as a case: what nobody ever wrote is not lost by that.
"""

from __future__ import annotations

from collections.abc import Callable

from rackspec.language.bound import GUESSED
from rackspec.model.case import LEFT, RIGHT
from rackspec.model.parts import Insert, Rail
from rackspec.model.rack import Rack
from rackspec.model.sellers import Seller
from rackspec.model.sheets import Sheet

SHEET = "the sheet of its side pieces"

OF_RAILS: dict[str, Callable[[Rail], object]] = {
    "which inserts it takes": lambda rail: rail.takes or None,
    "recess": lambda rail: rail.recess,
    "room for a screw": lambda rail: rail.room,
    "the thread in its ends": lambda rail: rail.end_hole,
    "how deep its ends are tapped": lambda rail: rail.end_hole.deep if rail.end_hole is not None else None,
}
OF_INSERTS: dict[str, Callable[[Insert], object]] = {
    "whether it is a strip or a nut": lambda insert: insert.form or None,
    "where it goes into the rail": lambda insert: insert.enters or None,
    "how far it travels across the rail": lambda insert: insert.slack,
}
OF_SHEETS: dict[str, Callable[[Sheet], object]] = {"thickness": lambda sheet: sheet.thickness}
OF_SELLERS: dict[str, Callable[[Seller], object]] = {
    "how old its prices are": lambda seller: _dates(seller),
}
OF_RACKS: dict[str, Callable[[Rack], object]] = {
    f"the {LEFT} side piece": lambda rack: rack.case.side(LEFT) if rack.case is not None else None,
    f"the {RIGHT} side piece": lambda rack: rack.case.side(RIGHT) if rack.case is not None else None,
    SHEET: lambda rack: _sheets(rack),
    "inside width of its case": lambda rack: rack.case.inside if rack.case is not None else None,
}
"""What stands for each question of a thing; None where nobody wrote it."""


def is_answered(thing: Rail | Insert | Sheet | Seller | Rack, fact: str) -> bool:
    """Whether a thing says a fact; of one that is not in the lists above it is taken to."""
    if isinstance(thing, Rail):
        return fact not in OF_RAILS or OF_RAILS[fact](thing) is not None
    if isinstance(thing, Insert):
        return fact not in OF_INSERTS or OF_INSERTS[fact](thing) is not None
    if isinstance(thing, Sheet):
        return fact not in OF_SHEETS or OF_SHEETS[fact](thing) is not None
    if isinstance(thing, Seller):
        return fact not in OF_SELLERS or OF_SELLERS[fact](thing) is not None
    return fact not in OF_RACKS or OF_RACKS[fact](thing) is not None


def _sheets(rack: Rack) -> object:
    """The sheets of all side pieces, if each has one."""
    sides = rack.case.sides if rack.case is not None else ()
    sheets = [side.sheet for side in sides if side.sheet is not None]
    return sheets if sides and len(sheets) == len(sides) else None


def _dates(seller: Seller) -> object:
    """The days of all prices of a seller, if each that somebody stated has one."""
    days = [offer.price.evidence.dated for offer in seller.offers if offer.price.evidence.level != GUESSED]
    return days if None not in days else None
