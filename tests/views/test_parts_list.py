"""Parts lists: racks go in; the numbers must be those that a pencil gives, and each line must add up by itself."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from markdown_it import MarkdownIt

from tests.cli.running import rackspec, write
from tests.conftest import ROOT
from tests.views.test_report import tables

DAY = ("--on", "2026-11-25")
FOLDER = ROOT / "tests" / "views" / "expected"
RACKS = ("granary", "harmonium-shelf", "sail-loft", "towpath")
BENCH = """\
insert nut {
    nut     M3
    thread  3mm
    enters  end
}
rail bar {
    length  40HP
    takes   nut
    recess  1mm
    room    20mm
    end-hole M4 behind 10mm inward 5mm deep 30mm
}
module osc {
    width   8HP
    thickness 2mm
    header  10-pin
    ribbon  missing
    draws   10mA on +12V
    screws  4 of M3x8
}
module mix {
    width   8HP
    thickness 2mm
    header  10-pin
    draws   10mA on +12V
    screws  2 of M2.5x6
}
supply feed {
    gives   1A on +12V
    input   adapter 15V 2A
}
part bag "screws" {
    holds   10 of M3x8
    holds   4 of nut
}
part lead {
    ribbon  10-pin
    price   2 EUR
}
part brick {
    adapter 15V 3A
}
part strut {
}
sheet board {
    thickness 12mm
    size    500mm x 300mm
}
seller shop {
    ships   3 EUR
    sells   bag at 5 EUR
    sells   lead at 1.90 EUR
    sells   bar at 9 EUR pair
    sells   M3x10 at 3 EUR pack 20 from 2
    sells   M4x25 at 2 EUR pack 10
    sells   brick at 14 EUR stock 1
}
rack tray {
    stage later
    stage last
    have 1 of bag
    have 3 of strut
    have 1 of osc
    also 2 of lead in later
    case {
        side {
            from board
            corner (0mm, 0mm)
            corner (200mm, 0mm)
            corner (200mm, 200mm)
            corner (0mm, 200mm)
        }
    }
    row top {
        rails   bar with nut
        power   from feed
        at 0HP  osc
        next    mix until last
        next    osc as second in later
        next    blank 4HP in last
    }
}
"""


@cache
def demo(name: str, *more: str) -> str:
    """What is printed of a rack of the demo."""
    run = rackspec(ROOT, "order", "--parts", "specs", "--rack", name, *DAY, *more)
    assert run.code == 0, run.err
    return run.out


def parts_in(text: str) -> dict[str, dict[str, Any]]:
    """The parts of a document with one rack, by thing."""
    (rack,) = json.loads(text)["racks"]
    found: dict[str, dict[str, Any]] = {part["thing"]: part for part in rack["parts"]}
    assert len(found) == len(rack["parts"])
    return found


@pytest.fixture
def bench(tmp_path: Path) -> dict[str, dict[str, Any]]:
    """The parts of the little rack."""
    write(tmp_path, {"bench.rackspec": BENCH})
    run = rackspec(tmp_path, "order", "--parts", "--write", "json=-", *DAY)
    assert run.code == 0, run.err
    return parts_in(run.out)


@pytest.mark.parametrize(
    ("thing", "needed", "along", "there", "buy"),
    [
        ("osc", 2, 0, 1, [0, 1, 0]),
        ("mix", 1, 0, 0, [1, 0, 0]),  # what goes out is not needed twice
        ("blank 4HP", 1, 0, 0, [0, 0, 1]),
        ("feed", 1, 0, 0, [1, 0, 0]),
        ("bar", 2, 0, 0, [2, 0, 0]),
        # later 4 + 2 + 4 screws, last 4 + 4 + 4 (a blank has 4): nuts for all of it go in at the start
        ("nut", 12, 0, 4, [8, 0, 0]),
        # start 4 + 2 - 4 along, later 8 + 2 - 8, last 8 + 4 - 8: the last lacks most, and 10 are in the bag
        ("M3x8", 12, 8, 10, [0, 0, 0]),
        ("ribbon 10-pin", 2, 0, 0, [1, 1, 0]),
        ("lead", 2, 0, 0, [0, 2, 0]),
        ("adapter 15V 2A", 1, 0, 0, [1, 0, 0]),
        ("board", 1, 0, 0, [1, 0, 0]),  # 2 x 200 x 200 is less than 500 x 300
        ("M4 washer", 4, 0, 0, [4, 0, 0]),
    ],
)
def test_by_hand(
    bench: dict[str, dict[str, Any]], thing: str, needed: int, along: int, there: int, buy: list[int]
) -> None:
    """Counted with a pencil."""
    part = bench[thing]
    assert [stage["to_buy"] for stage in part["stages"]] == buy
    assert (part["needed"], part["along"], part["there"]) == (needed, along, there)


def test_who_sells_it(bench: dict[str, dict[str, Any]]) -> None:
    """Things that do, kits that hold it, packs and pairs."""
    sold = {
        thing: [(line["thing"], line["form"], line["gives"]) for line in part["sold_by"]]
        for thing, part in bench.items()
    }
    assert sold["ribbon 10-pin"] == [("lead", "each", 1)]
    assert sold["adapter 15V 2A"] == [("brick", "each", 1)]
    assert sold["nut"] == [("bag", "each", 4)]
    assert sold["M3x8"] == [("bag", "each", 10)]
    assert sold["bar"] == [("bar", "pair", 2)]
    assert sold["mix"] == []


def test_end_screws_are_such_as_can_be_had(bench: dict[str, dict[str, Any]]) -> None:
    """12mm, a washer of 1mm and 6mm of thread ask for M4x20; only M4x25 is sold, and it does not bottom in 30mm."""
    part = bench["M4x25"]
    assert part["needed"] == 4
    assert part["uses"][0]["source"] == "2 rails x 2 ends, the shortest that is sold here"


@pytest.mark.parametrize(
    ("line", "becomes", "screw"),
    [
        ("    sells   M4x25 at 2 EUR pack 10\n", "", "M4x20"),
        (
            "    sells   M4x25 at 2 EUR pack 10\n",
            "    sells M4x20 at 2 EUR pack 10\n    sells M4x25 at 1 EUR\n",
            "M4x20",
        ),
        ("    have 1 of bag\n", "    have 1 of bag\n    have 8 of M4x30\n", "M4x30"),
        (
            "inward 5mm deep 30mm",
            "inward 5mm",
            "M4x20",
        ),  # the depth is not known: no longer than need be
        ("deep 30mm", "deep 11mm", "M4x20"),  # M4x25 goes 13mm in, at the thinnest washer
    ],
)
def test_which_end_screw(tmp_path: Path, line: str, becomes: str, screw: str) -> None:
    """What is there, else what is sold, else the shortest; never one that may bottom."""
    assert line in BENCH
    write(tmp_path, {"bench.rackspec": BENCH.replace(line, becomes)})
    parts = parts_in(rackspec(tmp_path, "order", "--parts", "--write", "json=-", *DAY).out)
    assert [part["thing"] for part in parts.values() if "end screw" in part["kinds"]] == [screw]


@pytest.mark.parametrize("name", RACKS)
def test_each_line_adds_up(name: str) -> None:
    """Needed, less along, less there is to buy; stages together are the whole; every stage has what it needs."""
    for part in parts_in(demo(name, "--write", "json=-")).values():
        assert part["to_buy"] == max(0, part["needed"] - part["along"] - part["there"]), part["thing"]
        bought = 0
        for stage in part["stages"]:
            bought += stage["to_buy"]
            assert bought + stage["along"] + part["there"] >= stage["needed"]
        assert bought == part["to_buy"]
        for number, stage in enumerate(part["stages"]):
            assert sum(use["pieces"][number] for use in part["uses"]) == stage["needed"]


@pytest.mark.parametrize("name", RACKS)
def test_one_stage_after_the_other_is_the_whole(name: str) -> None:
    """What stages buy when each is asked for alone is what the whole list says of them; those lines add up, too."""
    whole = parts_in(demo(name, "--write", "json=-"))
    stages = [stage["stage"] for stage in next(iter(whole.values()))["stages"]]
    for number, stage in enumerate(stages):
        alone = parts_in(demo(name, "--stage", stage or "start", "--write", "json=-"))
        assert {thing: part["to_buy"] for thing, part in alone.items()} == {
            thing: part["stages"][number]["to_buy"] for thing, part in whole.items()
        }
        for part in alone.values():
            assert part["to_buy"] == max(0, part["needed"] - part["along"] - part["there"]), part["thing"]


@pytest.mark.parametrize("name", RACKS)
def test_all_renderings_say_the_same_numbers(name: str) -> None:
    """JSON, the table for spreadsheets, and markdown."""
    parts = parts_in(demo(name, "--write", "json=-"))
    rows = list(csv.DictReader(io.StringIO(demo(name, "--write", "csv=-"), newline="")))
    assert [row["thing"] for row in rows] == list(parts)
    for row in rows:
        part = parts[row["thing"]]
        for column, key in (("needed", "needed"), ("along", "along"), ("there", "there"), ("to buy", "to_buy")):
            assert int(row[column]) == part[key]
        assert row["price"] == (part["price"]["amount"] if part["price"] else "")
        assert row["at least"] == ("yes" if part["at_least"] else "no")
        for stage in part["stages"]:
            assert int(row[f"buy at {stage['stage'] or 'the start'}"]) == stage["to_buy"]
    shown = [
        row for table in tables(demo(name, "--markdown")) if "where the number comes from" in table[0] for row in table
    ]
    assert {row["thing"]: row["to buy"] for row in shown} == {
        thing: str(part["to_buy"]) for thing, part in parts.items()
    }


@pytest.mark.parametrize("name", RACKS)
def test_text_is_not_wider_than_a_page(name: str) -> None:
    """No line has more than 100 columns, whatever stage is asked for."""
    for more in ((), ("--stage", "start")):
        assert [line for line in demo(name, *more).splitlines() if len(line) > 100] == []


@pytest.mark.parametrize("kind", ["txt", "md", "csv"])
def test_a_list_is_as_it_was_approved(kind: str, golden: Callable[[Path, str], None], tmp_path: Path) -> None:
    """The little rack, in three renderings."""
    write(tmp_path, {"bench.rackspec": BENCH})
    more = {"txt": (), "md": ("--markdown",), "csv": ("--write", "csv=-")}[kind]
    text = rackspec(tmp_path, "order", "--parts", *more, *DAY).out
    golden(FOLDER / f"parts.{kind}", text.replace("\r\n", "\n"))


def test_names_are_no_marks_of_markdown(tmp_path: Path) -> None:
    """Titles with marks stay text: no link, no code, no HTML, no further cell."""
    title = "a | b `c` [d](http://e.example) <b>f</b> *g* $h$"
    write(tmp_path, {"a.rackspec": f'rack tray "{title}" {{\n    wish x "{title}" {{\n        width 4HP\n    }}\n}}\n'})
    run = rackspec(tmp_path, "order", "--parts", "--markdown")
    assert run.code == 0
    tokens = MarkdownIt("commonmark").enable("table").parse(run.out)
    inline = [child for token in tokens for child in token.children or ()]
    assert {child.type for child in inline} <= {"text", "softbreak"}
    texts = [token.content for token in tokens if token.type == "inline"]
    assert any("http://e.example" in text for text in texts)


def test_what_is_there_and_not_needed(tmp_path: Path) -> None:
    """Named at the end; a bag of screws is counted by what is in it."""
    write(tmp_path, {"bench.rackspec": BENCH})
    text = rackspec(tmp_path, "order", "--parts", *DAY).out
    assert "There already and not needed in this rack: 3 of strut." in text
    assert "Blanks can be made at the bench" in text
