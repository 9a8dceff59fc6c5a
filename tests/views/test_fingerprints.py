"""Findings go in; keys come out that are unique, and that stay what they are while other things change."""

from __future__ import annotations

import re
from collections.abc import Callable

from rackspec.findings import Finding, Place, Source
from rackspec.pipeline import Result
from rackspec.views.fingerprint import fingerprints

SOURCE = Source("a.rackspec", "x" * 1000)

RACK = """\
module saw {{
    width   14HP
    draws   {draws} on +12V
    draws   {draws} on -12V
}}
supply brick {{
    gives   0.1A on +12V
    gives   0.1A on -12V
}}
rack loft {{
    row top {{
        length  84HP
        power from brick
        at 0HP  saw as one
        at {at} saw as two
    }}
}}
"""


def finding(rule: str, message: str, start: int = 0, names: tuple[str, ...] = (), source: Source = SOURCE) -> Finding:
    """A finding of what counts here."""
    return Finding(rule, "error", message, Place(source, start, start + 1), names=names)


def keys(result: Result, rule: str) -> list[str]:
    """The keys of the findings of a rule."""
    found = zip(result.findings, fingerprints(result.findings), strict=True)
    return [key for seen, key in found if seen.rule == rule]


def test_a_key_is_short_and_plain() -> None:
    """32 hexadecimal digits."""
    (key,) = fingerprints([finding("a-rule", "a message")])
    assert re.fullmatch("[0-9a-f]{32}", key)


def test_numbers_may_change(inspect_files: Callable[..., Result]) -> None:
    """The same overlap by another amount, the same overload by another current: the same findings."""
    before = inspect_files(RACK.format(draws="90mA", at="10HP"))
    after = inspect_files(RACK.format(draws="95mA", at="8HP"))
    assert {f.message for f in before.findings}.isdisjoint({f.message for f in after.findings})
    for rule in ("modules-overlap", "supply-overloaded"):
        assert keys(before, rule) == keys(after, rule)


def test_each_voltage_has_a_key_of_its_own(inspect_files: Callable[..., Result]) -> None:
    """When one of two overloads is mended, the other one stays what it was."""
    text = RACK.format(draws="90mA", at="20HP")
    both = keys(inspect_files(text), "supply-overloaded")
    one = keys(inspect_files(text.replace("0.1A on +12V", "1A on +12V")), "supply-overloaded")
    assert len(set(both)) == 2
    assert len(one) == 1
    assert set(one) < set(both)


def test_equal_findings_have_different_keys() -> None:
    """They are numbered: the first keeps its key when another one comes behind it."""
    one = [finding("unknown-word", "'widht' is no word", 5)]
    two = [*one, finding("unknown-word", "'widht' is no word", 50)]
    assert len(set(fingerprints(two))) == 2
    assert fingerprints(two)[0] == fingerprints(one)[0]


def test_order_of_others_does_not_matter() -> None:
    """A key is a matter of the finding: others before or behind it change nothing."""
    mine = finding("a-rule", "a message", 9, ("rack/one", "rack/two"))
    others = [finding("a-rule", f"message {n}", n, (f"rack/{n}",)) for n in range(5)]
    assert fingerprints([mine])[0] == fingerprints([*others, mine])[-1] == fingerprints([mine, *others])[0]


def test_what_makes_a_finding_another_one() -> None:
    """Its rule, the things concerned in any order, and where none is named its file and its message without lines."""
    names = ("rack/one", "rack/two")
    (key,) = fingerprints([finding("a-rule", "a message", 0, names)])
    assert [key] == fingerprints([finding("a-rule", "another message, 3mm", 7, names[::-1])])
    assert [key] != fingerprints([finding("b-rule", "a message", 0, names)])
    assert [key] != fingerprints([finding("a-rule", "a message", 0, names[:1])])
    (key,) = fingerprints([finding("a-rule", "see line 7")])
    assert [key] == fingerprints([finding("a-rule", "see line 8")])
    assert [key] != fingerprints([finding("a-rule", "see row 7")])
    assert [key] != fingerprints([finding("a-rule", "see line 7", source=Source("b.rackspec", "x" * 9))])
