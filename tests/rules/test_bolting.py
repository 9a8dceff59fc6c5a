"""Racks on rails go in; the rules about holes, threads and screws must name the cause, and remedies must help."""

from __future__ import annotations

import pytest

from rackspec.findings import Finding
from tests.rules.checking import look_at, severities, told

RULE = "hole-misses-thread"


def spec(
    module: str,
    places: str = "at 10HP probe",
    strip: str = "holes 84 every 5.08mm\nfirst 2.54mm",
    rail: str = "recess 1mm\nroom 8mm",
    more: str = "",
) -> str:
    """A rack with a row on a strip for M3."""
    return (
        f"insert strip {{\nstrip M3\n{strip}\nthread 3mm\n}}\nrail plain {{\nlength 84HP\ntakes strip\n{rail}\n}}\n"
        f"module probe {{\n{module}\ndraws nothing\n}}\n{more}\n"
        f"rack tray {{\nrow top {{\nrails plain with strip\n{places}\n}}\n}}\n"
    )


def hole(*points: str) -> str:
    """Round holes of 3.2 mm."""
    return "\n".join(f"hole 3.2mm at ({point})" for point in points)


def seen_at(finding: Finding) -> list[str]:
    """The texts of the places that a finding cites."""
    return [place.source.text[place.start : place.end] for place in finding.others]


def test_the_hole_that_misses_is_cited() -> None:
    (finding,) = told(spec("width 6HP\n" + hole("7.47mm, 3mm", "20mm, 3mm")), RULE)
    assert "20mm" in seen_at(finding)[0]
    assert "7.47mm" not in "".join(seen_at(finding))


def test_holes_that_contradict_each_other() -> None:
    """7.42 and 23.06 mm against 7.62 and 22.86 mm: 0.2 mm either way, of which each hole gives 0.11 mm."""
    (finding,) = told(spec("width 6HP\n" + hole("7.27mm, 3mm", "22.91mm, 3mm"), "at 0HP probe"), RULE)
    assert finding.message == "the holes of 'probe' do not all meet threads of 'strip' at once"
    assert finding.sum == (
        "15.64mm from hole to hole, 15.24mm from thread to thread, 0.4mm off; both holes give 0.22mm, "
        "0.4mm - 0.22mm = 0.18mm"
    )
    assert ["7.27mm" in seen_at(finding)[0], "22.91mm" in seen_at(finding)[1]] == [True, True]
    assert finding.remedy == "open its holes to 3.4mm (deburr, and mind the coating)"
    opened = hole("7.27mm, 3mm", "22.91mm, 3mm").replace("3.2mm", "3.4mm")
    assert told(spec("width 6HP\n" + opened, "at 0HP probe"), RULE) == []
    filed = "width 6HP\nslot 3.2mm x 3.5mm at (7.27mm, 3mm)\nslot 3.2mm x 3.5mm at (22.91mm, 3mm)"
    assert told(spec(filed, "at 0HP probe"), RULE) == []


def test_one_of_two_holes_alone_would_do() -> None:
    assert told(spec("width 6HP\n" + hole("7.27mm, 3mm"), "at 0HP probe"), RULE) == []


@pytest.mark.parametrize("lines", ["width 14HP", "width 14HP\n" + hole("7.47mm, 3mm", "63.35mm, 3mm")])
def test_a_strip_that_ends_too_early(lines: str) -> None:
    """30 threads from 2.54 mm on: the last one at 2.54 + 29 x 5.08 = 149.86 mm."""
    short = "holes 30 every 5.08mm\nfirst 2.54mm"
    (finding,) = told(spec(lines, "at 20HP probe", short), RULE)
    assert finding.message.startswith("'strip' ends at 149.86mm, a hole of 'probe' is at 165.1mm")
    assert finding.remedy == "use a longer strip, or sliding nuts"
    assert told(spec(lines, "at 16HP probe", short), RULE) == []
    (both,) = told(spec(lines, "at 40HP probe", short), RULE)
    assert "2 holes of 'probe' are at 210.82mm, 266.7mm" in both.message


def test_a_strip_that_begins_too_late() -> None:
    late = "holes 40 every 5.08mm\nfirst 22.86mm"
    (finding,) = told(spec("width 8HP", "at 0HP probe", late), RULE)
    assert finding.message.startswith("'strip' begins at 22.86mm, a hole of 'probe' is at 7.62mm")


def test_a_strip_beside_the_grid_is_told_once() -> None:
    beside = "holes 84 every 5.08mm\nfirst 5.08mm"
    places = "at 0HP probe\nat 10HP probe as second\nat 20HP probe as third"
    (finding,) = told(spec("width 8HP\n" + hole("7.47mm, 3mm"), places, beside), RULE)
    assert finding.message.startswith("the threads of row 'top' stand 2.54mm beside the grid")
    assert "measure 'first' of 'strip' again" in finding.remedy
    assert finding.names == ("tray/top",)


def test_holes_that_are_wrong_themselves_are_no_fault_of_the_strip() -> None:
    found = told(spec("width 2HP\n" + hole("4.93mm, 3mm"), "at 0HP probe\nat 10HP probe as second"), RULE)
    assert [finding.names[0] for finding in found] == ["tray/probe", "tray/second"]


@pytest.mark.parametrize("point", ["41mm, 3mm", "7.47mm, 129mm"])
def test_a_hole_outside_of_its_panel(point: str) -> None:
    text = spec("width 8HP\nface 40.34mm\nheight 128.5mm\n" + hole(point))
    assert severities(text) == [(RULE, "error")]
    assert told(text, RULE)[0].message == "a hole of 'probe' lies outside of its panel"


