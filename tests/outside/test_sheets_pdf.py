"""PDF sheets go in; pdfplumber (MIT) measures them: bars, places, paper, words, and what viewers are told."""

from __future__ import annotations

import re
from math import cos, radians, sin
from pathlib import Path

import pdfplumber
import pytest
from pdfminer.pdftypes import resolve1

from tests.cli.running import rackspec, write
from tests.cli.sheet_specs import BACK, BOTTOM, GUESSED, SHELF, TALL, TOP
from tests.outside.printed import Page, pages

NEAR = 0.01
"""mm."""
SHEETS = ("drill", "blank", "labels")


def made(folder: Path, text: str, *more: str) -> list[Page]:
    """The pages that a spec gives."""
    write(folder, {".git/x": "", "shelf.rackspec": text})
    run = rackspec(folder, "template", "--to", "a.pdf", *more)
    assert run.code == 0, run.err
    return pages(folder / "a.pdf")


def check_bars(page: Page, across: float = 1.0, up: float = 1.0) -> None:
    """One bar of 100 mm and one of 4 in each way, and no other line of these lengths."""
    for length in (100.0, 101.6):
        assert len(page.flat(length / across, NEAR)) == 1
        assert len(page.upright(length / up, NEAR)) == 1


@pytest.mark.parametrize("text", [SHELF, TALL, GUESSED], ids=["shelf", "tall", "guessed"])
@pytest.mark.parametrize("sheet", SHEETS)
@pytest.mark.parametrize(("paper", "size"), [("A4", (210.0, 297.0)), ("letter", (215.9, 279.4))])
def test_bars_and_paper(tmp_path: Path, text: str, sheet: str, paper: str, size: tuple[float, float]) -> None:
    """On each page; ISO 216 and ANSI Y14.1."""
    for page in made(tmp_path, text, "--sheet", sheet, "--paper", paper):
        check_bars(page)
        wide, high = sorted(size, reverse=sheet == "labels")
        assert abs(page.width - wide) < 0.001
        assert abs(page.height - high) < 0.001
        for wanted in (
            "do not fit to page",
            "measure the bars before",
            "Local codes",
            "Legal owner",
            "Shelf over the kiln",
        ):
            assert wanted in page.text
        for point in (p for line in page.lines for p in line):  # both papers hold all of it, with 9 mm to spare
            assert 9.9 < point[1] < high - 9.9
            assert 9.9 < point[0] < wide - 9.9


def test_viewers_are_told_not_to_scale(tmp_path: Path) -> None:
    """PDF 1.6: PrintScaling None in the viewer preferences."""
    made(tmp_path, SHELF)
    with pdfplumber.open(tmp_path / "a.pdf") as pdf:
        assert resolve1(pdf.doc.catalog["ViewerPreferences"])["PrintScaling"].name == "None"
        assert pdf.metadata["Creator"] == "rackspec"
        assert re.search(r"/CreationDate \(D:2000", (tmp_path / "a.pdf").read_bytes().decode("latin-1"))


def front_corner(page: Page, high: float, way: int) -> tuple[float, float]:
    """The lower end of the front edge of an outline that is so high: the leftmost one, or the rightmost."""
    return sorted(page.upright(high, NEAR), key=lambda spot: spot[0] * way)[0]


@pytest.mark.parametrize("mirrored", [False, True])
def test_places_are_where_the_numbers_say(tmp_path: Path, mirrored: bool) -> None:
    """From the two edges of the outline; the left piece, seen from outside, has its front on the right."""
    left, right = made(tmp_path, SHELF, *(["--mirrored"] if mirrored else []))
    for page, way in ((left, -1), (right, 1)):
        way = -way if mirrored else way
        zero = front_corner(page, 150.0, way)
        found = sorted(page.crosses(), key=lambda spot: spot[1])
        assert len(found) == 2
        for spot, up in zip(found, (BOTTOM, TOP), strict=True):
            assert abs((spot[0] - zero[0]) * way - BACK) < NEAR
            assert abs(spot[1] - zero[1] - up) < NEAR
        rings = sorted(page.circles, key=lambda ring: ring[0][1])
        drill = [ring for ring in rings if abs(ring[1] - 2.25) < NEAR]  # 4.5 mm, ISO 273 medium for M4
        assert [
            max(abs(a - b) for a, b in zip(ring[0], spot, strict=True)) < NEAR
            for ring, spot in zip(drill, found, strict=True)
        ] == [True, True]
        for wanted in ("4.5 for M4", "back 11.4, up 17.2", "back 11.4, up 139.2", "122.00 to its top one"):
            assert wanted in page.text
    assert "old hole" in left.text
    assert "old hole" not in right.text


