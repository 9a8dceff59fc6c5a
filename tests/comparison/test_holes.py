"""Two racks with a case go in; what becomes of the drill points of each row comes out.

A hole that moves is neither better nor worse. What is not known any more does not move, and is no gain.
"""

from __future__ import annotations

from fractions import Fraction
from math import cos, radians, sin

import pytest

from rackspec.comparison import Comparison, refused
from rackspec.comparison.hole_record import FREED, HELD, HoleChange
from rackspec.comparison.refuse import REFUSABLE
from rackspec.views.comparison_json import document
from rackspec.views.comparison_markdown import comparison_markdown
from rackspec.views.comparison_text import comparison_lines
from rackspec.views.comparison_verdict import verdict
from tests.comparison.texts import compared, contents

SPEC = """\
module saw {
    width     10HP
    depth     30mm
    thickness 2mm
    screws    4 of M3x6
}
insert strip {
    strip     M3
    holes     42 every 1HP
    first     0.5HP
    play      1mm
    thread    3mm
    slack     0.4mm
}
insert nut "another one" {
    nut       M3
    across    5.5mm
    thread    3mm
    enters    end
}
rail trough {
    length    42HP
    takes     strip
    takes     nut
    recess    1mm
    room      9mm
    lip       front 1.2mm outside 4mm
    end-hole  M4 behind 5mm inward 0.5mm deep 12mm
}
sheet ply {
    thickness 9mm
}
rack desk {
    row low {
        rails     trough with strip
        seat      (10mm, 20mm)
        end-screws M4x16 washer 1mm
        apart     122.5mm
        at 0HP    saw
    }
    row high {
        rails     trough with strip
        seat      setback 12mm up 160mm lean 10deg
        at 0HP    saw as other
    }
    case {
        side {
            from      ply
            count     2
            corner    (0mm, 0mm)
            corner    (150mm, 0mm)
            corner    (150mm, 320mm)
            corner    (0mm, 320mm)
        }
        inside    42HP plus 1mm
        abandoned left (120mm, 300mm)
    }
}
"""
LOW, HIGH = "desk/low", "desk/high"
SEAT = "        seat      (10mm, 20mm)\n"


def edited(*edits: tuple[str, str]) -> str:
    """The spec with some texts in the place of others, each of which is there once."""
    text = SPEC
    for old, new in edits:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return text


def after(*edits: tuple[str, str]) -> Comparison:
    """What some edits of the spec do; that the way back is their mirror image is looked at each time."""
    there, back = compared(SPEC, edited(*edits)), compared(edited(*edits), SPEC)
    assert contents(there, mirrored=True) == contents(back)
    return there


def holes(comparison: Comparison) -> dict[str, HoleChange]:
    """What becomes of the drill points of each row."""
    return {change.about: change for rack in comparison.racks for change in rack.holes}


def told(comparison: Comparison) -> list[str]:
    """What the table tells of drill points."""
    lines = [line.strip() for line in comparison_lines(comparison)]
    return [line.removeprefix("drill points").strip() for line in lines if line.startswith("drill points")]


def test_a_seat_that_moves() -> None:
    """All four holes go along, exactly; it is no reason to be glad or sorry, and nothing new can be refused."""
    there = after(("(10mm, 20mm)", "(11mm, 20mm)"))
    assert list(holes(there)) == [LOW]
    ways = {(move.side, move.line): (move.back, move.up) for move in holes(there)[LOW].moves}
    assert ways == {
        (side, line): (Fraction(1), Fraction(0)) for side in ("left", "right") for line in ("bottom", "top")
    }
    assert told(there) == ["of row 'low' move 1mm back"]
    assert "; drill points of row 'low' move 1mm back; " in verdict(there)
    assert not any("better" in line or "worse" in line for line in comparison_lines(there))
    assert [what for what in REFUSABLE if refused(there, what)] == ["any"]
    assert "of row 'low' move 1mm back" in comparison_markdown(there)
    back = compared(edited(("(10mm, 20mm)", "(11mm, 20mm)")), SPEC)
    assert told(back) == ["of row 'low' move 1mm to the front"]


def test_two_ways_at_once_and_less_than_can_be_drilled() -> None:
    """Each way is named; what is less than a hundredth of a millimetre is said to be that."""
    assert told(after(("(10mm, 20mm)", "(9.5mm, 22mm)"))) == ["of row 'low' move 0.5mm to the front and 2mm up"]
    assert told(after(("(10mm, 20mm)", "(10.004mm, 20mm)"))) == ["of row 'low' move by less than 0.01mm"]
    assert told(after(("(10mm, 20mm)", "(10.0000001mm, 20mm)"))) == []
    assert told(after(("(10mm, 20mm)", "(10mm, 20mm) lean 0deg"))) == []


