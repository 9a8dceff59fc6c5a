"""The README is true: its specs read without a syntax error, and what it shows of the program is what that says."""

from __future__ import annotations

import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from rackspec.findings import Source
from rackspec.language.layout import tidy
from rackspec.pipeline import Request, inspect
from tests.conftest import ROOT, TODAY

README = ROOT / "README.md"
CONSOLE = re.compile(r"```console\n(.*?)```", re.DOTALL)
SPEC = re.compile(r"```rackspec\n(?:# (\S+\.rackspec)\n)?(.*?)```", re.DOTALL)


def run(command: str, folder: Path) -> str:
    """What a command of the README prints, in a folder of its own."""
    program, *arguments = shlex.split(command)
    assert program == "rackspec"
    if arguments[0] == "inspect":
        arguments += ["--on", "2026-11-25"]
    done = subprocess.run(
        [sys.executable, "-m", "rackspec", *arguments], cwd=folder, capture_output=True, text=True, check=False
    )
    assert done.returncode in (0, 1)
    assert done.stderr == ""
    return done.stdout


def test_what_the_readme_shows_is_real(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    """Each console block is run again, in order, in one folder that holds the specs shown.

    The first one is ``desk.rackspec``; another begins with a comment that is its name.
    """
    text = README.read_text(encoding="utf-8")
    specs = {name or "desk.rackspec": spec for name, spec in SPEC.findall(text)}
    assert list(specs) == ["desk.rackspec", "desk-mended.rackspec"]
    for name, spec in specs.items():
        (tmp_path / name).write_text(spec, encoding="utf-8")

    def shown(match: re.Match[str]) -> str:
        commands = [line[2:] for line in match[1].splitlines() if line.startswith("$ ")]
        out = "\n".join(f"$ {command}\n{run(command, tmp_path)}" for command in commands)
        return f"```console\n{out.rstrip()}\n```"

    fresh = CONSOLE.sub(shown, text)
    if request.config.getoption("--refresh"):
        README.write_text(fresh, encoding="utf-8")
    assert fresh == text, "the README shows something else; pytest --refresh writes it anew"


def test_the_two_commands_are_one_line_each() -> None:
    """Both make their own .venv, and CI runs the second one as it stands."""
    commands = [
        line.strip()
        for line in README.read_text(encoding="utf-8").splitlines()
        if line.startswith("    python3 -m venv")
    ]
    assert len(commands) == 2
    assert commands[0].endswith("rackspec inspect specs")
    assert commands[1] in (ROOT / ".ci" / "run").read_text(encoding="utf-8")


def test_every_note_of_the_demo_is_explained() -> None:
    """The demo inspects clean but for what the README names, thing by thing; and nothing is named that is gone."""
    section = README.read_text(encoding="utf-8").partition("## The demo")[2].partition("## Cautions")[0]
    explained = set(re.findall(r"`([a-z-]+)` on \*([a-z-]+)\*", section))
    result = inspect(Request(("specs",), str(ROOT), TODAY))
    found = {(finding.rule, name.rpartition("/")[2]) for finding in result.findings for name in finding.names[:1]}
    named = {(rule, "cable-hooks" if rule == "price-missing" else name) for rule, name in found}
    assert named == explained
    assert all(finding.severity == "note" or finding.waiver is not None for finding in result.findings)


def test_the_specs_of_the_readme_are_tidy() -> None:
    """What is shown is laid out as tidy would."""
    for _, spec in SPEC.findall(README.read_text(encoding="utf-8")):
        assert tidy(Source("", spec)).text == spec
