"""DXF drawings go in; ezdxf (MIT) audits them and says what is where: units, layers, lines, holes, words."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import Any

import ezdxf
import pytest

from tests.cli.running import rackspec, write
from tests.cli.sheet_specs import BACK, BOTTOM, GUESSED, SHELF, TALL, TOP

NEAR = 1e-5
"""mm; the drawing has six places."""
HOSTILE = SHELF.replace("low", "ö-架").replace("osc", "é_%%c")


def made(folder: Path, text: str, *more: str) -> Any:
    """The drawing that a spec gives, as ezdxf has it; it finds nothing to mend."""
    write(folder, {".git/x": "", "shelf.rackspec": text})
    run = rackspec(folder, "template", "--to", "a.dxf", *more)
    assert run.code == 0, run.err
    document = ezdxf.readfile(folder / "a.dxf")
    auditor = document.audit()
    assert [error.message for error in auditor.errors] == []
    assert [error.message for error in auditor.fixes] == []
    return document


@pytest.mark.parametrize("text", [SHELF, TALL, GUESSED, HOSTILE], ids=["shelf", "tall", "guessed", "hostile"])
@pytest.mark.parametrize("sheet", ["drill", "blank", "labels"])
def test_the_auditor_finds_nothing(tmp_path: Path, text: str, sheet: str) -> None:
    """No error, mm, the four layers and no other, no line or circle twice, and the caution to read."""
    document = made(tmp_path, text, "--sheet", sheet)
    assert document.units == ezdxf.units.MM
    assert document.header["$INSUNITS"] == 4
    assert document.dxfversion == "AC1015"
    entities = list(document.modelspace())
    assert {entity.dxf.layer for entity in entities} <= {"CUT", "DRILL", "MARK", "NOTE"}
    assert {"CUT", "DRILL", "MARK", "NOTE"} <= {layer.dxf.name for layer in document.layers}
    assert {entity.dxftype() for entity in entities} <= {"LINE", "CIRCLE", "TEXT"}
    lines = Counter(
        tuple(sorted((tuple(each.dxf.start.round(5)), tuple(each.dxf.end.round(5)))))
        for each in entities
        if each.dxftype() == "LINE"
    )
    assert [line for line, many in lines.items() if many > 1] == []
    rings = Counter((tuple(e.dxf.center.round(5)), round(e.dxf.radius, 5)) for e in entities if e.dxftype() == "CIRCLE")
    assert [ring for ring, many in rings.items() if many > 1] == []
    words = " ".join(each.dxf.text for each in entities if each.dxftype() == "TEXT")
    assert "Caution: measure" in words
    assert all(each.dxf.height >= 2.5 for each in entities if each.dxftype() == "TEXT")
    assert (tmp_path / "a.dxf").read_bytes().isascii()


def test_holes_are_where_the_numbers_say(tmp_path: Path) -> None:
    """Circles on the layer DRILL, from the corner of each outline on the layer CUT."""
    space = made(tmp_path, SHELF).modelspace()
    cut = [each for each in space if each.dxf.layer == "CUT"]
    assert len(cut) == 8
    rings = sorted(
        (each.dxf.center.x, each.dxf.center.y, each.dxf.radius) for each in space.query("CIRCLE[layer=='DRILL']")
    )
    assert [round(radius, 6) for *_, radius in rings] == [2.25] * 4
    xs = sorted({round(x, 6) for each in cut for x in (each.dxf.start.x, each.dxf.end.x)})
    assert len(xs) == 4
    low = min(each.dxf.start.y for each in cut)
    left_front, right_front = (
        xs[1],
        xs[2],
    )  # seen from outside: right edge of the left piece, left edge of the right one
    expected = sorted(
        [(left_front - BACK, low + up) for up in (BOTTOM, TOP)]
        + [(right_front + BACK, low + up) for up in (BOTTOM, TOP)]
    )
    for (x, y, _), (a, b) in zip(rings, expected, strict=True):
        assert abs(x - a) < NEAR
        assert abs(y - b) < NEAR


def test_what_must_not_be_drilled_says_so(tmp_path: Path) -> None:
    """The words and the reason are in the drawing, and a machine finds nothing on the layer that it drills."""
    space = made(tmp_path, GUESSED).modelspace()
    words = [each.dxf.text for each in space.query("TEXT[layer=='NOTE']")]
    assert len(space.query("*[layer=='DRILL']")) == 0
    assert len(space.query("CIRCLE")) == 5
    assert words.count("NOT FOR DRILLING") == 2
    assert words.count("NOT FOR DRILLING: the end hole of 'plank' is guessed") == 2


def test_words_are_only_words(tmp_path: Path) -> None:
    """What a reader takes for a sign or a line break is none."""
    text = SHELF.replace("at 0HP saw as osc", "at 0HP saw as osc").replace("row low", "row low")
    document = made(tmp_path, text, "--sheet", "labels")
    assert "osc" in [each.dxf.text for each in document.modelspace().query("TEXT")]
