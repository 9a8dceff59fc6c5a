"""Hardware and assembly: racks go in; counts must be those that another count of the same files gives."""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Callable
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

import pytest

from rackspec.pipeline import Request, inspect
from rackspec.rules.hardware import hardware
from rackspec.rules.registry import Look
from tests.cli.running import rackspec
from tests.conftest import ROOT, TODAY
from tests.views.test_report import FOLDER, SPECS, sheet, tables

GOLDEN = ("bell-loft", "granary")
RACKS = sorted(SPECS)


@cache
def exported(name: str) -> list[dict[str, Any]]:
    """The racks of a file as ``export`` writes them."""
    run = rackspec(ROOT, "export", SPECS[name])
    assert run.code == 0
    document = json.loads(run.out)
    assert document["racks"]
    parts: list[dict[str, Any]] = document["racks"]
    return parts


def list_of(name: str) -> dict[str, dict[str, str]]:
    """The list of what to buy, by part."""
    found = [table for table in tables(sheet(name, "--about", "fit", "--markdown")) if "along" in table[0]]
    assert len(found) <= 1
    return {row["part"]: row for row in found[0]} if found else {}


def number(text: str) -> int:
    """The number of a cell: ``at least 12 at easter`` is 12."""
    match = re.search(r"[0-9]+", text)
    assert match is not None, text
    return int(match[0])


@pytest.mark.parametrize("name", RACKS)
def test_to_buy_closes_the_gap(name: str) -> None:
    """Bought, come along and there together are never less than what is needed, and no more is bought."""
    for row in list_of(name).values():
        needed, buy = number(row["needed"]), number(row["to buy"])
        there = number(row["have"]) if row["have"] != "-" else 0
        along = number(row["along"]) if row["along"] else 0
        assert buy + along + there >= needed
        assert buy == max(0, needed - along - there)


@pytest.mark.parametrize("name", RACKS)
def test_rails_strips_and_end_screws_by_another_count(name: str) -> None:
    """Two rails a row, four end screws a row: counted out of the export, where a row has only one choice."""
    for rack in exported(name):
        rows = [row for row in rack["rows"] if row["rails"]]
        if not rows or any(len(row["rails"]) > 1 for row in rows):
            continue
        listed = list_of(name)
        rails = Counter(row["rails"][0]["rail"] for row in rows)
        for rail, pairs in rails.items():
            assert number(listed[rail]["needed"]) == 2 * pairs
        ends = [row for part, row in listed.items() if "2 rails" in row["where the number comes from"]]
        assert sum(number(row["needed"]) for row in ends) == 4 * len(rows)


@pytest.mark.parametrize(
    ("name", "row", "nut"),
    [("granary", "porch", "nut-m25"), ("granary", "gauges", "nut-m3-front"), ("harmonium-shelf", "shelf", "nut-m3")],
)
def test_nuts_by_another_count(name: str, row: str, nut: str) -> None:
    """A nut for each screw, the most at once; the panels that have a place, counted out of the export."""
    (rack,) = exported(name)
    (panels,) = [other["panels"] for other in rack["rows"] if other["name"] == row]
    stages = range(1 + len(rack["stages"]))
    most = 0
    for stage in stages:
        here = 0
        for panel in panels:
            if panel["what"] != "gap" and panel["since"] <= stage < (panel["until"] or len(stages)):
                screws = (panel["facts"] or {}).get("screws")
                here += screws["pieces"] if screws else 4
        most = max(most, here)
    line = list_of(name)[nut]
    wished = 12 if (row, nut) == ("porch", "nut-m25") else 0  # 22HP are free: three wishes could come there
    assert number(line["needed"]) == most + wished


def test_screws_that_come_along_by_another_count() -> None:
    """Over all stages: as many as the library says of the panels that stand in the rack."""
    (rack,) = exported("granary")
    come: Counter[str] = Counter()
    for row in rack["rows"]:
        for panel in row["panels"]:
            screws = (panel["facts"] or {}).get("screws")
            if screws:
                come[screws["designation"]] += screws["pieces"]
    page = tables(sheet("granary", "--about", "fit", "--markdown"))
    (supplied,) = [table for table in page if "left over" in table[0]]
    assert {row["screws"]: int(row["come"]) for row in supplied} == come
    assert all(int(row["used"]) + int(row["left over"]) == int(row["come"]) for row in supplied)


