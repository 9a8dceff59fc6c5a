"""End screws and nuts for later: racks with a case go in; numbers at the boundary are worked out beside them."""

from __future__ import annotations

import pytest

from tests.rules.checking import look_at, margins, not_known, severities, told

WRONG, LOCKED = "end-screw-wrong", "locked-out-later"


def ends(
    screws: str = "M4x20 washer 1mm",
    hole: str = "M4 behind 5mm inward 0mm deep 12mm",
    thickness: str = "12mm",
    sides: str = "side {\nfrom board\n}",
    house: str = "",
    more: str = "",
) -> str:
    """A rack of one row, with rails whose ends are tapped, between side pieces of a sheet."""
    house = f"house {{\n{house}\n}}\n" if house else ""
    line = f"end-screws {screws}\n" if screws else ""
    tapped = f"end-hole {hole}\n" if hole else ""
    thick = f"thickness {thickness}\n" if thickness else ""
    return (
        f"{house}insert strip {{\nstrip M3\nholes 84 every 5.08mm\nfirst 2.54mm\nthread 3mm\n}}\n"
        f"rail plain {{\nlength 84HP\ntakes strip\nrecess 1mm\nroom 8mm\n{tapped}}}\n"
        f"sheet board {{\n{thick}}}\n{more}\n"
        f"rack tray {{\nrow top {{\nrails plain with strip\nseat (8mm, 25mm)\n{line}}}\n"
        f"case {{\n{sides}\ninside 84HP plus 1mm\n}}\n}}\n"
    )


@pytest.mark.parametrize(
    ("screws", "severity"),
    [
        ("M4x25 washer 1mm", None),  # 25 - 1 - 12 = 12 of 12 mm: it just does not bottom
        ("M4x30 washer 6mm", None),  # 30 - 6 - 12 = 12
        ("M4x30 washer 5.9mm", "error"),  # 12.1 of 12
        ("M4x16 washer 1.9mm", None),  # 16 - 1.9 - 12 = 2.1 = 3 turns of 0.7 mm
        ("M4x16 washer 2mm", "warning"),  # 2.0 mm = 2.86 turns
        ("M4x16 washer 3.3mm", "warning"),  # 0.7 mm = 1 turn
        ("M4x16 washer 3.4mm", "error"),  # 0.6 mm = 0.86 turns
        ("M4x12", "error"),  # as long as the side is thick
        ("M4x10", "error"),
        ("M5x20 washer 1mm", "error"),  # another thread
        ("M3x20 washer 1mm", "error"),
    ],
)
def test_lengths_at_the_boundary(screws: str, severity: str | None) -> None:
    """12 mm of side, M4 (0.7 mm a turn) tapped 12 mm deep."""
    assert severities(ends(screws), WRONG) == ([(WRONG, severity)] if severity else [])


@pytest.mark.parametrize(
    ("screws", "thickness", "severity"),
    [
        # 12 +0.5/-0.7 mm (EN 315): 11.3 to 12.5 mm
        ("M4x16 washer 1.4mm", "12mm +0.5mm/-0.7mm", None),  # 16 - 1.4 - 12.5 = 2.1: 3 turns at the worst
        ("M4x16 washer 1.5mm", "12mm +0.5mm/-0.7mm", "note"),  # 2.0 at the worst, 2.5 nominal: a warning, one milder
        ("M4x16 washer 2.9mm", "12mm +0.5mm/-0.7mm", "warning"),  # 0.6 at the worst, 1.1 nominal
        ("M4x25 washer 1.7mm", "12mm +0.5mm/-0.7mm", None),  # 25 - 1.7 - 11.3 = 12
        ("M4x25 washer 1.6mm", "12mm +0.5mm/-0.7mm", "warning"),  # 12.1 at the worst, 11.4 nominal
        ("M4x25 washer 0.9mm", "12mm +0.5mm/-0.7mm", "error"),  # 12.1 nominal
        ("M4x25 washer 0.9mm", "12mm guessed", "warning"),
        ("M4x25 washer 1.5mm", "11mm..12mm guessed", "note"),  # 12.5 at the worst, 12 nominal, and a guess
    ],
)
def test_tolerance_and_guess_make_it_milder(screws: str, thickness: str, severity: str | None) -> None:
    assert severities(ends(screws, thickness=thickness), WRONG) == ([(WRONG, severity)] if severity else [])


