"""Published lengths of 19-inch mechanics go in as a builder writes them; the language must read them exactly.

Sources: rack unit U and the heights made of it: EIA/ECA-310, IEC 60297-3-100. HP and panel widths: IEC 60297-3-101,
IEEE 1101.1. The inch is 25.4 mm exactly (international agreement of 1959). The standards themselves were not opened;
each check says how its values are confirmed.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from tests.outside.through_the_program import measure, run


@pytest.mark.parametrize(
    ("written", "millimetres"),
    [
        ("1U", "44.45"),
        ("1 3/4in", "44.45"),
        ("1.75in", "44.45"),
        ("3U", "133.35"),
        ("6U", "266.70"),
        ("1HP", "5.08"),
        ("0.2in", "5.08"),
        ("1/5in", "5.08"),
        ("84HP", "426.72"),
        ("16.8in", "426.72"),
        ("16 4/5in", "426.72"),
        ("42.672cm", "426.72"),
        ("0.42672m", "426.72"),
        ("104HP", "528.32"),
        ("20 4/5in", "528.32"),
        ("19in", "482.6"),
    ],
)
def test_rack_lengths(written: str, millimetres: str) -> None:
    """U = 1.75 in and the 19 in front (EIA/ECA-310, IEC 60297-3-100), HP = 0.2 in (IEC 60297-3-101, IEEE 1101.1).

    Confirmed by two or more public pages for U, HP and 482.6 mm; the multiples are computed from them here.
    """
    read = measure(written)
    assert read.value == read.low == read.high == Fraction(millimetres)
    assert read.dimension == "length"


@pytest.mark.parametrize(
    ("hp", "millimetres"),
    [
        (4, "20.02"),
        (6, "30.18"),
        (8, "40.34"),
        (10, "50.50"),
        (12, "60.66"),
        (14, "70.82"),
        (20, "101.30"),
        (84, "426.42"),
    ],
)
def test_panel_widths(hp: int, millimetres: str) -> None:
    """The nominal real width of a panel of n HP is n * 5.08 - 0.30 mm (IEC 60297-3-101, IEEE 1101.10).

    Confirmed by one public document (an open 3U crate design: 20.32 - 0.30 for each 4 HP module); rest computed.
    """
    assert measure(f"{hp}HP minus 0.3mm").value == Fraction(millimetres)
    assert measure(f"{millimetres}mm plus 0.3mm").value == measure(f"{hp}HP").value


@pytest.mark.parametrize(("units", "millimetres"), [(1, "43.65"), (3, "132.55"), (6, "265.90")])
def test_rack_panel_heights(units: int, millimetres: str) -> None:
    """A rack panel of n U is n * 44.45 - 0.8 mm high (EIA-310, IEC 60297-3-100).

    Confirmed by one open CAD file (132.55 for 3U). A plug-in panel of a 3U row is another thing: 128.4 to 128.55 mm.
    """
    height = measure(f"{units}U minus 0.8mm").value
    assert height == Fraction(millimetres)
    if units == 3:
        # IEC 60297-3-101, two public files that differ: 128.4 and 128.55
        assert all(height - measure(plug_in).value > 3 for plug_in in ("128.4mm", "128.55mm"))
        # EIA-310: rack-ear holes 57.15 mm apart, 37.70 mm from the edge; confirmed by one public file
        assert (height - measure("2 1/4in").value) / 2 == Fraction("37.70")


def test_universal_hole_spacing() -> None:
    """5/8 + 5/8 + 1/2 in make one U (EIA-310, universal spacing); confirmed by two public code files."""
    steps = [measure(text) for text in ("5/8in", "5/8in", "1/2in")]
    assert [step.value for step in steps] == [Fraction("15.875"), Fraction("15.875"), Fraction("12.70")]
    assert measure("5/8in plus 5/8in plus 1/2in").value == measure("1U").value


def test_eurocard_heights() -> None:
    """A 6U board is 233.35 mm: 100 mm plus 3U (IEC 60297-3-101, IEEE 1101.1); confirmed by two public pages."""
    assert measure("100mm plus 3U").value == measure("233.35mm").value == Fraction("233.35")


@pytest.mark.parametrize("length", ["84HP", "16.8in", "16 4/5in", "426.72mm", "1.4ft", "84HP plus 0mm"])
def test_rail_length_through_the_program(tmp_path: Path, length: str) -> None:
    """However the 426.72 mm of an 84 HP rail are written, the program sees 84 HP (IEC 60297-3-101, as above)."""
    spec = f"rail plain {{\n    length {length}\n}}\nrack tray {{\n    row top {{\n        rails plain\n    }}\n}}\n"
    seen = run(tmp_path, spec)
    assert seen.code == 0
    (row,) = seen.document["racks"][0]["rows"]
    assert row["length_hp"] == row["free_hp"] == 84
