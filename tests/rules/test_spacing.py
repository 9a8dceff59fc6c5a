"""Rails too near, too far or askew go in; the row must be told once, with the way to push, and panels for their own."""

from __future__ import annotations

import re
from fractions import Fraction
from random import Random

import pytest

from rackspec.physics.pushing import Ask, Push, at, smallest_push
from tests.rules.checking import look_at, margins, not_known, severities, told

RULE = "rails-misspaced"
PAIR = "hole 3.2mm at (7.47mm, 3mm)\nhole 3.2mm at (7.47mm, {})"


def panel(name: str = "probe", upper: str = "125.5mm", more: str = "") -> str:
    """A module of 8 HP with a lower and an upper hole."""
    return f"module {name} {{\nwidth 8HP\n{PAIR.format(upper)}\n{more}\ndraws nothing\n}}\n"


def spec(
    row: str,
    modules: str = "",
    insert: str = "strip M3\nholes 84 every 5.08mm\nfirst 2.54mm\nslack 0.3mm",
    rail: str = "",
    more: str = "",
) -> str:
    """A rack with one row."""
    return (
        f"insert piece {{\n{insert}\nthread 3mm\n}}\n"
        f"rail plain {{\nlength 84HP\ntakes piece\nrecess 1mm\nroom 8mm\n{rail}\n}}\n{modules or panel()}"
        f"rack tray {{\nrow top {{\nrails plain with piece\n{row}\n}}\n{more}\n}}\n"
    )


def drilled(left: str = "122.5mm", right: str = "122.5mm") -> str:
    """Holes in both sides, so far apart."""
    return (
        f"drilled left bottom (11.2mm, 17mm) measured\ndrilled left top (11.2mm, 17mm plus {left}) measured\n"
        f"drilled right bottom (11.2mm, 17mm) measured\ndrilled right top (11.2mm, 17mm plus {right}) measured\n"
    )


END = "end-hole M4 behind 5.2mm inward 0mm deep 12mm"


def test_pushing_says_which_way_how_far_and_when() -> None:
    (finding,) = told(spec("apart 123.5mm measured\nat 0HP probe"), RULE)
    assert finding.severity == "warning"
    assert finding.message == (
        "the rails of row 'top' have to be pushed 0.48mm together for 'probe': their thread lines are 123.5mm apart, "
        "its holes 122.5mm"
    )
    assert finding.sum == (
        "123.5mm - 122.5mm = 1mm; room of the screws 0.22mm + play of the inserts 0.3mm = 0.52mm; "
        "0.48mm are left to push, and rails give 1mm"
    )
    assert finding.remedy == (
        "with the end screws loose put the first panels in, push the rails 0.5mm together, and only then tighten them"
    )
    assert finding.rests_on == (
        "distance of the thread lines measured; play of the inserts stated; how far rails give, 1mm, from common "
        "practice"
    )


def test_the_house_says_how_far_rails_give() -> None:
    text = spec("apart 123.5mm measured\nat 0HP probe")
    (finding,) = told("house {\ngive rails 0.4mm\n}\n" + text, RULE)
    assert finding.severity == "error"
    assert "how far rails give, 0.4mm, from the house" in finding.rests_on
    assert severities("house {\ngive rails 0.5mm\n}\n" + text, RULE) == [(RULE, "warning")]


def test_a_row_is_told_once_with_its_worst_panel() -> None:
    modules = panel() + panel("short", "125.4mm") + panel("tall", "125.6mm")
    (finding,) = told(spec("apart 121.7mm measured\nat 0HP probe\nnext short\nnext tall", modules), RULE)
    assert "for 'tall' and 2 others" in finding.message
    assert finding.names == ("tray/top", "tray/tall")


def test_skew_counts_where_a_panel_stands() -> None:
    """Rails that are 1 mm too far apart at the right end only: at 0 HP that is nothing, at 76 HP nearly all of it."""
    right, left = drilled(right="123.5mm"), drilled(left="123.5mm")
    assert told(spec(f"{right}at 0HP probe", rail=END), RULE) == []
    (finding,) = told(spec(f"{right}at 76HP probe", rail=END), RULE)
    assert "push the rails 0.5mm together at the right" in finding.remedy
    assert told(spec(f"{left}at 76HP probe", rail=END), RULE) == []