def test_the_depth_may_be_uncertain_too() -> None:
    uncertain = "M4 behind 5mm inward 0mm deep 10mm..14mm"
    assert severities(ends("M4x25 washer 2mm", uncertain), WRONG) == [(WRONG, "warning")]  # 11 of 10 at the worst
    assert severities(ends("M4x25 washer 3mm", uncertain), WRONG) == []


def test_a_shallow_thread_is_not_cured_by_a_longer_screw() -> None:
    """1.4 mm are two turns of M4: nothing holds there, and no length is offered that bottoms."""
    shallow = "M4 behind 5mm inward 0mm deep 1.4mm"
    (finding,) = told(ends("M4x14 washer 0.6mm", shallow), WRONG)
    assert finding.severity == "warning"
    assert finding.message.startswith("M4x14 finds 2 turns of thread in the ends of 'plain', row 'top'; 3 are wanted")
    assert finding.remedy.startswith("no standard M4 screw serves here: tap the ends deeper")


def test_the_house_sets_the_turns() -> None:
    text = ends("M4x16 washer 1mm", house="turns good 5")  # 3 mm = 4.3 turns
    assert severities(text, WRONG) == [(WRONG, "warning")]
    assert "turns wanted from the house" in told(text, WRONG)[0].rests_on
    assert severities(ends("M4x16 washer 1mm", house="turns least 5\nturns good 6"), WRONG) == [(WRONG, "error")]


def test_words_of_a_screw_that_bottoms() -> None:
    (finding,) = told(ends("M4x30 washer 1mm"), WRONG)
    assert finding.message == (
        "M4x30 bottoms in the ends of 'plain' before its head clamps row 'top': it is 5mm too long, "
        "and the side stays loose"
    )
    assert finding.sum == "1mm washer + 12mm side + 12mm of thread = 25mm, and 30mm - 25mm = 5mm"
    # 20 - 1 - 12 = 7 mm: more than 1.5 x 4 mm; 16 gives 3 mm, which passes too
    assert finding.remedy == "use 4 M4x20, the shortest standard length that holds well (1.5 diameters of thread)"
    assert told(ends("M4x16 washer 1mm"), WRONG) == []
    assert finding.names == ("tray/top",)
    assert told(ends("M4x30"), WRONG)[0].rests_on.endswith("no washer written, taken as none")


def test_words_of_a_screw_that_is_too_short() -> None:
    (finding,) = told(ends("M4x16 washer 2mm"), WRONG)
    assert finding.message == "M4x16 finds 2.8 turns of thread in the ends of 'plain', row 'top'; 3 are wanted"
    assert finding.sum == "16mm - 2mm washer - 12mm side = 2mm, at 0.7mm a turn 2.8 turns"
    (nothing,) = told(ends("M4x12 washer 1mm"), WRONG)
    assert nothing.message == "M4x12 does not reach the ends of 'plain' through the side of row 'top'"
    assert nothing.sum == "1mm washer + 12mm side = 13mm, and the screw is 12mm long"


LEFT_AND_RIGHT = "side left {\nfrom board\n}\nside right {\nfrom thin\n}"


def test_two_sides_of_different_sheets() -> None:
    """12 mm at the left and 3 mm at the right: M4x20 goes in by 7 and 16 mm, and 12 are tapped."""
    text = ends(sides=LEFT_AND_RIGHT, more="sheet thin {\nthickness 3mm\n}")
    (finding,) = told(text, WRONG)
    assert "row 'top', right side: it is 4mm too long" in finding.message
    # at 12 mm no screw shorter than 20 finds 6 mm, at 3 mm none longer than 16 goes in: but 16 finds 3 mm at the left
    assert finding.remedy == "use 4 M4x16, the longest standard length that does not bottom"
    assert told(text.replace("M4x20", "M4x16"), WRONG) == []


def test_sides_that_want_two_lengths() -> None:
    """14 mm and 3 mm: M4x16 finds 1 mm at the left; M4x20 would bottom at the right."""
    text = ends("M4x16 washer 1mm", sides=LEFT_AND_RIGHT, thickness="14mm", more="sheet thin {\nthickness 3mm\n}")
    (finding,) = told(text, WRONG)
    assert "left side" in finding.message
    assert finding.remedy.startswith("use 2 M4x25 at the left and 2 M4x10 at the right, and leave 'end-screws' out")


