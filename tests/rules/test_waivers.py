"""Waivers and flags: specs with accepted findings go in; which findings count, and which waivers are faults."""

from __future__ import annotations

import json
from datetime import date

import pytest

from rackspec.findings import ERROR, WARNING, Finding
from rackspec.pipeline import Result
from rackspec.views.json_findings import findings_json
from rackspec.views.text import plain, visible
from rackspec.views.waivers import waiver_lines
from tests.conftest import TODAY
from tests.rules.checking import look_at

SPEC = """\
module saw {{
    width 14HP
    depth 48mm
    draws nothing
}}
rack barn {{
    row top {{
        length 84HP
        behind 45mm
        at 0HP saw
        next saw as saw-b
    }}
    {waivers}
}}
"""


def seen(*waivers: str, today: date = TODAY) -> Result:
    """Two modules that are too deep, with some waivers."""
    return look_at(SPEC.format(waivers="\n    ".join(waivers)), today)


def waived(result: Result) -> list[str]:
    """The names of what is accepted."""
    return [finding.names[0] for finding in result.findings if finding.waiver is not None]


def others(result: Result) -> list[Finding]:
    """Findings that the two modules did not bring about."""
    return [finding for finding in result.findings if finding.rule != "no-room-behind"]


@pytest.mark.parametrize(
    ("on", "names"),
    [
        ("on saw", ["barn/saw"]),
        ("on barn/saw-b", ["barn/saw-b"]),
        ("on top", ["barn/saw", "barn/saw-b"]),
        ("on barn/top", ["barn/saw", "barn/saw-b"]),
        ("on barn", ["barn/saw", "barn/saw-b"]),
        ("", ["barn/saw", "barn/saw-b"]),
    ],
)
def test_what_a_waiver_covers(on: str, names: list[str]) -> None:
    """One thing by its name or full name, all of a row, or the whole rack."""
    result = seen(f'waive no-room-behind {on} because "the back is cut open"')
    assert waived(result) == names
    assert others(result) == []


def test_the_last_day_counts() -> None:
    """On its last day a waiver holds; the day after it is a warning, and what it accepted is an error again."""
    line = 'waive no-room-behind because "to be cut" until 2026-11-25'
    assert len(waived(seen(line, today=date(2026, 11, 25)))) == 2
    result = seen(line, today=date(2026, 11, 26))
    assert waived(result) == []
    (stale,) = others(result)
    assert (stale.rule, stale.severity) == ("waiver-stale", WARNING)
    assert "ended on 2026-11-25" in stale.message


def test_one_that_is_over_hides_none_that_holds() -> None:
    """An old waiver above a new one of the same finding: the new one counts, the old one is told."""
    result = seen('waive no-room-behind because "old" until 2026-01-01', 'waive no-room-behind because "new"')
    assert {finding.waiver.reason for finding in result.findings if finding.waiver is not None} == {"new"}
    assert [finding.rule for finding in others(result)] == ["waiver-stale"]


def test_two_that_accept_the_same_are_both_in_use() -> None:
    """A waiver is stale when nothing is left that it accepts, not when another one accepts it too."""
    assert others(seen('waive no-room-behind because "all"', 'waive no-room-behind on saw because "this one"')) == []


def test_one_that_accepts_nothing_is_stale() -> None:
    """Each of them is told, with what to do."""
    (stale,) = others(seen('waive no-room-behind because "a"', 'waive row-overfull on top because "filed down"'))
    assert stale.rule == "waiver-stale"
    assert "no finding row-overfull on 'top' is left" in stale.message
    assert stale.remedy == "delete this line"


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ("waive no-room-behind on saw", "a waiver needs its reason"),
        ("waive no-room-behind", "a waiver needs its reason"),
        ('waive no-room-behind on saw because ""', "gives no reason: its text is empty"),
        ('waive no-room-behind on saw because "  "', "gives no reason: its text is empty"),
        ('waive because "cut open"', "a name is due in front of 'because'"),
    ],
)
def test_a_reason_is_needed(line: str, message: str) -> None:
    """Without one nothing is accepted, and there is one finding that says so."""
    result = seen(line)
    assert waived(result) == []
    (found,) = others(result)
    assert found.severity == ERROR
    assert message in found.message
    assert found.remedy


def test_a_word_that_was_left_out_is_told_once() -> None:
    """Where it is plain what was meant the line holds as if it had been written so; the word is missed all the same."""
    result = seen('waive no-room-behind on saw "cut open"')
    assert waived(result) == ["barn/saw"]
    (found,) = others(result)
    assert (found.severity, found.message) == (ERROR, "'because' is due between 'saw' and '\"cut open\"'")


def test_names_that_nothing_has() -> None:
    """A rule or a thing that is misspelt is an error, with what may have been meant."""
    (found,) = others(seen('waive no-room-behnd on saw because "x"'))
    assert (found.rule, found.remedy) == ("unknown-name", "write 'no-room-behind'")
    (found,) = others(seen('waive no-room-behind on swa because "x"'))
    assert found.rule == "unknown-name"
    assert "write 'saw'" in found.remedy


def test_reading_cannot_be_waived() -> None:
    """A waiver of a rule about reading or names accepts nothing, and says why."""
    result = seen('waive unknown-name because "never mind"', "at nowhere")
    assert any(finding.rule == "unknown-word" and finding.waiver is None for finding in result.findings)
    assert any("cannot be accepted" in finding.message for finding in result.findings)


def test_flags_of_the_house() -> None:
    """A flag makes a rule as serious as it says; one of a rule that is not there suggests."""
    house = "house {{\n    flag no-room-behind as {}\n}}\n"
    found = look_at(house.format("note") + SPEC.format(waivers="")).findings
    assert {finding.severity for finding in found if finding.rule == "no-room-behind"} == {"note"}
    (wrong,) = [
        finding
        for finding in look_at("house {\n    flag no-room-behnd as note\n}\n" + SPEC.format(waivers="")).findings
        if finding.rule == "unknown-name"
    ]
    assert wrong.remedy == "write 'no-room-behind'"
    assert wrong.severity == ERROR


def test_documents_show_reason_and_last_day() -> None:
    """JSON and the section of the text say why and until when."""
    line = 'waive no-room-behind on saw because "cut open" until 2026-12-01'
    result = seen(line, 'waive no-room-behind because "felt"')
    document = json.loads(findings_json(result))
    assert [finding["waived"] for finding in document["findings"]] == [
        {"reason": "cut open", "until": "2026-12-01"},
        {"reason": "felt", "until": None},
    ]
    assert document["summary"]["waived"] == 2
    lines = list(waiver_lines(result.summaries[0], plain, visible))
    assert lines == [
        "    waived",
        "        no-room-behind on saw until 2026-12-01: cut open",
        "        no-room-behind on the whole rack, for ever: felt",
    ]
    assert list(waiver_lines(seen().summaries[0], plain, visible)) == []