def test_no_straight_rails_serve_a_panel_between_two_others() -> None:
    modules = panel() + panel("wide", "126.7mm")
    (finding,) = told(spec("apart 122.5mm measured\nat 0HP probe\nat 40HP wide\nat 76HP probe as last", modules), RULE)
    assert finding.severity == "error"
    assert finding.message == "no distance of the rails of row 'top' serves all its panels: not with straight rails"


@pytest.mark.parametrize(("upper", "rules"), [("128mm", ["hole-misses-thread"]), ("125.9mm", ["panel-off-standard"])])
def test_a_panel_that_is_off_is_told_for_itself(upper: str, rules: list[str]) -> None:
    """Its own holes are to blame while the rails are as they should be."""
    for row in ("", "apart 122.5mm measured\n"):
        modules = panel() + panel("odd", upper)
        assert [rule for rule, _ in severities(spec(f"{row}at 0HP probe\nat 20HP odd", modules))] == rules


def test_a_panel_made_for_odd_rails_is_no_fault_of_theirs() -> None:
    assert told(spec("apart 120mm measured\nat 0HP probe", panel(upper="123mm")), "hole-misses-thread") == []
    assert told(spec("apart 120mm measured\nat 0HP probe", panel(upper="123mm")), RULE) == []
    (finding,) = told(spec("at 0HP probe", panel(upper="123mm")), "hole-misses-thread")
    assert finding.message == "the holes of 'probe' are 120mm apart, the threads 122.5mm"


@pytest.mark.parametrize(
    ("lines", "insert", "said"),
    [
        ("hole 3.2mm at (32.87mm, 3.3mm)", "strip M3\nholes 84 every 5.08mm\nfirst 2.54mm\nslack 0.5mm", 1),
        ("hole 3.2mm at (32.87mm, 3.2mm)", "strip M3\nholes 84 every 5.08mm\nfirst 2.54mm\nslack 0.5mm", 0),
        ("hole 3.2mm at (32.87mm, 3.3mm)", "nut M3\nacross 5.5mm\nslack 0.5mm", 0),
        ("hole 3.2mm at (32.87mm, 3.8mm)", "nut M3\nacross 5.5mm\nslack 0.5mm", 1),
    ],
)
def test_two_holes_for_one_rail(lines: str, insert: str, said: int) -> None:
    """The threads of a strip travel together, nuts each for itself; no pushing of rails helps."""
    found = told(spec("at 0HP probe", panel(more=lines), insert), "hole-misses-thread")
    assert [finding.message.endswith("apart in height") for finding in found] == [True] * said


def test_a_hole_that_sets_its_panel_on_the_lip() -> None:
    lip = "lip front 1.2mm outside 3.3mm"
    text = spec("at 0HP probe", "module probe {\nwidth 8HP\nhole 3.2mm at (7.47mm, 4mm)\ndraws nothing\n}\n", rail=lip)
    (finding,) = told(text, "hole-misses-thread")
    assert finding.message == "'probe' would stand on the lip of its rail: a hole is 4mm from its lower edge"
    assert finding.sum == "4mm less the room of the screw is 3.74mm; the lip is 3.3mm from the thread line"
    assert finding.remedy.startswith("file 0.44mm off that edge")


def test_a_panel_too_high_for_the_lips() -> None:
    lines = "width 8HP\nheight 130.2mm\nhole 3.2mm at (7.47mm, 3.5mm)\nhole 3.2mm at (7.47mm, 126.7mm)"
    text = spec("at 0HP probe", f"module probe {{\n{lines}\ndraws nothing\n}}\n", rail="lip front 1mm outside 3.3mm")
    (finding,) = told(text, "hole-misses-thread")
    assert finding.message == "'probe' is 130.2mm high, and the lips leave it 129.1mm"
    assert finding.sum == "130.2mm - 129.1mm = 1.1mm; the lips are 3.3mm outside of the thread lines"