@pytest.mark.parametrize(
    ("edge", "start"),
    [("7.47mm", "0.5HP"), ("7.47mm", "75.5HP"), ("7.47mm", "3mm"), ("4.93mm", "0HP"), ("4.93mm", "76HP")],
)
def test_the_start_of_a_remedy_meets_threads(edge: str, start: str) -> None:
    lines = "width 8HP\n" + hole(f"{edge}, 3mm")
    (finding,) = told(spec(lines, f"at {start} probe"), RULE)
    assert finding.remedy.startswith("start it at ")
    place = finding.remedy.removeprefix("start it at ")
    assert severities(spec(lines, f"at {place} probe")) == []


def test_panels_beyond_the_rails_are_told_once() -> None:
    text = spec("width 8HP\n" + hole("7.47mm, 3mm", "32.87mm, 3mm"), "at 80HP probe")
    assert severities(text) == [("beyond-rail-end", "error")]


def test_where_no_slot_fits_none_is_asked_for() -> None:
    (finding,) = told(
        spec(
            "width 1HP\n" + hole("4.5mm, 3mm"),
            "at 0HP probe\n" + "\n".join(f"at {hp}HP blank 1HP" for hp in range(1, 84)),
        ),
        RULE,
    )
    assert "slots of" not in finding.remedy
    assert "sliding nuts" in finding.remedy


@pytest.mark.parametrize("good", [3, 5])
@pytest.mark.parametrize("thickness", ["", "thickness 2mm", "thickness 1.5mm..2.5mm", "thickness 3mm"])
@pytest.mark.parametrize("recess", ["0.5mm", "1mm", "2mm", "3.8mm"])
@pytest.mark.parametrize("room", ["3mm", "4.2mm", "6mm", "8mm"])
@pytest.mark.parametrize("screw", ["M3x4", "M3x12", "M2.5x6"])
def test_the_screws_of_a_remedy_are_never_complained_of(
    good: int, thickness: str, recess: str, room: str, screw: str
) -> None:
    """Whatever the house wants: who follows the remedy is done, or is told that no screw serves."""
    rail, house = f"recess {recess}\nroom {room}", f"house {{\nturns good {good}\n}}"
    rules = ("thread-mismatch", "screw-too-short", "screw-bottoms")

    def tried(designation: str) -> list[Finding]:
        module = f"width 8HP\n{thickness}\nscrews 4 of {designation}"
        found = look_at(spec(module, rail=rail, more=house)).findings
        assert {finding.rule for finding in found} <= set(rules)
        return list(found)

    found = tried(screw)
    assert found or screw == "M3x4"  # the others have the wrong thread, or hit what is behind
    for finding in found:
        if finding.remedy.startswith("use 4 M3x"):
            assert tried(finding.remedy.split()[2].rstrip(",")) == []
        else:
            assert finding.remedy.startswith("no standard M3 screw serves here")


def test_a_screw_bottoms_whatever_is_known_of_the_insert() -> None:
    """12 mm - 2 mm = 10 mm, and only 8 mm are there; the recess does not matter."""
    module = "width 8HP\nthickness 2mm\nscrews 4 of M3x12"
    (finding,) = told(spec(module, rail="room 8mm"), "screw-bottoms")
    assert finding.remedy.startswith("use screws of 10mm or less")
    assert told(spec(module.replace("x12", "x10"), rail="room 8mm"), "screw-bottoms") == []


def test_the_screws_of_the_row_are_cited() -> None:
    (finding,) = told(spec("width 8HP\nscrews 4 of M3x6", "screws M4x8\nat 0HP probe"), "thread-mismatch")
    assert seen_at(finding)[0] == "M4x8"
    assert finding.others[0].label == "the row's screws"


NEIGHBOUR = "module other {\nwidth 6HP\ndraws nothing\n}"


@pytest.mark.parametrize(
    ("face", "places", "said"),
    [
        ("35mm", "at 10HP probe\nat 16HP other", [("modules-overlap", "error")]),
        ("35mm guessed", "at 10HP probe\nat 16HP other", [("modules-overlap", "warning")]),
        ("35mm", "at 10HP other\nat 16HP probe", [("modules-overlap", "error")]),
        ("35mm", "at 78HP probe", [("modules-overlap", "error")]),
        ("35mm", "at 10HP probe\nat 17HP other", [("panel-off-standard", "note")]),
        ("30.7mm", "at 10HP probe\nat 16HP other", [("panel-off-standard", "note")]),
    ],
)
def test_a_face_wider_than_its_hp(face: str, places: str, said: list[tuple[str, str]]) -> None:
    assert severities(spec(f"width 6HP\nface {face}", places, more=NEIGHBOUR)) == said


def test_what_a_wide_face_needs() -> None:
    (finding,) = told(spec("width 6HP\nface 35mm", "at 10HP probe\nat 16HP other", more=NEIGHBOUR), "modules-overlap")
    assert finding.sum == "35mm - 30.48mm = 4.52mm"
    assert finding.remedy == "give it 7HP"
    assert severities(spec("width 7HP\nface 35mm", "at 9HP probe\nat 16HP other", more=NEIGHBOUR)) == []


def test_neighbours_of_another_time_do_not_crowd() -> None:
    text = spec("width 6HP\nface 35mm", "at 10HP probe until later\nat 16HP other in later", more=NEIGHBOUR)
    text = text.replace("rack tray {\n", "rack tray {\nstage later\n")
    assert severities(text) == [("panel-off-standard", "note")]
