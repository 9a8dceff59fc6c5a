"""Two racks go in; the numbers that come out must be those that a builder would work out by hand."""

from __future__ import annotations

from fractions import Fraction

import pytest

from rackspec.comparison import Comparison, compare, refused
from rackspec.comparison.record import Figure
from rackspec.comparison.refuse import REFUSABLE
from rackspec.language.units import HP
from rackspec.views.comparison_verdict import verdict
from tests.comparison.test_examples import EXAMPLES, texts
from tests.comparison.texts import compared, demo, seen

SPEC = """\
module saw {
    width   10HP
    depth   30mm
    plug    10mm
    draws   100mA on +12V
    draws   40mA on -12V
    price   120 EUR
}
module echo {
    width   14HP
    depth   25mm
    plug    10mm
    draws   60mA on +12V
    draws   60mA on -12V
    price   200 EUR
}
supply slim {
    width   4HP
    depth   20mm
    gives   500mA on +12V
    gives   400mA on -12V
    price   80 EUR
}
rack desk {
    stage later
    have 1 of slim
    row low {
        length  60HP
        behind  50mm
        power   from slim
        at 0HP  slim
        next    saw as one
        at 30HP saw as two in later
    }
}
"""


def figures(comparison: Comparison) -> dict[tuple[str, str, str], Figure]:
    """The numbers of all racks by what they are of, which they are, and when."""
    return {(figure.about, figure.what, figure.stage): figure for rack in comparison.racks for figure in rack.figures}


def values(comparison: Comparison, about: str, what: str, stage: str = "") -> tuple[Fraction | None, Fraction | None]:
    """One number on both sides; of a number that is the same on both there is none."""
    figure = figures(comparison)[about, what, stage]
    return figure.old, figure.new


def edited(*edits: tuple[str, str]) -> str:
    """The spec with some texts in the place of others, each of which is there once."""
    text = SPEC
    for old, new in edits:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return text


def test_one_more_module() -> None:
    """14HP, 60mA on both voltages and 200 EUR more; the free run of 30HP behind 'two' is left as it is."""
    comparison = compared(SPEC, edited(("        at 30HP saw", "        next    echo\n        at 30HP saw")))
    assert values(comparison, "desk/low", "taken") == (14 * HP, 28 * HP)
    assert values(comparison, "desk/low", "free") == (46 * HP, 32 * HP)
    assert values(comparison, "desk/low", "longest free run") == (46 * HP, 32 * HP)
    assert values(comparison, "desk/low", "free", "later") == (36 * HP, 22 * HP)
    assert ("desk/low", "longest free run", "later") not in figures(comparison)  # 40HP to 60HP as before
    assert values(comparison, "desk/slim", "spare on +12V") == (400, 340)
    assert values(comparison, "desk/slim", "spare on -12V", "later") == (320, 260)
    assert values(comparison, "desk", "price") == (120, 320)
    assert values(comparison, "desk", "price in all") == (240, 440)
    assert values(comparison, "desk/echo", "depth") == (None, 15)
    assert ("desk", "price", "later") not in figures(comparison)
    assert all(figure.better is False for figure in figures(comparison).values() if figure.what in ("free", "price"))
    assert verdict(comparison) == (
        "rack 'desk' changes: no finding is new or gone; "
        "14HP less room, 60mA less spare on +12V and 60mA on -12V, 200 EUR dearer"
    )


def test_less_of_everything() -> None:
    """What is taken out gives room, power and money back, and nothing is refused but the change itself."""
    comparison = compared(SPEC, edited(("        at 30HP saw as two in later\n", "")))
    assert values(comparison, "desk/low", "free", "later") == (36 * HP, 46 * HP)
    assert values(comparison, "desk", "price", "later") == (120, 0)
    assert [what for what in REFUSABLE if refused(comparison, what)] == ["any"]