def test_a_lean_moves_each_hole_by_itself() -> None:
    """As floats and a right-angled triangle have it."""
    there = after(("lean 10deg", "lean 13deg"))
    assert list(holes(there)) == [HIGH]

    def place(height: float, lean: float) -> tuple[float, float]:
        angle, behind = radians(lean), 2 + 5  # the panel's thickness, and the end hole behind the seat
        return (height * sin(angle) + behind * cos(angle), height * cos(angle) - behind * sin(angle))

    for move in holes(there)[HIGH].moves:
        height = 3.5 if move.line == "bottom" else 125.0
        was, now = place(height, 10), place(height, 13)
        assert float(move.back) == pytest.approx(now[0] - was[0], abs=1e-6)
        assert float(move.up) == pytest.approx(now[1] - was[1], abs=1e-6)
    (line,) = told(there)
    assert line.startswith("of row 'high' move: bottom ~")
    assert ", top ~6.3" in line
    assert "drill points of row 'high' move;" in verdict(there)


def test_a_change_of_the_library_reaches_its_rows() -> None:
    """The end hole of a rail, and the thickness of panels that a setback is measured to."""
    there = after(("inward 0.5mm", "inward 0.7mm"))
    assert sorted(holes(there)) == [HIGH, LOW]
    assert told(there)[0] == "of row 'low' move: bottom 0.2mm up, top 0.2mm down"
    assert "drill points of 2 rows move;" in verdict(there)
    there = after(("end-hole  M4", "end-hole  M5"))
    assert not any(change.moves for change in holes(there).values())
    assert told(there) == ["of rows 'low' and 'high' are 5.5mm wide for M5 now, not 4.5mm wide for M4"]
    thicker = holes(after(("thickness 2mm", "thickness 2.5mm")))
    assert list(thicker) == [HIGH]
    assert {move.back for move in thicker[HIGH].moves} != {0}


@pytest.mark.parametrize(
    ("edits", "rows"),
    [
        ([(SEAT, "")], [LOW]),
        ([("    end-hole  M4 behind 5mm inward 0.5mm deep 12mm\n", "")], [HIGH, LOW]),
        ([("rail trough", "rail through")], [HIGH, LOW]),
        ([("(10mm, 20mm)", "(10mm, 20)")], [LOW]),
        ([("    row low {", "    rwo low {"), ("        at 0HP    saw\n", "")], []),
        ([("M4 behind 5mm", "M4 behind five")], [HIGH, LOW]),
    ],
    ids=[
        "seat",
        "end hole",
        "name of the rails",
        "a slip in the seat",
        "a slip that is mended",
        "a slip in the library",
    ],
)
def test_what_is_lost_does_not_move(edits: list[tuple[str, str]], rows: list[str]) -> None:
    """It is not known any more; nothing is better, and nothing is released by that. On the way back it is known now."""
    there = after(*edits)
    assert sorted(holes(there)) == rows
    for change in holes(there).values():
        assert (change.lost, change.gained, change.moves, change.release) == (True, False, (), "")
    assert all("are not known any more; they were bottom at" in line for line in told(there))
    assert len(told(there)) == len(rows)
    if rows:
        assert "not known any more" in verdict(there) or "not found any more" in verdict(there)
        assert "no finding is new or gone" not in verdict(there)
    back = compared(edited(*edits), SPEC)
    assert all("are known now: bottom at" in line for line in told(back))
    assert all(line.endswith("; released for drilling") for line in told(back))
    assert all(change.gained for change in holes(back).values())
    assert "not known any more" not in "\n".join(comparison_lines(back))


def test_a_guess_holds_them_back() -> None:
    """And a measurement sets them free, though no hole moves."""
    there = after(("(10mm, 20mm)", "(10mm, 20mm) guessed"))
    assert holes(there)[LOW].release == HELD
    assert told(there) == [
        "of row 'low' are not released for drilling any more, because the seat of row 'low' is guessed"
    ]
    assert "drill points of row 'low' are not released for drilling any more" in verdict(there)
    guess = edited(("(10mm, 20mm)", "(10mm, 20mm) guessed"))
    freed = compared(guess, edited(("(10mm, 20mm)", "(12mm, 20mm) measured")))
    assert holes(freed)[LOW].release == FREED
    assert told(freed) == ["of row 'low' move 2mm back", "of row 'low' are released for drilling now"]
    assert "drill points of row 'low' move 2mm back and are released for drilling now" in verdict(freed)
    other = compared(guess, edited(("deep 12mm", "deep 12mm guessed")))
    assert holes(other)[LOW].doubts
    assert "of row 'low' are still not released for drilling, because the end hole of 'trough' is guessed" in told(
        other
    )
    lost = holes(compared(guess, edited((SEAT, ""))))[LOW]
    assert (lost.lost, lost.release) == (True, "")


