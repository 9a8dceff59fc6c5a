"""The numbers in the text of grammar/DRILLING.md, worked out again from their sources.

Largest screw: ISO 965-1, 6g, es = -(15 + 11P) um. Hole: ISO 273, fine. Distance of the holes of a 3U panel: 122.5 mm,
IEC 60297-3-101 as two public files quote it. Inch: 25.4 mm exactly (international agreement of 1959). That the holes of
a row are marked out 4 13/16 in apart is common practice, no source. Deduction of a panel: 0.30 mm, IEC 60297-3-101 /
IEEE 1101.10 as an open-hardware crate document quotes them.
"""

from __future__ import annotations

import re
from fractions import Fraction

import pytest

from rackspec.model.house import NO_HOUSE
from tests.conftest import ROOT
from tests.rules.checking import look_at, margins, told

TEXT = " ".join((ROOT / "grammar" / "DRILLING.md").read_text(encoding="utf-8").split())

LARGEST = 3 - (15 + 11 * Fraction("0.5")) / 1000
"""mm; an M3 screw, pitch 0.5 mm. The table of ISO 965-1 rounds it to a micrometre."""
TABLED = Fraction("2.980")
CLEARANCE = (Fraction("3.2") - TABLED) / 2
MARK = (4 + Fraction(13, 16)) * Fraction("25.4")
OFF = Fraction("122.5") - MARK


def shown(value: Fraction, places: int) -> str:
    """A number that ends after so many places."""
    assert (value * 10**places).denominator == 1
    return f"{float(value):.{places}f}"


def test_screw_and_hole() -> None:
    assert abs(LARGEST - TABLED) <= Fraction(1, 1000)
    assert f"the largest one that ISO 965-1 allows (6g) has {shown(TABLED, 3)} mm" in TEXT
    assert f"leaves {shown(CLEARANCE, 3)} mm to each side" in TEXT
    assert f"2 x {shown(CLEARANCE, 3)} mm = {shown(2 * CLEARANCE, 3)} mm" in TEXT


def test_the_inch_mark() -> None:
    assert (shown(MARK, 4), shown(OFF, 4)) == ("122.2375", "0.2625")
    assert f"That is {shown(MARK, 4)} mm, {shown(OFF, 4)} mm less than 122.5 mm." in TEXT
    assert f"the {shown(OFF - 2 * CLEARANCE, 4)} mm that are left" in TEXT


def spec(slack: str, hole: str = "3.2mm") -> str:
    return f"""insert strip {{
    strip     M3
    holes     84 every 5.08mm
    first     2.54mm
    {slack}
    thread    3mm
}}
rail tideline {{
    length    84HP
    takes     strip
    recess    1mm
    room      8mm
}}
module plain {{
    width     4HP
    draws     nothing
    hole      {hole} at (7.47mm, 3mm)
    hole      {hole} at (7.47mm, 125.5mm)
}}
rack tray {{
    row top {{
        rails     tideline with strip
        apart     4 13/16in measured
        at  10HP  plain
    }}
}}
"""


@pytest.mark.parametrize(
    "slack", ["", "slack 0mm", "slack 0.04mm", "slack 0.0425mm", "slack 0.3mm", "slack 0mm..0.6mm"]
)
def test_the_inch_mark_is_no_error(slack: str) -> None:
    """On a 3.2 mm hole alone it never is, whatever the strip gives; from 0.0425 mm of travel on nothing is said."""
    found = told(spec(slack), "rails-misspaced")
    assert "error" not in {finding.severity for finding in look_at(spec(slack)).findings}
    enough = slack in ("", "slack 0.0425mm", "slack 0.3mm")
    assert bool(found) != enough
    for finding in found:
        assert "push" in finding.remedy


def test_the_closest_call_is_the_sum_of_the_page() -> None:
    """With 0.1 mm of travel 0.32 - 0.2625 = 0.0575 mm are left."""
    left = [value for what, value in margins(spec("slack 0.1mm")).items() if "rails" in what]
    assert [Fraction(value) for value in left] == [2 * CLEARANCE + Fraction("0.1") - OFF]


def test_the_rails_give_what_the_house_says() -> None:
    """The third step of the page is a limit that has a name, and that the house may change."""
    assert NO_HOUSE.limit("give rails").value == 1
    assert re.search(r"\(`give rails` of the house\)", TEXT)
