"""Power, at its edges: exactly 20% spare, what is unknown, several supplies and busses, headers that are counted."""

from __future__ import annotations

import pytest

from tests.rules.checking import look_at, margins, not_known, severities, told

POWER = ("supply-overloaded", "spare-too-thin", "voltage-missing", "headers-short")


def rack(
    draws: str, more: str = "", gives: str = "gives 1.2A on +12V; gives 1.2A on -12V", house: str = "", row: str = ""
) -> str:
    """A module on a supply of 1.2 A, and what is put beside it."""
    lines = "\n".join(f"    {line.strip()}" for line in draws.split("; "))
    given = "\n".join(f"    {line.strip()}" for line in gives.split("; "))
    return f"""{house}
module organ {{
    width 10HP
{lines}
}}
module dark {{
    width 20HP
}}
supply brick {{
{given}
    headers 9
}}
rack tray {{
    row top {{
        length 84HP
        power from brick
        at 0HP organ
{row}
    }}
{more}
}}
"""


BOTH = "draws {0} on +12V; draws 0mA on -12V"


def both(current: str) -> str:
    """``BOTH`` with a current; evidence goes to the end of its line."""
    amount, _, level = current.partition(" ")
    return BOTH.format(amount).replace("on +12V", f"on +12V {level}".rstrip())


@pytest.mark.parametrize(
    ("current", "said"),
    [
        ("0.96A", []),
        ("960mA", []),
        ("960.000001mA", [("spare-too-thin", "warning")]),
        ("1.2A", [("spare-too-thin", "warning")]),
        ("1.200000001A", [("supply-overloaded", "error")]),
        ("900mA..1020mA", [("spare-too-thin", "note")]),
        ("1A guessed", [("spare-too-thin", "note")]),
        ("1.3A guessed", [("supply-overloaded", "warning")]),
        ("800mA..1210mA", [("supply-overloaded", "warning"), ("spare-too-thin", "warning")]),
        ("700mA..1210mA guessed", [("supply-overloaded", "note")]),
    ],
)
def test_twenty_percent_of_twelve_hundred(current: str, said: list[tuple[str, str]]) -> None:
    """20 % of 1.2 A leaves 0.96 A, inclusive; what is overloaded is not also thin (common practice, no source)."""
    found = severities(rack(both(current)), *POWER)
    if current == "800mA..1210mA":  # nominal 1005 mA is thin, the worst is too much: one finding, the worse one
        found = [pair for pair in found if pair[0] == "supply-overloaded"]
        said = said[:1]
    assert found == said


def test_spare_of_the_house() -> None:
    """The house sets what is to stay spare, and the finding says that it was the house."""
    house = "house {\n    spare current 50%\n}\n"
    assert severities(rack(BOTH.format("600mA"), house=house), *POWER) == []
    (found,) = told(rack(BOTH.format("601mA"), house=house), "spare-too-thin")
    assert found.rests_on.endswith("spare current from the house")


def test_what_is_certain_stays_certain() -> None:
    """1.3 A stated on 1.2 A is an error, however much else is unknown; a guess beside it changes nothing."""
    assert severities(rack(BOTH.format("1.3A"), row="        next dark"), "supply-overloaded") == [
        ("supply-overloaded", "error")
    ]
    wish = "    wish more {\n        width 8HP\n        draws 500mA on +12V guessed\n        draws 0mA on -12V\n    }\n"
    assert severities(rack(BOTH.format("1.3A"), wish), "supply-overloaded") == [("supply-overloaded", "error")]


@pytest.mark.parametrize(
    ("draws", "unknown"),
    [
        ("draws 60mA on +12V", {("tray/organ", "current on -12V")}),
        ("draws 60mA on -12V", {("tray/organ", "current on +12V")}),
        ("draws 60mA on +5V", {("tray/organ", "current on +12V"), ("tray/organ", "current on -12V")}),
        ("draws 60mA on +12V; draws 0mA on -12V", set()),
        ("draws nothing", set()),
        ('note "nobody knows"', {("tray/organ", "current")}),
    ],
)
def test_unknown_is_not_zero(draws: str, unknown: set[tuple[str, str]]) -> None:
    """A voltage that is not stated is not known; what is stated as nothing, or as 0 mA, is known."""
    text = rack(draws)
    assert {pair for pair in not_known(text) if pair[1].startswith("current")} == unknown


def test_a_sum_over_unknowns_says_at_least() -> None:
    """20 HP of unknown draw count 2..8 mA each HP at the worst only (common practice, no source)."""
    (summary,) = look_at(rack(BOTH.format("100mA"), row="        next dark")).summaries
    plus, minus = summary.power
    assert (plus.nominal, plus.worst, plus.at_least) == (100, 100 + 20 * 8, True)
    assert (minus.nominal, minus.worst, minus.at_least) == (0, 20 * 6, True)


def test_nothing_else_is_said_of_a_module_that_draws_nothing() -> None:
    """No current, no header, no voltage."""
    text = rack("draws nothing", gives="gives 1A on +12V").replace("headers 9", "headers 0")
    assert severities(text, *POWER) == []


