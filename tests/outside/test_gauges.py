"""Gauges of wire: a gauge goes in, its diameter must be that of the published table.

Source: ASTM B258, standard nominal diameters of solid round wires, in inches to four places (from memory; the formula
between the two defining sizes, 0.0050 in for 36 and 0.4600 in for 0000, gives each of them).
"""

from __future__ import annotations

import re
from decimal import Decimal

import pytest

from rackspec.views.value_pages import gauge_page

INCHES = {
    10: "0.1019",
    12: "0.0808",
    14: "0.0641",
    16: "0.0508",
    18: "0.0403",
    20: "0.0320",
    22: "0.0253",
    24: "0.0201",
    26: "0.0159",
    28: "0.0126",
    36: "0.0050",
}


@pytest.mark.parametrize("gauge", INCHES)
def test_diameter_is_the_published_one(gauge: int) -> None:
    """To the four places of the table; what is shown is rounded to a thousandth of a millimetre itself."""
    page = gauge_page(f"{gauge}AWG")
    assert page is not None
    shown = re.search(r"about ([0-9.]+)mm,", page)
    assert shown is not None
    assert abs(Decimal(shown[1]) / Decimal("25.4") - Decimal(INCHES[gauge])) <= Decimal("0.00007")
