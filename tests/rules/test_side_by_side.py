"""Panels that meet their threads one by one and do not go in side by side: sums worked out by hand.

Two panels on one strip, from the screw of the one to the screw of the other: width - hole + hole <= threads + 2c, with
c = (3.2 - 2.980) / 2 = 0.11 mm (ISO 273 fine; ISO 965-1, 6g).
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from rackspec.findings import Finding
from tests.rules.checking import look_at, margins, told

INSERTS = """insert strip {{
    strip     M3
    holes     84 every 5.08mm
    first     2.54mm
    play      {play}
    thread    3mm
}}
insert nut {{
    nut       M3
    across    5.5mm
    thread    1.8mm
}}
rail tideline {{
    length    {length}
    takes     strip
    takes     nut
    recess    1mm
    room      8mm
}}
"""


def module(name: str, face: str, hole: str = "7.47mm", hp: int = 4, more: str = "") -> str:
    """A module with two holes, one above the other."""
    return (
        f"module {name} {{\n    width {hp}HP\n    face {face}\n    draws nothing\n"
        f"    hole 3.2mm at ({hole}, 3mm)\n    hole 3.2mm at ({hole}, 125.5mm)\n{more}}}\n"
    )


def rack(panels: str, insert: str = "strip", case: str = "") -> str:
    return f"rack tray {{\n    row top {{\n        rails tideline with {insert}\n{panels}    }}\n{case}}}\n"


def spec(modules: str, racks: str, play: str = "0.5mm", length: str = "84HP") -> str:
    return INSERTS.format(play=play, length=length) + modules + racks


PAIR = "        at 4HP left\n        next right\n"


def crowded(text: str) -> list[Finding]:
    """What is said about panels side by side."""
    return [finding for finding in told(text, "hole-misses-thread") if "side by side" in finding.message]


@pytest.mark.parametrize(("over", "fits"), [("0.52", True), ("0.521", False)])
def test_two_panels(over: str, fits: bool) -> None:
    """20.02 - 7.47 + 7.47 = 20.02 mm are 0.52 mm less than 20.32 + 0.22 mm: by so much the left one may be wider."""
    text = spec(module("left", f"20.02mm plus {over}mm") + module("right", "20.02mm"), rack(PAIR))
    found = crowded(text)
    assert [finding.severity for finding in found] == ([] if fits else ["error"])
    if not fits:
        assert "they lack 0.001mm" in found[0].message
        assert found[0].sum == (
            "20.541mm 'left' - 7.47mm to the hole of 'left' + 7.47mm to the hole of 'right' = 20.541mm; "
            "20.32mm from thread to thread + 0.11mm play in 'left' + 0.11mm play in 'right' = 20.54mm; "
            "20.541mm - 20.54mm = 0.001mm"
        )
        assert set(found[0].names) == {"tray/top", "tray/left", "tray/right"}


def test_margin_is_what_the_wider_panel_may_still_grow() -> None:
    text = spec(module("left", "20.2mm") + module("right", "20.02mm"), rack(PAIR))
    assert margins(text)["top: play of 'left' and 'right'"] == str(Fraction("0.34"))


def test_a_chain_is_told_once() -> None:
    """Three panels of 20.42 mm from the first one's screw to the screw behind them: 61.26 mm in 60.96 + 0.22 mm."""
    modules = module("left", "20.02mm") + module("wide", "20.42mm") + module("right", "20.02mm")
    panels = (
        "        at 4HP left\n" + "".join(f"        next wide as {name}\n" for name in "abc") + "        next right\n"
    )
    found = crowded(spec(modules, rack(panels)))
    assert len(found) == 1
    assert found[0].message.startswith("'a', 'b', 'c' and 'right' cannot all be screwed on")
    assert "they lack 0.08mm" in found[0].message


def test_the_remedy_is_enough() -> None:
    """What the finding asks for makes it silent: a gap, a file, nuts, a wider hole."""
    modules = module("left", "20.6mm") + module("right", "20.02mm")
    (finding,) = crowded(spec(modules, rack(PAIR)))
    assert finding.remedy.startswith("open the holes of ")
    assert "leave 1HP free before 'right'" in finding.remedy
    assert "file 0.06mm off the right edge of 'left'" in finding.remedy
    assert "use sliding nuts 'nut'" in finding.remedy
    assert not crowded(spec(modules, rack("        at 4HP left\n        at 9HP right\n")))
    assert not crowded(spec(modules.replace("20.6mm", "20.54mm"), rack(PAIR)))
    assert not crowded(spec(modules, rack(PAIR, "nut")))
    opened = finding.remedy.split(" to ")[1].split(" ")[0]
    name = finding.remedy.split("'")[1]
    begin, end = modules.index(f"module {name}"), modules.index("}", modules.index(f"module {name}"))
    wider = modules[:begin] + modules[begin:end].replace("hole 3.2mm", f"hole {opened}") + modules[end:]
    assert not crowded(spec(wider, rack(PAIR)))