def test_what_cannot_be_used_says_why() -> None:
    """Wrong thread and too short, by row."""
    page = tables(sheet("granary", "--about", "fit", "--markdown"))
    (supplied,) = [table for table in page if "left over" in table[0]]
    (small,) = [row for row in supplied if row["screws"] == "M3x6"]
    # 11 panels of the top row, one of them with M3x8: 34 - 4; in the bottom row 26 screws, 6 of them M2.5x6
    assert "30 in row gauges: too short there" in small["why"]
    assert "20 in row porch: wrong thread: 'nut-m25' is M2.5" in small["why"]


def chance_rack(chance: Random) -> str:
    """A rack with a few rows, stages, screws that are there, and panels that come and go."""
    inserts = (
        "insert strip {\nstrip M3\nholes 84 every 5.08mm\nthread 3mm\n}\n"
        f"insert nut {{\nnut {chance.choice(['M3', 'M2.5'])}\nthread 1.8mm\n"
        f"{chance.choice(['enters end', 'enters front', ''])}\n}}\n"
    )
    recess = chance.choice(["recess 1mm\n", "recess 3.2mm\n", ""])
    end = chance.choice(["", "end-hole M4 behind 5mm inward 0mm deep 12mm\n", "end-hole M5 behind 5mm inward 0mm\n"])
    rail = f"rail plain {{\nlength 84HP\ntakes strip\ntakes nut\n{recess}room 8mm\n{end}}}\n"
    modules = ""
    for kind in range(4):
        came = chance.choice(["", "screws 2 of M3x6\n", "screws 4 of M3x8\n", "screws 3 of M2.5x6\n"])
        modules += f"module m{kind} {{\nwidth {chance.randrange(2, 9)}HP\n{came}thickness 2mm\ndraws nothing\n}}\n"
    have = "".join(
        f"have {chance.randrange(30)} of {part}\n"
        for part in ("M3x6", "M3x8", "M4x20", "M2.5x6", "nut", "plain")
        if chance.random() < 0.5
    )
    rows = ""
    for row in range(chance.randrange(1, 4)):
        lines = ""
        for place in range(chance.randrange(0, 7)):
            when = chance.choice(["", " in one", " in two", " until one", " in one until two"])
            panel = chance.choice(["blank 4HP", f"m{chance.randrange(4)}"])
            lines += f"next {panel} as p{row}-{place}{when}\n"
        own = chance.choice(["", "screws M3x8\n"])
        ends = chance.choice(["", "end-screws M4x20 washer 1mm\n", "end-screws M4x40\n", "end-screws M3x8\n"])
        rows += f"row r{row} {{\nrails plain with {chance.choice(['strip', 'nut'])}\n{own}{ends}{lines}}}\n"
    wish = "wish echo in two {\ncount 2\nwidth 6HP\n}\n" if chance.random() < 0.5 else ""
    side = "case {\nside {\nfrom board\n}\n}\n" if chance.random() < 0.7 else ""
    return (
        f"{inserts}{rail}{modules}sheet board {{\nthickness 12mm\n}}\n"
        f"rack tray {{\nstage one\nstage two\n{have}{rows}{wish}{side}}}\n"
    )