def test_lips_name_themselves() -> None:
    wide = "strip M3\nholes 84 every 5.08mm\nfirst 2.54mm\nslack 1mm"
    (finding,) = told(spec("apart 121.7mm measured\nat 0HP probe", "", wide, "lip front 1.2mm outside 3.3mm"), RULE)
    assert finding.message.endswith("128.3mm are between their lips, and it is 128.5mm high")
    assert finding.sum == "121.7mm + 2 x 3.3mm = 128.3mm, and 128.5mm - 128.3mm = 0.2mm; rails give 1mm"


def test_an_empty_row_is_tried_with_a_standard_panel() -> None:
    (finding,) = told(spec(drilled("124.5mm", "124.5mm"), rail=END), RULE)
    assert finding.severity == "error"
    assert "for a standard panel" in finding.message
    assert finding.remedy.startswith(
        "set the upper rail 2mm lower, so that the thread lines are 122.5mm apart: file its end holes to slots of "
        "4.5mm x 6.5mm"
    )
    (far,) = told(spec(drilled("140mm", "140mm"), rail=END), RULE)
    assert (
        "set the upper rail 17.5mm lower, so that the thread lines are 122.5mm apart: drill new ones (clamp"
        in far.remedy
    )
    assert "slot" not in far.remedy
    assert far.remedy.count("glasses") == 1


@pytest.mark.parametrize(
    ("right", "by", "said"),
    [
        (
            "132.5mm",
            "10mm",
            "drill a new",
        ),
        (
            "126.5mm",
            "4mm",
            "plug its right",
        ),
        (
            "124.5mm",
            "2mm",
            "file its right",
        ),
    ],
)
def test_an_end_that_is_right_stays(right: str, by: str, said: str) -> None:
    (finding,) = told(spec(drilled(right=right) + "at 0HP probe\nat 76HP probe as last", rail=END), RULE)
    assert finding.severity == "error"
    start = f"set the upper rail {by} lower at the right, so that the thread lines are 122.5mm apart: "
    assert finding.remedy.startswith(start + said)
    assert "left" not in finding.remedy


@pytest.mark.parametrize(
    ("up", "said"),
    [
        (
            "148.5mm",
            "drill the right top hole again at (11.2mm, 139.5mm) (clamp the piece, punch the mark, drill small first",
        ),
        ("189.5mm", "drill the right top hole again at (11.2mm, 139.5mm) (clamp"),
        (
            "148.49mm",
            "plug the right top hole with a glued dowel, let it dry, and drill again at (11.2mm, 139.5mm) (clamp",
        ),
        (
            "141.5mm",
            "file the right top hole to a slot of 4.5mm x 6.5mm towards its mark (11.2mm, 139.5mm), with a washer",
        ),
    ],
)
def test_a_hole_goes_back_to_its_mark(up: str, said: str) -> None:
    """The others are right, and stay; nothing is drilled beside a hole that is there."""
    holes = drilled().replace("right top (11.2mm, 17mm plus 122.5mm)", f"right top (11.2mm, {up})")
    for panels in ("at 0HP probe\n", "at 0HP probe\nat 76HP probe as last\n", ""):
        text = spec("seat (6mm, 14mm)\n" + holes + panels, rail=END)
        found = told(text, RULE)
        if panels == "at 0HP probe\n":  # it stands where nearly nothing of it is left
            continue
        (finding,) = found
        assert finding.severity == "error"
        assert finding.remedy.startswith(said)
        assert "left" not in finding.remedy
        assert finding.place.source.text[finding.place.start : finding.place.end] == f"11.2mm, {up}"
        assert told(text.replace(f"(11.2mm, {up})", "(11.2mm, 139.5mm)"), RULE) == []


def test_the_rail_that_is_off_its_marks_is_the_one_to_move() -> None:
    lower = drilled().replace("bottom (11.2mm, 17mm)", "bottom (11.2mm, 14.5mm)")
    row = "seat (6mm, 14mm)\n" + lower
    text = spec(row, rail=END, more="case {\ninside 84HP plus 1mm\n}")
    assert severities(text) == [(RULE, "error")]
    assert told(text, RULE)[0].remedy.startswith(
        "plug the left bottom and right bottom holes with glued dowels, let them dry, and drill again at (11.2mm, 17mm)"
    )


