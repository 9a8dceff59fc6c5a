"""Specs with the everyday sums of the trade go in; the program must get what a builder gets on the bench.

Where a check says no more, its source is: common practice, no source.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from rackspec.model.parts import Insert
from rackspec.pipeline import Request, inspect
from tests.conftest import TODAY
from tests.outside.through_the_program import measure, run


def rack_of(panels: str, house: str = "") -> str:
    """A spec with one 84 HP row that holds some panels, fed by a supply of 1.2 A."""
    return f"""{house}
supply slim {{
    width 4HP
    gives 1.2A on +12V
    gives 1.2A on -12V
}}
module desk {{
    width 60HP
    draws nothing
}}
rack tray {{
    row top {{
        length 84HP
        power from slim
{panels}
    }}
}}
"""


def test_sixty_and_four_leave_twenty(tmp_path: Path) -> None:
    """A 60 HP module and a 4 HP supply leave 20 of 84 HP; common practice, no source."""
    seen = run(tmp_path, rack_of("        at 0HP slim\n        at 4HP desk"))
    assert seen.code == 0
    (row,) = seen.exact["racks"][0]["rows"]
    assert (row["length_hp"], row["used_hp"], row["free_hp"], row["longest_free_run_hp"]) == (84, 64, 20, 20)


@pytest.mark.parametrize(("width", "fits"), [("20HP", True), ("20HP plus 0.001mm", False), ("21HP", False)])
def test_twenty_more_fill_it(tmp_path: Path, width: str, fits: bool) -> None:
    """20 HP more fill the row to the last HP, and nothing more goes in; common practice, no source."""
    seen = run(tmp_path, rack_of(f"        at 0HP slim\n        at 4HP desk\n        next blank {width}"))
    assert (seen.code == 0) is fits
    assert fits or set(seen.rules) <= {"row-overfull", "beyond-rail-end"}
    (row,) = seen.exact["racks"][0]["rows"]
    assert row["free_hp"] == 0 if fits else row["free_hp"] < 0


def test_two_runs_are_not_one(tmp_path: Path) -> None:
    """The same 20 HP in two runs of 12 and 8: the longest run is not the sum; common practice, no source."""
    seen = run(tmp_path, rack_of("        at 12HP slim\n        at 16HP desk"))
    (row,) = seen.exact["racks"][0]["rows"]
    assert (row["free_hp"], row["longest_free_run_hp"]) == (20, 12)


INSERTS = """
insert strip-one "84-hole tapped strip" {
    strip     M3
    holes     84 every 5.08mm
    first     2.54mm
}
insert nut-one "sliding nut" {
    nut       M2.5
}
insert strip-two {
    strip     M2.5
    holes     84 every 1HP
}
insert nut-two {
    nut       M3
}
rail lipped {
    length    84HP
    takes     strip-one
    takes     nut-one
    takes     strip-two
    takes     nut-two
}
rack tray {
    row one {
        rails lipped with strip-one
    }
    row two {
        rails lipped with nut-one
    }
    row three {
        rails lipped with strip-two
    }
    row four {
        rails lipped with nut-two
    }
}
"""


def inserts_read() -> list[Insert]:
    """The inserts of the four rows above, as the program reads them."""
    result = inspect(Request(("-",), "/", TODAY, INSERTS.encode()))
    assert result.findings == ()
    read = [row.choices[0].insert for row in result.racks[0].rack.rows]
    return [insert for insert in read if insert is not None]


def test_both_threads_occur() -> None:
    """Inserts for M3 and for M2.5 are both sold, as strips and as nuts; common practice, no source."""
    assert [(insert.form, insert.thread) for insert in inserts_read()] == [
        ("strip", "M3"),
        ("nut", "M2.5"),
        ("strip", "M2.5"),
        ("nut", "M3"),
    ]


def test_a_strip_has_a_hole_for_each_hp() -> None:
    """A strip for 84 HP has 84 tapped holes, one each HP, so it spans 83 HP; common practice, no source.

    The pitch is that of the HP: 5.08 mm, IEC 60297-3-101 (confirmed by several public pages).
    """
    rail = measure("84HP").value
    for strip in inserts_read()[::2]:
        assert strip.holes == 84
        assert strip.pitch is not None
        assert strip.pitch.value == Fraction("5.08")
        span = (strip.holes - 1) * strip.pitch.value
        assert span == Fraction("421.64") < rail
        assert rail - span == measure("1HP").value
        assert measure("2.54mm").value + span + measure("2.54mm").value == rail


def test_the_inch_mark_and_the_standard() -> None:
    """End screws of a 3U row are marked out 4 13/16 in apart (common practice, no source): 0.2625 mm short of 122.5 mm.

    122.5 mm is the distance of the fixing holes in IEC 60297-3-101, confirmed by two public files.
    """
    mark = measure("4 13/16in")
    assert mark.value == measure("4.8125in").value == Fraction("122.2375")
    assert measure("122.5mm minus 4 13/16in").value == Fraction("0.2625")
    # half of it is what each screw is off; M3 in a 3.2 mm hole has 0.110 mm each way with the largest 6g screw of
    # 2.980 mm (ISO 965-1, one public table): the mark works because inserts and rails give a little, not by itself
    assert (measure("3.2mm").value - measure("2.980mm").value) / 2 == Fraction("0.11") < Fraction("0.2625") / 2


@pytest.mark.parametrize(
    ("drawn", "rules"),
    [
        ("959.999mA", []),
        ("960mA", []),
        ("0.96A", []),
        ("960.001mA", ["spare-too-thin"]),
        ("1200mA", ["spare-too-thin"]),
        ("1200.001mA", ["supply-overloaded"]),
    ],
)
@pytest.mark.parametrize("house", ["", "house {\n    spare current 20%\n}\n"], ids=["own limit", "house"])
def test_twenty_percent_of_spare_current(tmp_path: Path, drawn: str, rules: list[str], house: str) -> None:
    """20 % spare of 1.2 A leaves 0.96 A, 0.96 A itself included; common practice, no source."""
    organ = f"module organ {{\n    width 8HP\n    draws {drawn} on +12V\n}}\n"
    spec = rack_of("        at 0HP slim\n        at 4HP organ", house) + organ
    seen = run(tmp_path, spec)
    assert seen.rules == rules
    plus = next(line for line in seen.exact["racks"][0]["power"] if line["voltage_v"] == 12)
    assert plus["rated_ma"] == 1200
    assert plus["nominal_ma"] == measure(drawn).value
