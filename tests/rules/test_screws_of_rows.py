"""Screws written for a whole row, and how near screws come: rows go in; numbers are worked out beside them."""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.rules.checking import margins, told

MISMATCH = "thread-mismatch"


def row(
    screws: str = "screws M2.5x6",
    panels: tuple[tuple[str, str], ...] = (("screws 4 of M3x6", "2mm"),),
    room: str = "8mm",
    thread: str = "3mm",
    house: str = "",
) -> str:
    """A row on a strip of M3, 1 mm behind the seat; panels with their screws and how thick they are."""
    modules = "".join(
        f"module m{number} {{\nwidth 8HP\nthickness {thick}\n{came}\ndraws nothing\n}}\n"
        for number, (came, thick) in enumerate(panels)
    )
    lines = "".join(f"next m{number}\n" for number in range(len(panels)))
    return (
        f"{house}insert strip {{\nstrip M3\nholes 84 every 5.08mm\nfirst 2.54mm\nthread {thread}\n}}\n"
        f"rail plain {{\nlength 84HP\ntakes strip\nrecess 1mm\nroom {room}\n}}\n{modules}"
        f"rack tray {{\nrow top {{\nrails plain with strip\n{screws}\n{lines}}}\n}}\n"
    )


def test_the_remedy_for_a_row_is_for_all_of_it() -> None:
    """2 + 4 + 4 screws; 5 - 2 - 1 = 2 mm are 4 turns of 0.5 mm, and 4 mm find 1."""
    panels = (("screws 2 of M3x6", "2mm"), ("screws 4 of M3x6", "2mm"), ("", "2mm"))
    (finding,) = told(row(panels=panels), MISMATCH)
    assert finding.remedy == "use 10 M3x5, the shortest standard length that serves all of its panels"
    assert told(row("screws M3x5", panels), MISMATCH) == []


def test_the_length_serves_the_thickest_and_the_thinnest() -> None:
    """Behind 4 mm no screw shorter than 8 finds 1.5 mm (8 - 4 - 1 = 3); in front of 2 mm it reaches 6 of 8."""
    panels = (("screws 2 of M3x6", "2mm"), ("screws 2 of M3x6", "4mm"))
    (finding,) = told(row(panels=panels), MISMATCH)
    assert finding.remedy == "use 4 M3x8, the shortest standard length that serves all of its panels"


def test_where_no_one_length_serves_the_range_is_told() -> None:
    """6 mm want 10 (3 mm), and in front of 1.5 mm 8 is the longest: 10 would reach 8.5 of 6.5 mm."""
    panels = (("screws 2 of M3x6", "1.5mm"), ("screws 2 of M3x6", "6mm"))
    (finding,) = told(row(panels=panels, room="6.5mm"), MISMATCH)
    assert finding.remedy == (
        "use 4 M3 screws, M3x4 to M3x10 by the panel; no one length serves all of its panels, so leave 'screws' out of "
        "the row"
    )


def test_what_came_with_one_panel_is_still_its_own() -> None:
    """Without screws of the row each panel is told by itself, with its own number."""
    panels = (("screws 2 of M2.5x6", "2mm"), ("screws 4 of M3x6", "2mm"))
    (finding,) = told(row("", panels), MISMATCH)
    assert finding.remedy == "use 2 M3x5, the shortest standard length that serves"


ROOM, NEED = "screws of m0 in the room behind", "thread that the screws of m0 need"


@pytest.mark.parametrize(
    ("screws", "thick", "what", "left"),
    [
        ("M3x10", "2mm", ROOM, "0"),  # 10 - 2 = 8 of 8 mm
        ("M3x9", "2mm", ROOM, "1"),  # and 9 - 2 - 1 = 6 mm of thread, 1.5 are wanted
        ("M3x5", "2mm", NEED, "1/2"),  # 2 mm of thread
        ("M3x4.5", "2mm", NEED, "0"),  # 1.5 mm
        ("M3x10", "2mm..2.5mm", ROOM, "0"),  # the thin end counts
        ("M3x5", "1.5mm..2.5mm", NEED, "0"),  # the thick end counts
    ],
)
def test_the_closest_screw_is_a_margin(screws: str, thick: str, what: str, left: str) -> None:
    found = margins(row(f"screws {screws}", (("screws 4 of M3x6", thick),)))
    assert {name: value for name, value in found.items() if "screws of" in name} == {f"tray/top: {what}": left}


def test_it_is_one_a_row_and_the_closest() -> None:
    """M3x6 behind 2 mm leaves 1.5 mm of thread and 4 mm of room, behind 3 mm 0.5 mm of thread."""
    found = margins(row("", (("screws 4 of M3x6", "2mm"), ("screws 4 of M3x6", "3mm"))))
    assert {name: Fraction(value) for name, value in found.items() if "screws of" in name} == {
        "tray/top: thread that the screws of m1 need": Fraction(1, 2)
    }


def test_a_thin_nut_is_no_close_call_for_ever() -> None:
    """1 mm of thread is 2 turns, all there is; M3x6 goes 3 mm in, so that 2 are left."""
    found = margins(row("", thread="1mm"))
    assert found[f"tray/top: {NEED}"] == "2"


def test_what_is_wrong_is_no_close_call() -> None:
    assert [name for name in margins(row("screws M3x12")) if "screws of" in name] == []
    assert [name for name in margins(row("screws M3x3.5")) if "screws of" in name] == []
    assert [name for name in margins(row()) if "screws of" in name] == []
