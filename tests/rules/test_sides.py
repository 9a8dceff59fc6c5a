"""Cases with good and bad holes go in; each slip must be recognised, and who follows a remedy must be done."""

from __future__ import annotations

import re
from fractions import Fraction
from random import Random

import pytest

from rackspec.findings import Finding
from rackspec.physics.clear_room import GRAINS, Room, in_grains, is_clear
from rackspec.physics.drilling import Sitting
from rackspec.physics.interval import exactly_at
from rackspec.physics.outlines import between_squared, is_inside, to_edge_squared
from rackspec.physics.sections import Slab, apart, frame_at, keeps_clear, shoves
from rackspec.rules.drill_points import drill_points
from rackspec.rules.registry import Look
from tests.rules.checking import look_at, margins, not_known, severities, told

OFF, CLOSE, EDGE, COLLIDE = "hole-off-mark", "holes-too-close", "hole-near-edge", "rows-collide"
NARROW, WIDE = "case-too-narrow", "case-too-wide"
BOX = ((0, 0), (90, 0), (90, 170), (0, 170))
SLOPE = ((0, 0), (90, 0), (90, 100), (60, 170), (0, 170))
HOLES = ("left bottom", "left top", "right bottom", "right top")

Pair = tuple[float, float]


def drilled(*points: Pair, holes: tuple[str, ...] = HOLES) -> str:
    """Holes as drilled: two for both sides alike, or one for each hole named."""
    both = points * 2 if len(points) == 2 and holes == HOLES else points
    return "".join(f"drilled {hole} ({x}mm, {y}mm) measured\n" for hole, (x, y) in zip(holes, both, strict=True))


def spec(
    holes: str = "",
    seat: str = "seat (6mm, 14mm)",
    corners: tuple[tuple[int, int], ...] = BOX,
    case: str = "inside 84HP plus 1mm",
    end_hole: str = "M4 behind 5.2mm inward 0mm deep 12mm",
    row: str = "",
    more: str = "",
    house: str = "",
    length: str = "84HP",
) -> str:
    """A row in a case; its marks are at (11.2mm, 17mm) and (11.2mm, 139.5mm)."""
    outline = "".join(f"corner ({x}mm, {y}mm)\n" for x, y in corners)
    side = f"side {{\n{outline}}}\n" if corners else ""
    return (
        f"{house}insert nut {{\nnut M3\nacross 5.5mm\nthread 1.8mm\nslack 0.3mm\n}}\n"
        f"rail plain {{\nlength {length}\ntakes nut\nrecess 1mm\nroom 8mm\nlip front 1.2mm outside 3.3mm\n"
        f"end-hole {end_hole}\n}}\n"
        f"rack tray {{\nrow top {{\nrails plain with nut\n{seat}\n{holes}{row}}}\n{more}"
        f"case {{\n{side}{case}\n}}\n}}\n"
    )


def one(text: str, rule: str) -> Finding:
    """The only finding of a text."""
    (finding,) = look_at(text).findings
    assert finding.rule == rule
    return finding


GOOD = ((11.2, 17), (11.2, 139.5))


def test_good_holes_are_silent_and_a_close_call() -> None:
    assert severities(spec(drilled(*GOOD))) == []
    text = spec(drilled((11.5, 17.4), (11.2, 139.5)))
    assert severities(text) == []
    assert margins(text)["tray/top: holes off their marks"] == "0"  # 0.3 and 0.4 mm: a triangle of 0.5 mm