@pytest.mark.parametrize("seed", range(150))
def test_at_every_stage_there_is_enough(seed: int) -> None:
    """Bought once, and whatever comes and goes: no stage lacks a screw, a nut, a strip or a rail."""
    (seen,) = inspect(Request(("-",), "/", TODAY, chance_rack(Random(seed)).encode())).racks
    rack = seen.rack
    have: Counter[str] = Counter()
    for one in rack.have:
        have[one.part] += one.pieces
    found = hardware(Look(rack, seen.house, {}))
    assert [row.row.name for row in found.rows] == [row.name for row in rack.rows]
    for item in found.items:
        short = []
        for stage in range(3):
            needed = sum(use.pieces[stage] for use in item.uses)
            along = sum(
                panel.part.screws.pieces
                for row in rack.rows
                for panel in row.panels
                if panel.there(stage) and panel.part and panel.part.screws
                if panel.part.screws.designation == item.part
            )
            short.append(needed - along - have[item.part])
            assert item.to_buy + have[item.part] + along >= needed
        assert item.to_buy == max(0, *short)
    for row in found.rows:
        standing = [panel for panel in row.row.panels if panel.what != "gap"]
        assert sorted(line.panel.name for line in row.lines) == sorted(panel.name for panel in standing)
        assert sum(pieces for _, pieces, _ in row.ends.screws) == 4
        screws = [
            use for item in found.items for use in item.uses if (use.kind, use.row) == ("panel screw", row.row.name)
        ]
        for stage in range(3):
            there = sum(line.pieces for line in row.lines if line.panel.there(stage))
            assert sum(use.pieces[stage] for use in screws) == there
            nuts = [use for item in found.items for use in item.uses if (use.kind, use.row) == ("nut", row.row.name)]
            assert all(use.pieces[stage] >= there for use in nuts)


def test_end_screws_that_are_wrong_are_not_bought() -> None:
    """What is written bottoms by 9 mm: the list names those that serve, and says why."""
    assert "M4x40" not in list_of("bell-loft")
    assert "Counted here instead" in sheet("bell-loft", "--about", "fit")


def test_rails_side_by_side() -> None:
    """A row with four choices gets one table; each choice a column, and the first that does is named."""
    page = tables(sheet("bell-loft", "--about", "fit", "--markdown"))
    (table,) = [table for table in page if table[0].get("") == "does it?"]
    does = table[0]
    assert list(does)[1:] == [
        "stub-36 with strip-40",
        "oak-40 with strip-40",
        "oak-40 with nut-slide",
        "deep-40 with nut-spring",
    ]
    assert does["stub-36 with strip-40"].startswith("no: 36HP long")
    assert does["oak-40 with strip-40"].startswith("yes: taken, the first that does")
    lines = {row[""]: row for row in table}
    assert lines["nuts, strips"]["oak-40 with strip-40"] == "2 strip-40"
    # M3x6 behind 2 mm of panel and 3.4 mm of recess finds 0.6 mm: too short on these rails only
    assert lines["panel screws"]["deep-40 with nut-spring"] == "18 M3x8"
    assert lines["supplied, left over"]["deep-40 with nut-spring"] == "20 of 20"
    assert lines["supplied, left over"]["oak-40 with strip-40"] == "4 of 20"


def test_one_choice_is_no_table() -> None:
    """The same facts in a line."""
    text = " ".join(sheet("harmonium-shelf", "--about", "fit").split())
    assert "Rails longshore-84 with nut-m3: they do. In short: length: 84HP; closest sideways:" in text
    assert not [
        t for t in tables(sheet("harmonium-shelf", "--about", "fit", "--markdown")) if "does it?" in t[0].values()
    ]


# --- the order of assembly


@pytest.mark.parametrize("name", GOLDEN)
@pytest.mark.parametrize("kind", ["txt", "md"])
def test_assembly_is_as_it_was_approved(name: str, kind: str, golden: Callable[[Path, str], None]) -> None:
    """The whole sheet, in both renderings."""
    more = ("--markdown",) if kind == "md" else ()
    golden(FOLDER / f"{name}-assembly.{kind}", sheet(name, "--about", "assembly", *more))


@pytest.mark.parametrize("name", RACKS)
def test_assembly_fits_a_page_and_both_renderings_agree(name: str) -> None:
    """No line is wider than 100 columns; every word in a table of the markdown is in the text too."""
    text, page = sheet(name, "--about", "assembly"), sheet(name, "--about", "assembly", "--markdown")
    assert [line for line in text.splitlines() if len(line) > 100] == []
    words = {word for table in tables(page) for row in table for cell in row.values() for word in cell.split()}
    assert words <= set(text.split())
    assert text.count("[ ]") == page.count("[ ]") + page.count("\\[ \\]")