def test_a_module_of_which_nothing_is_known() -> None:
    """Nobody knows what is to be paid then; what it draws at the worst is counted as practice has it."""
    mystery = "module mystery {\n    width 8HP\n}\nrack desk {"
    new = edited(("rack desk {", mystery), ("        at 30HP saw", "        next mystery\n        at 30HP saw"))
    comparison = compared(SPEC, new)
    price = figures(comparison)["desk", "price in all", ""]
    assert (price.old, price.new, price.bound, price.better) == (240, 240, ("", "at least"), None)
    assert refused(comparison, "dearer") == [
        "desk: to be paid in all: 240 EUR, now at least 240 EUR: it is not known any more"
    ]
    spare = figures(comparison)["desk/slim", "spare on +12V", ""]
    assert (spare.old, spare.new, spare.bound) == (400, 400, ("", "at most"))
    assert values(comparison, "desk/slim", "spare on +12V at the worst") == (400, 400 - 8 * 8)
    assert {
        "desk/slim: spare on +12V at stage 'later': 300mA, now at most 300mA: it is not known any more",
        "desk/slim: spare on +12V at the worst at stage 'later': 300mA, now 236mA, 64mA less",
    } <= set(refused(comparison, "less-power"))
    known = new.replace(
        "    width 8HP\n", "    width 8HP\n    draws 30mA on +12V\n    draws 0mA on -12V\n    price 90 EUR\n"
    )
    answered = compared(new, known)
    price = figures(answered)["desk", "price in all", ""]
    assert (price.step, price.sure, price.better, price.gained) == (None, False, None, True)
    assert refused(answered, "dearer") == []  # it may have cost as much before
    assert refused(answered, "less-power") == []  # 30mA are less than the 64mA that were counted
    assert "90 EUR more of its price is known" in verdict(answered)
    assert {item.fact for item in answered.racks[0].answered} >= {"current"}


def test_a_width_that_is_measured_takes_no_room_away() -> None:
    """Nobody knew how much was free; that it is less than the most it could be is no loss."""
    old = edited(("    width   10HP\n", ""))
    comparison = compared(old, SPEC)
    free = figures(comparison)["desk/low", "free", "later"]
    assert (free.old, free.new, free.bound) == (56 * HP, 36 * HP, ("at most", ""))
    assert not free.sure
    assert refused(comparison, "less-room") == []
    lost = compared(SPEC, old)  # and nothing is gained by forgetting it
    assert refused(lost, "less-room")[0] == "desk/low: free width: 46HP, now at most 56HP: it is not known any more"
    assert not any(figure.better for figure in figures(lost).values() if figure.kind == "room")


def test_a_rail_that_is_shorter() -> None:
    """The row itself is shorter, and so is what is free."""
    comparison = compared(SPEC, edited(("60HP", "50HP")))
    assert values(comparison, "desk/low", "length") == (60 * HP, 50 * HP)
    assert refused(comparison, "less-room") == [
        "desk/low: free width at stage 'later': 36HP, now 26HP, 10HP less",
        "desk/low: longest free run at stage 'later': 20HP, now 16HP, 4HP less",
    ]


def test_another_supply_takes_the_place_of_the_old_one() -> None:
    """It feeds what the other one fed: its numbers are held against the other's, whatever it is called."""
    big = "supply big {\n    width 4HP\n    depth 20mm\n    gives 1.2A on +12V\n    gives 300mA on -12V\n}\nrack desk {"
    new = edited(("rack desk {", big), ("at 0HP  slim", "at 0HP  big"), ("from slim", "from big"))
    comparison = compared(SPEC, new)
    assert values(comparison, "desk/big", "spare on +12V", "later") == (300, 1000)
    assert values(comparison, "desk/big", "spare on -12V", "later") == (320, 220)
    assert refused(comparison, "less-power") == [
        "desk/big: spare on -12V at stage 'later': 320mA, now 220mA, 100mA less"
    ]