def test_a_row_that_leans_back(tmp_path: Path) -> None:
    """Two tiles, laid onto each other by their crosses as a builder does, and measured from the lower front corner.

    back = B + y sin + z cos, up = U + y cos - z sin.
    """
    lean, heights = radians(12), (3.25, 125.25)
    expected = [(38 + y * sin(lean) + 5.4 * cos(lean), 180 + y * cos(lean) - 5.4 * sin(lean)) for y in heights]
    _, lower, upper = made(tmp_path, TALL, "--row", "high", "--side", "right")
    one, other = sorted(lower.crosses(4.0)), sorted(upper.crosses(4.0))
    assert len(one) == len(other) == 2
    shifts = [(a[0] - b[0], a[1] - b[1]) for a, b in zip(one, other, strict=True)]
    assert max(abs(x - y) for x, y in zip(*shifts, strict=True)) < NEAR
    zero = min(a for a, b in lower.lines if abs(a[0] - b[0]) < 1e-3 and b[1] - a[1] > 102)
    found = [(x - zero[0], y - zero[1]) for x, y in lower.crosses()]
    found += [(x + shifts[0][0] - zero[0], y + shifts[0][1] - zero[1]) for x, y in upper.crosses()]
    for x, y in expected:
        assert any(max(abs(a - x), abs(b - y)) < NEAR for a, b in found)
    assert all(min(max(abs(a - x), abs(b - y)) for x, y in expected) < NEAR for a, b in found)


@pytest.mark.parametrize(("x", "y"), [("97%", "103%"), ("99.4%", "100.25%")])
def test_a_printer_that_lies(tmp_path: Path, x: str, y: str) -> None:
    """What comes out of a printer that makes 1 mm so long is right: everything is larger or smaller by that."""
    across, up = float(x[:-1]) / 100, float(y[:-1]) / 100
    true = made(tmp_path, SHELF)
    for page, right in zip(made(tmp_path, SHELF, "--correct", x, y), true, strict=True):
        check_bars(page, across, up)
        assert "For a printer that prints" in page.text
        for one, other in zip(page.lines, right.lines, strict=True):
            for spot, printed in zip(other, one, strict=True):
                assert abs((printed[0] - 105) * across + 105 - spot[0]) < NEAR
                assert abs((printed[1] - 148.5) * up + 148.5 - spot[1]) < NEAR


def test_not_for_drilling(tmp_path: Path) -> None:
    """It stands on every page, with the reason on the first one of a piece."""
    found = made(tmp_path, GUESSED)
    assert all("NOT FOR DRILLING" in page.text for page in found)
    assert sum("the end hole of 'plank' is guessed" in page.text for page in found) == 2


def test_blanks_are_as_large_as_they_say(tmp_path: Path) -> None:
    """6HP is 30.18 x 128.50 mm (IEC 60297-3-101), four holes of 3.2 mm (ISO 273 fine for M3), 15.24 and 122.5 apart."""
    _, six = made(tmp_path, SHELF, "--sheet", "blank")
    assert len(six.flat(30.18, NEAR)) == 2
    assert len(six.upright(128.5, NEAR)) == 2
    x, y = min(six.flat(30.18, NEAR))
    found = sorted((a - x, b - y) for a, b in six.crosses())
    expected = [(7.47, 3.0), (7.47, 125.5), (22.71, 3.0), (22.71, 125.5)]
    assert all(max(abs(a - c), abs(b - d)) < NEAR for (a, b), (c, d) in zip(found, expected, strict=True))
    assert [round(radius, 2) for _, radius in six.circles] == [1.6] * 4


def test_labels_have_5_08_mm_an_hp(tmp_path: Path) -> None:
    """The sides of the panels, measured from the left end of the strip."""
    (page,) = made(tmp_path, SHELF, "--sheet", "labels")
    low = [(a, b) for a, b in page.lines if abs(a[0] - b[0]) < 1e-3 and abs(b[1] - a[1] - 5.0) < NEAR]
    left = min(x for (x, _), _ in page.lines if x > 9.9)
    at = sorted(round((a[0] - left) / 5.08, 3) for a, _ in low)
    assert {14.0, 20.0, 22.0, 60.0 - 44} - set(at) == {16.0}  # the second piece begins where a panel does
    for wanted in ("osc", "blank", "0", "5", "40"):
        assert wanted in page.text.split()


def test_hostile_titles(tmp_path: Path) -> None:
    """Markup is text, what the font does not know is ?, one for one, and a long one is cut off."""
    title = "<script>x</script> 🎛架 (a) " + "w" * 200
    found = made(tmp_path, SHELF.replace("Shelf over the kiln", title))
    assert all(
        "<script>x</script> ??? (a) wwww" in page.text or "<script>x</script> ?? (a) wwww" in page.text
        for page in found
    )
    for page in found:
        check_bars(page)