def test_inward_left_out_is_recognised() -> None:
    end = "end-hole M4 behind 5.2mm inward 1mm deep 12mm"
    (finding,) = told(spec(drilled() + "at 0HP probe", rail=end), RULE)
    assert finding.message.endswith(
        "as if the 1mm from thread line to end hole had been left out at both rails, 2 x 1mm = 2mm"
    )
    other = drilled("124.5mm", "124.5mm")
    (finding,) = told(spec(other + "at 0HP probe", rail=end), RULE)
    assert finding.message.endswith(
        "as if the 1mm from thread line to end hole had been measured the other way at both rails, 4 x 1mm = 4mm"
    )


def test_measured_wins_over_drilled_and_what_contradicts_is_told() -> None:
    row = "apart 122.5mm measured\n" + drilled("124mm", "124mm") + "at 0HP probe"
    (finding,) = told(spec(row, rail=END), RULE)
    assert finding.severity == "note"
    assert finding.message == ("the thread lines of row 'top' were measured 122.5mm apart, its drilled holes say 124mm")
    assert told(spec("apart 122.5mm measured\n" + drilled("123.5mm", "123.5mm"), rail=END), RULE) == []
    (stated,) = told(spec(row.replace("122.5mm measured", "122.5mm"), rail=END), RULE)
    assert stated.message.startswith("the thread lines of row 'top' are written as 122.5mm apart, its drilled holes")


def test_measured_lines_that_do_not_serve_and_holes_that_would_are_told_once() -> None:
    """Both numbers, both places; nobody files good holes because of a number that was misread."""
    (finding,) = told(spec("apart 124.1mm measured\n" + drilled() + "at 0HP probe", rail=END), RULE)
    assert finding.severity == "error"
    assert "their thread lines are 124.1mm apart" in finding.message
    assert finding.message.endswith("; but its drilled holes say 122.5mm")
    assert finding.remedy.startswith("measure 'apart' again, from thread to thread, and the drilled holes")
    assert [place.label for place in finding.others].count("drilled left") == 2
    (close,) = told(spec("apart 123.5mm measured\n" + drilled() + "at 0HP probe", rail=END), RULE)
    assert "drilled" not in close.message


def test_a_hole_that_sets_its_panel_on_the_lip_is_an_error_that_no_pushing_mends() -> None:
    """4.5 - 0.11 - 3.2 = 1.19 mm; the lip goes wherever its rail is pushed. With travel that is not sure: a warning."""
    part = "module probe {\nwidth 8HP\nhole 3.2mm at (7.47mm, 4.5mm)\ndraws nothing\n}\n"
    insert = "strip M3\nholes 84 every 5.08mm\nfirst 2.54mm\nslack "
    for slack, severity in (("0mm", "error"), ("2.38mm", ""), ("2.3mm", "error"), ("1mm..6mm", "warning")):
        found = told(spec("at 0HP probe", part, insert + slack, "lip front 1.5mm outside 3.2mm"), "hole-misses-thread")
        assert [finding.severity for finding in found] == [severity] * bool(severity)
        assert not any("rails give" in finding.rests_on for finding in found)
    apart = told(spec("at 0HP probe", panel(upper="128mm")), "hole-misses-thread")[0]
    assert "rails give 1mm by common practice" in apart.rests_on