def test_a_row_that_is_gone_takes_its_room_with_it() -> None:
    """There is one row less: what counts is what is free in the whole rack."""
    two = SPEC.replace("    row low {", "    row high {\n        length 40HP\n    }\n    row low {")
    comparison = compared(two, SPEC)
    assert values(comparison, "desk", "free", "later") == (76 * HP, 36 * HP)
    assert values(comparison, "desk/high", "free", "later") == (40 * HP, None)
    assert refused(comparison, "less-room") == [
        "desk: free width at stage 'later': 76HP, now 36HP, 40HP less",
        "desk: longest free run at stage 'later': 40HP, now 20HP, 20HP less",
    ]
    assert "40HP less room" in verdict(comparison)
    assert refused(compared(SPEC, two), "less-room") == []


def test_new_findings_that_are_refused() -> None:
    """Errors and warnings, and those that were a note or were waived; no note, and none that is waived."""
    deep = edited(("    depth   30mm", "    depth   45mm"))
    waiver = '    waive no-room-for-plug on one because "looked"\n    waive no-room-for-plug on two because "looked"\n'
    waived = deep.replace("    row low {", waiver + "    row low {")
    assert len(refused(compared(SPEC, deep), "new-findings")) == 2
    assert refused(compared(SPEC, waived), "new-findings") == []
    assert len(refused(compared(waived, deep), "new-findings")) == 2
    assert refused(compared(deep, waived), "new-findings") == []
    guessed = edited(("    depth   30mm", "    depth   30mm guessed"))
    notes = compared(SPEC, guessed)
    assert {finding.shown.severity for finding in notes.of_status("new")} == {"note"}
    assert refused(notes, "new-findings") == []
    stricter = "house {\n    flag guess-decides as error\n}\n"
    harder = compared({"desk.rackspec": guessed}, {"desk.rackspec": guessed, "house.rackspec": stricter})
    assert {finding.status for finding in harder.findings} == {"changed"}
    assert len(refused(harder, "new-findings")) == 2


def test_a_waiver_is_told_loudly() -> None:
    """It hides findings: the verdict counts it."""
    new = SPEC.replace("    row low {", '    waive no-room-behind because "we know"\n    row low {')
    assert "; 1 new waiver; " in verdict(compared(SPEC, new))


@pytest.mark.parametrize("name", [name for name in EXAMPLES if name != "layouts"])
def test_numbers_are_those_that_inspect_shows(name: str) -> None:
    """With everything planned: rows and currents as the summary of each side has them."""
    old, new = seen(texts(name, "old")), seen(texts(name, "new"))
    comparison = compare(old, new)
    checked = 0
    for rack in comparison.racks:
        for side, result in enumerate((old, new)):
            summary = next((one for one in result.summaries if one.name in (rack.name, rack.was)), None)
            if summary is None:
                continue  # a rack that is on one side only
            rows = {f"{summary.name}/{row.name}": row for row in summary.rows}
            power = {(f"{summary.name}/{line.supply}", line.voltage): line for line in summary.power}
            for figure in rack.figures:
                value = figure.new if side else figure.old
                if figure.last and figure.what == "free" and figure.about in rows:
                    assert value == rows[figure.about].free
                    checked += 1
                if figure.last and figure.what in ("spare on +12V", "spare on -12V"):
                    line = power.get((figure.about, Fraction(12 if "+" in figure.what else -12)))
                    if line is not None and line.rated is not None:
                        assert value == line.rated - line.nominal
                        checked += 1
    assert checked or name in (
        "guess-measured",
        "holes-lost",
        "holes-move",
        "house-stricter",
        "places-changed",
        "renames",
        "stage-moved",
        "waiver-added",
    )


def test_what_a_change_costs_is_said_in_the_money_of_the_house() -> None:
    """The demo buys in pounds, too: what is priced in them is converted at the stated rate."""
    files = demo()
    path = "parts/modules-shaping.rackspec"
    dearer = {**files, path: files[path].replace("price     79 GBP", "price     89 GBP")}
    comparison = compared(files, dearer)
    (figure,) = (one for one in figures(comparison).values() if one.what == "price in all")
    assert (figure.about, figure.unit, figure.step) == ("granary", "EUR", Fraction("11.6"))
    assert refused(comparison, "dearer") == [
        "granary: to be paid in all: at least 2023.84 EUR, now at least 2035.44 EUR, 11.6 EUR more"
    ]
