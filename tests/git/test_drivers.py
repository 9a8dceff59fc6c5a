"""git's own ways to show a difference, with this program behind them: real git, real settings."""

from __future__ import annotations

import shlex
import sys
from pathlib import Path

import pytest

from tests.cli.running import environment as program_environment
from tests.git.repositories import commit, git, repository, write
from tests.git.test_revision import PART, RACK, SPLIT

PROGRAM = f"{shlex.quote(sys.executable)} -m rackspec"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A repository in which spec files are known to be such, and the settings of README."""
    folder = repository(tmp_path / "here", {**SPLIT, ".gitattributes": "*.rackspec diff=rackspec\n"})
    git(folder, "config", "diff.rackspec.textconv", f'f() {{ {PROGRAM} tidy --show "$1" || :; }}; f')
    git(folder, "config", "difftool.rackspec.cmd", f'{PROGRAM} compare "$LOCAL" "$REMOTE" --within "${{MERGED:-.}}"')
    git(folder, "config", "difftool.prompt", "false")
    return folder


def ask(folder: Path, *arguments: str, **more: str) -> str:
    """What git says, with the program behind it."""
    return git(folder, *arguments, **{**program_environment(), **more})


def test_textconv_shows_facts_and_no_layout(folder: Path) -> None:
    """A file that was only laid out anew shows nothing; one fact that changed shows one line."""
    commit(folder, {"racks/tray.rackspec": RACK.replace("    ", "  ").replace("84HP", "84HP   ")})
    assert ask(folder, "diff", "HEAD~1", "--", "racks") == ""
    commit(folder, {"racks/tray.rackspec": RACK.replace("    ", "\t").replace("84HP", "104HP")})
    shown = ask(folder, "diff", "HEAD~1", "--", "racks").splitlines()
    changed = [line.split() for line in shown if line[:1] in "+-" and line[:3] not in ("+++", "---")]
    assert changed == [["-", "length", "84HP"], ["+", "length", "104HP"]]


def test_textconv_of_a_file_with_a_slip(folder: Path) -> None:
    """History is full of them: git shows the text as it was, and goes on."""
    commit(folder, {"racks/tray.rackspec": RACK.replace("84HP", "84 HP HP")})
    commit(folder, {"racks/tray.rackspec": RACK.replace("84HP", "104HP")})
    shown = ask(folder, "log", "-p", "--format=%s", "--", "racks")
    assert "+        length 84 HP HP" in shown
    assert "+        length    104HP" in shown


def test_difftool_on_trees(folder: Path) -> None:
    """``git difftool -d`` hands over what differs; what it leaves out is read from the folder."""
    commit(folder, {"parts/saw.rackspec": PART.replace("14HP", "20HP")})
    write(folder, {"racks/tray.rackspec": RACK.replace("at 0HP saw", "at 0HP saw\n        at 60HP saw as b")})
    shown = ask(folder, "difftool", "-d", "--tool=rackspec", "HEAD~1")
    assert "unknown-name" not in shown
    assert "width     14HP → 20HP" in shown
    assert "added     'b' (saw, 20HP) in row 'top' at 60HP" in shown


def test_difftool_on_a_file(folder: Path) -> None:
    """One file under another name still finds its library."""
    write(folder, {"racks/tray.rackspec": RACK.replace("at 0HP saw", "at 0HP saw\n        at 60HP saw as b")})
    shown = ask(folder, "difftool", "--tool=rackspec", "HEAD", "--", "racks/tray.rackspec")
    assert "unknown-name" not in shown
    assert "added     'b' (saw, 14HP) in row 'top' at 60HP" in shown


def test_difftool_on_a_new_file_and_one_that_went(folder: Path) -> None:
    """git calls the side that is not there /dev/null, or hands over an empty tree."""
    write(folder, {"racks/two.rackspec": RACK.replace("tray", "two"), "racks/tray.rackspec": None})
    git(folder, "add", "-A")
    assert "two" in ask(folder, "difftool", "-d", "--tool=rackspec", "--cached", "HEAD")
    shown = ask(folder, "difftool", "--tool=rackspec", "--cached", "HEAD")
    assert "two" in shown
    assert "tray" in shown


def test_as_the_program_that_shows_differences(folder: Path) -> None:
    """``git diff`` itself shows what a change does, with a setting of one line."""
    driver = f'f() {{ {PROGRAM} compare "$2" "$5" --within "$1"; }}; f'
    git(folder, "config", "diff.rackspec.command", driver)
    write(folder, {"racks/tray.rackspec": RACK.replace("at 0HP saw", "at 0HP saw\n        at 60HP saw as b")})
    for arguments in (("diff",), ("diff", "--ext-diff", "HEAD")):
        assert "added     'b' (saw, 14HP) in row 'top' at 60HP" in ask(folder, *arguments)