@pytest.mark.parametrize("name", RACKS)
def test_assembly_carries_caution_and_comes_in_order(name: str) -> None:
    """Who may do the mains side and the wall is said before the first step; steps are numbered without a gap."""
    text = " ".join(sheet(name, "--about", "assembly").split())
    racks = re.split(r"Rack [a-z-]+(?:: [^=]+)? ==", text)[1:]
    assert len(racks) == len(exported(name))
    for rack in racks:
        before, _, steps = rack.partition("Before you start")
        for caution in ("wear glasses", "licensed", "lift it with two", "destroys modules", "local code"):
            assert caution in before
        assert steps
        numbers = [int(match) for match in re.findall(r"Step ([0-9]): [a-z ,-]*[a-z] --", steps)]
        assert numbers == list(range(1, len(numbers) + 1))
        assert len(numbers) >= 8
        assert steps.index("Step 7: first power-up") < steps.index("Step 8: panels")
        assert "--about first-power-up" in steps


def test_every_panel_is_put_on_once_and_with_its_screws() -> None:
    """Step 8 and later stages together: each panel of the rack comes in once, and goes out once if it does."""
    (rack,) = exported("bell-loft")
    page = tables(sheet("bell-loft", "--about", "assembly", "--markdown"))
    steps = [row for table in page if set(table[0]) == {"", "position", "panel", "screws"} for row in table]
    changes = sheet("bell-loft", "--about", "assembly").partition("Step 9: later stages")[2]
    panels = [panel for row in rack["rows"] for panel in row["panels"]]
    names = Counter(panel["name"] or panel["what"] for panel in panels if not panel["since"])
    assert Counter(row["panel"] for row in steps) == names
    assert len(re.findall(r"^\[ \]  in ", changes, re.MULTILINE)) == sum(panel["since"] > 0 for panel in panels)
    assert len(re.findall(r"^\[ \]  out ", changes, re.MULTILINE)) == sum(
        panel["until"] is not None for panel in panels
    )
    (first,) = [row for row in steps if row["panel"] == "toll-a"]
    assert first["screws"] == "4 M3x6"


def test_nuts_are_counted_before_the_second_side() -> None:
    """8 + 8 by hand: rope-pull 2, clapper-c 1, toll-d 2, rope-b takes the place of clapper-c and wants 2, a wish 2."""
    text = " ".join(sheet("bell-loft", "--about", "assembly").split())
    assert "STOP and count row floor: 8 nuts in the bottom rail, 8 in the top rail" in text
    assert text.index("Step 2: thread strips") < text.index("STOP and count") < text.index("Step 5: set the rails")


def test_a_guess_releases_no_drill(tmp_path: Path) -> None:
    """The seat is a guess: no command to print sheets, and the reason; measured, there is one."""
    text = re.sub(" +end-screws M4x40.*\n", "", (FOLDER / "bell-loft.rackspec").read_text("utf-8"))
    (tmp_path / "loft.rackspec").write_text(text, encoding="utf-8")
    sure = rackspec(tmp_path, "report", "loft.rackspec", "--about", "assembly").out
    assert "rackspec template loft.rackspec --rack bell-loft --to bell-loft.pdf" in " ".join(sure.split())
    assert "DO NOT DRILL YET" not in sure
    guess = text.replace("(10mm, 170mm)", "(10mm, 170mm) guessed")
    assert guess != text
    (tmp_path / "loft.rackspec").write_text(guess, encoding="utf-8")
    unsure = rackspec(tmp_path, "report", "loft.rackspec", "--about", "assembly").out
    assert "--to bell-loft.pdf" not in " ".join(unsure.split())
    assert "DO NOT DRILL YET" in unsure
    assert "the seat of row 'ropes' is guessed" in unsure


def test_open_errors_stop_it() -> None:
    """An end screw that bottoms is an error: the sheet says so before anything is drilled."""
    assert "DO NOT DRILL OR SCREW" in sheet("bell-loft", "--about", "assembly")
    assert "DO NOT DRILL OR SCREW" not in sheet("granary", "--about", "assembly")


