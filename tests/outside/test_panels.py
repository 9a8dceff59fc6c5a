"""Panels as the standard has them go in; the program must take them, meet the threads and say what is off.

Source: IEC 60297-3-101 and IEEE 1101.1/1101.10 as an open-hardware crate document (``nwdaq-r3``, front panels) and an
open CAD file quote them; where these differ, both values are taken. Clearance holes: ISO 273. Screws: ISO 965-1, 6g.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from rackspec.physics.bolting import HoleAt, clearance, enters, meet
from rackspec.physics.threads import THREADS
from tests.outside.through_the_program import Run, measure, run

HP = Fraction("5.08")
EDGES = ("7.47", "7.45", "7.5")
"""mm from a panel's edge to its hole (A14): 7.62 - 0.30 / 2, with a deduction of 0.34, and rounded. The same hole."""


def spec(modules: str, rows: str, recess: str = "1mm", insert: str = "strip-m3") -> str:
    """A spec with a rack on rails of 84 HP; strips for M3 and M2.5 have 84 threads on the grid."""
    return f"""insert strip-m3 {{
    strip M3
    holes 84 every 5.08mm
    first 2.54mm
    thread 3mm
}}
insert strip-m25 {{
    strip M2.5
    holes 84 every 5.08mm
    first 2.54mm
    thread 3mm
}}
rail plain {{
    length 84HP
    takes strip-m3
    takes strip-m25
    recess {recess}
    room 8mm
}}
{modules}
rack tray {{
{rows.replace("RAILS", f"rails plain with {insert}")}
}}
"""


def one_panel(folder: Path, lines: str, recess: str = "1mm", insert: str = "strip-m3", at: str = "10HP") -> Run:
    """What the program says of one panel at 10 HP."""
    module = f"module probe {{\n{lines}\n    draws nothing\n}}\n"
    return run(folder, spec(module, f"    row top {{\n        RAILS\n        at {at} probe\n    }}\n", recess, insert))


def severities(seen: Run) -> list[tuple[str, str]]:
    """Rule and severity of all findings."""
    return [(finding["rule"], finding["severity"]) for finding in seen.document["findings"]]


@pytest.mark.parametrize(
    ("height", "standard"),
    [
        ("128.4mm", True),
        ("128.5mm", True),
        ("128.55mm", True),
        ("130mm", False),
        ("128.0mm", False),
        ("132.55mm", False),
    ],
)
def test_height(tmp_path: Path, height: str, standard: bool) -> None:
    """A9: 128.4, 128.5 and 128.55 mm are published. 130 is a loose figure; 132.55 is a rack panel (A7), no module."""
    seen = one_panel(tmp_path, f"    width 8HP\n    height {height}")
    assert severities(seen) == ([] if standard else [("panel-off-standard", "note")])
    assert seen.code == 0


WIDTHS = {
    4: "20.02",
    6: "30.18",
    8: "40.34",
    10: "50.50",
    12: "60.66",
    14: "70.82",
    20: "101.30",
    84: "426.42",
}
"""mm; A13: n x 5.08 - 0.30 of the crate document (4 HP: 20.32 - 0.30); the tolerance is nowhere to be read."""


@pytest.mark.parametrize("hp", WIDTHS)
@pytest.mark.parametrize(("more", "standard"), [("0mm", True), ("0.3mm", False), ("0.001mm", False)])
def test_width(tmp_path: Path, hp: int, more: str, standard: bool) -> None:
    face = f"{WIDTHS[hp]}mm"
    assert measure(face).value == measure(f"{hp}HP minus 0.3mm").value == hp * HP - Fraction("0.3")
    seen = one_panel(tmp_path, f"    width {hp}HP\n    face {face} plus {more}", at="0HP")
    assert severities(seen) == ([] if standard else [("panel-off-standard", "note")])


@pytest.mark.parametrize(
    ("apart", "standard"),
    [
        ("122.5mm", True),
        ("122.4mm", True),
        ("122.6mm", True),
        ("121.5mm", False),
        ("123.5mm", False),
        ("4 13/16in", None),
    ],
)
def test_distance_of_the_holes(tmp_path: Path, apart: str, standard: bool | None) -> None:
    """A10: fixing holes of 3U are 122.5 mm apart; two public files agree.

    End screws of a 3U row are marked out 4 13/16 in apart (common practice, no source): 0.2625 mm less. It is no error.
    """
    seen = one_panel(
        tmp_path,
        f"    width 8HP\n    hole 3.2mm at (7.47mm, 3mm)\n    hole 3.2mm at (7.47mm, 3mm plus {apart})",
    )
    assert seen.code == 0
    assert {severity for _, severity in severities(seen)} <= {"note"}
    if standard is not None:
        assert seen.rules == ([] if standard else ["panel-off-standard"])


