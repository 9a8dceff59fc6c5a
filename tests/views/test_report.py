"""Reports: demo racks and two small specs go in; sheets must be as approved, agree with ``inspect``, be readable."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest

from tests.cli.running import rackspec
from tests.conftest import ROOT

FOLDER = ROOT / "tests" / "reports"
DAY = ("--on", "2026-11-25")
DEMO = sorted((ROOT / "specs" / "racks").glob("*.rackspec"))
SPECS = {path.stem: path.relative_to(ROOT).as_posix() for path in (*DEMO, *sorted(FOLDER.glob("*.rackspec")))}
SHEETS = ("fit", "power", "growth", "first-power-up")


@cache
def sheet(name: str, *more: str) -> str:
    """A report of one of the specs."""
    run = rackspec(ROOT, "report", SPECS[name], *DAY, *more)
    assert (run.code, run.err) == (0, "")
    return run.out


@pytest.mark.parametrize("name", SPECS)
@pytest.mark.parametrize("kind", ["txt", "md"])
def test_reports_are_as_they_were_approved(name: str, kind: str, golden: Callable[[Path, str], None]) -> None:
    """All sheets of a rack, in both renderings."""
    more = ("--markdown",) if kind == "md" else ()
    text = sheet(name, *more) + sheet(name, "--about", "first-power-up", *more)
    golden(FOLDER / f"{name}.{kind}", text)


@pytest.mark.parametrize("name", SPECS)
def test_text_is_not_wider_than_a_page(name: str) -> None:
    """No line has more than 100 columns."""
    for about in SHEETS:
        assert [line for line in sheet(name, "--about", about).splitlines() if len(line) > 100] == []


def tables(markdown: str) -> list[list[dict[str, str]]]:
    """The tables of a markdown page, each as rows by the names of its columns; raises on a table that is none."""
    found: list[list[dict[str, str]]] = []
    fenced = False
    lines: list[list[str]] = []
    for line in [*markdown.splitlines(), ""]:
        if line.startswith("```"):
            fenced = not fenced
        if not fenced and line.startswith("|"):
            cells = re.split(r"(?<!\\)\|", line)
            assert cells[0] == ""
            assert cells[-1] == ""
            lines.append([re.sub(r"\\(.)", r"\1", cell.strip()) for cell in cells[1:-1]])
        elif lines:
            head, rule, *rows = lines
            assert all(re.fullmatch("-{3,}:?", cell) for cell in rule)
            assert {len(row) for row in lines} == {len(head)}
            found.append([dict(zip(head, row, strict=True)) for row in rows])
            lines = []
    assert not fenced
    return found


@pytest.mark.parametrize("name", SPECS)
@pytest.mark.parametrize("about", SHEETS)
def test_both_renderings_say_the_same(name: str, about: str) -> None:
    """Every word in a table of the markdown is in the text too."""
    page, text = sheet(name, "--about", about, "--markdown"), sheet(name, "--about", about)
    words = {word for table in tables(page) for row in table for cell in row.values() for word in cell.split()}
    assert words <= set(text.split())
    assert tables(page)


def milliamps(text: str) -> Fraction:
    """A current as a sheet shows it, in mA."""
    match = re.search(r"(-?[0-9.]+)(m?)A$", text)
    assert match is not None, text
    return Fraction(match[1]) * (1 if match[2] else 1000)


@pytest.mark.parametrize("name", SPECS)
def test_sums_are_those_of_inspect(name: str, tmp_path: Path) -> None:
    """Currents and taken HP at the last stage are the numbers that ``inspect`` writes as JSON."""
    target = tmp_path / "findings.json"
    rackspec(ROOT, "inspect", SPECS[name], *DAY, "--write", f"json={target}")
    racks = json.loads(target.read_text("utf-8"))["racks"]
    assert racks
    for rack in racks:
        shown = []
        for table in tables(sheet(name, "--rack", rack["name"], "--about", "power", "--markdown")):
            if "voltage" in table[0]:
                shown += [currents(row) for row in table if row["when"] == table[-1]["when"]]
        wanted = [
            (
                f"{line['voltage_v']:+g}V",
                Fraction(str(line["nominal_ma"])),
                Fraction(str(line["worst_ma"])),
                line["at_least"],
            )
            for line in rack["power"]
            if line["rated_ma"] is not None or line["worst_ma"] or line["at_least"]
        ]
        assert shown == wanted
        page = tables(sheet(name, "--rack", rack["name"], "--about", "growth", "--markdown"))
        stages = next(table for table in page if "left with wishes" in table[0])
        taken = sum(Fraction(str(row["used_hp"])) for row in rack["rows"])
        free = sum(Fraction(str(row["free_hp"])) for row in rack["rows"])
        assert stages[-1]["taken"].removeprefix("at least ") == f"{taken}HP"
        assert stages[-1]["free"].removeprefix("at most ") == f"{free}HP"


def currents(row: dict[str, str]) -> tuple[str, Fraction, Fraction, bool]:
    """A line of the table of currents as numbers."""
    return row["voltage"], milliamps(row["drawn"]), milliamps(row["at the worst"]), "at least" in row["drawn"]


def test_same_bytes_whatever_the_seed() -> None:
    """A report can be committed beside its spec: no clock, no order of chance."""
    first = rackspec(ROOT, "report", "specs", PYTHONHASHSEED="1").out
    assert first == rackspec(ROOT, "report", "specs", PYTHONHASHSEED="2").out
    assert "2026-11-25" not in first
    assert first.index("Rack sail-loft") < first.index("Rack towpath")


def test_markup_in_titles_stays_text() -> None:
    """A bar in a title breaks no table, and stars make nothing bold."""
    assert sheet("little", "--markdown").startswith("# Rack shelf: A shelf with \\| a bar and \\*stars\\*\n")


def test_first_power_up_warns(tmp_path: Path) -> None:
    """Unkeyed and unknown headers, open errors and a supply on mains are told where one works."""
    text = sheet("much", "--about", "first-power-up")
    assert "DO NOT SWITCH ON" in text
    assert "16-pin UNKEYED" in text
    assert "STOP: this supply is fed from mains" in text
    little = sheet("little", "--about", "first-power-up")
    assert "not known: TREAT AS UNKEYED" in little
    assert "DO NOT SWITCH ON" not in little
    row = "row top {\n        power from jar\n        at 0HP one\n    }"
    bare = f"supply jar {{\n}}\nmodule one {{\n}}\nrack shelf {{\n    {row}\n}}\n"
    (tmp_path / "bare.rackspec").write_text(bare, encoding="utf-8")
    run = rackspec(tmp_path, "report", "bare.rackspec", "--about", "first-power-up")
    assert "Do not go on to modules" in run.out
    assert "Step 2" not in run.out


@pytest.mark.parametrize("name", SPECS)
@pytest.mark.parametrize("about", ["power", "first-power-up"])
def test_power_carries_caution(name: str, about: str) -> None:
    """Sheets that lead to work on power say who does the mains side."""
    text = " ".join(sheet(name, "--about", about).split())
    assert "Mains is work for people licensed for it" in text


def test_stop_is_never_above_the_adapter() -> None:
    """An adapter of 1 A is not to be asked for more, whatever the modules would draw."""
    rows = [
        row
        for table in tables(sheet("much", "--about", "first-power-up", "--markdown"))
        for row in table
        if "stop above" in row
    ]
    assert [row["stop above"] for row in rows if row.get("module") == "wide-one"] == ["1A"]


def test_exit_codes(tmp_path: Path) -> None:
    """Findings do not fail a report; a rack that is not there and a path that cannot be read do."""
    assert rackspec(ROOT, "report", "tests/reports/much.rackspec").code == 0
    run = rackspec(ROOT, "report", "tests/reports", "--rack", "shelv")
    assert (run.code, run.out) == (2, "")
    told = "no rack is called 'shelv' here; there are: bell-loft, shelf, bench-top; did you mean 'shelf'?"
    assert run.err == f"rackspec: {told}\n"
    run = rackspec(ROOT, "report", "specs/gone.rackspec", "specs")
    assert run.code == 2
    assert "gone.rackspec" in run.err
    assert "Rack towpath" in run.out
    assert rackspec(tmp_path, "report").code == 2
    assert rackspec(ROOT, "report", "specs", "--on", "yesterday").code == 2


def test_to_a_file(tmp_path: Path) -> None:
    """The whole text goes into the file, and nothing else is printed but its name."""
    target = tmp_path / "towpath.md"
    run = rackspec(ROOT, "report", SPECS["towpath"], *DAY, "--markdown", "--to", str(target))
    assert (run.code, run.out) == (0, f"{target} is written\n")
    assert target.read_text("utf-8") == sheet("towpath", "--markdown")
    assert rackspec(ROOT, "report", "specs", "--to", str(tmp_path / "gone" / "x.md")).code == 2