def test_a_rack_of_nothing(tmp_path: Path) -> None:
    """No row, no rails, no case, a line that is not understood: a sheet all the same."""
    (tmp_path / "bare.rackspec").write_text("rack one {\n}\nrack two {\nrow top {\nat 0HP blank 4HP\nwobble\n}\n}\n")
    run = rackspec(tmp_path, "report", "bare.rackspec", "--about", "assembly")
    assert run.code == 0
    assert "there is nothing to put together" in run.out
    assert "No rails are named for top" in run.out
    assert "A line of this rack was not understood: panels may be missing here." in run.out


def test_report_without_a_sheet_is_as_before() -> None:
    """Fit, power and growth; assembly only when it is asked for."""
    text = sheet("harmonium-shelf")
    assert [word for word in ("FIT", "POWER", "GROWTH", "ASSEMBLY") if f"\n{word}\n" in text] == [
        "FIT",
        "POWER",
        "GROWTH",
    ]


# --- faults that were found by hand: each has its own small rack

STRIP = "insert strip3 {\nstrip M3\nholes 84 every 5.08mm\nfirst 2.54mm\nthread 3mm\n}\n"
OTHER = STRIP.replace("strip3", "strip25").replace("M3", "M2.5")


def birds(row: str, more: str = "", case: str = "inside 84HP plus 1mm") -> str:
    """Two pairs of rails, heron with M3 in its ends and kestrel with M4, in a case of 12 mm."""
    rail = "length 84HP\ntakes strip3\ntakes strip25\ntakes slider\nrecess 1mm\nroom 8mm\n"
    return (
        f"{STRIP}{OTHER}insert slider {{\nnut M3\nacross 5.5mm\nenters end\nthread 1.8mm\n}}\n"
        f"rail heron {{\n{rail}end-hole M3 behind 5mm inward 0mm deep 12mm\n}}\n"
        f"rail kestrel {{\n{rail}end-hole M4 behind 5mm inward 0mm deep 12mm\n}}\n"
        "module osc {\nwidth 8HP\nthickness 2mm\nscrews 2 of M3x6\ndraws nothing\n}\nsheet board {\nthickness 12mm\n}\n"
        f"rack tray {{\nstage spring\nrow top {{\nseat (8mm, 25mm)\n{row}\n}}\n{more}"
        f"case {{\nside {{\nfrom board\n}}\n{case}\n}}\n}}\n"
    )


def report(folder: Path, text: str, about: str) -> str:
    """A sheet of a rack, as markdown."""
    (folder / "tray.rackspec").write_text(text, encoding="utf-8")
    run = rackspec(folder, "report", "tray.rackspec", "--about", about, "--markdown")
    assert run.code == 0, run.err
    return run.out


def choices(page: str) -> dict[str, dict[str, str]]:
    """The table of rails side by side: its lines by what they are about."""
    (table,) = [table for table in tables(page) if table[0].get("") == "does it?"]
    return {row[""]: row for row in table}


@pytest.mark.parametrize(("screws", "taken"), [("M3x16", "heron"), ("M4x20", "kestrel")])
def test_rails_that_the_end_screws_do_not_fit_would_not_do_too(tmp_path: Path, screws: str, taken: str) -> None:
    """The first that does is taken; of the other the end screws are the reason, and nothing is near sideways."""
    row = f"rails heron with strip3\nor kestrel with strip3\nend-screws {screws}\nat 0HP osc\nnext osc as other"
    lines = choices(report(tmp_path, birds(row), "fit"))
    for name in ("heron", "kestrel"):
        said = lines["does it?"][f"{name} with strip3"]
        if name == taken:
            assert said == "yes: taken, the first that does"
        else:
            assert said.startswith(f"no: the end screws of row 'top' are {screws}; the ends of '{name}' are tapped")
            assert lines["closest sideways"][f"{name} with strip3"] == "-"
        assert lines["end screws"][f"{name} with strip3"] == ("4 M3x20" if name == "heron" else "4 M4x20") or (
            name == taken
        )