@pytest.mark.parametrize(
    ("points", "end_hole", "said"),
    [
        (((12.4, 17), (12.4, 139.5)), "", "measured from the front of the lip, which stands 1.2mm before the seat"),
        (((12.6, 17.2), (12.2, 139.3)), "", "measured from the front of the lip, which stands 1.2mm before the seat"),
        (((10, 17), (10, 139.5)), "", "'behind' of 'plain' had been measured from the front of its lip"),
        (((13.3, 17), (13.1, 139.5)), "", "the seat had been taken for the face of the panels, which are 2mm thick"),
        (((9.2, 17), (9.1, 139.5)), "", "the thickness of the panels, 2mm, had been left out"),
        (((11.2, 19.54), (11.2, 142.04)), "", "they had been moved by half an HP, 2.54mm"),
        (((8.66, 17), (8.7, 139.5)), "", "they had been moved by half an HP, 2.54mm"),
        (((78.8, 17), (78.8, 139.5)), "", "measured from the back edge of the piece, as on a mirrored one"),
        (((11.2, 153), (11.2, 30.5)), "", "measured from the upper edge of the piece"),
        (((78.8, 153), (78.8, 30.5)), "", "measured from the back and the upper edge of the piece"),
        (((11.2, 139.5), (11.2, 17)), "", "'bottom' and 'top' had been exchanged"),
        (((11.4, 16.8), (15.7, 139.2)), "", "the row leaned by 2deg instead of 0deg"),
        (((11.0, 17.2), (6.7, 139.6)), "", "the row leaned forwards by 2deg"),
        (((11.2, 17), (11.2, 139.5)), "M4 behind 5.2mm inward 0.6mm deep 12mm", "end hole had been left out"),
        (((11.2, 16.4), (11.2, 140.1)), "M4 behind 5.2mm inward 0.6mm deep 12mm", "had been measured the other way"),
    ],
)
def test_slips_are_recognised(points: tuple[Pair, Pair], end_hole: str, said: str) -> None:
    """All holes alike: one finding, which names the slip. Rails give enough for the distances that come of some."""
    text = spec(
        drilled(*points),
        end_hole=end_hole or "M4 behind 5.2mm inward 0mm deep 12mm",
        house="house {\ngive rails 3mm\n}\n",
    )
    found = [finding for finding in look_at(text).findings if finding.rule in (OFF, "rails-misspaced")]
    assert any(said in finding.message for finding in found), [finding.message for finding in found]
    assert len(found) == 1


def test_the_finding_stands_alone_and_its_sum_proves_it() -> None:
    finding = one(spec(drilled((12.4, 17.1), (12.5, 139.5))), OFF)
    assert finding.severity == "warning"
    assert finding.message == (
        "all 4 holes of row 'top' are 1.2mm further back than their marks, as if they had been measured from the front "
        "of the lip, which stands 1.2mm before the seat"
    )
    assert finding.sum == "drilled (12.5mm, 139.5mm), mark (11.2mm, 139.5mm): 1.3mm further back"
    assert finding.rests_on == "points: 8 measured, 4 stated; how far a hole may be off, 0.5mm, from common practice"
    assert [place.label for place in finding.others][-1] == "the seat they were marked from"
    assert finding.remedy.count("glasses") == 1


@pytest.mark.parametrize("seed", range(60))
def test_who_leaves_it_and_writes_the_seat_is_done(seed: int) -> None:
    """A row that sits elsewhere, at some lean: the seat of the remedy makes every hole good."""
    chance = Random(seed)
    lean = chance.choice([0, 0, 5, 12.5])
    seat = f"seat (20mm, 24mm) lean {lean}deg"
    (seen,) = look_at(spec(seat=seat)).racks
    marks = drill_points(Look(seen.rack, seen.house, {}))
    back, up = chance.randrange(-80, 80) / 10, chance.randrange(-80, 80) / 10
    moved = [(float(round(mark.back * 10) / 10) + back, float(round(mark.up * 10) / 10) + up) for mark in marks]
    points = [(round(x, 1), round(y, 1)) for x, y in moved]
    text = spec(drilled(*points), seat=seat, corners=((0, 0), (150, 0), (150, 190), (0, 190)))
    found = told(text, OFF)
    if back**2 + up**2 < 0.3:
        return
    if not found:
        assert (back**2 + up**2) ** 0.5 < 0.8
        return
    (finding,) = found
    written = re.search(r"write '(seat [^']*)'", finding.remedy)
    assert written is not None, finding.remedy
    assert told(text.replace(seat, written[1]), OFF) == []


def test_a_side_that_is_not_drilled_yet_follows() -> None:
    finding = one(spec(drilled((12.4, 17), (12.4, 139.5), holes=HOLES[:2])), OFF)
    assert finding.message.startswith("both holes of row 'top' in the left side are 1.2mm further back")
    assert "drill the right side by the marks that follow from it" in finding.remedy


def test_turning_a_piece_that_is_its_own_mirror_image_is_enough() -> None:
    mirrored = drilled((78.8, 17), (78.8, 139.5), *GOOD)
    finding = one(spec(mirrored), OFF)
    assert finding.remedy == (
        "turn the left side piece round, its other face inwards: it is the same then, and the holes are at their marks"
    )
    slope = told(spec(mirrored, corners=SLOPE), OFF)[0]
    assert "turn the left" not in slope.remedy
    assert "drill again at (11.2mm, 17mm) and (11.2mm, 139.5mm)" in slope.remedy


def test_exchanged_words_are_mended_by_words() -> None:
    finding = one(spec(drilled((11.2, 139.5), (11.2, 17), *GOOD)), OFF)
    assert finding.remedy == "exchange the words 'bottom' and 'top' in these 'drilled' lines"


