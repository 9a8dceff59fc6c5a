"""The text of ``inspect`` goes in; editors that look for GNU error lines must find each finding, once, where it is.

Readers: Vim's quickfix list and Emacs' compilation mode (the ``gnu`` pattern), both from Debian, both without a screen.

Our columns count code points. That is the column of a character as long as only ASCII stands before it. Where there is
more, Vim takes a column for bytes of UTF-8 and lands too far to the left; Emacs takes it for columns of the screen, of
which a tab and a wide letter have several, unless ``compilation-error-screen-columns`` is nil: then it counts as we do.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from rackspec.views.text import visible
from tests.cli.running import write
from tests.outside.machine import CORPORA, Outputs, outputs
from tests.outside.readers import Jump, emacs, vim

QUICKFIX = "%f:%l:%c: %t%*[a-z]: %m"
"""What README.md tells for Vim."""

PLAIN_NAMES = sorted(CORPORA.keys() - {"hostile"})

LINES = {
    "ascii": ("    width 14mA", "14mA"),
    "tab": ("\twidth 14mA", "14mA"),
    "emoji": ('    note "🎛" 14', "14"),
    "combining": ('    note "cafe\u0301" 14', "14"),
    "wide": ('    note "架架" 14', "14"),
    "all": ('\tnote "é🎛\t架" 14', "14"),
}
"""Lines with one token that is wrong, and what stands before it."""


def found_in(seen: Outputs) -> list[tuple[str, int, int, str]]:
    """File, line, column and severity of each finding, from the JSON document."""
    return [(f["file"], f["line"], f["column"], f["severity"]) for f in seen.findings]


def read(jumps: list[Jump]) -> list[tuple[str, int, int, str]]:
    """The same, as an editor read it."""
    return [(jump.file, jump.line, jump.column, jump.kind) for jump in jumps]


@pytest.mark.parametrize("name", PLAIN_NAMES)
def test_vim_reads_the_findings(all_outputs: dict[str, Outputs], name: str) -> None:
    """With the pattern of README.md: every finding, with its severity, and nothing else of all the lines below it."""
    seen = all_outputs[name]
    jumps = vim(seen.folder, seen.text, QUICKFIX)
    assert read(jumps) == found_in(seen)
    for jump, finding in zip(jumps, seen.findings, strict=True):
        assert (jump.at_line, jump.at_character) == (finding["line"], finding["column"])  # these are ASCII in front


@pytest.mark.parametrize("name", PLAIN_NAMES)
def test_vim_needs_no_setting(all_outputs: dict[str, Outputs], name: str) -> None:
    """With the patterns that it comes with it jumps there too; it only takes the severity for text."""
    seen = all_outputs[name]
    jumps = vim(seen.folder, seen.text)
    assert [(jump.file, jump.line, jump.column) for jump in jumps] == [found[:3] for found in found_in(seen)]


@pytest.mark.parametrize("screen", [True, False], ids=["screen", "characters"])
@pytest.mark.parametrize("name", PLAIN_NAMES)
def test_emacs_reads_the_findings(all_outputs: dict[str, Outputs], name: str, screen: bool) -> None:
    """Its pattern for GNU error lines, and what it takes for an error, a warning and a note."""
    seen = all_outputs[name]
    jumps = emacs(seen.folder, seen.text, screen)
    assert read(jumps) == found_in(seen)
    for jump, finding in zip(jumps, seen.findings, strict=True):
        assert (jump.at_line, jump.at_character) == (finding["line"], finding["column"])


@pytest.mark.parametrize("name", sorted(LINES))
def test_columns_behind_what_is_not_ascii(tmp_path: Path, name: str) -> None:
    """Both read the number that is written. Where they land: on that character, in Emacs; on that byte, in Vim."""
    line, wrong = LINES[name]
    write(tmp_path, {"größe a.rackspec": f"# Größe\nmodule thing {{\n{line}\n}}\n"})
    seen = outputs(tmp_path, ".")
    column = line.index(wrong) + 1
    assert found_in(seen) == [("größe a.rackspec", 3, column, "error")]
    (in_vim,), (in_emacs,) = vim(tmp_path, seen.text, QUICKFIX), emacs(tmp_path, seen.text, screen=False)
    assert read([in_vim]) == read([in_emacs]) == found_in(seen)
    assert (in_emacs.at_line, in_emacs.at_character) == (3, column)
    assert in_vim.at_line == 3
    assert in_vim.at_character <= column
    assert (in_vim.at_character == column) == line.isascii()


def test_emacs_counts_columns_of_the_screen_if_nobody_says_otherwise(tmp_path: Path) -> None:
    """Why README.md says otherwise: wide letters take two columns, so that it stops before the place."""
    line, wrong = LINES["wide"]
    write(tmp_path, {"a.rackspec": f"module thing {{\n{line}\n}}\n"})
    seen = outputs(tmp_path, ".")
    (jump,) = emacs(tmp_path, seen.text, screen=True)
    assert jump.column == line.index(wrong) + 1
    assert jump.at_character < jump.column


def test_names_that_hurt(all_outputs: dict[str, Outputs]) -> None:
    """A line stays a line, whatever a file is called: each finding is one line for both, and those in files that have
    neither a colon nor a control character in their names are read as they are. A name that could begin a command to a
    service has its folder in front of it."""
    seen = all_outputs["hostile"]
    heads = [line for line in seen.text.split("\n") if line[:1] not in ("", " ")]
    places = [(f"./{f['file']}" if f["file"].startswith(("::", "#")) else f["file"], f) for f in seen.findings]
    expected = [f"{visible(name)}:{f['line']}:{f['column']}: {f['severity']}: " for name, f in places]
    assert any(start.startswith("./::") for start in expected)
    assert all(head.startswith(start) for head, start in zip(heads, expected, strict=False))
    tame = [found for found in found_in(seen) if ":" not in found[0]]
    assert len(tame) >= 3
    for jumps in (vim(seen.folder, seen.text, QUICKFIX), emacs(seen.folder, seen.text, screen=False)):
        assert set(tame) <= set(read(jumps))


def test_a_reader_that_finds_nothing_is_seen(tmp_path: Path) -> None:
    """The editors do look: lines that are none give nothing, and a line that lies gives what it says."""
    write(tmp_path, {"a.rackspec": "one\ntwo\nthree\n"})
    assert vim(tmp_path, "a.rackspec 2 3 error: no colons\n    note: indented\n", QUICKFIX) == []
    assert emacs(tmp_path, "a.rackspec 2 3 error no colons\n    indented\n", screen=False) == []
    lie = "a.rackspec:3:2: warning: a lie\n"
    assert read(vim(tmp_path, lie, QUICKFIX)) == [("a.rackspec", 3, 2, "warning")]
    assert read(emacs(tmp_path, lie, screen=False)) == [("a.rackspec", 3, 2, "warning")]