@pytest.mark.parametrize("apart", ["117mm", "120mm", "124.5mm"])
def test_holes_that_miss_the_rails(tmp_path: Path, apart: str) -> None:
    """A10: far from 122.5 mm no pushing of the rails helps; how much they give (1 mm) is common practice, no source."""
    seen = one_panel(
        tmp_path,
        f"    width 8HP\n    hole 3.2mm at (7.47mm, 3mm)\n    hole 3.2mm at (7.47mm, 3mm plus {apart})",
    )
    assert severities(seen) == [("hole-misses-thread", "warning")]
    assert seen.document["findings"][0]["message"] == f"the holes of 'probe' are {apart} apart, the threads 122.5mm"


@pytest.mark.parametrize(
    ("y", "said"),
    [
        ("3mm", []),
        ("125.5mm", []),
        ("5mm", [("panel-off-standard", "note")]),
        ("10mm", [("hole-misses-thread", "warning")]),
        ("64mm", [("hole-misses-thread", "warning")]),
    ],
)
def test_height_of_a_single_hole(tmp_path: Path, y: str, said: list[tuple[str, str]]) -> None:
    """A1 and A9: of 3U, 133.35 mm, a panel leaves 4.85 mm; half of that it may stand too high or too low."""
    assert severities(one_panel(tmp_path, f"    width 8HP\n    hole 3.2mm at (7.47mm, {y})")) == said


@pytest.mark.parametrize(("height", "edge"), [("128.4", "2.95"), ("128.5", "3.00"), ("128.55", "3.025")])
def test_holes_of_every_published_height(tmp_path: Path, height: str, edge: str) -> None:
    """A9 and A10 together: (height - 122.5) / 2 from either edge, whichever height is right."""
    assert (Fraction(height) - Fraction("122.5")) / 2 == Fraction(edge)
    upper = f"{height}mm minus {edge}mm"
    holes = f"    hole 3.2mm at (7.47mm, {edge}mm)\n    hole 3.2mm at (7.47mm, {upper})"
    assert one_panel(tmp_path, f"    width 8HP\n    height {height}mm\n{holes}").rules == []


@pytest.mark.parametrize("edge", EDGES)
@pytest.mark.parametrize("name", ["M3", "M2.5"])
def test_a_standard_panel_meets_threads_at_every_hp(edge: str, name: str) -> None:
    """A14: first hole in the middle of the second HP, the other mirrored; every HP from 0 to 80, 4 to 20 HP wide."""
    thread = THREADS[name]
    hole, slack, tried = Fraction(edge), Fraction("0.15"), 0
    for hp in range(4, 21):
        face = hp * HP - Fraction("0.3")
        for start in range(min(80, 84 - hp) + 1):
            left = start * HP + slack
            holes = [HoleAt(left + x, thread.clearance[0], thread.clearance[0]) for x in (hole, face - hole)]
            met = meet(holes, thread, HP / 2, HP, 84, slack)
            assert met.shift == 0, (hp, start)
            assert abs(met.off) <= Fraction("0.03"), (hp, start)
            tried += 1
    assert tried == sum(85 - hp for hp in range(4, 21))


@pytest.mark.parametrize("edge", EDGES)
def test_and_so_the_program_says(tmp_path: Path, edge: str) -> None:
    """The same through the program: panels of 4 to 20 HP side by side, so that many places occur; nothing is said."""
    modules, rows = "", ""
    for hp in range(4, 21):
        holes = "".join(
            f"    hole 3.2mm at ({x}, {y})\n"
            for x in (f"{edge}mm", f"{hp}HP minus 0.3mm minus {edge}mm")
            for y in ("3mm", "125.5mm")
        )
        modules += f"module wide-{hp} {{\n    width {hp}HP\n    face {hp}HP minus 0.3mm\n{holes}    draws nothing\n}}\n"
        first = hp % 3
        panels = "".join(f"        at {start}HP wide-{hp} as at-{hp}-{start}\n" for start in range(first, 85 - hp, hp))
        rows += f"    row row-{hp} {{\n        RAILS\n{panels}    }}\n"
    seen = run(tmp_path, spec(modules, rows))
    assert seen.rules == []
    assert seen.code == 0
    # Half an HP further every one of them stands between two threads, which is said once for each row.
    moved = run(tmp_path, spec(modules, rows.replace("HP wide-", "HP plus 0.5HP wide-")))
    said = [item["message"] for item in moved.document["findings"] if item["rule"] == "hole-misses-thread"]
    assert len(said) == rows.count("RAILS") == 17
    assert all("stand 2.54mm beside the threads" in message for message in said)
    assert moved.code == 1