@pytest.mark.parametrize("thickness", ["1.5mm", "3mm", "9mm +0.4mm/-0.5mm", "12mm +0.5mm/-0.7mm", "18mm +-0.5mm"])
@pytest.mark.parametrize("thread", ["M3", "M4", "M5"])
@pytest.mark.parametrize("deep", ["", "deep 4mm", "deep 8mm", "deep 14mm"])
@pytest.mark.parametrize("good", [3, 8])
def test_who_follows_the_remedy_is_done(thickness: str, thread: str, deep: str, good: int) -> None:
    """Whatever the side and the depth: the length in a remedy is never complained of."""
    hole = f"{thread} behind 5mm inward 0mm {deep}"
    (finding,) = told(ends("M2x20 washer 1mm", hole, thickness, house=f"turns good {good}"), WRONG)
    if "no standard" in finding.remedy:
        lengths = [f"{thread}x{length} washer 1mm" for length in (5, 6, 8, 10, 12, 16, 20, 25, 30, 35, 40)]
        assert all(told(ends(one, hole, thickness, house=f"turns good {good}"), WRONG) for one in lengths)
        return
    better = finding.remedy.removeprefix("use 4 ").partition(",")[0]
    assert told(ends(f"{better} washer 1mm", hole, thickness, house=f"turns good {good}"), WRONG) == []


def test_what_is_not_known_is_asked_for() -> None:
    assert ("plain", "how deep its ends are tapped") in not_known(ends("", "M4 behind 5mm inward 0mm"))
    assert ("board", "thickness") in not_known(ends("", thickness=""))
    assert ("tray", "the right side piece") in not_known(ends(sides="side left {\nfrom board\n}"))
    assert ("tray", "the sheet of its side pieces") in not_known(ends(sides="side {\ncount 2\n}"))
    bare = ends().partition("case {")[0] + "}\n"
    assert ("tray/top", "what its end screws go through") in not_known(bare)
    assert severities(bare, WRONG) == []
    assert not_known(ends()) == set()


def test_nothing_is_said_without_end_screws() -> None:
    assert severities(ends("")) == []
    assert severities(ends("", hole="M4 behind 5mm inward 0mm")) == []


def test_a_thread_that_we_do_not_know() -> None:
    """M6 has no row in our tables: its thread can be compared, and a screw that bottoms still does."""
    hole = "M6 behind 5mm inward 0mm deep 12mm"
    assert severities(ends("M4x20", hole), WRONG) == [(WRONG, "error")]
    assert severities(ends("M6x20", hole), WRONG) == []
    assert severities(ends("M6x30", hole), WRONG) == [(WRONG, "error")]
    assert severities(ends("M6x12", hole), WRONG) == [(WRONG, "error")]


def shimmed(screws: str, shims: str = "4mm", deep: str = "deep 12mm", inside: str = "84HP plus 4mm") -> str:
    """The rack of ``ends`` in a wider case, with shims beside the rails."""
    text = ends(screws, f"M4 behind 5mm inward 0mm {deep}")
    return text.replace("inside 84HP plus 1mm", f"inside {inside}\nshims {shims}")


@pytest.mark.parametrize(
    ("screws", "shims", "severity"),
    [
        # 4 mm in all are 2 mm at each end, in front of 12 mm of side
        ("M4x13", "4mm", "error"),  # 13 - 12 - 2 = -1
        ("M4x14", "4mm", "error"),  # 0
        ("M4x16.1", "4mm", None),  # 2.1 mm = 3 turns of 0.7 mm
        ("M4x16", "4mm", "warning"),  # 2.0
        ("M4x26", "4mm", None),  # 12 of 12 mm
        ("M4x26.1", "4mm", "error"),  # 12.1
        ("M4x26", "3.8mm", "error"),  # 1.9 mm at each end: 12.1
        ("M4x16.1", "3.8mm..4mm", None),  # thick ones at the worst: as above
        ("M4x16", "3.6mm..4mm", "note"),  # 16 - 12 - 1.9 = 2.1 nominal, 2.0 at the worst: a warning, one milder
        ("M4x26", "3.8mm..4mm", "error"),  # 12.05 nominal
        ("M4x26", "3.8mm..4.2mm", "warning"),  # 12 nominal, 12.1 at the worst
        ("M4x13", "0mm", "warning"),  # none: 1 mm = 1.4 turns
    ],
)
def test_half_of_the_shims_is_in_front_of_each_end(screws: str, shims: str, severity: str | None) -> None:
    assert severities(shimmed(screws, shims), WRONG) == ([(WRONG, severity)] if severity else [])


