"""The pages of the rules are true: a bad example gives its finding, a good one does not, RULES.md is up to date."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from rackspec.pipeline import Result
from rackspec.rules.registry import Rule, load_rules
from rackspec.views.pages import files_of, page_of, page_text, rules_markdown
from tests.conftest import ROOT

RULES = load_rules()
WITH_EXAMPLES = [rule for rule in RULES.values() if page_of(rule).bad]


@pytest.mark.parametrize("rule", RULES.values(), ids=lambda rule: rule.id)
def test_page_is_whole(rule: Rule) -> None:
    """A page has a summary, a reason, a source, and both examples or the reason why there are none."""
    page = page_of(rule)
    assert page.summary.endswith(".")
    assert page.why
    assert page.source
    assert (page.bad and page.good) or page.example.startswith("none, because")
    assert rule.severity in ("error", "warning", "note")
    assert page.summary in " ".join(page_text(rule).split())


@pytest.mark.parametrize("rule", WITH_EXAMPLES, ids=lambda rule: rule.id)
def test_bad_example_is_found(rule: Rule, inspect_files: Callable[..., Result]) -> None:
    """A bad example gives its own finding, with the severity of its page, and no other but notes."""
    files = files_of(page_of(rule).bad)
    paths = (".",) if rule.id == "use-left-out" else ("spec.rackspec",)
    also = (rule.id,) if rule.id == "part-unused" else ()
    found = inspect_files(files, *paths, also=also).findings
    own = [finding for finding in found if finding.rule == rule.id]
    assert len(own) == 1, found
    assert own[0].severity == rule.severity
    assert [finding.rule for finding in found if finding.rule != rule.id and finding.severity != "note"] == []


@pytest.mark.parametrize("rule", WITH_EXAMPLES, ids=lambda rule: rule.id)
def test_good_example_is_clean(rule: Rule, inspect_files: Callable[..., Result]) -> None:
    """A good example gives no finding at all."""
    also = (rule.id,) if rule.id == "part-unused" else ()
    assert inspect_files(files_of(page_of(rule).good), "spec.rackspec", also=also).findings == ()


def test_rules_page_is_up_to_date(golden: Callable[[Path, str], None]) -> None:
    """grammar/RULES.md says what the rules say."""
    golden(ROOT / "grammar" / "RULES.md", rules_markdown(RULES))
