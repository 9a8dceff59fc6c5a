"""Fit along the row, at its edges: full rows, a nanometre, stages; remedies are carried out and must work."""

from __future__ import annotations

import re

import pytest

from tests.rules.checking import look_at, not_known, severities, told

FIT = ("row-overfull", "modules-overlap", "beyond-rail-end")


def row(lines: str, length: str = "84HP", more: str = "", stages: str = "", modules: str = "") -> str:
    """A rack of one row, and of what is put beside it."""
    inside = "\n".join(f"        {line.strip()}" for line in lines.split("; "))
    return f"""{modules}
module ten {{
    width 10HP
}}
module wide {{
    width 60HP
}}
rack tray {{
{stages}
    row top {{
        length {length}
{inside}
    }}
{more}
}}
"""


@pytest.mark.parametrize(
    ("width", "length", "over"),
    [
        ("24HP", "84HP", False),
        ("24HP plus 0.000001mm", "84HP", True),
        ("24HP minus 0.000001mm", "84HP", False),
        ("24HP", "426.72mm", False),
        ("24HP", "426.719999mm", True),
        ("24HP", "16 4/5in", False),
        ("121.92mm", "84HP", False),
    ],
)
def test_a_full_row_is_full_and_not_overfull(width: str, length: str, over: bool) -> None:
    """60 HP and 24 HP are 84 HP are 426.72 mm are 16 4/5 in, to the last nanometre."""
    text = row(f"at 0HP wide; next blank {width}", length)
    assert severities(text, *FIT) == ([("row-overfull", "error")] if over else [])


def test_touching_is_no_overlap() -> None:
    """Panels side by side share an edge and no room; a nanometre more is an overlap."""
    assert severities(row("at 0HP ten; at 10HP ten as b; at 20HP blank 4HP"), *FIT) == []
    (found,) = told(row("at 0HP ten; at 10HP minus 0.000001mm ten as b"), "modules-overlap")
    assert found.severity == "error"


@pytest.mark.parametrize(
    ("position", "ends"),
    [("74HP", False), ("74HP plus 0.000001mm", True), ("75HP", True), ("0HP", False), ("-1HP", True)],
)
def test_ends_of_the_rails(position: str, ends: bool) -> None:
    """A panel may end where the rails end, and begin where they begin."""
    assert severities(row(f"at {position} ten"), *FIT) == ([("beyond-rail-end", "error")] if ends else [])


def test_one_cause_one_finding() -> None:
    """An overfull row is told as that, not also as an overlap or an end beyond the rails."""
    assert severities(row("at 0HP wide; next ten; next ten as b; next ten as c"), *FIT) == [("row-overfull", "error")]
    assert severities(row("at 0HP wide; at 50HP wide as b"), *FIT) == [("row-overfull", "error")]


ROUGH = "module rough {\n    width 60HP +-0.2mm\n}\n"


def test_at_the_worst_one_cause_is_one_finding_too() -> None:
    """A row that is overfull only at its widest: one warning, whatever stands behind the wide panel."""
    assert severities(row("at 0HP rough; next blank 24HP", modules=ROUGH), *FIT) == [("row-overfull", "warning")]


@pytest.mark.parametrize(
    ("lines", "total"), [("at 0HP rough; next blank 24HP", "~84.03HP"), ("at 0HP wide; next blank 25HP", "85HP")]
)
def test_sums_add_up(lines: str, total: str) -> None:
    """The widths that are shown give the sum that is shown, also at the worst."""
    (found,) = told(row(lines, modules=ROUGH), "row-overfull")
    left, _, right = found.sum.partition(" = ")
    shown = sum(float(part.strip("~HP")) for part in left.split(" + "))
    assert right.startswith(total)
    assert abs(shown - float(total.strip("~HP"))) <= 0.01


def test_a_sum_of_one_width_is_no_sum() -> None:
    """A single panel that is too wide: its width less the row, not ``70HP = 70HP``."""
    (found,) = told(row("at 0HP wide", "50HP"), "row-overfull")
    assert found.sum == "60HP - 50HP = 10HP"


@pytest.mark.parametrize(
    ("second", "overlap"),
    [
        ("at 0HP ten as b", True),
        ("at 0HP ten as b in later", True),
        ("at 0HP ten as b until later", True),
        ("instead ten as b in later", True),
    ],
)
def test_two_at_once_in_one_place(second: str, overlap: bool) -> None:
    """Without ``until`` the first panel stays for ever, whatever comes."""
    found = severities(row(f"at 0HP ten; {second}", stages="    stage later"), "modules-overlap")
    assert bool(found) is overlap


@pytest.mark.parametrize(
    ("first", "second", "overlap"),
    [
        ("until mid", "in mid", False),
        ("until mid", "in late", False),
        ("until late", "in mid", True),
        ("in mid until late", "in late", False),
        ("in mid until late", "until mid", False),
        ("in mid until late", "until late", True),
        ("in late", "until late", False),
        ("", "in late", True),
    ],
)
def test_until_ends_before_its_stage(first: str, second: str, overlap: bool) -> None:
    """``until mid`` is over when ``mid`` begins: what comes ``in mid`` has the room."""
    text = row(f"at 0HP ten {first}; at 4HP ten as b {second}", stages="    stage mid\n    stage late")
    assert bool(told(text, "modules-overlap")) is overlap


