"""Every fact of the demo is edited, one at a time; none of these changes may pass in silence.

A word that no rule looks at yet counts as much as one that decides. What is no fact of a rack or a part is left out:
which files a file uses, and the version of the language.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from rackspec.comparison import compare
from tests.comparison.texts import contents, demo, seen

DEMO = demo()
SMALL = ("house.rackspec", "parts/sheets.rackspec", "racks/harmonium-shelf.rackspec")
CODE = re.compile(r'((?:[^"#]|"[^"]*")*)')
WORD = re.compile(r'"[^"]*"|\S+')


def code_lines(name: str) -> Iterator[tuple[int, str]]:
    """The number and the code of each line of a file that says a fact."""
    for number, line in enumerate(DEMO[name].splitlines()):
        found = CODE.match(line)
        code = found[1] if found is not None else ""
        words = code.split()
        if words and words[0] not in ("}", "use", "rackspec"):
            yield number, code


def deleted(code: str) -> Iterator[str]:
    """The line is gone."""
    if not code.rstrip().endswith("{"):
        yield ""


def counted_on(code: str) -> Iterator[str]:
    """Its first number is one more."""
    found = re.search(r"(?<![\w.-])\d+", code)
    if found is not None:
        yield f"{code[: found.start()]}{int(found[0]) + 1}{code[found.end() :]}"


def a_word_less(code: str) -> Iterator[str]:
    """Each word behind its first one is gone, by itself."""
    for found in list(WORD.finditer(code))[1:]:
        if found[0] != "{":
            yield code[: found.start()] + code[found.end() :]


EDITS = {"deleted": deleted, "number": counted_on, "word": a_word_less}


def silent(name: str, edit: str, every: int = 1) -> list[str]:
    """Edits of a file after which nothing is told, or after which the way back tells something else."""
    old = seen(DEMO, name)
    lines = DEMO[name].splitlines()
    found = []
    edits = [(number, changed) for number, code in code_lines(name) for changed in EDITS[edit](code)]
    assert edits
    for number, changed in edits[::every]:
        text = "\n".join([*lines[:number], changed, *lines[number + 1 :]])
        new = seen({**DEMO, name: text}, name)
        there = compare(old, new)
        told = bool(there.changes) if edit != "word" else not there.is_empty  # less a word a line may be no fact
        if not told or contents(there, mirrored=True) != contents(compare(new, old)):
            found.append(f"{name}:{number + 1}: {changed or lines[number]}")
    return found


@pytest.mark.parametrize("edit", EDITS)
@pytest.mark.parametrize("name", SMALL)
def test_no_edit_of_some_files_is_silent(name: str, edit: str) -> None:
    """The house, the sheets, and one rack."""
    assert silent(name, edit) == []


@pytest.mark.slow
@pytest.mark.parametrize(("edit", "every"), [("deleted", 1), ("number", 1), ("word", 4)])
@pytest.mark.parametrize("name", [name for name in DEMO if name not in SMALL])
def test_no_edit_of_the_demo_is_silent(name: str, edit: str, every: int) -> None:
    """All other files; of words every fourth is taken away."""
    assert silent(name, edit, every) == []
