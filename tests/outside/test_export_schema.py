"""Exports of specs go in; two validators must pass them, and other people's arithmetic must find the same numbers.

Sources: JSON Schema draft 2020-12 by jsonschema 4.26.0 and by jsonschema-rs 0.61.0 (both MIT, in two languages); units
by pint 0.25.3 (BSD-3) in its default registry, which is not the registry of the language; numbers by ``fractions`` and
``decimal`` of Python. Pint's own ``HP`` is a horsepower and its ``U`` counts enzymes: here HP is 5.08 mm and U is
44.45 mm (IEC 60297-3-101 and IEC 60297-3-100), put in before pint is asked.
"""

from __future__ import annotations

import copy
import json
import re
from collections.abc import Callable, Iterator
from decimal import Decimal
from fractions import Fraction
from functools import cache
from typing import Any

import jsonschema_rs
import pint
import pytest
from jsonschema import Draft202012Validator

from rackspec.views.schema import schema_text
from tests.cli.running import rackspec
from tests.conftest import ROOT
from tests.outside.readers import ajv

EXAMPLES = sorted(
    path.relative_to(ROOT).as_posix()
    for path in (ROOT / "tests" / "examples").iterdir()
    if path.suffix == ".rackspec" or path.is_dir()
)
AWKWARD = """\
module thirds {
    width     2 1/3in
    depth     1/7in..2/7in measured
    plug      3 1/3HP plus 1/7mm minus 1/11in
    height    2 8/9U
    thickness 1/16in +1/70in/-1/90in
    draws     1/3A +-1/7mA on +12V
    draws     2000/3uA on -12V
    mass      2 1/3oz
    price     0.10 EUR
    hole      1/8in at (1/9in, 1/11ft)
}
supply sevenths {
    width     4/7cm
    gives     1/7A on 10/3V
    input     adapter 46/3V 2/3A
    efficiency 250/3%
    mass      1/7kg
}
rack uneven {
    row only {
        length    20 1/3HP
        at 1/7mm  thirds
        at 10/3HP sevenths
    }
}
"""
"""What no decimal can say, in all units that do not end well."""
PATHS = ["-", "specs", *EXAMPLES]
BASE = {
    "length": "millimeter",
    "current": "milliampere",
    "voltage": "volt",
    "mass": "gram",
    "share": "percent",
    "angle": "degree",
}
"""The base unit of each dimension, by the name that pint has for it."""
OF_THE_TRADE = {"HP": (Fraction("5.08"), "millimeter"), "U": (Fraction("44.45"), "millimeter")}
NUMBER = r"[+-]?[0-9]+(?:(?: +[0-9]+)?/[0-9]+|\.[0-9]+)?"
FORMS = r"\.\. \+- HP$ mm$ mA$ \dA$ V$ g$ %$ deg$ plus minus \+.*/- U$ oz$ ft$".split()
"""What values look like that are worth holding against pint."""
MILLIONTH = Fraction(1, 10**6)


@cache
def exported(path: str) -> Any:
    """The document of a path, ``-`` for the awkward spec. A spec may have errors: it is exported all the same."""
    run = rackspec(ROOT, "export", path, stdin=AWKWARD.encode())
    assert run.code in (0, 1)
    return json.loads(run.out)


@cache
def registry() -> Any:
    """Pint's default registry, with exact numbers."""
    return pint.UnitRegistry(non_int_type=Fraction)


def number(text: str) -> Fraction:
    """``4 13/16`` by the fractions module alone."""
    bare = text.lstrip("+-")
    return sum((Fraction(part) for part in bare.split()), Fraction(0)) * (-1 if text[0] == "-" else 1)


@cache
def measure(text: str, dimension: str) -> Fraction:
    """A single measure in the base unit of its dimension, as pint has it."""
    match = re.fullmatch(rf"({NUMBER}) *(\S*)", text.strip())
    assert match is not None, text
    value, unit = number(match[1]), match[2]
    if dimension == "count":
        assert unit == ""
        return value
    factor, name = OF_THE_TRADE.get(unit, (Fraction(1), unit))
    found = registry().Quantity(value * factor, "percent" if name == "%" else name).to(BASE[dimension]).magnitude
    assert isinstance(found, Fraction | int)
    return Fraction(found)


def total(text: str, dimension: str) -> Fraction:
    """Measures added up with ``plus`` and ``minus``."""
    first, *rest = re.split(r"\b(plus|minus)\b", text)
    value = measure(first, dimension)
    for sign, term in zip(rest[::2], rest[1::2], strict=True):
        value += measure(term, dimension) * (1 if sign == "plus" else -1)
    return value


def ends(text: str, dimension: str) -> tuple[Fraction, Fraction, Fraction]:
    """Nominal value and both ends of a text as the language has it: a range, a tolerance, or neither."""
    if ".." in text:
        low, high = (total(part, dimension) for part in text.split(".."))
        return (low + high) / 2, low, high
    limits = re.fullmatch(r"(.*) \+(\S.*)/-(\S.*)", text)
    if limits is not None:
        value, more, less = (total(part, dimension) for part in limits.groups())
    elif "+-" in text:
        value, more = (total(part, dimension) for part in text.split("+-"))
        less = more
    else:
        value, more, less = total(text, dimension), Fraction(0), Fraction(0)
    return value, value - less, value + more