@pytest.mark.parametrize("back", [14.2, 7.8, 16.7])
def test_no_slip_is_claimed_that_is_further_off_than_drilling_may_be(back: float) -> None:
    (finding,) = told(spec(drilled((back, 17), (back, 139.5))), OFF)
    assert "as if" not in finding.message


@pytest.mark.parametrize(("back", "slot"), [(13.2, True), (13.21, False)])
def test_slots_are_for_two_millimetres_at_most(back: float, slot: bool) -> None:
    """Up to there a washer covers the slot (common practice, no source)."""
    finding = one(spec(drilled(*GOOD, (back, 17), (11.2, 139.5))), OFF)
    assert ("slot" in finding.remedy) is slot


def test_holes_of_another_row() -> None:
    other = "row low {\nrails plain with nut\nseat (40mm, 14mm)\n}\n"
    finding = one(spec(drilled((45.2, 17), (45.2, 139.5)), more=other), OFF)
    assert "as if they were those of row 'low'" in finding.message
    assert finding.remedy == "write them under row 'low'"


def test_one_hole_alone() -> None:
    finding = one(spec(drilled(*GOOD, (12.9, 17), (11.2, 139.5))), OFF)
    assert finding.message == "the right bottom hole of row 'top' is 1.7mm further back than its mark"
    assert finding.remedy.startswith("file the hole to a slot of 4.5mm x 6.2mm towards its mark, with a washer under")
    assert "plug it with a glued dowel, let it dry, and drill again at (11.2mm, 17mm)" in finding.remedy


def test_each_side_has_its_own_slip() -> None:
    found = told(spec(drilled((12.4, 17), (12.4, 139.5), (11.2, 19.54), (11.2, 142.04))), OFF)
    assert len(found) == 2
    assert "lip" in found[0].message
    assert "half an HP" in found[1].message
    assert "the rails fall by 2.5mm towards the left" in found[0].sum


def test_sides_that_lean_differently_twist_the_panels() -> None:
    module = "at 0HP wide\n"
    part = "module wide {\nwidth 42HP\ndraws nothing\n}\n"
    finding = one(part + spec(drilled((11.2, 17), (9.2, 139.5), (11.2, 17), (13.2, 139.5)), row=module), OFF)
    assert finding.message.endswith("the sides lean differently, by 4mm, and twist the panels")
    assert finding.sum.endswith("the widest panel, 42HP, is bent by 2mm")


def test_what_the_spacing_says_already_is_not_said_again() -> None:
    text = spec(drilled((11.2, 17), (11.2, 142)))
    assert severities(text) == [("rails-misspaced", "error")]
    both = spec(drilled((15.2, 17), (15.2, 142)))
    assert sorted(rule for rule, _ in severities(both)) == [OFF, "rails-misspaced"]
    assert "4mm further back" in told(both, OFF)[0].message


def test_the_inch_mark_is_a_note_in_a_strict_house_and_nothing_else() -> None:
    text = spec(drilled((11.2, 17), (11.2, 139.2375)))
    assert severities(text) == []
    finding = one("house {\ngive drilling 0.2mm\n}\n" + text, OFF)
    assert finding.severity == "note"
    assert "4 13/16in up from the lower one, 0.2625mm less than 122.5mm" in finding.message
    assert finding.remedy == "leave it: the room of the screws and the play of the inserts make up for it"
    assert "0.2mm, from the house" in finding.rests_on


def test_sides_without_a_seat_are_held_against_each_other() -> None:
    finding = one(spec(drilled(*GOOD, (13.2, 17), (11.2, 139.5)), seat=""), OFF)
    assert finding.message == (
        "the bottom hole of row 'top' is 2mm further to the front in the left side than in the right"
    )
    assert severities(spec(drilled(*GOOD, (12.2, 17), (11.2, 139.5)), seat="")) == []


def test_a_guessed_seat_makes_it_a_note() -> None:
    assert severities(spec(drilled((12.4, 17), (12.4, 139.5)), seat="seat (6mm, 14mm) guessed")) == [(OFF, "note")]


@pytest.mark.parametrize(
    ("inside", "said"),
    [
        ("84HP", []),
        ("84HP minus 0.001mm", [(NARROW, "error")]),
        ("84HP minus 0.5mm guessed", [(NARROW, "warning")]),
        ("427mm +-0.5mm", [(NARROW, "warning")]),
        ("427mm +-0.28mm", []),
        ("84HP plus 2mm", []),
        ("84HP plus 2.001mm", [(WIDE, "warning")]),
        ("84HP plus 3mm guessed", [(WIDE, "note")]),
        ("428mm +-1mm", [(WIDE, "note")]),
    ],
)
def test_inside_width(inside: str, said: list[tuple[str, str]]) -> None:
    assert severities(spec(case=f"inside {inside}")) == said