def test_overfull_only_for_a_while() -> None:
    """The first stage at which a row is overfull is named, once."""
    lines = "at 0HP wide; at 60HP ten in mid until late; at 70HP ten as b in mid; at 80HP ten as c in mid until late"
    (found,) = told(row(lines, stages="    stage mid\n    stage late"), "row-overfull")
    assert found.message == "row 'top' is overfull by 6HP at stage 'mid'"


@pytest.mark.parametrize(
    ("lines", "panel"),
    [
        ("at 4HP ten; at 12HP ten as b", "b"),
        ("at 4HP ten; at 12HP ten as b; at 24HP blank 50HP", "b"),
        ("at 0HP blank 20HP; at 4HP ten as b", "b"),
        ("at 60HP ten; at 64HP ten as b; at 76HP blank 8HP", "b"),
        ("at 76HP ten as b", "b"),
        ("at -3HP ten as b; at 7HP blank 4HP", "b"),
        ("at 8HP rough2; at 20HP ten as b", "b"),
        ("at 74HP rough3 as b", "b"),
        ("at 0HP ten; at 8HP ten as b; next ten as c; next wide as d", "b"),
        ("at 0HP ten; at 6HP ten as b; next blank 10HP; at 30HP blank 54HP", "b"),
    ],
)
def test_the_remedy_works(lines: str, panel: str) -> None:
    """What a remedy says is carried out in the text: then the finding is gone, and no other of its kind has come."""
    modules = "module rough2 {\n    width 12HP..13HP\n}\nmodule rough3 {\n    width 10HP +-0.2mm\n}\n"
    text = row(lines, "90HP" if "wide" in lines else "84HP", modules=modules)
    found = [finding for finding in look_at(text).findings if finding.rule in FIT]
    assert len(found) == 1, found
    said = re.search(r"start (?:'\w+'|it) at (-?\d+HP)", found[0].remedy)
    assert said is not None, found[0].remedy
    mended = re.sub(rf"at -?\w+ (\w+ as {panel}\b)", rf"at {said[1]} \1", text)
    assert mended != text, "the remedy is where it stands already"
    assert severities(mended, *FIT) == []


LOWER = "    row low {\n        length 40HP\n        at 0HP blank 6HP\n        at 30HP blank 10HP\n    }\n"


def test_overfull_rows_name_a_place_that_works() -> None:
    """The panel that is named is moved to the place that is named: both rows are well then."""
    text = row("at 0HP wide; next blank 15HP; next ten", more=LOWER)
    (found,) = [finding for finding in look_at(text).findings if finding.rule in FIT]
    said = re.fullmatch(r"move '(\w+)' to row 'low' at (\d+HP)", found.remedy)
    assert said is not None, found.remedy
    mended = re.sub(rf"\n *next {said[1]}\n", "\n", text)
    mended = mended.replace("        at 30HP", f"        at {said[2]} {said[1]}\n        at 30HP")
    assert severities(mended, *FIT) == []


def test_overfull_without_another_place() -> None:
    """Where no row has a place, the remedy says how much is too much."""
    (found,) = told(row("at 0HP wide; next wide as b", more=LOWER), "row-overfull")
    assert found.remedy == "take out 36HP of panels, or choose longer rails"


def test_a_gap_takes_room_and_is_never_moved() -> None:
    """A gap keeps room free: it counts as taken, and the remedy moves something real."""
    (found,) = told(row("at 0HP wide; next gap 20HP; next ten", more=LOWER), "row-overfull")
    assert found.remedy == "move 'ten' to row 'low' at 6HP"


def test_nothing_is_said_of_what_is_not_known() -> None:
    """A panel of unknown width, and what follows it, is neither too much nor in the way; its width is asked for."""
    text = row("at 0HP dark; next wide; at 80HP blank 4HP", modules="module dark {\n    depth 20mm\n}\n")
    assert severities(text, *FIT) == []
    assert ("tray/dark", "width") in not_known(text)


def test_a_known_part_may_be_too_much_already() -> None:
    """90 HP of known widths are too much for 84 HP, whatever the unknown one adds."""
    text = row("at 0HP dark; next wide; next blank 30HP", modules="module dark {\n    depth 20mm\n}\n")
    assert severities(text, *FIT) == [("row-overfull", "error")]


RAILS = "rail short {\n    length 60HP\n}\nrail long {\n    length 84HP\n}\n"


@pytest.mark.parametrize(
    ("rails", "rules"),
    [
        ("rails short; or long", []),
        ("rails long; or short", []),
        ("rails short; or short", ["row-overfull"]),
        ("rails short; or lnog", ["unknown-name"]),
        ("rails lnog; or short", ["unknown-name"]),
        ("rails lnog", ["unknown-name"]),
    ],
)
def test_rails_to_choose_from(rails: str, rules: list[str]) -> None:
    """One pair that is long enough will do; while one of them is not known, none is said to be too short."""
    text = RAILS + row(f"{rails}; at 0HP blank 70HP").replace("        length 84HP\n", "")
    assert [rule for rule, severity in severities(text) if severity == "error"] == rules
