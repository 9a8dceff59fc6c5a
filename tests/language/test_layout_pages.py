"""What the pages show is laid out as tidy would: the examples of the language, and the one of tidy itself."""

from __future__ import annotations

import textwrap

import pytest

from rackspec.findings import Source
from rackspec.language.layout import tidy
from tests.test_language_page import SPECS, Fence, announced, files_for, files_of, page_text

SECTION = page_text().partition("\n## Tidy\n")[2].partition("\n## ")[0]
BEFORE, AFTER = (fence for fence in SPECS if fence.text in SECTION)
SHOWN = [fence for fence in SPECS if fence is not BEFORE]


def laid(text: str) -> str:
    """A text laid out, if it is understood."""
    found = tidy(Source("spec.rackspec", text))
    assert not found.astray
    return found.text


def test_the_example_of_tidy() -> None:
    """What may be typed is laid out as the page says it is, in both of its halves."""
    assert laid(BEFORE.text) == AFTER.text != BEFORE.text


@pytest.mark.parametrize("fence", SHOWN, ids=lambda fence: f"line-{fence.line}")
def test_examples_are_tidy(fence: Fence) -> None:
    """Whole specs, and lines that stand for themselves with nothing around them; those with a slip are refused."""
    if fence.info.startswith("rackspec line in "):
        whole = "anything {\n" + textwrap.indent(fence.text, "    ") + "}\n"
        assert laid(whole) == whole
        assert not tidy(Source("", whole)).refused
        return
    for name, text in files_of(fence.text).items():
        assert laid(text) == text, name


def test_most_examples_are_laid_out() -> None:
    """Not all of them are refused: only examples of slips are, and few of those with no slip at all."""
    understood = [fence for fence in SHOWN if not tidy(Source("", next(iter(files_for(fence).values())))).refused]
    assert all(announced(fence) for fence in SHOWN if fence not in understood)
    assert len(understood) > len(SHOWN) / 2