def test_a_width_that_may_be_too_small_and_too_large_is_measured() -> None:
    finding = one(spec(case="inside 84HP plus 1mm +-1.5mm"), NARROW)
    assert finding.severity == "warning"
    assert finding.message.startswith(
        "the case may be 0.5mm too narrow for the rails of row 'top', or 2.5mm wider than they are"
    )
    assert finding.remedy.startswith("measure the inside width")
    assert severities(spec(case="inside 84HP minus 1mm +-4mm")) == [(NARROW, "error")]


@pytest.mark.parametrize("inside", ["84HP plus 2.01mm", "84HP plus 3.37mm", "84HP plus 3mm +-0.2mm", "84HP plus 9mm"])
def test_washers_come_in_tenths_and_end_the_finding(inside: str) -> None:
    finding = one(spec(case=f"inside {inside}"), WIDE)
    written = re.search(r"put (\d*(?:\.\d)?)mm of .* write '(shims [^']*)'", finding.remedy)
    assert written is not None, finding.remedy
    assert severities(spec(case=f"inside {inside}\n{written[2]}")) == []


def test_no_washers_for_a_width_that_hangs_on_its_tolerance() -> None:
    finding = one(spec(case="inside 84HP plus 1.5mm +-1.4mm"), WIDE)
    assert finding.remedy.startswith("measure the inside width again, closer")


def test_a_gap_within_what_sides_give_is_a_close_call() -> None:
    assert margins(spec(case="inside 84HP plus 1.5mm"))["tray/top: gap beside its rails"] == "1/2"
    assert severities("house {\ngive sides 1mm\n}\n" + spec(case="inside 84HP plus 1.5mm")) == [(WIDE, "warning")]


def test_shims_count_and_the_remedy_fits_them() -> None:
    finding = one(spec(case="inside 84HP plus 4mm\nshims 1mm"), WIDE)
    assert finding.sum == "426.72mm + 1mm of shims = 427.72mm, and 430.72mm - 427.72mm = 3mm"
    written = re.search(r"write '(shims [^']*)'", finding.remedy)
    assert written is not None
    assert severities(spec(case=f"inside 84HP plus 4mm\n{written[1]}")) == []
    narrow = one(spec(case="inside 84HP plus 1mm\nshims 1.6mm"), NARROW)
    assert narrow.remedy == "take 0.6mm of the shims out, or make the case 0.6mm wider inside"
    assert severities(spec(case="inside 84HP plus 1mm\nshims 1mm")) == []


def test_each_length_of_rails_is_told_once() -> None:
    half = "rail half like plain {\nlength 42HP\n}\n"
    rows = "row low {\nrails plain with nut\n}\nrow short {\nrails half with nut\n}\n"
    found = told(half + spec(more=rows, case="inside 84HP minus 1mm"), NARROW)
    assert [finding.names for finding in found] == [("tray/top", "tray/low")]
    assert found[0].message == "the case is 1mm too narrow for the rails of rows 'top' and 'low'"
    (wide,) = told(half + spec(more=rows), WIDE)
    assert wide.names == ("tray/short",)
    assert wide.remedy.startswith("put an upright into the case 42HP from its end")
    assert wide.remedy.endswith("or take rails of 84HP")


def test_what_is_missing_is_listed_by_one_rule() -> None:
    bare = "rail plain {\nlength 84HP\n}\nrack tray {\nrow top {\nrails plain\n}\ncase {\nfeet 1mm to 2mm\n}\n}\n"
    assert {
        ("tray/top", "seat"),
        ("plain", "the thread in its ends"),
        ("tray", "inside width of its case"),
    } <= not_known(bare)
    assert not {("tray/top", "seat"), ("plain", "the thread in its ends")} & not_known(spec())
    assert severities(bare) == []


@pytest.mark.parametrize(
    ("seat", "said"),
    [
        ("seat (3.8mm, 14mm)", []),
        ("seat (3.79mm, 14mm)", [(EDGE, "warning")]),
        ("seat (-0.7mm, 14mm)", [(EDGE, "warning")]),
        ("seat (-0.71mm, 14mm)", [(EDGE, "error")]),
        ("seat (-6mm, 14mm)", [(EDGE, "error")]),
        ("seat (-0.71mm, 14mm) guessed", [(EDGE, "warning")]),
        ("seat (0.2mm +-1mm, 14mm)", [(EDGE, "warning")]),
        ("seat (4mm +-0.5mm, 14mm)", [(EDGE, "note")]),
    ],
)
def test_edges(seat: str, said: list[tuple[str, str]]) -> None:
    """M4 in 4.5 mm: 9 mm from middle to edge are well, 4.5 mm are the least. The hole is 5.2 mm behind the seat."""
    assert severities(spec(seat=seat)) == said