def test_tolerances_are_a_warning() -> None:
    """As meant they fit; where both are as wide as they may be they do not."""
    modules = module("left", "20.4mm +-0.2mm") + module("right", "20.02mm")
    (finding,) = crowded(spec(modules, rack(PAIR)))
    assert finding.severity == "warning"
    assert "they lack 0.06mm at the worst" in finding.message
    assert finding.remedy.startswith("measure 'left' and 'right'; if they are that wide, ")


def test_a_guess_is_milder() -> None:
    modules = module("left", "20.6mm guessed") + module("right", "20.02mm")
    assert [finding.severity for finding in crowded(spec(modules, rack(PAIR)))] == ["warning"]


def test_the_strip_slides() -> None:
    """Both holes stand 0.3 mm beside their threads, by the same: the strip's travel makes good for it."""
    modules = module("left", "20.02mm", "7.9mm") + module("right", "20.02mm", "7.9mm")
    tight = "        at 0HP left\n        next right\n        next blank 76HP\n"
    assert not told(spec(modules, rack(tight), "0.5mm"), "hole-misses-thread")
    assert told(spec(modules, rack(tight), "0mm"), "hole-misses-thread")


def test_a_row_of_broad_panels_is_overfull() -> None:
    """Ten panels of 20.4 mm on nuts need 204 mm of 203.2. End screws pull a wider case shut; washers make room."""
    panels = "".join(f"        {'at 0HP' if not n else 'next'} broad as p{n}\n" for n in range(10))
    modules = module("broad", "20.4mm")
    (finding,) = told(spec(modules, rack(panels, "nut"), length="40HP"), "row-overfull")
    assert (finding.severity, finding.sum) == (
        "error",
        "204mm for 10 panels; 203.2mm from end to end; 204mm - 203.2mm = 0.8mm",
    )
    wide = rack(panels, "nut", "    case {\n        inside 40HP plus 1mm\n    }\n")
    (finding,) = told(spec(modules, wide, length="40HP"), "row-overfull")
    assert finding.remedy.startswith("put 0.4mm of washers between the rails and either side ('shims 0.8mm'), or file ")
    filled = wide.replace("plus 1mm\n", "plus 1mm\n        shims 0.8mm\n")
    assert not told(spec(modules, filled, length="40HP"), "row-overfull")


def test_two_nuts_find_room_where_there_is_some() -> None:
    """Panels of 1 HP: nuts of 5.5 mm need 5.28 mm from hole to hole. Two of them move apart; four in 4 HP cannot."""
    modules = module("sliver", "4.78mm", "2.39mm", 1)
    two = "        at 0HP sliver as one\n        next sliver as two\n"
    four = two + "        next sliver as three\n        next sliver as four\n"
    assert not told(spec(modules, rack(two, "nut")), "nuts-collide")
    (finding,) = told(spec(modules, rack(four, "nut"), length="4HP"), "nuts-collide")
    assert finding.sum == "4 nuts of 5.5mm 22mm; 20.32mm from end to end; 22mm - 20.32mm = 1.68mm"


def test_one_cause_one_finding() -> None:
    """A panel whose own holes contradict each other is told by itself, and its neighbours are not blamed for it."""
    odd = module("left", "20.02mm", more="    hole 3.2mm at (12.9mm, 3mm)\n")
    found = told(spec(odd + module("right", "20.02mm"), rack(PAIR)), "hole-misses-thread")
    assert [finding.names[0] for finding in found] == ["tray/left"]


def test_nothing_is_said_of_what_nobody_wrote() -> None:
    """Panels of which only widths are known cost nothing and have no margin."""
    modules = "module plain {\n    width 8HP\n    draws nothing\n}\n"
    text = spec(modules, rack("        at 0HP plain as a\n        next plain as b\n"))
    assert not [what for what in margins(text) if "play" in what]
    assert not look_at(text).racks[0].rack.spoiled


def test_free_room_is_used() -> None:
    """0.42 mm beside its thread, and nothing stands beside it: it moves. Shoulder to shoulder they are too broad."""
    modules = module("left", "20.02mm") + module("right", "20.86mm")
    free = "        at 4HP left\n        at 14HP right\n"
    assert not told(spec(modules, rack(free), "0mm"), "hole-misses-thread")
    tight = "        at 4HP right as a\n        next right as b\n"
    assert len(told(spec(modules, rack(tight), "0mm"), "modules-overlap")) == 2
    assert not told(spec(modules, rack(tight), "0mm"), "hole-misses-thread")


def test_a_panel_that_wants_another_place_is_told_by_itself() -> None:
    """2 mm beside its thread it is not where it was put, however much room there is."""
    (finding,) = told(spec(module("left", "20.02mm", "9.47mm"), rack("        at 40HP left\n")), "hole-misses-thread")
    assert finding.message.startswith("a hole of 'left' is 2mm to the right of the nearest thread")