def test_words_about_shims() -> None:
    (finding,) = told(shimmed("M4x13"), WRONG)
    assert finding.message == "M4x13 does not reach the ends of 'plain' through the side and the shims of row 'top'"
    assert finding.sum == "12mm side + 2mm shims = 14mm, and the screw is 13mm long"
    # 20 - 12 - 2 = 6 mm = 1.5 x 4 mm
    assert finding.remedy.startswith("use 4 M4x20, the shortest standard length that holds well")
    assert "shims taken to be alike at both ends" in finding.rests_on
    assert "half of it at each end" in [place.label for place in finding.others]
    (long,) = told(shimmed("M4x30 washer 1mm"), WRONG)
    assert long.sum == "1mm washer + 12mm side + 2mm shims + 12mm of thread = 27mm, and 30mm - 27mm = 3mm"
    (short,) = told(shimmed("M4x16"), WRONG)
    assert short.sum == "16mm - 12mm side - 2mm shims = 2mm, at 0.7mm a turn 2.8 turns"
    without = told(ends("M4x13"), WRONG)[0]
    assert "shims" not in without.sum + without.rests_on + without.message


def test_a_gap_without_shims_is_pulled_shut() -> None:
    """1.9 mm too wide, no shims: the sides come in, and nothing is taken off the screw."""
    gap = ends("M4x16 washer 1.9mm").replace("84HP plus 1mm", "84HP plus 1.9mm")
    assert told(gap, WRONG) == []


def either(screws: str = "M3x16", choices: str = "rails heron with strip\nor kestrel with strip") -> str:
    """A row with two pairs of rails: heron's ends are M3, kestrel's M4; both take the panels."""
    heron = "rail heron like plain {\nend-hole M3 behind 5mm inward 0mm deep 12mm\n}\n"
    kestrel = "rail kestrel like plain {\nend-hole M4 behind 5mm inward 0mm deep 12mm\n}\n"
    text = ends(screws, more=heron + kestrel)
    return text.replace("rails plain with strip", choices)


@pytest.mark.parametrize(
    "choices", ["rails heron with strip\nor kestrel with strip", "rails kestrel with strip\nor heron with strip"]
)
def test_end_screws_choose_the_rails(choices: str) -> None:
    """M3x16 goes into heron only, M4x20 into kestrel only: either order is silent, and neither of them alone."""
    assert told(either("M3x16", choices), WRONG) == []
    assert told(either("M4x20", choices), WRONG) == []
    assert len(told(either("M3x16", "rails kestrel with strip"), WRONG)) == 1
    assert len(told(either("M4x20", "rails heron with strip"), WRONG)) == 1
    # where none does, the first one is told, once
    (finding,) = told(either("M5x20", choices), WRONG)
    assert choices.split()[1] in finding.message


# --- what hangs on a guess


@pytest.mark.parametrize(
    ("screws", "thickness", "deep", "told_left"),
    [
        ("M4x20", "12mm guessed", "deep 10mm", "2mm"),  # 8 of 10 mm; half of 12 is 6
        ("M4x16 washer 1mm", "12mm guessed", "deep 12mm", "0.9mm"),  # 3 mm; 2.1 are wanted
        ("M4x20", "12mm", "deep 10mm guessed", "2mm"),  # half of 10 is 5
        ("M4x20", "12mm", "deep 10mm", None),  # nothing is guessed
        ("M4x20 washer 1mm", "1mm guessed", "deep 19mm", None),  # 18 of 19: 1 left, half of 1 is 0.5
        ("M4x30", "12mm guessed", "deep 10mm", None),  # it bottoms: a finding, and no note beside it
    ],
)
def test_a_guess_that_decides(screws: str, thickness: str, deep: str, told_left: str | None) -> None:
    text = ends(screws, f"M4 behind 5mm inward 0mm {deep}", thickness)
    found = told(text, "guess-decides")
    assert [f"hold with {told_left} to spare" in finding.message for finding in found] == ([True] if told_left else [])


def test_words_of_a_guess_that_decides() -> None:
    (finding,) = told(ends("M4x20", "M4 behind 5mm inward 0mm deep 10mm", "12mm guessed"), "guess-decides")
    assert finding.severity == "note"
    assert finding.message == (
        "the end screws of row 'top' hold with 2mm to spare, and the thickness of 12mm is guessed"
    )
    assert finding.sum == "50% of 12mm is 6mm, more than 2mm until they bottom"
    assert finding.names == ("tray/top",)
    loose = ends("M4x20", "M4 behind 5mm inward 0mm deep 10mm", "12mm guessed", house="assume guess 10%")
    assert told(loose, "guess-decides") == []  # 1.2 of 2 mm