def test_a_lean_that_is_not_sure_may_come_to_the_edge() -> None:
    """At 24 degrees the upper hole is 19.2 mm from the back edge; 6 degrees more bring it 11.5 mm nearer."""
    seat = "seat (15mm, 14mm) lean 24deg"
    assert not told(spec(seat=seat), EDGE)
    (finding,) = told(spec(seat=f"{seat} +-6deg"), EDGE)
    assert finding.severity in ("warning", "note")
    assert not told(spec(seat=f"{seat} +-1deg"), EDGE)


def test_the_house_says_how_far_from_edge_and_holes() -> None:
    text = spec(seat="seat (4.8mm, 14mm)")
    assert severities(text) == []
    finding = one("house {\nedge good 3\n}\n" + text, EDGE)
    assert "edge least and good from common practice and the house" in finding.rests_on


def test_outside_of_the_piece() -> None:
    finding = one(spec(seat="seat (6mm, 160mm)"), EDGE)
    assert finding.message.startswith(
        "the left and right top holes of row 'top' are to be drilled outside of the side pieces, 115.5mm from the edge"
    )


def test_an_old_hole_beside_a_mark() -> None:
    finding = one(spec(case="inside 84HP plus 1mm\nabandoned left (11.2mm, 20mm)"), CLOSE)
    assert finding.severity == "error"
    assert finding.message == (
        "the left bottom hole of row 'top' is to be drilled 3mm from the old hole at (11.2mm, 20mm): 4.5mm is the least"
    )
    assert "plug the old hole with a glued dowel, let it dry, and drill again" in finding.remedy
    assert severities(spec(case="inside 84HP plus 1mm\nabandoned left (11.2mm, 26mm)")) == []
    assert severities(spec(case="inside 84HP plus 1mm\nabandoned left (11.2mm, 25.99mm)")) == [(CLOSE, "warning")]
    assert severities(spec(case="inside 84HP plus 1mm\nabandoned left (11.2mm, 21.5mm)")) == [(CLOSE, "warning")]
    assert severities(spec(case="inside 84HP plus 1mm\nabandoned left (11.2mm, 21.49mm)")) == [(CLOSE, "error")]


def test_an_old_hole_at_the_mark_may_serve() -> None:
    finding = one(spec(case="inside 84HP plus 1mm\nabandoned left (11.2mm, 17.2mm)"), CLOSE)
    assert "is to be drilled where an old hole is already" in finding.message
    written = re.search(r"write it as '([^']*)'", finding.remedy)
    assert written is not None
    assert severities(spec(row=written[1] + "\n")) == []


def test_first_try_too_low_is_one_finding_for_the_row() -> None:
    old = "".join(f"abandoned {side} (11.2mm, {up}mm)\n" for side in ("left", "right") for up in (12, 134.5))
    finding = one(spec(case="inside 84HP plus 1mm\n" + old), CLOSE)
    assert finding.message.startswith("the left and right bottom holes of row 'top' are to be drilled 5mm from")
    assert "2 others of its row are too near as well" in finding.message


@pytest.mark.parametrize("seed", range(40))
def test_who_moves_the_row_as_told_is_done(seed: int) -> None:
    """Old holes and edges at random: the move of the remedy clears all of them."""
    chance = Random(seed)
    old = ""
    for _ in range(chance.randrange(1, 6)):
        side, back, up = (
            chance.choice(["left", "right"]),
            chance.randrange(3, 40),
            chance.choice([15, 18, 22, 137, 141]),
        )
        old += f"abandoned {side} ({back}mm, {up}mm)\n"
    seat = f"seat ({chance.randrange(-2, 12)}mm, {chance.randrange(10, 18)}mm)"
    text = spec(seat=seat, case="inside 84HP plus 1mm\n" + old, corners=SLOPE)
    found = [finding for finding in look_at(text).findings if finding.rule in (CLOSE, EDGE)]
    for finding in found:
        written = re.search(r"write '(seat [^']*)'", finding.remedy)
        assert written is not None, finding.remedy
        assert severities(text.replace(seat, written[1])) == []


def above(seat: str, name: str = "high", more: str = "") -> str:
    """Another row."""
    return f"row {name} {{\nrails plain with nut\n{seat}\n{more}}}\n"


HIGH = ((0, 0), (200, 0), (200, 330), (0, 330))