def records(document: Any, key: str) -> Iterator[dict[str, Any]]:
    """All records of a document, at any depth, that have a key."""
    if isinstance(document, dict):
        if key in document:
            yield document
        for value in document.values():
            yield from records(value, key)
    elif isinstance(document, list):
        for value in document:
            yield from records(value, key)


@pytest.mark.parametrize("path", PATHS)
def test_two_validators_pass_it(path: str) -> None:
    """The document is as its schema says, by both."""
    schema = json.loads(schema_text("rack"))
    jsonschema_rs.validator_for(schema).validate(exported(path))
    assert [error.message for error in Draft202012Validator(schema).iter_errors(exported(path))] == []


def test_a_third_validator_passes_all() -> None:
    """So does ajv (npm, MIT), in its strict mode, which takes no keyword that it does not know."""
    documents = {path: exported(path) for path in PATHS}
    assert ajv(json.loads(schema_text("rack")), documents) == {path: [] for path in PATHS}


@pytest.mark.parametrize("path", PATHS)
def test_texts_are_worth_what_is_said(path: str) -> None:
    """Each text as pint and fractions read it is the exact value, and the decimals are near it on the right side."""
    seen = 0
    for value in records(exported(path), "dimension"):
        exact = {end: Fraction(text) for end, text in value["exact"].items()}
        nominal, low, high = ends(value["text"], value["dimension"])
        assert (exact["low"], exact["high"]) == (low, high), value
        if "evidence" in value:  # a band of common practice need not have its middle as what is usual
            assert exact["nominal"] == nominal, value
        assert low <= exact["nominal"] <= high
        printed = {end: Fraction(repr(value[end])) for end in exact}
        assert abs(printed["nominal"] - exact["nominal"]) * 2 <= MILLIONTH
        assert 0 <= exact["low"] - printed["low"] < MILLIONTH
        assert 0 <= printed["high"] - exact["high"] < MILLIONTH
        assert all((number * 10**6).denominator == 1 for number in printed.values())
        seen += 1
    assert seen > 10


@pytest.mark.parametrize("path", PATHS)
def test_positions_and_money(path: str) -> None:
    """A position in mm is that in HP of 5.08 mm; a sum of money is the decimal that is written."""
    for start in records(exported(path), "hp"):
        exact = Fraction(start["exact"])
        assert abs(Fraction(repr(start["mm"])) - exact) * 2 <= MILLIONTH
        assert abs(Fraction(repr(start["hp"])) - exact / Fraction("5.08")) * 2 <= MILLIONTH
    for money in records(exported(path), "amount"):
        amount, currency = money["text"].split()
        assert (Decimal(money["amount"]), money["currency"]) == (Decimal(amount), currency)


def test_the_texts_reach_every_form() -> None:
    """What is held against pint above has every form of value, and values that no decimal can say."""
    texts = {value["text"] for path in PATHS for value in records(exported(path), "dimension")}
    for form in FORMS:
        assert [text for text in texts if re.search(form, text)], form
    exact = [Fraction(text) for value in records(exported("-"), "dimension") for text in value["exact"].values()]
    assert sum((number * 10**6).denominator > 1 for number in exact) > 30


SPOILT: dict[str, Callable[[dict[str, Any]], Any]] = {
    "another version": lambda d: d.update(format_version="2.0"),
    "another unit": lambda d: d["units"].update(length="in"),
    "a key that there is not": lambda d: d["racks"][0].update(colour="red"),
    "a key is missing": lambda d: d["racks"][0].pop("wishes"),
    "zero for unknown": lambda d: d["racks"][0]["rows"][0]["panels"][0].update(width=0),
    "a value without evidence": lambda d: d["racks"][0]["rows"][0]["panels"][0]["width"].pop("evidence"),
    "a decimal for a fraction": lambda d: d["racks"][0]["rows"][0]["panels"][0]["width"]["exact"].update(low="1.5"),
    "no such thing": lambda d: d["racks"][0]["rows"][0]["panels"][0].update(what="lid"),
    "a line before the first": lambda d: d["racks"][0]["place"].update(line=0),
    "a number for a sum": lambda d: d["racks"][0]["budget"].update(amount=700),
    "a drill point without its reasons": lambda d: d["racks"][0]["drill_points"][0].pop("because"),
    "a hole in the lid": lambda d: d["racks"][0]["drill_points"][0].update(side="lid"),
    "a hole that is nothing wide": lambda d: d["racks"][0]["drill_points"][0].update(diameter_mm=0),
    "a rack without its start": lambda d: d["racks"][0].update(stages=[]),
}
"""Documents that no validator may pass."""


@pytest.mark.parametrize("name", SPOILT)
def test_spoilt_documents_pass_neither(name: str) -> None:
    """A schema that lets all through proves nothing."""
    schema = json.loads(schema_text("rack"))
    document = copy.deepcopy(exported("specs"))
    SPOILT[name](document)
    assert not jsonschema_rs.validator_for(schema).is_valid(document)
    assert not Draft202012Validator(schema).is_valid(document)
