"""SVG sheets go in; the DTD of SVG 1.1 (W3C), read by lxml, and a browser have to take them, and 1 mm to be 1 mm."""

from __future__ import annotations

from pathlib import Path

import pytest
from lxml import etree

from tests.cli.running import rackspec, write
from tests.cli.sheet_specs import BACK, BOTTOM, GUESSED, SHELF, TALL, TOP
from tests.outside.printed import pages
from tests.outside.readers import chromium, svg_dtd

SVG = "{http://www.w3.org/2000/svg}"
HOSTILE = SHELF.replace("Shelf over the kiln", "<script>x</script> & ]]> 🎛 架 'q'").replace('"B"', '"<b>&amp;"')
CASES = {"shelf": SHELF, "tall": TALL, "guessed": GUESSED, "hostile": HOSTILE}


def made(folder: Path, text: str, *more: str) -> Path:
    """The file that a spec gives."""
    write(folder, {".git/x": "", "shelf.rackspec": text})
    run = rackspec(folder, "template", "--to", "a.svg", *more)
    assert run.code == 0, run.err
    return folder / "a.svg"


@pytest.mark.parametrize("sheet", ["drill", "blank", "labels"])
@pytest.mark.parametrize("name", CASES)
def test_the_dtd(tmp_path: Path, name: str, sheet: str) -> None:
    """Valid; and the DTD does look: an element that there is not is told."""
    dtd = etree.DTD(str(svg_dtd()))
    root = etree.parse(str(made(tmp_path, CASES[name], "--sheet", sheet, "--correct", "99%", "101%"))).getroot()
    assert dtd.validate(root), dtd.error_log
    etree.SubElement(root, f"{SVG}rectangle")
    assert not dtd.validate(root)


def test_pages_are_papers_below_each_other(tmp_path: Path) -> None:
    """The file is as wide as the paper, and as high as all pages together; one unit is 1 mm."""
    root = etree.parse(str(made(tmp_path, TALL))).getroot()
    frames = root.findall(f"{SVG}svg")
    assert root.get("width") == "210mm"
    assert root.get("height") == f"{297 * len(frames)}mm"
    assert root.get("viewBox") == f"0 0 210 {297 * len(frames)}"
    assert [frame.get("y") for frame in frames] == [str(297 * number) for number in range(len(frames))]
    assert {(frame.get("width"), frame.get("height"), frame.get("viewBox")) for frame in frames} == {
        ("210", "297", "0 0 210 297")
    }


def test_nothing_in_it_is_a_script(tmp_path: Path) -> None:
    """Names are text, whatever they hold."""
    root = etree.parse(str(made(tmp_path, HOSTILE))).getroot()
    assert {each.tag for each in root.iter()} == {
        f"{SVG}{name}" for name in "svg g title style text line circle polygon".split()
    }
    assert "<script>x</script> & ]]> 🎛 架 'q'" in {each.text for each in root.iter(f"{SVG}text")}
    assert "<b>&amp;" in {each.text for each in root.iter(f"{SVG}text")}


def test_a_browser_prints_it_at_full_size(tmp_path: Path) -> None:
    """Chromium prints each page onto one of its size; bars are as long as they say, places where they belong."""
    found = pages(chromium(tmp_path, made(tmp_path, SHELF)))
    assert len(found) == 2
    for page, way in zip(found, (-1, 1), strict=True):
        assert abs(page.width - 210) < 0.2  # it has pages of whole pixels
        assert abs(page.height - 297) < 0.2
        for length in (100.0, 101.6):
            assert len(page.upright(length, 0.05)) == len(page.flat(length, 0.05)) == 1
        zero = sorted(page.upright(150.0, 0.05), key=lambda spot: spot[0] * way)[0]
        spots = sorted(page.crosses(), key=lambda spot: spot[1])
        for spot, up in zip(spots, (BOTTOM, TOP), strict=True):
            assert abs((spot[0] - zero[0]) * way - BACK) < 0.05
            assert abs(spot[1] - zero[1] - up) < 0.05


@pytest.mark.slow
def test_a_browser_prints_each_tile_and_label(tmp_path: Path) -> None:
    """As many pages as sheets, with their words on them; lying pages lie."""
    found = pages(chromium(tmp_path, made(tmp_path, TALL)))
    assert [page.text.splitlines()[0] for page in found[:3]] == [
        "Left side piece, seen from outside, overview",
        "Left side piece, seen from outside, tile A1",
        "Left side piece, seen from outside, tile A2",
    ]
    assert all(len(page.flat(101.6, 0.05)) == len(page.upright(101.6, 0.05)) == 1 for page in found)
    (label,) = pages(chromium(tmp_path, made(tmp_path, SHELF, "--sheet", "labels")))
    assert label.width > label.height