def test_holes_of_two_rows_too_near() -> None:
    """Panels of 128.5 mm, the upper row 130 mm higher: its lower holes are 7.5 mm from the upper ones of the other."""
    finding = one(spec(more=above("seat (6mm, 144mm)"), corners=HIGH), CLOSE)
    assert finding.message.startswith(
        "the left and right bottom holes of row 'high' are to be drilled 7.5mm from that of row 'top': 9mm is what it "
        "should have"
    )
    assert finding.names == ("tray/high", "tray/top")
    assert "plug" not in finding.remedy
    written = re.search(r"write '(seat [^']*)'", finding.remedy)
    assert written is not None
    assert severities(spec(more=above(written[1]), corners=HIGH)) == []


@pytest.mark.parametrize(
    ("seat", "said"),
    [
        ("seat (6mm, 14mm)", [(COLLIDE, "error")]),
        ("seat (7.9mm, 14mm)", [(COLLIDE, "error")]),
        ("seat (6mm, 142.4mm)", [(COLLIDE, "error")]),
        ("seat (6mm, 143.09mm)", [(COLLIDE, "error")]),
        ("seat (6mm, 143.1mm)", [(CLOSE, "warning")]),
        ("seat (6mm, 147.35mm)", []),
        ("seat (6mm, 143mm) guessed", [(COLLIDE, "warning")]),
        ("seat (6mm, 148mm +-5mm)", [(CLOSE, "note"), (COLLIDE, "warning")]),
        ("seat (40mm, 60mm)", []),
        ("seat (0mm, 130mm) lean 20deg", [(COLLIDE, "error")]),
    ],
)
def test_rows_in_each_others_place(seat: str, said: list[tuple[str, str]]) -> None:
    """128.5 mm of panel, and lips 0.3 mm beyond it on both sides: 129.1 mm is the least, 133.35 mm are 3U."""
    assert severities(spec(more=above(seat), corners=HIGH), COLLIDE, CLOSE) == said


def test_what_is_said_of_rows_in_each_others_place() -> None:
    (finding,) = told(spec(more=above("seat (6mm, 120mm)"), corners=HIGH), COLLIDE)
    assert finding.message == "rows 'top' and 'high' are in each other's place: their panels overlap"
    assert finding.sum == (
        "the panels of 'top' lie from (6mm, 14mm) to (6mm, 142.5mm), the panels of 'high' lie from (6mm, 120mm) to "
        "(6mm, 248.5mm); they overlap by 2mm, measured the shorter way"
    )
    assert finding.names == ("tray/high", "tray/top")
    lips = told(spec(more=above("seat (6mm, 142.7mm)"), corners=HIGH), COLLIDE)[0]
    assert "lips of the rails" in lips.message
    written = re.search(r"move row '(\w*)' [^:]*: write '(seat [^']*)'", lips.remedy)
    assert written is not None
    assert written[1] == "high"
    assert severities(spec(more=above(written[2]), corners=HIGH)) == []


def test_a_row_counts_where_it_is_drilled() -> None:
    low = "drilled left bottom (11.2mm, 148mm) measured\ndrilled left top (11.2mm, 270.5mm) measured\n"
    text = spec(more=above("seat (6mm, 155mm)", more=low), corners=HIGH)
    assert (COLLIDE, "error") not in severities(text)
    found = told(text.replace("148mm", "140mm").replace("270.5mm", "262.5mm"), COLLIDE)
    assert [finding.message for finding in found] == [
        "rows 'top' and 'high' are in each other's place: their panels overlap at the left side"
    ]
    assert "measure the drilled holes again" in found[0].remedy


def test_short_rows_may_stand_side_by_side() -> None:
    text = spec(more=above("seat (6mm, 14mm)"), corners=HIGH, length="42HP")
    assert told(text, COLLIDE) == []
    assert told(text.replace("inside 84HP plus 1mm", "inside 83HP"), COLLIDE) != []


@pytest.mark.parametrize("seed", range(40))
def test_no_remedy_moves_a_row_into_another(seed: int) -> None:
    """Two rows and old holes at random: whoever moves a row as told has no rows in each other's place after it."""
    chance = Random(seed)
    lean = chance.choice(["", "", " lean 15deg", " lean 30deg"])
    seats = [
        f"seat ({chance.randrange(2, 30)}mm, {chance.randrange(8, 20)}mm)",
        f"seat ({chance.randrange(2, 40)}mm, {chance.randrange(130, 160)}mm){lean}",
    ]
    old = "".join(
        f"abandoned left ({chance.randrange(5, 50)}mm, {chance.choice([17, 139, 148, 160, 270])}mm)\n" for _ in range(6)
    )
    text = spec(seat=seats[0], more=above(seats[1]), case="inside 84HP plus 1mm\n" + old, corners=HIGH)
    for finding in look_at(text).findings:
        written = re.search(r"move row '(\w*)' [^:]*: write '(seat [^']*)'", finding.remedy)
        if written is not None:
            moved = text.replace(seats[written[1] == "high"], written[2])
            assert moved != text
            assert told(moved, COLLIDE) == []