def test_a_seat_at_the_face_asks_for_the_thickness() -> None:
    """The rails are behind the panels: without their thickness no hole may be drilled, and it is asked for."""
    setback = ends().replace("seat (8mm, 25mm)", "seat setback 8mm up 25mm\n{panel}")
    module = "module osc {\nwidth 8HP\n{thick}\ndraws nothing\n}\n"
    panel = "at 0HP osc"
    for thick, asked in (("", True), ("thickness 2mm", False), ("thickness 2mm guessed", True)):
        text = module.replace("{thick}", thick) + setback.replace("{panel}", panel)
        assert (("tray/top", "thickness") in not_known(text)) == asked
    assert ("tray/top", "thickness") in not_known(setback.replace("{panel}\n", ""))
    assert ("tray/top", "thickness") not in not_known(module.replace("{thick}", "") + ends())


def test_how_near_it_comes_is_a_margin() -> None:
    """20 - 1 - 11.3 = 7.7 of 12 mm at the worst."""
    found = margins(ends(thickness="12mm +0.5mm/-0.7mm"))
    assert found["top: end screws in their tapped depth"] == "43/10"


# --- nuts that the second side locks out


def nuts(
    places: str = "at 0HP osc as osc-a\nnext osc as osc-b in spring",
    enters: str = "enters end",
    more: str = "",
    screws: str = "screws 4 of M3x6",
    head: str = "",
) -> str:
    """A rack of one row on rails with sliding nuts, in a case."""
    return (
        f"insert nut {{\nnut M3\nacross 5.5mm\n{enters}\nthread 1.8mm\n}}\n"
        "rail plain {\nlength 84HP\ntakes nut\nrecess 1mm\nroom 8mm\nend-hole M4 behind 5mm inward 0mm deep 12mm\n}\n"
        f"sheet board {{\nthickness 12mm\n}}\nmodule osc {{\nwidth 8HP\nthickness 2mm\n{screws}\ndraws nothing\n}}\n"
        f"rack tray {{\nstage spring\nstage autumn\n{head}\n"
        f"row top {{\nrails plain with nut\nseat (8mm, 25mm)\n{places}\n}}\n{more}\n"
        "case {\nside {\nfrom board\n}\ninside 84HP plus 1mm\n}\n}\n"
    )


def test_words_of_nuts_for_later() -> None:
    (finding,) = told(nuts(), LOCKED)
    assert finding.severity == "note"
    assert finding.message == (
        "4 of the 8 nuts of row 'top' are for later: "
        "they go in at the end of the rails, so before the second side is on"
    )
    assert finding.sum == "4 from the start + 4 more at 'spring' = 8"
    assert finding.remedy == "thread 4 into each rail of row 'top' before the second side goes on"
    assert finding.names == ("tray/top",)


@pytest.mark.parametrize(
    ("places", "sums"),
    [
        # one goes out and one comes in: its nuts serve again
        ("at 0HP osc as osc-a until spring\ninstead osc as osc-b in spring", None),
        ("at 0HP osc as osc-a until spring\nnext osc as osc-b in spring", None),
        # two come in for one that goes out
        (
            "at 0HP osc as osc-a until spring\ninstead osc as osc-b in spring\nnext osc as osc-c in spring",
            "4 from the start + 4 more at 'spring' = 8",
        ),
        # the most at once is in the middle
        (
            "at 0HP osc as osc-a\nnext osc as osc-b in spring until autumn\nnext osc as osc-c in autumn",
            "4 from the start + 4 more at 'spring' = 8",
        ),
        (
            "at 0HP osc as osc-a\nnext osc as osc-b in spring\nnext blank 6HP in autumn",
            "4 from the start + 4 more at 'spring' + 4 more at 'autumn' = 12",
        ),
        ("at 0HP osc as osc-a\nnext gap 6HP in spring", None),
        ("at 0HP osc as osc-a in spring", "0 from the start + 4 more at 'spring' = 4"),
    ],
)
def test_the_most_at_once_counts(places: str, sums: str | None) -> None:
    assert [finding.sum for finding in told(nuts(places), LOCKED)] == ([sums] if sums else [])


