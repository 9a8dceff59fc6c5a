"""Threads of the program go in; they must be those of the ISO tables, as a public package and public tables carry them.

Source: bd_warehouse 0.4.0 (Apache-2.0), rows in ``data/``; each file says where its rows stood and what is left out.
ISO 965-1 is worked out from its formulas. Nobody here has opened the paid standards.
"""

from __future__ import annotations

import csv
import math
from fractions import Fraction
from pathlib import Path

import pytest

from rackspec.physics.bolting import shortest_that_holds
from rackspec.physics.threads import SERIES, THREADS, read_screw

DATA = Path(__file__).parent / "data"
NAMES = ("M2", "M2.5", "M3", "M4", "M5")


def rows(name: str) -> dict[str, list[str]]:
    """The rows of a file by their first cell, of which only the thread counts (``M3`` of ``M3-0.5``)."""
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        cells = list(csv.reader(line for line in file if not line.startswith("#")))
    return {row[0].partition("-")[0]: row for row in cells[1:]}


def test_the_files_hold_what_the_program_knows() -> None:
    """A thread more in the program wants a row more here."""
    assert tuple(THREADS) == NAMES
    for file in ("clearance_holes.csv", "tap_holes.csv", "pan_heads.csv", "thin_hexagon_nuts.csv"):
        assert tuple(rows(file)) == NAMES, file


@pytest.mark.parametrize("name", NAMES)
def test_pitch(name: str) -> None:
    """Coarse pitch, ISO 261 (standards B1): as the package designates the screws of ISO 7045 and the taps.

    Its tap drills are the diameter less the pitch, which holds the same pitch against a second column.
    """
    assert THREADS[name].pitch == Fraction(rows("pan_heads.csv")[name][0].partition("-")[2])
    assert Fraction(name[1:]) - THREADS[name].pitch == Fraction(rows("tap_holes.csv")[name][1])


@pytest.mark.parametrize("name", NAMES)
def test_clearance_holes(name: str) -> None:
    """Fine, medium and coarse, ISO 273 (B2): the package agrees with a public table for these sizes."""
    assert THREADS[name].clearance == tuple(Fraction(cell) for cell in rows("clearance_holes.csv")[name][1:])


def test_series_of_lengths() -> None:
    """ISO 7045 (B15). 14 and 55 mm stand in brackets in the standard's table, to be avoided: left out on purpose."""
    published = {int(text) for text in rows("screw_lengths.csv")["iso7045"][2].split(",")}
    assert published - {14, 55} == set(SERIES)
    assert len(published) == 18
    assert list(SERIES) == sorted(set(SERIES))


@pytest.mark.parametrize("name", NAMES)
def test_shortest_and_longest_screw(name: str) -> None:
    """ISO 7045 (B15); for M5 the sources differ, 45 mm in the package and 50 mm in another table."""
    shortest, longest = map(int, rows("pan_heads.csv")[name][-2:])
    lengths = THREADS[name].lengths()
    assert lengths[0] == shortest
    assert lengths[-1] in ((45, 50) if name == "M5" else (longest,))
    assert set(lengths) == {length for length in SERIES if shortest <= length <= lengths[-1]}


@pytest.mark.parametrize("name", NAMES)
def test_no_screw_is_asked_for_that_is_not_made(name: str) -> None:
    """Whatever the stack, a remedy names a length of ISO 7045, or none."""
    published = {int(text) for text in rows("screw_lengths.csv")["iso7045"][2].split(",")}
    offered = {
        shortest_that_holds(Fraction(panel, 2), Fraction(recess, 4), Fraction(3), None, THREADS[name])
        for panel in range(2, 60)
        for recess in range(24)
    }
    assert len(offered) >= 6
    assert offered - {None} <= published


DIN_562 = {"M3": ("5.5", "1.8"), "M4": ("7", "2.2"), "M5": ("8", "2.7")}
"""Width across the flats and greatest height of thin square nuts, DIN 562 (B13): one public table."""


@pytest.mark.parametrize("name", DIN_562)
def test_square_nuts_as_published(name: str) -> None:
    assert THREADS[name].nut == tuple(map(Fraction, DIN_562[name]))
    # The thin hexagon nuts of ISO 4036 have the same measures, which is what the analogy below rests on.
    height, across = map(Fraction, rows("thin_hexagon_nuts.csv")[name][1:])
    assert THREADS[name].nut == (across, height)


@pytest.mark.parametrize("name", ["M2", "M2.5"])
def test_square_nuts_from_memory(name: str) -> None:
    """DIN 562 of M2 and M2.5 is from memory, by analogy with ISO 4036 (B13): a band of a tenth, no more."""
    height, across = map(Fraction, rows("thin_hexagon_nuts.csv")[name][1:])
    for value, like in zip(THREADS[name].nut, (across, height), strict=True):
        assert like * Fraction("0.9") <= value <= like * Fraction("1.1")


@pytest.mark.parametrize("name", NAMES)
def test_limits_of_the_screw(name: str) -> None:
    """Largest and smallest major diameter, 6g (B17), from the formulas of ISO 965-1 (one public table agrees).

    es = -(15 + 11 P) µm; Td6 = 180 P^(2/3) - 3.15 / sqrt(P) µm. The standard rounds the tolerance to a series of
    preferred numbers, so the smallest is held within 4 µm, the largest within 1 µm.
    """
    thread = THREADS[name]
    pitch = float(thread.pitch)
    allowance = (15 + 11 * pitch) / 1000
    tolerance = (180 * pitch ** (2 / 3) - 3.15 / math.sqrt(pitch)) / 1000
    assert float(thread.largest) == pytest.approx(float(name[1:]) - allowance, abs=0.001)
    assert float(thread.smallest) == pytest.approx(float(name[1:]) - allowance - tolerance, abs=0.004)
    assert thread.smallest < thread.largest < Fraction(name[1:]) < thread.clearance[0]


@pytest.mark.parametrize(
    ("text", "thread", "length"), [("M3x6", "M3", "6"), ("M2.5x8", "M2.5", "8"), ("M5x20", "M5", "20")]
)
def test_designations(text: str, thread: str, length: str) -> None:
    """A screw is designated by its thread and its length under the head in mm (ISO 7045, "M5 x 20")."""
    assert read_screw(text) == (thread, Fraction(length))
    assert read_screw(thread) is None
