"""Codes of money go in; the table of the language must be the official list of ISO 4217.

Source: list one of ISO 4217, published 2026-01-01, as the PyPI package iso4217 1.16.20260101 (public domain) has it;
run here.
"""

from __future__ import annotations

from fractions import Fraction

import iso4217
import pytest

from rackspec.language.currencies import CODES, MINOR_UNITS, PUBLISHED, is_currency, minor_units, sum_text

OFFICIAL = {currency.code: currency.exponent for currency in iso4217.Currency}


def test_the_list_is_of_the_same_day() -> None:
    """iso4217 1.16.20260101; a newer package holds a newer list: then bring the table and its date up to it."""
    assert str(iso4217.__published__) == PUBLISHED


def test_codes_are_those_of_the_list() -> None:
    """All 178 codes of the list, and no other."""
    assert CODES - set(OFFICIAL) == set()
    assert set(OFFICIAL) - CODES == set()
    assert len(CODES) == 178


@pytest.mark.parametrize("code", sorted(OFFICIAL))
def test_decimals_are_those_of_the_list(code: str) -> None:
    """The exponent ("minor unit") of each code."""
    assert minor_units(code) == OFFICIAL[code]


def test_exceptions_are_exceptions() -> None:
    """The table of decimals holds no code that has the usual two, and none that is not in the list."""
    assert 2 not in MINOR_UNITS.values()
    assert set(MINOR_UNITS) <= CODES


@pytest.mark.parametrize(
    ("code", "decimals"),
    [("JPY", 0), ("KWD", 3), ("BHD", 3), ("EUR", 2), ("USD", 2), ("GBP", 2), ("CHF", 2), ("CLF", 4)],
)
def test_well_known_decimals(code: str, decimals: int) -> None:
    """Said twice by hand, so that a package with a wrong list is noticed (ISO 4217, confirmed by the official XML)."""
    assert is_currency(code)
    assert minor_units(code) == decimals


@pytest.mark.parametrize("code", ["", "EURO", "eur", "EU", "ZZZ", "DEM", "FRF", "ITL", "HRK", "BGN", "€", "ABC"])
def test_what_is_no_currency(code: str) -> None:
    """Withdrawn codes (list three of ISO 4217, from memory; the package has none), misspelt ones and signs."""
    assert not is_currency(code)
    with pytest.raises(KeyError):
        minor_units(code)


def test_gold_has_no_decimals() -> None:
    """XAU has no minor unit in the list ("N.A.")."""
    assert is_currency("XAU")
    assert minor_units("XAU") is None


@pytest.mark.parametrize(
    ("value", "currency", "cost", "left"),
    [
        ("1/3", "JPY", "1 JPY", "0 JPY"),
        ("1/3", "KWD", "0.334 KWD", "0.333 KWD"),
        ("1/3", "EUR", "0.34 EUR", "0.33 EUR"),
        ("1/3", "CLF", "0.3334 CLF", "0.3333 CLF"),
        ("1/3", "XAU", "0.3334 XAU", "0.3333 XAU"),
        ("-1/3", "EUR", "-0.33 EUR", "-0.34 EUR"),
        ("-1/3", "JPY", "0 JPY", "-1 JPY"),
        ("19/5", "EUR", "3.80 EUR", "3.80 EUR"),
        ("5/4", "KWD", "1.250 KWD", "1.250 KWD"),
        ("380", "EUR", "380 EUR", "380 EUR"),
        ("380", "KWD", "380 KWD", "380 KWD"),
    ],
)
def test_amounts_have_the_decimals_of_their_currency(value: str, currency: str, cost: str, left: str) -> None:
    """What is smaller than the smallest coin is never rounded to the good side."""
    assert (sum_text(Fraction(value), currency), sum_text(Fraction(value), currency, left=True)) == (cost, left)


@pytest.mark.parametrize("code", sorted(code for code, decimals in OFFICIAL.items() if decimals))
def test_amounts_show_all_decimals_or_none(code: str) -> None:
    """Decimals as many as the official exponent; a whole sum has none."""
    decimals = OFFICIAL[code]
    assert decimals is not None
    text = sum_text(Fraction(1, 10**decimals), code).partition(" ")[0]
    assert len(text.partition(".")[2]) == decimals
    assert sum_text(Fraction(7), code) == f"7 {code}"
