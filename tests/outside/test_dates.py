"""Dates go in as text; the language must take those that the calendar has, and no other.

Sources: ISO 8601-1 for year-month-day with two digits each (from memory; the second opinion is Python's own
``date.fromisoformat``); the leap years of the Gregorian calendar: every fourth year, of the full hundreds only those
that 400 divides (written out here as a rule, so that no library is asked twice).
"""

from __future__ import annotations

from datetime import date

import pytest

from rackspec.language.lines import read_shape
from tests.outside.through_the_program import read_value

LONG_MONTHS = (1, 3, 5, 7, 8, 10, 12)
YEARS = (1582, 1600, 1700, 1900, 1999, 2000, 2023, 2024, 2026, 2028, 2100, 2400, 9999)


def days_of(year: int, month: int) -> int:
    """Days of a month, by the rule and not by a library."""
    if month == 2:
        return 29 if year % 400 == 0 or (year % 4 == 0 and year % 100 != 0) else 28
    return 31 if month in LONG_MONTHS else 30


@pytest.mark.parametrize("year", YEARS)
def test_every_day_of_a_year(year: int) -> None:
    """Months 0 to 13, days 0 to 32: read if and only if the rule has the day, then as Python's datetime reads it."""
    for month in range(14):
        for day in range(33):
            text = f"{year:04}-{month:02}-{day:02}"
            value = read_value(text)
            assert value.kind == "date", text
            if 1 <= month <= 12 and 1 <= day <= days_of(year, month):
                assert value.slip is None, text
                assert value.data == date(year, month, day) == date.fromisoformat(text)
                assert (value.data.year, value.data.month, value.data.day) == (year, month, day)
            else:
                assert value.slip is not None, text
                assert value.data is None
                assert text in value.slip.message


@pytest.mark.parametrize(
    ("text", "exists"),
    [
        ("2000-02-29", True),
        ("2024-02-29", True),
        ("2400-02-29", True),
        ("1900-02-29", False),
        ("2100-02-29", False),
        ("2026-02-29", False),
        ("2024-02-30", False),
        ("2026-04-31", False),
        ("2026-12-31", True),
        ("2026-00-10", False),
        ("2026-10-00", False),
    ],
)
def test_leap_days(text: str, exists: bool) -> None:
    """Written down by hand from the rule of the Gregorian calendar."""
    value = read_value(text)
    assert (value.slip is None) is exists
    assert (value.data is not None) is exists


@pytest.mark.parametrize(
    "text",
    [
        "20261104",
        "2026-W45-3",
        "2026-308",
        "2026-11",
        "2026-1-4",
        "26-11-04",
        "04-11-2026",
        "2026/11/04",
        "04.11.2026",
        "2026-11-04T10",
    ],
)
def test_other_forms_are_no_dates(text: str) -> None:
    """Other forms of ISO 8601 (basic, week, ordinal, reduced, with a time) and of everyday life are not read as dates.

    Python's ``date.fromisoformat`` takes the first two from 3.11 on: what the language takes may not hang on that.
    """
    assert all(value.kind != "date" for value in read_shape(f"by {text}").values)


def test_dates_are_in_their_order() -> None:
    """ISO 8601 dates of one length sort as text as they do in time; the language reads them in that order too."""
    texts = [f"{year}-{month:02}-{days_of(year, month)}" for year in (2024, 2026) for month in range(1, 13)]
    assert sorted(texts) == texts
    assert [read_value(text).data.isoformat() for text in texts] == texts
