"""Pages of findings go in; a reader of GitHub Flavored Markdown must see tables, and in them what JSON says.

Source: GitHub Flavored Markdown Spec 0.29 (tables, autolinks), as markdown-it-py (PyPI, MIT) reads it. The limit of
65,536 characters is that of a comment on a review.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from markdown_it import MarkdownIt
from markdown_it.token import Token

from rackspec.findings import SEVERITIES
from rackspec.views.findings_markdown import WIDEST
from rackspec.views.text import visible
from tests.cli.running import rackspec, write
from tests.cli.specs import CLEAN, ERROR, NOTE, WARNING
from tests.outside.machine import DAY, Outputs

HARMLESS = {"text", "code_inline", "html_inline"}


class Page(NamedTuple):
    """What a reader shows: headings, paragraphs, and tables as rows of cells."""

    headings: list[str]
    paragraphs: list[str]
    tables: list[list[list[str]]]


def shown(token: Token) -> str:
    """The text of a heading, a paragraph or a cell; nothing in it may be more than text or code."""
    assert token.children is not None
    kinds = {child.type for child in token.children}
    assert kinds <= HARMLESS, (kinds, token.content)
    tags = {child.content for child in token.children if child.type == "html_inline"}
    assert tags <= {"<code>", "</code>"}, tags
    return "".join(child.content for child in token.children if child.type != "html_inline")


def read(markdown: str) -> Page:
    """A page as a reader sees it."""
    page = Page([], [], [])
    inside = ""
    for token in MarkdownIt("gfm-like").parse(markdown):
        assert token.type not in ("html_block", "fence", "code_block", "hr"), token.content
        if token.type == "table_open":
            page.tables.append([])
        elif token.type == "tr_open":
            page.tables[-1].append([])
        elif token.type.endswith("_open"):
            inside = token.tag
        elif token.type == "inline":
            text = shown(token)
            if inside in ("td", "th"):
                page.tables[-1][-1].append(text)
            else:
                (page.headings if inside == "h2" else page.paragraphs).append(text)
    return page


def short(text: str) -> str:
    """A text as a cell shows it."""
    text = visible(text)
    return text if len(text) <= WIDEST else text[: WIDEST - 1] + "…"


def place(finding: dict[str, Any]) -> str:
    """Where a finding is."""
    return short(f"{finding['file']}:{finding['line']}:{finding['column']}")


def test_what_the_tables_say(seen: Outputs) -> None:
    """Each finding: severity, place, message, remedy, rule, the worst first; then what is waived, and why."""
    page = read(seen.markdown)
    told = sorted((f for f in seen.findings if not f["waived"]), key=lambda f: SEVERITIES.index(f["severity"]))
    waived = [f for f in seen.findings if f["waived"]]
    expected = []
    if told:
        rows = [[f["severity"], place(f), short(f["message"]), short(f["remedy"]), f["rule"]] for f in told]
        expected.append([["", "place", "what is wrong", "what to do", "rule"], *rows])
    if waived:
        rows = [
            [place(f), short(f["message"]), short(f["waived"]["reason"]), f["waived"]["until"] or "no end"]
            for f in waived
        ]
        expected.append([["waived", "what is accepted", "why", "until"], *rows])
    assert page.tables == expected


def test_it_begins_with_the_verdict(seen: Outputs) -> None:
    """First whether it passed, then the last line of the text for people, and what decides."""
    page = read(seen.markdown)
    assert page.headings == [f"Rack inspection {'failed' if seen.code else 'passed'}"]
    assert seen.markdown.startswith(f"## {page.headings[0]}\n")
    assert page.paragraphs[0] == f"{seen.text.splitlines()[-1]}. Errors make it fail."


@pytest.mark.parametrize("level", [*SEVERITIES, "never"])
@pytest.mark.parametrize("spec", [ERROR, WARNING, NOTE, CLEAN], ids=["error", "warning", "note", "clean"])
def test_the_verdict_is_the_exit_code(tmp_path: Path, spec: str, level: str) -> None:
    """Whatever the failing level is."""
    write(tmp_path, {"tray.rackspec": spec})
    run = rackspec(tmp_path, "inspect", *DAY, "--fail-at", level, "--write", "markdown=-")
    assert read(run.out).headings == [f"Rack inspection {'failed' if run.code else 'passed'}"]


def test_a_path_that_cannot_be_read(tmp_path: Path) -> None:
    """It is neither passed nor failed, and it says which path."""
    write(tmp_path, {"tray.rackspec": ERROR})
    run = rackspec(tmp_path, "inspect", "tray.rackspec", "gone|`x`", *DAY, "--write", "markdown=-")
    assert run.code == 2
    page = read(run.out)
    assert page.headings == ["Rack inspection incomplete: 1 path could not be read"]
    assert page.tables[0] == [["not read"], ["gone|`x`: there is no such file or folder"]]


def test_it_fits_into_a_comment(tmp_path: Path) -> None:
    """However many findings there are, and however long: errors are kept, and what is left out is counted."""
    rack = "rack r{} {{\n    row top {{\n        length 8HP\n        at 0HP blank 9HP\n    }}\n}}\n"
    specs = {"a.rackspec": "".join(rack.format(number) for number in range(1500))}
    specs["b.rackspec"] = 'use "' + "x🎛|" * 3000 + '"\n'
    write(tmp_path, {".git/x": "", **specs})
    run = rackspec(tmp_path, "inspect", *DAY, "--write", "markdown=-")
    assert 50_000 < len(run.out.encode("utf-16-le")) // 2 < 60_000
    page = read(run.out)
    rows = page.tables[0][1:]
    assert all(len(cell) <= WIDEST for row in rows for cell in row)
    left_out = re.search(r"… and (\d+) more findings: they stand in the text of the run\.", run.out)
    assert left_out is not None
    assert len(rows) + int(left_out[1]) == 1501


def test_the_reader_sees_markup(all_outputs: dict[str, Outputs]) -> None:
    """It would tell: the same texts, not escaped, are links, pictures and HTML to it."""
    message = next(f["message"] for f in all_outputs["hostile"].findings if "<img" in f["message"])
    with pytest.raises(AssertionError, match=r"link_open|html_inline|<img"):
        read(f"| a |\n|---|\n| {message} |\n")
