"""Growth, at its edges: wishes that fill a rack to the last HP, in rows and over stages, and those that do not."""

from __future__ import annotations

import pytest

from tests.rules.checking import not_known, severities, told

GROWTH = ("stage-outgrows-rack", "wish-has-no-place")


def rack(rows: list[str], wishes: str, stages: str = "") -> str:
    """Rows of 84 HP, given by their panels, and wishes given as ``COUNT of WIDTH [in STAGE]``."""
    text = "rack tray {\n" + "".join(f"    stage {stage}\n" for stage in stages.split())
    for number, panels in enumerate(rows):
        lines = "".join(f"        {line.strip()}\n" for line in panels.split("; ") if line.strip())
        text += f"    row row-{number} {{\n        length 84HP\n{lines}    }}\n"
    for number, wish in enumerate(wishes.split("; ")):
        count, _, rest = wish.partition(" of ")
        width, _, stage = rest.partition(" in ")
        when = f" in {stage}" if stage else ""
        facts = f"count {count}\n        width {width}\n        draws nothing"
        text += f"    wish wish-{number}{when} {{\n        {facts}\n    }}\n"
    return text + "}\n"


@pytest.mark.parametrize(
    ("rows", "wishes", "said"),
    [
        (["at 0HP blank 70HP"], "1 of 14HP", []),
        (["at 0HP blank 70HP"], "1 of 14.01HP", ["stage-outgrows-rack"]),
        (["at 0HP blank 70HP"], "2 of 7HP", []),
        (["at 0HP blank 70HP"], "15 of 1HP", ["stage-outgrows-rack"]),
        (["at 7HP blank 70HP"], "2 of 7HP", []),
        (["at 7HP blank 70HP"], "1 of 8HP", ["wish-has-no-place"]),
        (["at 0HP blank 74HP", "at 0HP blank 74HP"], "2 of 10HP", []),
        (["at 0HP blank 74HP", "at 0HP blank 74HP"], "1 of 11HP", ["wish-has-no-place"]),
        (["at 0HP blank 64HP", "at 0HP blank 64HP"], "1 of 9HP; 2 of 7HP; 2 of 6HP; 1 of 5HP", []),
        (["at 0HP blank 69HP", "at 0HP blank 69HP"], "3 of 10HP", ["wish-has-no-place"]),
        (["at 0.5HP blank 70HP"], "1 of 14HP", ["wish-has-no-place"]),
        (["at 0HP blank 70HP"], "0 of 20HP", []),
        (["at 0HP gap 80HP"], "1 of 5HP", ["stage-outgrows-rack"]),
        ([""], "7 of 12HP", []),
        ([""], "8 of 12HP", ["stage-outgrows-rack"]),
    ],
)
def test_wishes_are_packed_exactly(rows: list[str], wishes: str, said: list[str]) -> None:
    """Sums first, then places: 9 + 6 + 5 and 7 + 7 + 6 fill two runs of 20 HP, which no quick way of packing finds."""
    assert [rule for rule, _ in severities(rack(rows, wishes), *GROWTH)] == said


@pytest.mark.parametrize(
    ("panels", "wishes", "said"),
    [
        ("at 0HP blank 60HP until late", "1 of 84HP in late", []),
        ("at 0HP blank 60HP until late", "1 of 84HP in mid", ["stage-outgrows-rack"]),
        ("at 0HP blank 60HP until late", "1 of 24HP; 1 of 60HP in late", []),
        ("at 10HP blank 60HP until late", "1 of 14HP in mid; 1 of 70HP in late", []),
        ("at 12HP blank 60HP until late", "1 of 12HP; 1 of 12HP in mid; 1 of 60HP in late", []),
        ("at 20HP blank 40HP until mid", "1 of 20HP; 1 of 64HP in late", []),
        ("at 20HP blank 40HP until mid", "1 of 25HP; 1 of 30HP in late", ["wish-has-no-place"]),
        ("at 30HP blank 10HP in late", "1 of 50HP", ["wish-has-no-place"]),
        ("at 30HP blank 10HP in late", "1 of 44HP; 1 of 30HP", []),
        ("at 30HP blank 10HP in late until late", "1 of 44HP; 1 of 30HP", []),
    ],
)
def test_wishes_over_stages(panels: str, wishes: str, said: list[str]) -> None:
    """A wish keeps its place from its stage on: room that comes later is no help, room that goes later is none."""
    assert [rule for rule, _ in severities(rack([panels], wishes, "mid late"), *GROWTH)] == said


@pytest.mark.parametrize(
    ("wishes", "said"),
    [
        ("2 of 8HP", ("stage-outgrows-rack", "error")),
        ("2 of 8HP guessed", ("stage-outgrows-rack", "warning")),
        ("2 of 6HP..8HP", ("stage-outgrows-rack", "warning")),
        ("2 of 6HP..8HP guessed", ("stage-outgrows-rack", "note")),
        ("1 of 15HP; 1 of 4HP guessed", ("stage-outgrows-rack", "error")),
    ],
)
def test_how_serious_it_is(wishes: str, said: tuple[str, str]) -> None:
    """14 HP are free. One step milder where only the widest is too much, one where it rests on a guess; told once."""
    assert severities(rack(["at 0HP blank 70HP"], wishes), *GROWTH) == [said]


def test_the_sum_and_who_is_left_out() -> None:
    """Three runs of 10 HP hold three of five wishes of 8 HP."""
    (found,) = told(rack(["at 10HP blank 20HP; at 40HP blank 34HP"], "4 of 7HP"), "wish-has-no-place")
    assert found.message == "1 of 4 'wish-0' finds no free run of 7HP in rack 'tray'"
    assert found.sum == "free runs: 10HP + 10HP + 10HP = 30HP; wished for: 7HP + 7HP + 7HP + 7HP = 28HP"
    assert found.remedy == "move the panels of row 'row-0' together: it has 30HP free in pieces"


def test_only_wishes_that_are_due_are_in_the_sum() -> None:
    """At the start 8 HP are free in two pieces; the 40 HP of later have nothing to do with it."""
    text = rack(["at 4HP blank 38HP; at 42HP blank 38HP until late"], "1 of 6HP; 1 of 38HP in late", "late")
    (found,) = told(text, "wish-has-no-place")
    assert found.sum == "free runs: 4HP + 4HP = 8HP; wished for: 6HP"


def test_an_overfull_row_is_told_as_that() -> None:
    """Wishes are silent while a row is overfull, or while not every width is known."""
    assert severities(rack(["at 0HP blank 90HP"], "1 of 10HP"), *GROWTH) == []
    dark = "module dark {\n    depth 20mm\n}\n"
    assert severities(dark + rack(["at 0HP dark; at 20HP blank 60HP"], "2 of 12HP"), *GROWTH) == []
    known = severities(dark + rack(["at 0HP dark; at 20HP blank 60HP"], "2 of 15HP"), *GROWTH)
    assert known == [("stage-outgrows-rack", "error")], "60HP and 30HP are too much, whatever the unknown one adds"


def test_a_wish_without_a_width() -> None:
    """It is asked for, and counts for nothing until then."""
    text = rack(["at 0HP blank 84HP"], "1 of 4HP").replace("        width 4HP\n", "")
    assert severities(text, *GROWTH) == []
    assert ("tray/wish-0", "width") in not_known(text)


def test_thousands_of_wishes_harm_nothing() -> None:
    """A count beyond all racks is a sum that is too large, and nothing is packed."""
    assert [rule for rule, _ in severities(rack(["at 0HP blank 1HP"], "100000 of 1HP"), *GROWTH)] == [
        "stage-outgrows-rack"
    ]
