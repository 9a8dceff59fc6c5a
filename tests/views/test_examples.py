"""Broken specs go in (tests/examples, found by walking); the whole text of ``inspect`` must be as it was approved.

NAME.rackspec is a file of its own, NAME/ a folder with a root of its own; NAME.expected beside it is the text. To
change a wording: change it, run ``pytest --refresh``, and read the difference.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from rackspec.pipeline import Request, Result, inspect
from rackspec.rules.registry import load_rules
from rackspec.views.text import result_lines
from tests.conftest import TODAY

FOLDER = Path(__file__).resolve().parent.parent / "examples"
EXAMPLES = sorted(path for path in FOLDER.iterdir() if path.suffix == ".rackspec" or path.is_dir())

IN_MILDER_FORMS = {
    "row-overfull",
    "modules-overlap",
    "beyond-rail-end",
    "no-room-behind",
    "no-room-for-plug",
    "spare-depth-thin",
    "supply-overloaded",
    "spare-too-thin",
    "headers-short",
    "stage-outgrows-rack",
    "wish-has-no-place",
}
"""Rules that are shown also where only the worst case, or a guess, breaks the limit."""


@cache
def seen_in(example: Path) -> Result:
    """What is seen in an example, in a root of its own."""
    with TemporaryDirectory() as folder:
        (Path(folder) / ".git").mkdir()
        target = Path(folder) / example.name
        if example.is_dir():
            shutil.copytree(example, target)
        else:
            shutil.copyfile(example, target)
        return inspect(Request((example.name,), folder, TODAY))


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda path: path.stem)
def test_text_is_as_it_was_approved(example: Path, golden: Callable[[Path, str], None]) -> None:
    """The whole text: findings, racks, closest calls, what is not known, the summary."""
    text = "\n".join(result_lines(seen_in(example))) + "\n"
    golden(FOLDER / f"{example.stem}.expected", text)


def test_no_text_is_left_over() -> None:
    """Each approved text belongs to an example."""
    assert {path.stem for path in FOLDER.glob("*.expected")} == {path.stem for path in EXAMPLES}


def test_each_rule_has_examples() -> None:
    """Each rule that looks at racks is shown as serious as its page says, and milder where it has milder forms."""
    shown: dict[str, set[str]] = {}
    for example in EXAMPLES:
        if example.name == "house":
            continue  # its flags change how serious things are
        for finding in seen_in(example).findings:
            shown.setdefault(finding.rule, set()).add(finding.severity)
    for rule in load_rules().values():
        if rule.look is not None:
            assert rule.severity in shown.get(rule.id, set()), rule.id
            assert len(shown[rule.id]) > 1 or rule.id not in IN_MILDER_FORMS, (rule.id, shown[rule.id])


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda path: path.stem)
def test_findings_are_whole(example: Path) -> None:
    """Each finding has a remedy, begins without a capital, ends without a full stop, and is said once."""
    findings = seen_in(example).findings
    for finding in findings:
        assert finding.remedy, finding
        for text in (finding.message, finding.remedy, finding.sum):
            assert not text.endswith("."), text
            assert "  " not in text, text
            assert "  " not in finding.rests_on, finding
    assert len({(finding.rule, finding.message, finding.place.start) for finding in findings}) == len(findings)
