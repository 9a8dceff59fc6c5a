"""Clones as CI services make them: what is compared there; commands that are told bring what is missing."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.running import Run, rackspec
from tests.conftest import ROOT
from tests.git.repositories import ENVIRONMENT, commit, environment, git, repository
from tests.git.test_revision import PART, RACK, SPLIT

TAKEN = "rackspec: no branch is called 'main' in this clone: 'origin/main' is taken\n"
ADVICE = re.compile(r"run: (git .*)\n")


@pytest.fixture
def served(tmp_path: Path) -> Path:
    """A repository with two commits on main behind the one that topic has left from, and two on topic."""
    folder = repository(tmp_path / "served", SPLIT)
    git(folder, "branch", "topic")
    for width in ("20HP", "22HP"):
        commit(folder, {"parts/saw.rackspec": PART.replace("14HP", width)})
    git(folder, "checkout", "-q", "topic")
    commit(folder, {"racks/tray.rackspec": RACK.replace("84HP", "100HP")})
    commit(folder, {"racks/tray.rackspec": RACK.replace("84HP", "104HP")})
    return folder


def full(served: Path, to: Path) -> None:
    """Everything, no branch checked out: only the branches of the remote are there."""
    git(to.parent, "clone", "-q", "--no-checkout", served.as_uri(), to.name)
    git(to, "checkout", "-q", "--detach", "origin/topic")
    for name in git(to, "for-each-ref", "--format=%(refname:short)", "refs/heads").split():
        git(to, "branch", "-q", "-D", name)


def shallow(served: Path, to: Path) -> None:
    """One commit of one branch."""
    git(to.parent, "clone", "-q", "--depth=1", "--branch=topic", served.as_uri(), to.name)


def shallow_and_detached(served: Path, to: Path) -> None:
    """One commit by its name, and no branch."""
    to.mkdir()
    git(to, "init", "-q", "-b", "nothing")
    git(to, "remote", "add", "origin", served.as_uri())
    git(to, "fetch", "-q", "--depth=1", "origin", git(served, "rev-parse", "topic").strip())
    git(to, "checkout", "-q", "--detach", "FETCH_HEAD")


def single(served: Path, to: Path) -> None:
    """All commits of one branch."""
    git(to.parent, "clone", "-q", "--single-branch", "--branch=topic", served.as_uri(), to.name)


def deepened(served: Path, to: Path) -> None:
    """One commit first, then all of that branch."""
    shallow(served, to)
    git(to, "fetch", "-q", "--unshallow")


def compare(folder: Path, *arguments: str) -> Run:
    """Compare, on the day of the tests."""
    return rackspec(folder, "compare", "--on", "2026-11-25", *arguments, **ENVIRONMENT)


@pytest.mark.parametrize("clone", [full, shallow, shallow_and_detached, single, deepened])
@pytest.mark.parametrize("given", ["main...", "main...topic", "origin/main...HEAD", "main~2..."])
def test_the_advice_ends_in_a_comparison(
    given: str, clone: Callable[[Path, Path], None], served: Path, tmp_path: Path
) -> None:
    """Each command that is told is run as it stands; after three lines at most the comparison is there."""
    folder = tmp_path / "clone"
    clone(served, folder)
    run = compare(folder, given)
    asked = 0
    while run.code:
        told = ADVICE.search(run.err)
        assert told, run.err
        assert asked < 3, run.err
        asked += 1
        subprocess.run(["sh", "-e", "-c", told[1]], cwd=folder, env=environment(), capture_output=True, check=True)
        run = compare(folder, given)
    assert "84HP → 104HP" in run.out
    assert "14HP" not in run.out
    assert (asked == 0) == (clone is full), asked


def test_a_branch_of_the_remote_is_taken_and_told(served: Path, tmp_path: Path) -> None:
    """As ``git checkout`` does it; a branch of this clone comes first, and nothing is told of it."""
    full(served, tmp_path / "clone")
    run = compare(tmp_path / "clone", "main...")
    assert (run.code, run.err) == (0, TAKEN)
    assert compare(tmp_path / "clone", "main", ".").err == TAKEN
    assert compare(tmp_path / "clone", "main:racks", "racks").err == TAKEN
    assert compare(tmp_path / "clone", "main~1...").err == TAKEN.replace("main'", "main~1'")
    git(tmp_path / "clone", "branch", "main", "HEAD~1")
    run = compare(tmp_path / "clone", "main...")
    assert (run.code, run.err) == (0, "")
    assert "100HP → 104HP" in run.out


def test_of_several_remotes_origin_is_meant(served: Path, tmp_path: Path) -> None:
    """Without an ``origin`` none of them is."""
    folder = tmp_path / "clone"
    full(served, folder)
    git(folder, "remote", "add", "other", served.as_uri())
    assert compare(folder, "main...").err == TAKEN
    assert compare(folder, "other/main...").err.endswith("run: git fetch other main:refs/remotes/other/main\n")
    git(folder, "remote", "rename", "origin", "third")
    run = compare(folder, "main...")
    assert (run.code, run.err) == (2, "rackspec: there is no file, folder or revision 'main' here\n")


def test_a_remote_by_another_name(served: Path, tmp_path: Path) -> None:
    """The only remote is meant; its commands may be copied as they stand."""
    folder = tmp_path / "clone"
    git(tmp_path, "clone", "-q", "--depth=1", "--origin=shed", "--branch=topic", served.as_uri(), "clone")
    told = ADVICE.search(compare(folder, "main...").err)
    assert told
    assert told[1] == "git fetch --unshallow shed && git fetch shed main:refs/remotes/shed/main"
    subprocess.run(["sh", "-e", "-c", told[1]], cwd=folder, env=environment(), capture_output=True, check=True)
    assert compare(folder, "main...").code == 0


@pytest.mark.parametrize("name", ["a b", "-x", "refs/heads/x", "HEAD~99", "x@{1}", "0123abcd", "a..b", "x^{tree}"])
def test_no_command_where_none_would_help(name: str, served: Path, tmp_path: Path) -> None:
    """What can be no branch is not fetched."""
    full(served, tmp_path / "clone")
    run = compare(tmp_path / "clone", "--", name, ".")
    assert run.code == 2
    assert "fetch" not in run.err
    assert len(run.err.splitlines()) == 1


@pytest.mark.parametrize("clone", [full, shallow, shallow_and_detached, single, deepened])
def test_what_the_page_shows_works_in_every_clone(
    clone: Callable[[Path, Path], None], served: Path, tmp_path: Path
) -> None:
    """The two lines that SHARING.md and the README put before the comparison; twice over they do no harm."""
    folder = tmp_path / "clone"
    clone(served, folder)
    for name in ("README.md", "grammar/SHARING.md"):
        page = (ROOT / name).read_text(encoding="utf-8")
        lines = re.findall(r"^    (git fetch .*)$", page, re.MULTILINE)
        assert len(lines) == 2, name
        script = "\n".join(lines)
        subprocess.run(["sh", "-e", "-c", script], cwd=folder, env=environment(), capture_output=True, check=True)
        run = compare(folder, "main...")
        assert (run.code, run.err) == (0, TAKEN)
        assert "84HP → 104HP" in run.out