@pytest.mark.parametrize("seed", range(30))
def test_bodies_are_apart_as_their_corners_say(seed: int) -> None:
    """Against points: no point of a grid in one rectangle is in another that is apart, and some is where they overlap
    by more than the grid; and a move keeps clear if the moved body does."""
    chance = Random(seed)

    def slab() -> Slab:
        sitting = Sitting(
            Fraction(chance.randrange(0, 60)), Fraction(chance.randrange(0, 60)), Fraction(chance.randrange(-60, 60))
        )
        low, front = Fraction(chance.randrange(-5, 5)), Fraction(chance.randrange(-9, 0))
        return Slab(
            frame_at(sitting),
            low,
            low + chance.randrange(10, 60),
            front,
            front + chance.randrange(10, 20),
        )

    def inside(body: Slab) -> set[tuple[int, int]]:
        back, up, sin, cos = (float(part.middle) for part in body.frame)
        low, high, front, behind = (float(end) for end in body[1:])
        return {
            (x, y)
            for x in range(-60, 160)
            for y in range(-60, 160)
            if low <= (x - back) * sin + (y - up) * cos <= high and front <= (x - back) * cos - (y - up) * sin <= behind
        }

    one_slab, other = slab(), slab()
    both = inside(one_slab) & inside(other)
    gap = apart(one_slab, other)
    assert gap.high - gap.low < Fraction(1, 10**6)
    assert not (both and gap.low > 0)
    assert both or gap.high > -2
    back, up = chance.randrange(-30, 30), chance.randrange(-30, 30)
    moved = one_slab._replace(
        frame=one_slab.frame._replace(
            back=one_slab.frame.back.plus(exactly_at(Fraction(back))),
            up=one_slab.frame.up.plus(exactly_at(Fraction(up))),
        )
    )
    found = apart(moved, other)
    if abs(found.middle) > Fraction(1, 1000):
        assert keeps_clear(shoves(one_slab, other), back, up) is (found.low > 0)


def test_back_and_up_exchanged() -> None:
    """Told once, as an error, and nothing of the edge that the hole would be near to if it were there."""
    text = spec(drilled((17, 11.2), (139.5, 11.2), *GOOD), corners=((0, 0), (145, 0), (145, 170), (0, 170)))
    finding = one(text, OFF)
    assert finding.severity == "error"
    assert "as if back and up had been exchanged" in finding.message
    assert "the rails fall" not in finding.sum
    assert finding.remedy.startswith("exchange the two numbers in these 'drilled' lines")
    assert "drill again at (11.2mm, 17mm) and (11.2mm, 139.5mm)" in finding.remedy
    assert "move row" not in finding.remedy
    single = one(spec(drilled(*GOOD, (11.2, 17), (139.5, 11.2)), corners=HIGH), OFF)
    assert single.severity == "error"
    assert "exchange the two numbers in this 'drilled' line" in single.remedy
    near = one(spec(drilled((17, 11.2), (11.2, 139.5), holes=HOLES[:2])), OFF)
    assert near.severity == "error"  # 8 mm off, but 6 mm too far apart
    assert "back and up" in near.message


@pytest.mark.parametrize(
    ("points", "severity"),
    [
        (((11.2, 36.9), (11.2, 159.4), *GOOD), "warning"),
        (((11.2, 37.1), (11.2, 159.6), *GOOD), "error"),
        (((11.2, 47), (11.2, 169.5), (11.2, 47), (11.2, 169.5)), "warning"),
    ],
)
def test_holes_that_no_rails_fit_are_an_error(points: tuple[Pair, ...], severity: str) -> None:
    """20 mm, and a row that sits elsewhere as a whole is none."""
    finding = one(spec(drilled(*points), corners=HIGH), OFF)
    assert finding.severity == severity
    assert ("rails cannot be held so" in finding.message) is (severity == "error")


def test_points_are_quoted_as_they_were_written() -> None:
    """A hole whose distance is told for itself: 5 mm further back and 2.4 mm lower, by hand."""
    text = spec(drilled(*GOOD, (11.2, 17), (16.2, 137.1)))
    assert [rule for rule, _ in severities(text)] == [OFF, "rails-misspaced"]
    finding = told(text, OFF)[0]
    assert finding.message.startswith(
        "the right top hole of row 'top' is 5mm further back and 2.4mm lower than its mark"
    )
    assert finding.sum.startswith("drilled (16.2mm, 137.1mm), mark (11.2mm, 139.5mm): 5mm further back and 2.4mm lower")


