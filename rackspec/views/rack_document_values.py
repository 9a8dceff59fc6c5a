"""Values of the rack document: in: what is known, out: records with decimals, the exact fraction, evidence and place.

Unknown is None (``null``), never zero. A value of the model has no good side that a decimal could be kept away from, so
the exact fraction stands beside it. Of a band the low end is rounded down and the high end up: it never gets narrower.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from rackspec.findings import Place
from rackspec.language.bound import Evidence
from rackspec.language.quantity import MOST_DIGITS, Money, Quantity, plain_number
from rackspec.language.units import BASE_SYMBOL, HP
from rackspec.model.known import Known, KnownMoney
from rackspec.model.parts import Draw
from rackspec.views.decimals import PLACES, down, up
from rackspec.views.positions import LineTable

UNITS = {**BASE_SYMBOL, "count": ""}
"""The unit that numbers of a dimension are in."""
MONEY_PLACES = MOST_DIGITS
"""Sums of money are written as decimals of at most so many digits, so none is cut."""

Record = dict[str, Any]


def nearest(value: Fraction) -> int | float:
    """At most six places, rounded to the nearest: for what has no good side."""
    rounded = Fraction(round(value * PLACES), PLACES)
    return rounded.numerator if rounded.denominator == 1 else float(rounded)


def plain_record(value: Fraction) -> Record:
    """A number that nothing more is known of, such as the voltage that a current is drawn on."""
    return {"value": nearest(value), "exact": str(value)}


def place_record(place: Place, table: LineTable) -> Record:
    """Where something is written."""
    line, column = table.position(place.source, place.start)
    return {"file": place.source.name, "line": line, "column": column}


def evidence_record(evidence: Evidence) -> Record:
    """How something is known, what says so, since when."""
    dated = evidence.dated.isoformat() if evidence.dated is not None else None
    return {"level": evidence.level, "text": evidence.text or None, "date": dated}


def quantity_record(quantity: Quantity) -> Record:
    """A quantity with both its ends."""
    return {
        "dimension": quantity.dimension,
        "nominal": nearest(quantity.value),
        "low": down(quantity.low),
        "high": up(quantity.high),
        "exact": {"nominal": str(quantity.value), "low": str(quantity.low), "high": str(quantity.high)},
        "text": quantity.text,
    }


def known_record(known: Known | None, table: LineTable) -> Record | None:
    """A value that somebody wrote."""
    if known is None:
        return None
    return {
        **quantity_record(known.quantity),
        "evidence": evidence_record(known.evidence),
        "place": place_record(known.place, table),
    }


def sum_record(money: Money) -> Record:
    """A sum of money: decimals as text, so that no reader makes a float of it."""
    return {"amount": plain_number(money.value, MONEY_PLACES), "currency": money.currency, "text": money.text}


def money_record(known: KnownMoney | None, table: LineTable) -> Record | None:
    """A sum of money that somebody wrote, with evidence."""
    if known is None:
        return None
    return {
        **sum_record(known.money),
        "evidence": evidence_record(known.evidence),
        "place": place_record(known.place, table),
    }


def draw_records(draws: tuple[Draw, ...] | None, table: LineTable) -> list[Record] | None:
    """Currents by voltage, from the highest down; empty where nothing is drawn, None where nobody wrote any."""
    if draws is None:
        return None
    return [{"voltage": plain_record(draw.voltage), "current": known_record(draw.current, table)} for draw in draws]


def start_record(start: Fraction | None, place: Place, table: LineTable) -> Record | None:
    """Where in its row a thing begins, from the row's 0HP."""
    if start is None:
        return None
    return {
        "mm": nearest(start),
        "hp": nearest(start / HP),
        "exact": str(start),
        "place": place_record(place, table),
    }