def test_holes_say_which_rail() -> None:
    """Three holes below and one above: 3 + 1 a panel."""
    holes = "\n".join(f"hole 3.2mm at ({x}mm, {y}mm)" for x, y in ((7.47, 3), (17.63, 3), (32.87, 3), (7.47, 125.5)))
    (finding,) = told(nuts(screws=holes), LOCKED)
    assert finding.remedy.startswith("thread 6 into the bottom rail and 2 into the top rail of row 'top'")


def test_an_odd_screw_counts_on_both_rails() -> None:
    """Three screws, holes not written: two nuts on each rail, so that neither comes out short."""
    (finding,) = told(nuts(screws="screws 3 of M3x6"), LOCKED)
    assert finding.sum == "4 from the start + 4 more at 'spring' = 8"


def test_wishes_want_nuts_where_they_may_come() -> None:
    """76HP are free, at 'spring' 68HP: two of 30HP fit in there, a third does not, and one of 90HP nowhere."""
    wish = "wish echo in spring {\ncount 3\nwidth 30HP\n}\nwish hall in spring {\nwidth 90HP\n}"
    (finding,) = told(nuts(more=wish), LOCKED)
    assert finding.sum == "4 from the start + 4 more at 'spring' + 8 in case 'echo' comes here = 16"
    assert "4 assumed for each wish" in finding.rests_on
    assert told(nuts("at 0HP osc as osc-a\nnext blank 76HP", more=wish), LOCKED) == []


def test_too_few_of_them_there() -> None:
    (finding,) = told(nuts(head="have 7 of nut"), LOCKED)
    assert finding.severity == "warning"
    assert finding.message == "7 of 'nut' are there; 8 have to be in the rails before the second side goes on"
    assert finding.remedy.startswith("get 1 more, and thread 4 into each rail of row 'top'")
    assert [finding.severity for finding in told(nuts(head="have 8 of nut"), LOCKED)] == ["note"]
    assert [finding.severity for finding in told(nuts(head="have 4 of nut\nhave 4 of nut"), LOCKED)] == ["note"]


def test_one_nut_in_two_rows_is_one_warning() -> None:
    """8 in the first row, 4 in the second: 12 have to go in, in two rows, out of one bag."""
    second = "row second {\nrails plain with nut\nseat (8mm, 165mm)\nat 0HP osc as osc-c\n}"
    (finding,) = told(nuts(more=second, head="have 11 of nut"), LOCKED)
    assert finding.message.startswith("11 of 'nut' are there; 12 have to be in the rails")
    assert finding.names == ("tray/top", "tray/second")
    assert finding.sum == (
        "row 'top': 4 from the start + 4 more at 'spring' = 8; row 'second': 4 from the start = 4; 12 - 11 = 1"
    )
    (note,) = told(nuts(more=second, head="have 12 of nut"), LOCKED)
    assert (note.severity, note.names) == ("note", ("tray/top",))
    assert told(nuts("at 0HP osc as osc-a", more=second, head="have 1 of nut"), LOCKED) == []


def test_nuts_from_the_front_are_no_matter() -> None:
    assert told(nuts(enters="enters front", head="have 1 of nut"), LOCKED) == []
    assert "nut" not in {thing for thing, _ in not_known(nuts(enters="enters front"))}


def test_nobody_wrote_where_they_go_in() -> None:
    assert told(nuts(enters=""), LOCKED) == []
    assert ("nut", "where it goes into the rail") in not_known(nuts(enters=""))
    assert "nut" not in {thing for thing, _ in not_known(nuts("at 0HP osc as osc-a", enters=""))}


def test_nothing_is_locked_without_a_case() -> None:
    text = nuts().partition("case {")[0] + "}\n"
    assert told(text, LOCKED) == []


def test_a_line_that_is_not_understood_makes_it_at_least() -> None:
    (finding,) = told(nuts("at 0HP osc as osc-a\nnext osc as osc-b in spring\nnext oscillator ??"), LOCKED)
    assert "of the at least 8 nuts" in finding.message
    assert finding.sum.endswith("= at least 8")


def test_it_can_be_waived() -> None:
    text = nuts(more='waive locked-out-later on top because "the right side has a hatch"')
    (finding,) = told(text, LOCKED)
    assert finding.waiver is not None
    assert [seen.rule for seen in look_at(text).findings if seen.waiver is None] == []