def test_names_make_no_difference() -> None:
    """A row or a rail that is called otherwise has the same holes, and the same reasons not to drill them."""
    guess = edited(("(10mm, 20mm)", "(10mm, 20mm) guessed"), ("deep 12mm", "deep 12mm guessed"))
    for old, new in (("row low", "row under"), ("trough", "channel"), ("rack desk", "rack bench")):
        assert holes(compared(guess, guess.replace(old, new))) == {}


ROW = """\
    row more {
        rails     trough with strip
        seat      (10mm, 300mm)
        at 0HP    saw as third
    }
    case {
"""


def test_rows_and_racks_that_come_and_go() -> None:
    """A new row brings its points along; a row among lines that were not understood may still be there."""
    there = after(("    case {\n", ROW))
    assert told(there) == [
        "of row 'more' are new with it: bottom at (15mm, 303.5mm) and top at (15mm, 425mm); released for drilling"
    ]
    change = holes(there)["desk/more"]
    assert (change.lost, change.gained) == (False, False)
    gone = compared(edited(("    case {\n", ROW)), SPEC)
    assert told(gone) == [
        "of row 'more' are gone with it; they were bottom at (15mm, 303.5mm) and top at (15mm, 425mm)"
    ]
    assert "drill points" not in verdict(there) + verdict(gone)
    unread = edited(("    case {\n", "    thwart more\n    case {\n"))
    lost = holes(compared(edited(("    case {\n", ROW)), unread))["desk/more"]
    assert (lost.lost, lost.gained) == (True, False)
    found = holes(compared(unread, edited(("    case {\n", ROW))))["desk/more"]
    assert (found.lost, found.gained) == (False, True)
    alone = compared("", SPEC)
    assert [rack.holes for rack in alone.racks] == [()]


def test_what_is_drilled_stays_where_it_is() -> None:
    """Whoever moves the plan is told how many holes are there already."""
    drilled = f"{SEAT}        drilled   left bottom (15mm, 23.5mm) measured\n"
    old, new = edited((SEAT, drilled)), edited((SEAT, drilled.replace("(10mm", "(12mm")))
    assert told(compared(old, new)) == ["of row 'low' move 2mm back; 1 hole is drilled already"]
    assert told(compared(SPEC, old)) == []  # the plan is the same


def test_the_document_has_the_numbers() -> None:
    """Places and ways to six places, rounded to the nearest; null where they are not known."""
    there = document(after(("(10mm, 20mm)", "(1/3in, 20mm) guessed")))
    (change,) = there["racks"][0]["drill_points"]
    assert (change["about"], change["less_known"], change["more_known"]) == (LOW, False, False)
    assert [move["back_mm"] for move in change["moves"]] == [-1.533333] * 4
    assert [move["up_mm"] for move in change["moves"]] == [0] * 4
    assert [point["back_mm"] for point in change["new"]["points"]] == [13.466667] * 4
    assert (change["old"]["released"], change["new"]["released"]) == (True, False)
    assert change["new"]["because"] == ["the seat of row 'low' is guessed"]
    assert {(point["diameter_mm"], point["thread"]) for point in change["old"]["points"]} == {(4.5, "M4")}
    (change,) = document(after((SEAT, "")))["racks"][0]["drill_points"]
    assert (change["new"], change["moves"], change["less_known"]) == (None, [], True)


def test_many_rows_stay_readable() -> None:
    """Of many rows those that say the same stand together, and the rest is counted."""
    row = SPEC[SPEC.index("    row low {") : SPEC.index("    row high {")]
    rows = "".join(
        row.replace("row low", f"row r{n}").replace("saw", f"saw as s{n}").replace("20mm)", f"{140 * n}mm)")
        for n in range(9)
    )
    old = SPEC.replace(row, rows).replace("320mm", "1400mm")
    there = compared(old, old.replace("(10mm, ", "(11mm, "))
    assert told(there) == [
        "of rows 'r0', 'r1', 'r2', 'r3', 'r4' and 'r5' move 1mm back",
        "of 3 more rows change, too",
    ]
    assert "drill points of 9 rows move 1mm back" in verdict(there)


def test_steps_are_exact() -> None:
    """No float comes between a seat in inches and the way that its holes move."""
    there = after(("(10mm, 20mm)", "(1/3in, 20mm)"))
    assert {move.back for move in holes(there)[LOW].moves} == {Fraction(254, 30) - 10}
    assert told(there) == ["of row 'low' move ~1.53mm to the front"]
