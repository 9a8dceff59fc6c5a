"""The page about sharing is true: its commands are run in a repository with the demo, and print what stands there."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.running import environment as program_environment
from tests.conftest import ROOT
from tests.git.repositories import ENVIRONMENT, commit, git

PAGE = ROOT / "grammar" / "SHARING.md"
FENCE = re.compile(r"^```(\w+)(.*)\n((?:(?!```).*\n)*)```$", re.MULTILINE)
CODE = re.compile(r" ends with (\d)")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The demo in a repository, one commit."""
    shutil.copytree(ROOT / "specs", tmp_path / "here" / "specs")
    git(tmp_path / "here", "init", "-q", "-b", "main")
    commit(tmp_path / "here", {})
    return tmp_path / "here"


@pytest.fixture
def programs(tmp_path: Path) -> dict[str, str]:
    """An environment in which ``rackspec`` and ``python`` are the ones that are tested, on the day of the tests."""
    own = tmp_path / "bin"
    own.mkdir()
    day = '[ "$1" = inspect ] || [ "$1" = compare ] && set -- "$@" --on 2026-11-25'
    for name, text in (
        ("rackspec", f'{day}\nexec {sys.executable} -m rackspec "$@"'),
        ("python", f'exec {sys.executable} "$@"'),
    ):
        (own / name).write_text(f"#!/bin/sh\n{text}\n")
        (own / name).chmod(0o755)
    path = f"{own}{os.pathsep}{os.environ['PATH']}"
    return {**program_environment(), **ENVIRONMENT, "PATH": path, "PYTHONWARNINGS": "error"}


def shell(script: str, folder: Path, programs: dict[str, str]) -> tuple[int, str]:
    """Run a script; its exit code and all that it printed."""
    done = subprocess.run(
        ["sh", "-c", script],
        cwd=folder,
        env=programs,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )
    assert "Traceback" not in done.stdout, done.stdout
    return done.returncode, done.stdout


def test_the_page_is_true(folder: Path, programs: dict[str, str], request: pytest.FixtureRequest) -> None:
    """Every block is run, in order; what it prints is what the page shows."""
    text = PAGE.read_text(encoding="utf-8")
    printed = ""
    seen = {"console": 0, "sh": 0, "python": 0}

    def run(match: re.Match[str]) -> str:
        nonlocal printed
        kind, note, body = match.groups()
        if kind == "text":
            return f"```text{note}\n{printed.rstrip()}\n```"
        if kind not in seen:
            return match[0]
        seen[kind] += 1
        if kind == "console":
            commands = [line[2:] for line in body.splitlines() if line.startswith("$ ")]
            shown = [f"$ {command}\n{shell(command, folder, programs)[1]}".rstrip() for command in commands]
            return "```console" + note + "\n" + "\n".join(shown) + "\n```"
        if kind == "python":
            (folder / "example.py").write_text(body, encoding="utf-8")
            code, printed = shell("python example.py", folder, programs)
            (folder / "example.py").unlink()
        else:
            code, printed = shell(body, folder, programs)
        expected = CODE.search(note)
        assert code == (int(expected[1]) if expected else 0), printed
        return match[0]

    fresh = FENCE.sub(run, text)
    if request.config.getoption("--refresh"):
        PAGE.write_text(fresh, encoding="utf-8")
    assert fresh == text, "the page shows something else; pytest --refresh writes it anew"
    assert all(seen.values()), seen