def test_a_tolerance_is_counted_from_its_worse_end_and_to_both_sides() -> None:
    """122.9 mm or 122.1 mm: 0.4 mm off, of which the screws take 0.22 mm."""
    rigid = "strip M3\nholes 84 every 5.08mm\nfirst 2.54mm\nslack 0mm"
    (finding,) = told(spec("apart 122.5mm +-0.4mm\nat 0HP probe", insert=rigid), RULE)
    assert "have to be pushed 0.18mm apart or together for 'probe'" in finding.message
    assert finding.sum == (
        "122.5mm + 0.4mm = 122.9mm, and 122.9mm - 122.5mm = 0.4mm; room of the screws 0.22mm + play of the inserts 0mm "
        "= 0.22mm; 0.18mm are left to push, and rails give 1mm"
    )
    assert "0.2mm apart or together at most" in finding.remedy
    (one_way,) = told(spec("apart 122.5mm +0.4mm/-0mm\nat 0HP probe", insert=rigid), RULE)
    assert "pushed 0.18mm together for" in one_way.message
    (never,) = told(spec("apart 122.5mm +-2mm measured\nat 0HP probe", insert=rigid), RULE)
    assert "too far apart or too near to each other" in never.message
    assert never.remedy.startswith("measure 'apart' again, closer")


def test_the_wrong_hole_is_the_place_and_panel_and_end_have_their_numbers() -> None:
    holes = drilled(right="123.5mm")
    row = "seat (6mm, 14mm)\n" + holes + "at 70HP probe"
    for text in (spec(row, rail=END), spec(row.replace("seat (6mm, 14mm)\n", ""), rail=END)):
        (finding,) = told(text, RULE)
        line = text[: finding.place.start].count("\n")
        assert text.splitlines()[line].startswith("drilled right ")
        assert "together at the right for 'probe'" in finding.message
        numbers = re.search(r"(~\S+mm) are left to push there, (~\S+mm) at the right end, and rails give", finding.sum)
        assert numbers is not None
        assert numbers[1] != numbers[2]
        assert numbers[2] in finding.message
    assert "right top" in text.splitlines()[line] or "seat" not in text


def test_rails_are_set_to_the_standard_distance() -> None:
    """Not only by what is missing: 124.2 mm with 1.18 mm left to push are set 1.7 mm lower, and all play is there."""
    (finding,) = told(spec("apart 124.2mm measured\nat 0HP probe"), RULE)
    assert finding.remedy == (
        "set the upper rail 1.7mm lower, so that the thread lines are 122.5mm apart, or measure 'apart' again, from "
        "thread to thread"
    )
    odd = told(spec("apart 122.4mm measured\nat 0HP probe", panel(upper="124.5mm")), RULE)
    assert all("122.5mm apart" not in finding.remedy for finding in odd)


def test_what_is_only_written_is_not_called_measured() -> None:
    for written, label in (("apart 123.5mm", "as written"), ("apart 123.5mm measured", "measured")):
        (finding,) = told(spec(f"{written}\nat 0HP probe"), RULE)
        assert finding.place.label == label


def test_a_tolerance_and_a_guess_make_it_milder() -> None:
    place = "\nat 0HP probe"
    assert severities(spec("apart 124.1mm measured" + place), RULE) == [(RULE, "error")]
    assert severities(spec("apart 124mm +-0.1mm measured" + place), RULE) == [(RULE, "warning")]
    assert severities(spec("apart 124.1mm guessed" + place), RULE) == [(RULE, "warning")]
    assert severities(spec("apart 123mm +-0.1mm measured" + place), RULE) == [(RULE, "note")]
    assert severities(spec("apart 123.5mm guessed" + place), RULE) == [(RULE, "note")]


@pytest.mark.parametrize("by", ["+-0.3mm", "+0.3mm/-0mm", "+0mm/-0.3mm"])
def test_a_tolerance_of_drilled_holes_counts_to_its_worse_side(by: str) -> None:
    """121.9 or 123.1 mm at the worst: 0.6 mm off, and 0.52 mm are to be had without pushing."""
    apart = {"+-0.3mm": "122.2mm", "+0.3mm/-0mm": "122.8mm", "+0mm/-0.3mm": "122.2mm"}[by]
    upper = "drilled left top (11.2mm, 17mm plus " + apart
    holes = f"drilled left bottom (11.2mm, 17mm) measured\n{upper} {by}) measured\nat 0HP probe"
    assert severities(spec(holes.replace(f" {by})", ")"), rail=END), RULE) == []
    assert severities(spec(holes, rail=END), RULE) == [(RULE, "note")]