def test_the_worst_chain_is_told() -> None:
    """Six panels of 20.4 mm: from the first screw to the last 102 mm in 101.6 + 0.22 mm. The remedy mends all of it."""
    panels = "        at 4HP left as a\n" + "".join(f"        next left as {name}\n" for name in "bcdef")
    text = spec(module("left", "20.4mm"), rack(panels), "0mm")
    (finding,) = crowded(text)
    assert "'a', 4 more and 'f' cannot all be screwed on" in finding.message
    assert "they lack 0.18mm" in finding.message
    assert "file 0.18mm off the right edge of" in finding.remedy
    mended = text.replace("left as c", "short as c") + module("short", "20.22mm")
    assert not crowded(mended)


def test_two_causes_are_two_findings() -> None:
    """Two pairs at two places of one row have nothing to do with each other."""
    modules = module("left", "20.6mm") + module("right", "20.02mm")
    panels = PAIR + "        at 40HP left as other\n        next right as another\n"
    found = [set(finding.names) - {"tray/top"} for finding in crowded(spec(modules, rack(panels)))]
    assert found == [{"tray/left", "tray/right"}, {"tray/other", "tray/another"}]


def test_at_the_end_of_the_rails() -> None:
    """Its thread holds a panel 0.02 mm beyond the end of the rails: 33.15 mm in 33.02 + 0.11."""
    panels = "        at 34HP wide\n"
    modules = "module wide {\n    width 8HP\n    face 40.62mm\n    draws nothing\n    hole 3.2mm at (7.47mm, 3mm)\n}\n"
    text = spec(modules, rack(panels), "0mm", "42HP").replace("holes     84", "holes     42")
    (finding,) = told(text, "hole-misses-thread")
    assert finding.sum == (
        "40.62mm 'wide' - 7.47mm to the hole of 'wide' = 33.15mm; 33.02mm from a thread to the end + 0.11mm play in "
        "'wide' = 33.13mm; 33.15mm - 33.13mm = 0.02mm"
    )


def test_rails_that_are_off_take_the_play() -> None:
    """0.22 mm too near: the screws have no room left sideways. What to mend is the rails."""
    modules = module("left", "20.33mm") + module("right", "20.02mm")
    text = spec(modules, rack(PAIR), "0mm").replace("    play ", "    slack     0mm\n    play ")
    assert not crowded(text)
    (finding,) = crowded(text.replace("        at 4HP", "        apart 122.28mm\n        at 4HP"))
    assert finding.remedy.startswith("bring the rails to 122.5mm, which gives the screws their play back, or ")


def test_what_is_told_of_a_row_is_not_told_of_its_panels() -> None:
    """A panel that is named as too wide in its row has no note that it is wider than the standard."""
    text = spec(module("left", "20.6mm") + module("right", "20.02mm"), rack(PAIR))
    assert crowded(text)
    assert not told(text, "panel-off-standard")


def test_each_rail_has_a_strip_of_its_own() -> None:
    """Lower and upper hole are 0.3 mm apart sideways: with 1 mm of travel the two strips part by as much."""
    skew = (
        "module left {\n    width 4HP\n    face 20.02mm\n    draws nothing\n"
        "    hole 3.2mm at (7.3mm, 3mm)\n    hole 3.2mm at (7.6mm, 125.5mm)\n}\n"
    )
    panels = "        at 0HP left as a\n        next left as b\n        next left as c\n        next left as d\n"
    assert not told(spec(skew, rack(panels), "1mm", "16HP"), "hole-misses-thread")


def test_rails_that_have_to_be_pushed_are_told_once() -> None:
    """0.7 mm too far apart: the rails are pushed, and then the screws have their play back."""
    modules = module("left", "20.33mm") + module("right", "20.02mm")
    text = spec(modules, rack("        apart 123.2mm measured\n" + PAIR))
    assert [finding.rule for finding in look_at(text).findings if finding.severity != "note"] == ["rails-misspaced"]


@pytest.mark.parametrize(("first", "play"), [("2.54mm guessed", "0.1mm"), ("2.54mm", "0.1mm guessed")])
def test_a_guess_of_the_strip_is_milder(first: str, play: str) -> None:
    """Where the strip lies is part of the sum at the end of the rails."""
    modules = module("left", "20.02mm", "7.9mm") + module("right", "20.02mm", "7.9mm")
    tight = "        at 0HP left\n        next right\n        next blank 76HP\n"
    text = spec(modules, rack(tight), play).replace("first     2.54mm", f"first     {first}")
    sure = text.replace(" guessed", "")
    assert [finding.severity for finding in told(sure, "hole-misses-thread")] == ["error"]
    assert [finding.severity for finding in told(text, "hole-misses-thread")] == ["warning"]


def test_a_far_too_wide_panel_takes_no_time() -> None:
    """The search for a gap ends where no builder would leave one."""
    modules = module("left", "1000020.02mm") + module("right", "20.02mm")
    assert look_at(spec(modules, rack(PAIR))).findings
