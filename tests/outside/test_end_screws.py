"""End screws that the program recommends, against lengths, washers and sheets as published; counted again by hand.

Sources: lengths of ISO 7045 (B15) and washers of ISO 7089 (B10) as bd_warehouse 0.4.0 (Apache-2.0) has them, rows
in ``data/``; thickness of sanded plywood, EN 315 (D10), as two public tables have it; pitch, ISO 261 (B1); one and a
half diameters in aluminium is a shop rule (B16) on which pages disagree: it recommends, and nothing is an error by it.
"""

from __future__ import annotations

import csv
import re
from decimal import Decimal
from itertools import product
from pathlib import Path

import pytest

from rackspec.physics.end_screws import WASHER
from tests.cli.running import rackspec
from tests.rules.checking import told

DATA = Path(__file__).parent / "data"
PITCH = {"M3": Decimal("0.5"), "M4": Decimal("0.7"), "M5": Decimal("0.8")}
"""Coarse pitch, ISO 261 (B1)."""
PLYWOOD = {"6.5": ("0.4", "0.5"), "9": ("0.4", "0.5"), "12": ("0.5", "0.7")}
"""Nominal thickness, more, less: sanded plywood by EN 315 (D10), in mm."""
DEPTHS = ("6", "8", "10", "12", "14")


def rows(name: str) -> dict[str, list[str]]:
    """The rows of a file by their first cell, of which only the thread counts."""
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        cells = list(csv.reader(line for line in file if not line.startswith("#")))
    return {row[0].partition("-")[0]: row[1:] for row in cells[1:]}


def published(thread: str) -> list[int]:
    """The lengths of ISO 7045 that a thread is made in, without those in brackets (14 and 55)."""
    shortest, longest = map(int, rows("pan_heads.csv")[thread][-2:])
    longest = 50 if thread == "M5" else longest  # sources differ: 45 in the package, 50 in another table
    lengths = {int(text) for text in rows("screw_lengths.csv")["iso7045"][1].split(",")} - {14, 55}
    return sorted(length for length in lengths if shortest <= length <= longest)


def spec(thread: str, thick: str, deep: str, screws: str) -> str:
    """A rack whose sides are of plywood."""
    more, less = PLYWOOD[thick]
    line = f"end-screws {screws}\n" if screws else ""
    return (
        f"insert strip {{\nstrip M3\nholes 84 every 5.08mm\nthread 3mm\n}}\nrail plain {{\nlength 84HP\ntakes strip\n"
        f"recess 1mm\nroom 8mm\nend-hole {thread} behind 5mm inward 0mm deep {deep}mm\n}}\n"
        f"sheet ply {{\nthickness {thick}mm +{more}mm/-{less}mm\n}}\nrack tray {{\nrow top {{\nrails plain with strip\n"
        f"seat (8mm, 25mm)\n{line}}}\ncase {{\nside {{\nfrom ply\n}}\ninside 84HP plus 1mm\n}}\n}}\n"
    )


def corners(length: int, thick: str, washers: tuple[Decimal, ...]) -> list[Decimal]:
    """How far a screw goes into the rail at every corner of what may be."""
    more, less = map(Decimal, PLYWOOD[thick])
    sides = (Decimal(thick) + more, Decimal(thick) - less)
    return [length - side - washer for side, washer in product(sides, washers)]


def wanted(thread: str, thick: str, deep: str, washers: tuple[Decimal, ...]) -> int | None:
    """The shortest published length with 1.5 d of thread that never bottoms; else the longest with three turns."""
    inside = [length for length in published(thread) if max(corners(length, thick, washers)) <= Decimal(deep)]
    enough = max(3 * PITCH[thread], Decimal(thread[1:]) * Decimal("1.5"))
    good = [length for length in inside if min(corners(length, thick, washers)) >= enough]
    weak = [length for length in inside if min(corners(length, thick, washers)) >= 3 * PITCH[thread]]
    return good[0] if good else weak[-1] if weak else None


def test_washers_as_published() -> None:
    """Greatest thickness, ISO 7089 (B10)."""
    assert {name: Decimal(row[-1]) for name, row in rows("plain_washers.csv").items()} == {
        name: Decimal(value.numerator) / value.denominator for name, value in WASHER.items()
    }


@pytest.mark.parametrize("thread", PITCH)
@pytest.mark.parametrize("thick", PLYWOOD)
def test_the_remedy_is_the_shortest_published_length_that_serves(thread: str, thick: str) -> None:
    """With the washer that is written: the finding about a wrong thread names the size to use."""
    washer = Decimal(rows("plain_washers.csv")[thread][-1])
    sizes = set()
    for deep in DEPTHS:
        (finding,) = told(spec(thread, thick, deep, f"M2x20 washer {washer}mm"), "end-screw-wrong")
        match = re.search(rf"use 4 {thread}x([0-9]+), the (?:shortest|longest) standard length", finding.remedy)
        assert (int(match[1]) if match else None) == wanted(thread, thick, deep, (washer,)), (deep, finding.remedy)
        sizes.add(match[1] if match else None)
    assert sizes - {None}


@pytest.mark.parametrize("thread", PITCH)
@pytest.mark.parametrize("thick", PLYWOOD)
def test_the_report_recommends_for_any_washer(thread: str, thick: str, tmp_path: Path) -> None:
    """Nothing is written: no washer at all (it must not bottom) to the thickest one (it must hold)."""
    thickest = Decimal(rows("plain_washers.csv")[thread][-1])
    for deep in ("8", "14"):
        (tmp_path / "tray.rackspec").write_text(spec(thread, thick, deep, ""), encoding="utf-8")
        text = " ".join(rackspec(tmp_path, "report", "tray.rackspec", "--about", "fit").out.split())
        match = re.search(rf"What serves: 4 {thread}x([0-9]+), each with an {thread}", text)
        length = wanted(thread, thick, deep, (Decimal(0), thickest))
        assert (int(match[1]) if match else None) == length, deep
        if length is None:
            assert f"no standard {thread}" in text


def test_worked_by_hand() -> None:
    """12 mm plywood is 11.3 to 12.5 mm thick. M4 with 0.9 mm of washer: M4x16 finds 16 - 0.9 - 12.5 = 2.6 mm, less
    than 6 mm; M4x20 finds 6.6 mm and reaches 20 - 0.9 - 11.3 = 7.8 mm at most, of 12."""
    assert corners(20, "12", (Decimal("0.9"),)) == [Decimal("6.6"), Decimal("7.8")]
    assert wanted("M4", "12", "12", (Decimal("0.9"),)) == 20
    assert told(spec("M4", "12", "12", "M4x20 washer 0.9mm"), "end-screw-wrong") == []
    # 20 mm would be 0.1 mm too long for a thread of 7.7 mm, at the thinnest corner of the sheet only
    (finding,) = told(spec("M4", "12", "7.7", "M4x20 washer 0.9mm"), "end-screw-wrong")
    assert (finding.severity, "it is 0.1mm too long" in finding.message) == ("warning", True)