def test_screws_that_came_along_beat_those_of_the_row_that_do_not_fit(tmp_path: Path) -> None:
    """M2.5x6 fits heron's strip25 only; on strip3 the M3x6 of three panels do: 6 - 2 - 1 = 3 mm, 6 turns, of 8 mm."""
    row = "rails heron with strip25\nor kestrel with strip3\nscrews M2.5x6\nat 0HP osc\nnext osc as b\nnext osc as c"
    lines = choices(report(tmp_path, birds(row), "fit"))
    assert lines["panel screws"]["heron with strip25"] == "6 M2.5x6"
    assert lines["panel screws"]["kestrel with strip3"] == "6 M3x6"
    assert lines["of these to buy"]["kestrel with strip3"] == "none"
    assert lines["supplied, left over"]["kestrel with strip3"] == "0 of 6"
    assert lines["supplied, left over"]["heron with strip25"] == "6 of 6"
    # where those that came do not hold either, others are bought: 6 - 4 - 1 = 1 mm
    thick = birds(row).replace("thickness 2mm", "thickness 4mm")
    assert choices(report(tmp_path, thick, "fit"))["of these to buy"]["kestrel with strip3"] == "6 M3x8"


def test_shims_go_in_at_both_ends(tmp_path: Path) -> None:
    """4 mm in all: 2 mm at each end, said before both sides; without shims it is not said."""
    row = "rails kestrel with strip3\nat 0HP osc"
    page = report(tmp_path, birds(row, case="inside 84HP plus 4mm\nshims 4mm"), "assembly")
    first, second = page.index("Step 3: first side"), page.index("Step 4: second side")
    spots = [match.start() for match in re.finditer("2mm between each rail and this side", page)]
    assert len(spots) == 2
    assert first < spots[0] < second < spots[1]
    # 20 - 0.9 - 12 - 2 = 5.1 mm, and 6 are wanted: one size longer than without
    assert "2 M4x25" in page
    bare = report(tmp_path, birds(row), "assembly")
    assert "shims" not in bare
    assert "2 M4x20" in bare
    fit = report(tmp_path, birds(row, case="inside 84HP plus 4mm\nshims 4mm"), "fit")
    assert "through 2mm of shims at each end: 4 M4x25" in " ".join(fit.split())
    # of 2 mm of thread no length makes three turns (2.1 mm)
    shallow = birds(row).replace("inward 0mm deep 12mm", "inward 0mm deep 2mm")
    assert "nobody wrote any, and no standard length serves" in report(tmp_path, shallow, "assembly")
    assert "no standard M4 screw serves here: the ends would have to be tapped deeper" in report(
        tmp_path, shallow, "fit"
    )


def waiting(page: str) -> list[tuple[str, ...]]:
    """The lines of the table of nuts that wait."""
    found = [table for table in tables(page) if "they wait" in table[0]]
    return [tuple(row.values()) for table in found for row in table]


def test_nuts_of_wishes_have_a_place_to_wait(tmp_path: Path) -> None:
    """8HP, 8HP free, 8HP, 60HP free: two of 30HP go to the right, one of 6HP into the gap."""
    row = "rails kestrel with slider\nat 0HP osc as a\nat 16HP osc as b"
    wishes = "wish hall in spring {\ncount 2\nwidth 30HP\n}\nwish stuff in spring {\nwidth 6HP\n}\n"
    lines = waiting(report(tmp_path, birds(row, wishes), "assembly"))
    assert lines == [
        ("top", "wish hall", "spring", "4", "4", "in the free run 24HP..84HP, right of b"),
        ("top", "wish stuff", "spring", "2", "2", "in the free run 8HP..16HP, between a and b"),
    ]
    # as many as the count of the second side says: 4 of the start and 12 of the wishes
    assert sum(int(line[3]) + int(line[4]) for line in lines) == 12
    assert "12 of its nuts are for wishes" in report(tmp_path, birds(row, wishes), "assembly")


def test_nuts_of_a_wish_without_a_run(tmp_path: Path) -> None:
    """Two runs of 34HP take one of 20HP each; by the sum of the room three may come, and the third fits nowhere."""
    row = "rails kestrel with slider\nat 34HP osc as a\nat 42HP osc as b"
    lines = waiting(report(tmp_path, birds(row, "wish hall in spring {\ncount 3\nwidth 20HP\n}\n"), "assembly"))
    assert [line[5].partition(":")[0] for line in lines] == [
        "in the free run 0HP..34HP, left of a",
        "in the free run 50HP..84HP, right of b",
        "nowhere",
    ]