def test_a_play_that_decides_is_asked_for_where_nobody_measured_it() -> None:
    unmeasured = "strip M3\nholes 84 every 5.08mm\nfirst 2.54mm"
    text = spec("apart 4 13/16in measured\nat 0HP probe", insert=unmeasured)
    assert severities(text) == []
    assert ("piece", "how far it travels across the rail") in not_known(text)
    assert not any("rails off" in what for what in margins(text))


def test_what_is_left_is_a_close_call() -> None:
    found = margins(spec("apart 122.8mm measured\nat 0HP probe"))
    assert found["tray/top: rails off from the holes of its panels"] == "11/50"  # 0.22 + 0.3 - 0.3 mm


def test_panels_of_other_times_do_not_meet() -> None:
    """Each stage has rails of its own: they may be pushed anew."""
    modules = panel("low", "124.7mm") + panel("high", "126.3mm")
    row = "apart 122.5mm measured\nat 0HP low until later\nat 0HP high in later"
    assert told(spec(row, modules, more="stage later"), RULE) != []
    assert {finding.severity for finding in told(spec(row, modules, more="stage later"), RULE)} == {"warning"}


@pytest.mark.parametrize("seed", range(40))
def test_no_smaller_push_serves(seed: int) -> None:
    """Whatever is asked, the push found serves, and no push of a grid around it that is smaller does."""
    chance = Random(seed)
    asks = []
    for _ in range(chance.randrange(1, 7)):
        least = Fraction(chance.randrange(-200, 200), 100) if chance.random() < 0.7 else None
        most = (least or Fraction(0)) + Fraction(chance.randrange(10, 150), 100) if chance.random() < 0.7 else None
        asks.append(Ask(Fraction(chance.randrange(0, 101), 100), least, most))
    grid = [Fraction(step, 10) for step in range(-60, 61)]
    serving = [
        max(abs(left), abs(right))
        for left in grid
        for right in grid
        if all(ask.takes(at(ask.share, left, right)) for ask in asks)
    ]
    found = smallest_push(asks, Fraction(0), Fraction(0))
    if found is None:
        assert not serving
        return
    assert all(ask.takes(at(ask.share, found.left, found.right)) for ask in asks)
    assert not serving or found.most <= min(serving)
    askew, least = Fraction(1, 3), smallest_push(asks, Fraction(0), Fraction(1, 3))
    easy = smallest_push(asks, Fraction(0), askew, Fraction(2))
    assert least is not None
    assert easy is not None
    assert all(ask.takes(at(ask.share, easy.left, askew + easy.right)) for ask in asks)
    assert (easy.most <= 2) == (least.most <= 2)
    assert easy == least or abs(easy.left) + abs(easy.right) < abs(least.left) + abs(least.right)


def test_a_push_may_be_asked_for_to_the_point() -> None:
    """Both ends fixed: one push serves, and a third panel that asks for anything else between them has none."""
    asks = [Ask(Fraction(0), Fraction(1), Fraction(1)), Ask(Fraction(1), Fraction(2), Fraction(2))]
    assert smallest_push(asks, Fraction(0), Fraction(0)) == Push(Fraction(1), Fraction(2))
    between = Ask(Fraction(1, 2), Fraction(3, 2), Fraction(3, 2))
    assert smallest_push([*asks, between], Fraction(0), Fraction(0)) == Push(Fraction(1), Fraction(2))
    assert smallest_push([*asks, between._replace(most=None, least=Fraction(16, 10))], Fraction(0), Fraction(0)) is None


def test_one_end_alone_is_pushed_where_that_serves() -> None:
    asks = [Ask(Fraction(0), Fraction(1), None), Ask(Fraction(1), Fraction(-5), Fraction(5))]
    assert smallest_push(asks, Fraction(0), Fraction(0)) == Push(Fraction(1), Fraction(0))
    assert smallest_push([], Fraction(3), Fraction(4)) == Push(Fraction(0), Fraction(0))


def test_a_row_without_rails_says_nothing() -> None:
    text = "rack tray {\nrow top {\nlength 84HP\napart 140mm measured\n}\n}\n"
    assert look_at(text).findings == ()