def test_clearance_of_m3() -> None:
    """c = (hole - screw) / 2, with 3.2 mm of ISO 273 and 2.980 mm of ISO 965-1, exactly."""
    hole = HoleAt(Fraction(0), Fraction("3.2"), Fraction("3.2"))
    assert clearance(hole, THREADS["M3"]) == (Fraction("3.2") - Fraction("2.980")) / 2 == Fraction("0.110")
    slot = HoleAt(Fraction(0), Fraction("3.2"), Fraction("6.2"))
    assert clearance(slot, THREADS["M3"]) == Fraction("1.610")


@pytest.mark.parametrize(("insert", "does_enter"), [("strip-m3", False), ("strip-m25", True)])
def test_a_hole_for_the_smaller_screw(tmp_path: Path, insert: str, does_enter: bool) -> None:
    """A15: 2.7 mm is the hole of the document, ISO 273 fine for M2.5; M3, up to 2.980 mm, does not go through."""
    thread = THREADS["M2.5" if does_enter else "M3"]
    assert enters(HoleAt(Fraction(0), Fraction("2.7"), Fraction("2.7")), thread) is does_enter
    seen = one_panel(tmp_path, "    width 8HP\n    hole 2.7mm at (7.47mm, 3mm)", insert=insert)
    assert severities(seen) == ([] if does_enter else [("screw-misses-hole", "error")])


@pytest.mark.parametrize(
    ("hole", "insert", "does_enter"),
    [
        ("2.98mm", "strip-m3", True),
        ("2.979mm", "strip-m3", False),
        ("2.48mm", "strip-m25", True),
        ("2.479mm", "strip-m25", False),
    ],
)
def test_the_largest_screw_decides(tmp_path: Path, hole: str, insert: str, does_enter: bool) -> None:
    """ISO 965-1, 6g: the largest screw of M3 is 2.980 mm, of M2.5 2.480 mm (B17, one public table)."""
    seen = one_panel(tmp_path, f"    width 8HP\n    hole {hole} at (7.47mm, 3mm)", insert=insert)
    assert ("screw-misses-hole" not in seen.rules) is does_enter


def test_holes_in_the_middle_of_two_hp(tmp_path: Path) -> None:
    """2 HP with its hole in the middle: on the grid line, half an HP from either thread; 5.08 / 2 = 2.54 mm."""
    seen = one_panel(tmp_path, "    width 2HP\n    hole 3.2mm at (1HP minus 0.15mm, 3mm)")
    (finding,) = seen.document["findings"]
    assert (finding["rule"], finding["severity"]) == ("hole-misses-thread", "error")
    assert "2.54mm" in finding["message"]


@pytest.mark.parametrize(
    ("recess", "said"),
    [
        ("1mm", []),
        ("2.5mm", []),
        ("2.501mm", [("screw-too-short", "warning")]),
        ("3.5mm", [("screw-too-short", "warning")]),
        ("3.501mm", [("screw-too-short", "error")]),
        ("3.8mm", [("screw-too-short", "error")]),
    ],
)
def test_a_channel_further_back(tmp_path: Path, recess: str, said: list[tuple[str, str]]) -> None:
    """M3x6 through 2 mm reaches 4 mm: a channel further back makes it too short (common practice, no source).

    The pitch of M3 is 0.5 mm (ISO 261): three turns are 1.5 mm, one is 0.5 mm. How many are wanted is common practice.
    """
    seen = one_panel(tmp_path, "    width 8HP\n    thickness 2mm\n    screws 4 of M3x6", recess=recess)
    assert severities(seen) == said


@pytest.mark.parametrize("thickness", ["2.0mm", "2.5mm", "3.0mm"])
def test_thicknesses_of_the_document(tmp_path: Path, thickness: str) -> None:
    """A16: panels are 2.0, 2.5 or 3.0 mm thick; with a recess of 1 mm M3x6 finds 2 mm of thread behind 3 mm."""
    assert one_panel(tmp_path, f"    width 8HP\n    thickness {thickness}\n    screws 4 of M3x6").rules == []