def test_what_is_just_over_the_limit_shows_that_it_is() -> None:
    finding = one(spec(drilled(*GOOD, (11.701, 17), (11.2, 139.5))), OFF)
    assert finding.message == "the right bottom hole of row 'top' is 0.501mm further back than its mark"
    assert finding.sum == "drilled (11.701mm, 17mm), mark (11.2mm, 17mm): 0.501mm further back"


def test_who_moves_a_drilled_row_as_told_is_done() -> None:
    points = (*GOOD, (15.2, 17), (15.2, 139.5))
    text = spec(drilled(*points), corners=HIGH)
    finding = one(text, OFF)
    written = re.search(r"write '(seat [^']*)', drill there, and turn its 'drilled' lines into 'aband", finding.remedy)
    assert written is not None, finding.remedy
    old = "".join(f"abandoned {hole.split()[0]} ({x}mm, {y}mm)\n" for hole, (x, y) in zip(HOLES, points, strict=True))
    assert severities(spec(seat=written[1], case="inside 84HP plus 1mm\n" + old, corners=HIGH)) == []


def test_old_holes_are_plugged_before_a_new_one_is_drilled_beside() -> None:
    """25 mm off, so the hole itself is far enough; an old one 3 mm from the mark is not."""
    text = spec(drilled(*GOOD, (36.2, 17), (36.2, 139.5)), case="inside 84HP plus 1mm\nabandoned right (11.2mm, 20mm)")
    finding = told(text, OFF)[0]
    assert "plug the old hole beside with a glued dowel, let it dry, and drill again at" in finding.remedy


def test_holes_that_are_both_there_matter_only_where_they_meet() -> None:
    old = "inside 84HP plus 1mm\nabandoned left (11.2mm, {}mm)"
    assert severities(spec(drilled(*GOOD), case=old.format(22))) == []
    finding = one(spec(drilled(*GOOD), case=old.format(21)), CLOSE)
    assert finding.severity == "warning"
    assert finding.remedy.startswith("plug both with glued dowels")
    near = one(spec(drilled(*GOOD), case=old.format(18.2)), CLOSE)
    assert near.remedy == "put a washer under the head of the screw, as over a slot: the two holes are one"


def test_a_hole_lies_in_a_piece_with_a_notch() -> None:
    """Even-odd, with every corner and edge of a notched outline; the distance is that to the notch."""
    notched = tuple(
        (Fraction(x), Fraction(y))
        for x, y in ((0, 0), (100, 0), (100, 100), (60, 100), (60, 40), (40, 40), (40, 100), (0, 100))
    )
    inside = [(20, 50), (80, 50), (50, 20), (50, 39)]
    outside = [(50, 50), (50, 99), (120, 50), (-1, 50), (50, 101), (20, 100.5)]
    assert all(is_inside((Fraction(x), Fraction(y)), notched) for x, y in inside)
    assert not any(is_inside((Fraction(x), Fraction(y)), notched) for x, y in outside)
    assert to_edge_squared((Fraction(50), Fraction(30)), notched) == 100
    assert to_edge_squared((Fraction(43), Fraction(36)), notched) == 16
    assert to_edge_squared((Fraction(37), Fraction(36)), notched) == 25  # 3 and 4: from the inner corner of the notch


def test_the_search_sees_room_as_it_is() -> None:
    """Whole numbers and fractions say the same of points in outlines with any corners, and beside any holes."""
    chance, seen = Random(0), [0, 0]

    def point() -> tuple[Fraction, Fraction]:
        return Fraction(chance.randrange(-2000, 2000), 20), Fraction(chance.randrange(-2000, 2000), 20)

    for _ in range(200):
        outline = [point() for _ in range(chance.randrange(3, 9))]
        holes = [point() for _ in range(chance.randrange(0, 4))]
        for _ in range(30):
            where, limits = point(), (chance.randrange(0, 20), chance.randrange(0, 20))
            room = Room(
                tuple(map(in_grains, holes)), tuple(map(in_grains, outline)), limits[0] * GRAINS, limits[1] * GRAINS
            )
            exact = (
                is_inside(where, outline)
                and to_edge_squared(where, outline) >= limits[1] ** 2
                and all(between_squared(where, hole) >= limits[0] ** 2 for hole in holes)
            )
            if to_edge_squared(where, outline):  # on the edge itself either may be said
                assert is_clear(in_grains(where), room) is exact
                seen[exact] += 1
    assert min(seen) > 300


def test_racks_without_a_case_say_nothing_of_sides() -> None:
    text = spec(drilled(*GOOD)).split("case {")[0] + "}\n"
    assert look_at(text).findings == ()
    assert not {("tray/top", "seat"), ("tray", "inside width of its case")} & not_known(text)
