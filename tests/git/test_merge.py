"""Two people, one rack: what git's own merge makes of it, with its default and with ``merge=union``.

The table in SHARING.md is made here. What must never happen: a merge that goes through, says nothing, and has lost
what one of the two wrote.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations_with_replacement
from pathlib import Path
from typing import NamedTuple

import pytest

from rackspec.pipeline import Request, Result, inspect
from tests.conftest import ROOT, TODAY
from tests.git.repositories import commit, git, repository

PARTS = "".join(
    f"module {name} {{\n    width     6HP\n    depth     30mm\n    draws     nothing\n}}\n"
    for name in ("low-tide", "high-tide", "rain", "hail", "gate", "lamp", "drum", "pleat")
)
RACK = """\
use "parts.rackspec"

rack tray {
    revision  "A" 2026-11-02
    budget    420 EUR

    row top {
        length    84HP
        behind    60mm

        at   0HP  low-tide
        next      high-tide
        next      rain
        next      hail
        at  40HP  gate
        next      lamp
    }
    about hail {
        note      "two samples"
    }
}
"""


class Change(NamedTuple):
    """What one of two people does to the rack: told for Ann, and for Ben, who does the same in another way."""

    told: str
    ann: Callable[[str], str]
    ben: Callable[[str], str]


def behind(line: str, new: str) -> Callable[[str], str]:
    """A new line behind another one."""
    return lambda text: text.replace(line, f"{line}\n{new}")


def instead(old: str, new: str) -> Callable[[str], str]:
    """A line changed."""
    return lambda text: text.replace(old, new)


CHANGES = (
    Change(
        "a panel at the end of the row",
        behind("        next      lamp", "        next      drum"),
        behind("        next      lamp", "        next      pleat"),
    ),
    Change(
        "a panel in the middle",
        behind("        next      high-tide", "        next      drum as drum-a"),
        behind("        next      high-tide", "        next      pleat as pleat-b"),
    ),
    Change(
        "another start of the same panel",
        instead("at  40HP  gate", "at  44HP  gate"),
        instead("at  40HP  gate", "at  48HP  gate"),
    ),
    Change("the budget", instead("420 EUR", "450 EUR"), instead("420 EUR", "500 EUR")),
    Change(
        "a row of its own",
        lambda text: text.replace(
            "    about", "    row ann {\n        length    84HP\n        at   0HP  drum as a\n    }\n    about"
        ),
        lambda text: text.replace(
            "    about", "    row ben {\n        length    84HP\n        at   0HP  drum as b\n    }\n    about"
        ),
    ),
    Change(
        "a fact of a specimen",
        behind('        note      "two samples"', "        depth     28mm measured"),
        behind('        note      "two samples"', "        depth     29mm measured"),
    ),
    Change(
        "a panel taken out",
        instead("        next      rain\n", ""),
        instead("        at  40HP  gate\n", ""),
    ),
)


def merge(folder: Path, ann: str, ben: str, *, union: bool) -> str:
    """The text after a merge; with git's marks in it where git stopped."""
    attributes = {".gitattributes": "*.rackspec merge=union\n"} if union else {}
    repository(folder, {"tray.rackspec": RACK, "parts.rackspec": PARTS, **attributes})
    git(folder, "checkout", "-q", "-b", "ben")
    commit(folder, {"tray.rackspec": ben})
    git(folder, "checkout", "-q", "main")
    commit(folder, {"tray.rackspec": ann})
    git(folder, "merge", "-q", "ben", code=None)
    return (folder / "tray.rackspec").read_text(encoding="utf-8")


def lines_of(text: str) -> set[str]:
    """The lines of a text, whatever their order."""
    return set(text.splitlines())


def panels(text: str) -> set[str]:
    """The names at the ends of lines that place something."""
    return {line.split()[-1] for line in text.splitlines() if line.strip().startswith(("at ", "next "))}


def outcome(text: str, ann: str, ben: str, result: Result) -> str:
    """What came of a merge: in one word."""
    rules = {finding.rule for finding in result.findings if finding.severity == "error"}
    if "<<<<<<<" in text:
        assert "merge-unfinished" in rules, "a file with git's marks in it has to be told"
        return "git asks"
    if rules:
        return "inspect tells"
    base = lines_of(RACK)
    added = (lines_of(ann) | lines_of(ben)) - base
    assert added <= lines_of(text), f"lost: {added - lines_of(text)}"
    taken_out = {name for name in panels(RACK) if name not in panels(ann) or name not in panels(ben)}
    return "both are in" if not taken_out & panels(text) else "what was taken out is there"


def table(folder: Path) -> list[tuple[str, str, str, str]]:
    """Each pair of changes, with git's default and with union."""
    rows = []
    for number, (one, other) in enumerate(combinations_with_replacement(CHANGES, 2)):
        ann, ben = one.ann(RACK), other.ben(RACK)
        assert RACK not in (ann, ben)
        found = []
        for union in (False, True):
            where = folder / f"{number}-{union}"
            text = merge(where, ann, ben, union=union)
            found.append(outcome(text, ann, ben, inspect(Request((".",), str(where), TODAY))))
        rows.append((one.told, other.told, *found))
    return rows


@pytest.fixture(scope="module")
def rows(tmp_path_factory: pytest.TempPathFactory) -> list[tuple[str, str, str, str]]:
    """The table, made once."""
    return table(tmp_path_factory.mktemp("merges"))


def test_merges_that_meet_at_no_line_go_through(rows: list[tuple[str, str, str, str]]) -> None:
    """Two changes at different places are both in, without a question, in either way."""
    for one, other, default, union in rows:
        if one != other and default != "git asks":
            assert (default, union) == ("both are in", "both are in"), (one, other)


def test_union_loses_nothing_that_was_written(rows: list[tuple[str, str, str, str]]) -> None:
    """Where both wrote at one place, both lines stand there; where they say the same thing twice, inspect tells."""
    same = {one: union for one, other, _, union in rows if one == other}
    assert same["a panel at the end of the row"] == "both are in"
    assert same["a panel in the middle"] == "both are in"
    assert same["the budget"] == "inspect tells"
    assert same["another start of the same panel"] == "inspect tells"
    assert same["a fact of a specimen"] == "inspect tells"


def test_git_itself_never_goes_through_with_less(rows: list[tuple[str, str, str, str]]) -> None:
    """With git's default a change is in, or git asks."""
    assert {default for _, _, default, _ in rows} == {"both are in", "git asks"}


def test_the_table_of_the_manual(rows: list[tuple[str, str, str, str]]) -> None:
    """What SHARING.md says of merges is what happens here."""
    told = ["| Ann | Ben | git's default | merge=union |", "| --- | --- | --- | --- |"]
    told += [f"| {' | '.join(row)} |" for row in rows if "git asks" in row[2] or row[0] == row[1]]
    manual = (ROOT / "grammar" / "SHARING.md").read_text(encoding="utf-8")
    assert "\n".join(told) in manual, "\n".join(told)
