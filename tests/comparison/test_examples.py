"""Worked changes (tests/comparison/examples, found by walking) go in; what is said about each must be as approved.

NAME/old and NAME/new are the two sides; without ``old`` the two racks of ``new`` are compared (layout A or B). To
change a wording: edit it, run ``pytest --refresh``, and read the difference.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import cache
from pathlib import Path

import jsonschema_rs
import pytest

from rackspec.comparison import Comparison, compare, refused
from rackspec.comparison.hole_record import FREED, HELD
from rackspec.comparison.refuse import REFUSABLE
from rackspec.views.comparison_json import comparison_json
from rackspec.views.comparison_markdown import comparison_markdown
from rackspec.views.comparison_text import comparison_lines
from rackspec.views.comparison_verdict import verdict
from rackspec.views.schema import schema_text
from tests.comparison.texts import contents, seen

FOLDER = Path(__file__).parent / "examples"
EXAMPLES = sorted(path.name for path in FOLDER.iterdir() if path.is_dir())
WITH_PAGE = ("chain-grows", "holes-move", "layouts", "part-of-two-racks", "waiver-added")
WITH_DOCUMENT = ("holes-move", "module-swapped")


def texts(name: str, side: str) -> dict[str, str]:
    """The files of a side."""
    return {path.name: path.read_text(encoding="utf-8") for path in sorted((FOLDER / name / side).glob("*.rackspec"))}


@cache
def example(name: str, back: bool = False) -> Comparison:
    """The comparison of an example, or of the way back."""
    new = seen(texts(name, "new"))
    if not (FOLDER / name / "old").is_dir():
        first, second = (found.rack.name for found in new.racks)
        return compare(new, new, (second, first) if back else (first, second))
    old = seen(texts(name, "old"))
    return compare(new, old) if back else compare(old, new)


@pytest.mark.parametrize("name", EXAMPLES)
def test_text_is_as_it_was_approved(name: str, golden: Callable[[Path, str], None]) -> None:
    """The whole text, and below it what --refuse would say."""
    lines = list(comparison_lines(example(name)))
    for what in REFUSABLE[1:]:
        lines += [f"[--refuse {what}] {reason}" for reason in refused(example(name), what)]
    golden(FOLDER / name / "expected.txt", "\n".join(lines) + "\n")


@pytest.mark.parametrize("name", WITH_PAGE)
def test_page_is_as_it_was_approved(name: str, golden: Callable[[Path, str], None]) -> None:
    """The comment for a review."""
    golden(FOLDER / name / "expected.md", comparison_markdown(example(name)))


@pytest.mark.parametrize("name", WITH_DOCUMENT)
def test_document_is_as_it_was_approved(name: str, golden: Callable[[Path, str], None]) -> None:
    """The JSON document."""
    golden(FOLDER / name / "expected.json", comparison_json(example(name)))


@pytest.mark.parametrize("name", EXAMPLES)
def test_document_is_as_its_schema_says(name: str) -> None:
    """Another reader of JSON Schema says the same."""
    validator = jsonschema_rs.Draft202012Validator(json.loads(schema_text("comparison")))
    assert validator.is_valid(json.loads(comparison_json(example(name))))


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_way_back_is_the_mirror_image(name: str) -> None:
    """What was added is removed, what was new is gone, and every number has the other sign."""
    assert contents(example(name), mirrored=True) == contents(example(name, back=True))


@pytest.mark.parametrize("name", EXAMPLES)
def test_a_side_is_no_difference_to_itself(name: str) -> None:
    """After a revert nothing is left to be said."""
    for side in ("old", "new"):
        if (FOLDER / name / side).is_dir():
            first, second = seen(texts(name, side)), seen(texts(name, side))
            assert compare(first, second).is_empty
            assert verdict(compare(first, second)) == "no difference"


def test_there_are_examples_of_everything() -> None:
    """Each action of a change, each kind of figure and each status of a finding is shown by some example."""
    found = [example(name, back) for name in EXAMPLES for back in (False, True)]
    actions = {change.action for comparison in found for change in comparison.changes}
    assert actions == set("added removed renamed changed moved shifted swapped replaced reordered pinned".split())
    kinds = {figure.kind for comparison in found for rack in comparison.racks for figure in rack.figures}
    assert kinds == {"room", "power", "price", "margin"}
    assert {one.status for comparison in found for one in comparison.findings} == {"new", "gone", "changed"}
    holes = [hole for comparison in found for rack in comparison.racks for hole in rack.holes]
    assert {hole.release for hole in holes} == {FREED, HELD, ""}
    assert all(any(getattr(hole, what) for hole in holes) for what in ("moves", "threads", "lost", "gained"))
