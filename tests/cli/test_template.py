"""``rackspec template``: what it writes, says and refuses."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.running import environment, rackspec, write
from tests.cli.sheet_specs import GUESSED, SHELF, TALL
from tests.conftest import ROOT

KINDS = ("svg", "pdf", "dxf")


def shelf(folder: Path, text: str = SHELF) -> Path:
    """A folder with one spec that is a root of its own."""
    write(folder, {".git/x": "", "shelf.rackspec": text})
    return folder


@pytest.mark.parametrize("kind", KINDS)
def test_it_writes_the_same_bytes_again(tmp_path: Path, kind: str) -> None:
    """The same spec, and nothing else: neither the clock, nor the hash seed, nor the name of the file."""
    shelf(tmp_path)
    for name, seed in (("a", "1"), ("b", "2")):
        run = rackspec(tmp_path, "template", "--rack", "shelf", "--to", f"{name}.{kind}", PYTHONHASHSEED=seed)
        assert (run.code, run.err) == (0, "")
        assert run.out.startswith(f"{name}.{kind} is written: 2 ")
    assert (tmp_path / f"a.{kind}").read_bytes() == (tmp_path / f"b.{kind}").read_bytes()
    assert {path.name for path in tmp_path.iterdir()} == {".git", "shelf.rackspec", f"a.{kind}", f"b.{kind}"}


def test_it_says_what_to_do_next(tmp_path: Path) -> None:
    """Print, then measure."""
    run = rackspec(shelf(tmp_path), "template", "shelf.rackspec", "--to", "a.svg")
    assert run.out == "a.svg is written: 2 sheets; print it at 100 %, then measure the bars\n"
    run = rackspec(tmp_path, "template", "shelf.rackspec", "--to", "a.dxf", "--side", "left")
    assert run.out == "a.dxf is written: 1 drawing at 1:1, in mm; measure one before you cut\n"


def test_nothing_is_released_on_a_guess(tmp_path: Path) -> None:
    """The sheets are written, say so, and the reason stands on standard error."""
    run = rackspec(shelf(tmp_path, GUESSED), "template", "--to", "a.svg")
    assert run.code == 0
    assert run.err == (
        "rackspec: NOT FOR DRILLING: the end hole of 'plank' is guessed (Left side piece, Right side piece)\n"
    )
    text = (tmp_path / "a.svg").read_text("utf-8")
    assert text.count(">NOT FOR DRILLING</text>") == 6  # over each list of reasons, and across each sheet
    assert (
        text.count("the end hole of &#x27;plank&#x27; is guessed") + text.count("end hole of 'plank' is guessed") == 2
    )
    run = rackspec(shelf(tmp_path), "template", "--to", "b.svg")
    assert "NOT FOR DRILLING" not in (tmp_path / "b.svg").read_text("utf-8") + run.err


def test_a_line_that_is_not_understood_releases_nothing(tmp_path: Path) -> None:
    """It may have been about the very hole."""
    run = rackspec(shelf(tmp_path, SHELF.replace("behind 60mm", "behnd 60mm")), "template", "--to", "a.svg")
    assert "NOT FOR DRILLING: a line of the files was not understood" in run.err


def test_a_row_that_is_left_out_is_named(tmp_path: Path) -> None:
    """On the sheet and on standard error, with what to write where."""
    text = TALL.replace("seat (38mm, 180mm) lean 12deg measured", "behind 60mm")
    run = rackspec(shelf(tmp_path, text), "template", "--to", "a.svg")
    assert run.code == 0
    assert run.err.startswith("rackspec: not on the sheets: write 'seat (BACK, UP)' into row 'high'")
    assert "because it is not known where they go: high." in (tmp_path / "a.svg").read_text("utf-8")


def test_what_is_drilled_already(tmp_path: Path) -> None:
    """A hole beside its place is told and drilled no more; one that another hole has to cut into is not released."""
    text = SHELF.replace("        behind 60mm", "        drilled left bottom (11.5mm, 17.2mm) measured")
    run = rackspec(shelf(tmp_path, text), "template", "--side", "left", "--to", "a.svg")
    assert (run.code, run.err) == (0, "")
    assert (tmp_path / "a.svg").read_text("utf-8").count("drilled already, 0.1 off") == 1
    run = rackspec(
        shelf(tmp_path, SHELF.replace("60.7mm", "18.7mm").replace("40.2", "13.2")), "template", "--to", "a.svg"
    )
    assert "the drill would run into a hole that is 2.3mm beside it (old hole) (Left side piece)" in run.err


def test_one_row_of_two(tmp_path: Path) -> None:
    """Only its places, and old holes near them."""
    run = rackspec(shelf(tmp_path, TALL), "template", "--row", "low", "--to", "a.svg")
    assert run.out == "a.svg is written: 2 sheets; print it at 100 %, then measure the bars\n"
    text = (tmp_path / "a.svg").read_text("utf-8")
    assert ("low, top" in text, "high, top" in text, "old hole" in text) == (True, False, True)
    rackspec(tmp_path, "template", "--row", "high", "--to", "a.svg")
    text = (tmp_path / "a.svg").read_text("utf-8")
    assert ("low, top" in text, "high, top" in text, "old hole" in text) == (False, True, False)


FAULTS = {
    "no such rack": (("--rack", "shelv"), "no rack is called 'shelv' here; there are: shelf; did you mean 'shelf'?"),
    "no such kind": (("--to", "a.png"), "--to takes a file that ends in .svg, .pdf or .dxf, not 'a.png'"),
    "no such side": (("--side", "top"), "--side is left or right, not 'top'"),
    "no such row": (("--row", "lwo"), "rack 'shelf' has no row 'lwo'; it has: low; did you mean 'low'?"),
    "no such sheet": (("--sheet", "poster"), "--sheet is drill, blank or labels, not 'poster'"),
    "no such paper": (("--paper", "A7"), "--paper is A4 or letter, not 'A7'"),
    "a printer beyond help": (
        ("--correct", "96.9%", "100%"),
        "--correct takes what the 100mm bars measure, from 97% to 103%, not '96.9%'",
    ),
    "no number": (
        ("--correct", "1/0", "100"),
        "--correct takes what the 100mm bars measure, from 97% to 103%, not '1/0'",
    ),
    "no printer": (("--to", "a.dxf", "--correct", "99", "99"), "--correct is for printers; a .dxf is always at 1:1"),
    "a side of labels": (("--sheet", "labels", "--side", "left"), "--side and --mirrored belong to --sheet drill"),
    "a width of sides": (("--width", "6HP"), "--width and --thread belong to --sheet blank"),
    "no width": (
        ("--sheet", "blank", "--width", "6V"),
        "--width takes a length of at least 1HP, such as 6HP, not '6V'",
    ),
    "over a spec": (
        ("--to", "x.svg", "x.svg"),
        "x.svg would be overwritten, and is to be read; name another file to write to",
    ),
    "no file": (("gone.rackspec",), "nothing was drawn, because nothing could be read"),
}


@pytest.mark.parametrize("name", FAULTS)
def test_one_line_says_what_is_wrong(tmp_path: Path, name: str) -> None:
    """And nothing is written."""
    shelf(tmp_path)
    arguments, told = FAULTS[name]
    if name == "over a spec":
        write(tmp_path, {"x.svg": SHELF})
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir() if path.is_file()}
    to = () if "--to" in arguments else ("--to", "a.svg")
    run = rackspec(tmp_path, "template", *to, *arguments)
    assert run.code == 2
    assert run.out == ""
    assert run.err.splitlines()[-1] == f"rackspec: {told}"
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir() if path.is_file()} == before


def test_what_is_missing_is_said_with_its_place(tmp_path: Path) -> None:
    """No drill point at all: one line, exit code 2, no file."""
    bare = "rack bare {\n    row only {\n        length 20HP\n    }\n}\n"
    run = rackspec(shelf(tmp_path, bare), "template", "--to", "a.svg")
    assert (run.code, run.out) == (2, "")
    assert run.err == (
        "rackspec: no place to drill is known: write 'rails NAME' into row 'only'; write 'seat (BACK, UP)' into row "
        "'only', from the lower front corner of the side piece\n"
    )
    run = rackspec(tmp_path, "template", "--sheet", "blank", "--to", "a.svg")
    assert run.err.startswith("rackspec: no blank stands in these rows")
    assert not (tmp_path / "a.svg").exists()


def test_what_is_left_out_of_labels_is_said(tmp_path: Path) -> None:
    """A row without a length, a panel without a width: on standard error, each with its reason."""
    text = SHELF.replace("    width 14HP\n", "").replace("    case {", "    row bare {\n    }\n    case {")
    run = rackspec(shelf(tmp_path, text), "template", "--sheet", "labels", "--to", "a.svg")
    assert run.code == 0
    assert run.err.splitlines() == [
        "rackspec: not on the sheets: row 'bare', because its length is not known",
        "rackspec: not on the sheets: 'osc' in row 'low', because its place or width is not known",
        "rackspec: not on the sheets: 'osc-b' in row 'low', because its place or width is not known",
    ]


@pytest.mark.parametrize("far", ["9999999999999999999999mm", "3001mm", "-3100mm", "1000000m"])
def test_far_away(tmp_path: Path, far: str) -> None:
    """Nobody waits for a million sheets."""
    for text in (SHELF.replace("seat (6mm,", f"seat ({far},"), SHELF.replace("(40.2mm, 60.7mm)", f"({far}, 60.7mm)")):
        run = rackspec(shelf(tmp_path, text), "template", "--to", "a.svg")
        assert (run.code, run.err.count("\n")) == (2, 1), run.err
        assert not (tmp_path / "a.svg").exists()


def test_several_racks(tmp_path: Path) -> None:
    """One has to be named."""
    run = rackspec(shelf(tmp_path, SHELF + "rack other {\n}\n"), "template", "--to", "a.svg")
    assert (run.code, run.err) == (2, "rackspec: there are several racks: shelf, other; say which with --rack\n")


def test_without_the_extra(tmp_path: Path) -> None:
    """PDF says in one line what it needs; the other kinds need nothing."""
    shelf(tmp_path)
    code = (
        "import sys; sys.modules['reportlab'] = None; from rackspec.cli.main import main;"
        "sys.exit(main(['template', '--to', sys.argv[1]]))"
    )
    told = {}
    for kind in KINDS:
        done = subprocess.run(
            [sys.executable, "-c", code, f"a.{kind}"],
            cwd=tmp_path,
            env=environment(),
            capture_output=True,
            check=False,
            text=True,
        )
        told[kind] = (done.returncode, done.stderr)
    needs = "rackspec: PDF needs the 'print' extra: pip install 'rackspec[print]'; SVG and DXF need nothing\n"
    assert told == {"svg": (0, ""), "pdf": (2, needs), "dxf": (0, "")}
    assert not (tmp_path / "a.pdf").exists()


def test_the_date_of_issue(tmp_path: Path) -> None:
    """That of the revision; else the one given; else none: never the clock's."""
    for text, more, date in (
        (SHELF, ("--on", "2026-12-24"), "2026-11-02"),
        (SHELF.replace(" 2026-11-02", ""), ("--on", "2026-12-24"), "2026-12-24"),
        (SHELF.replace(" 2026-11-02", ""), (), "undated"),
    ):
        assert rackspec(shelf(tmp_path, text), "template", "--to", "a.svg", *more).code == 0
        assert f">{date}</text>" in (tmp_path / "a.svg").read_text("utf-8")


def test_standard_input_and_a_device(tmp_path: Path) -> None:
    """A spec from standard input; a file to write to that is none is written to as it is."""
    (tmp_path / ".git").mkdir()
    (tmp_path / "null.svg").symlink_to("/dev/null")
    run = rackspec(tmp_path, "template", "-", "--to", "null.svg", stdin=SHELF.encode())
    assert (run.code, run.err) == (0, "")
    assert (tmp_path / "null.svg").is_symlink()


@pytest.mark.parametrize("sheet", ["drill", "blank", "labels"])
@pytest.mark.parametrize("name", ["granary", "harmonium-shelf", "sail-loft", "towpath"])
def test_every_rack_of_the_demo(tmp_path: Path, name: str, sheet: str) -> None:
    """Each gives sheets, or one line that says what is missing."""
    specs = str(ROOT / "specs")
    run = rackspec(tmp_path, "template", specs, "--rack", name, "--sheet", sheet, "--to", "a.svg")
    assert run.code in (0, 2)
    assert (tmp_path / "a.svg").exists() == (run.code == 0)
    assert all(line.startswith("rackspec: ") for line in run.err.splitlines())
    assert run.code == 0 or run.err.count("\n") == 1