@pytest.mark.parametrize(
    ("draws", "said"),
    [
        ("draws 90mA on +5V; draws 0mA on +12V; draws 0mA on -12V", True),
        ("draws 0mA on +5V; draws 0mA on +12V; draws 0mA on -12V", False),
        ("draws 0mA..1mA on +5V; draws 0mA on +12V; draws 0mA on -12V", True),
    ],
)
def test_a_voltage_nobody_gives(draws: str, said: bool) -> None:
    """+5 V is missing where something is drawn on it, and where something may be."""
    assert bool(told(rack(draws), "voltage-missing")) is said


def test_nothing_is_missing_while_nobody_said_what_is_given() -> None:
    """A supply without a label: unknown, and asked for."""
    text = rack(BOTH.format("5A"), gives='note "no label"')
    assert severities(text, *POWER) == []
    assert ("tray/brick", "what it gives") in not_known(text)


SECOND = "supply slab {\n    gives 1.2A on +12V\n    gives 1.2A on -12V\n    headers 2\n}\n"
LOW = "    row low {\n        length 84HP\n        power from slab\n        at 0HP organ as organ-b\n    }\n"


def test_each_supply_carries_its_own_rows() -> None:
    """900 mA on each of two supplies is well; both on one is too much."""
    assert severities(SECOND + rack(BOTH.format("900mA"), LOW), *POWER) == []
    assert severities(SECOND + rack(BOTH.format("900mA"), LOW.replace("slab", "brick")), *POWER) == [
        ("supply-overloaded", "error")
    ]


def test_a_single_supply_feeds_rows_that_name_none() -> None:
    """With one supply a row needs no ``power from``; with two it is not known what feeds it."""
    one = (
        rack(BOTH.format("1.3A"))
        .replace("        power from brick\n", "        at 20HP brick\n")
        .replace("    gives 1.2A on +12V", "    width 4HP\n    gives 1.2A on +12V")
    )
    assert severities(one, *POWER) == [("supply-overloaded", "error")]
    two = SECOND + one.replace(
        "rack tray {\n", "rack tray {\n    bus spare {\n        from slab\n        headers 3\n    }\n"
    )
    assert severities(two, *POWER) == []
    assert ("tray/top", "what feeds the row") in not_known(two)


def test_stages_of_power() -> None:
    """The first stage at which it is too much is named; what left before does not count."""
    stages = "    stage mid\n    stage late\n"
    row = "        next organ as b in mid\n        next organ as c in late"
    text = rack(BOTH.format("450mA"), stages, row=row)
    (found,) = told(text, "supply-overloaded")
    assert found.message == "'brick' is overloaded on +12V by 150mA at stage 'late'"
    assert found.sum == "450mA + 450mA + 450mA = 1.35A, and 1.35A - 1.2A = 150mA"
    leaves = text.replace("next organ as b in mid", "next organ as b in mid until late")
    assert severities(leaves, *POWER) == []


@pytest.mark.parametrize(
    ("headers", "panels", "said"),
    [
        (1, "", None),
        (1, "next organ as b", "error"),
        (2, "next organ as b", None),
        (1, "next dark", "warning"),
        (2, "next dark", None),
        (1, "next dark; next dark as dark-b", "warning"),
        (0, "next dark", "error"),
    ],
)
def test_headers_are_counted(headers: int, panels: str, said: str | None) -> None:
    """One module, one header; a module that nobody stated anything of may need one."""
    row = "\n".join(f"        {line.strip()}" for line in panels.split("; ") if line)
    found = told(rack(BOTH.format("10mA"), row=row).replace("headers 9", f"headers {headers}"), "headers-short")
    assert [finding.severity for finding in found] == ([said] if said else [])
    for finding in found:
        assert " 1 modules" not in finding.message
        assert " 1 power headers" not in finding.message
        assert "' needs one" not in finding.message or "', '" not in finding.message


def test_each_bus_has_its_own_headers() -> None:
    """Twelve free headers at one end do not help a row that hangs on a bus of two."""
    bus = "    bus {} {{\n        from brick\n        headers {}\n    }}\n"
    buses = bus.format("near", 2) + bus.format("far", 12)
    row = "        next organ as b\n        next organ as c"
    text = rack(BOTH.format("10mA"), buses, row=row).replace("power from brick", "power from near")
    (found,) = told(text, "headers-short")
    assert found.message == "bus 'near' has 2 power headers for 3 modules"
    assert severities(text.replace("power from near", "power from far"), "headers-short") == []


def test_margins_are_exact() -> None:
    """What is left on each voltage, in mA."""
    left = margins(rack("draws 62.5mA on +12V; draws 41mA on -12V"))
    assert left["tray/brick: +12V"] == "2275/2"
    assert left["tray/brick: -12V"] == "1159"


def test_taking_off_what_is_named_is_enough() -> None:
    """The remedy names the smallest consumer whose leaving is enough."""
    row = "        next organ as b\n        next organ as c"
    text = rack(BOTH.format("420mA"), row=row)
    (found,) = told(text, "supply-overloaded")
    assert found.remedy == "take 'organ' (420mA) off it, or choose a stronger supply"
    assert severities(text.replace("        at 0HP organ\n", ""), "supply-overloaded") == []


def test_what_is_unknown_is_measured_first() -> None:
    """Enough by all that is known: then the remedy is a meter, not another supply."""
    (found,) = told(rack(BOTH.format("1.1A"), row="        next dark"), "supply-overloaded")
    assert found.severity == "note"
    assert found.remedy.startswith("measure what 'dark' draws")
