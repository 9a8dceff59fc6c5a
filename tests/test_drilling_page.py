"""The page about drilling is true: its specs are saved, its commands are run, and print what stands there."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.conftest import ROOT
from tests.test_sharing_page import FENCE, programs, shell

__all__ = ["programs"]

PAGE = ROOT / "grammar" / "DRILLING.md"


def test_the_page_is_true(tmp_path: Path, programs: dict[str, str], request: pytest.FixtureRequest) -> None:
    """Every block in order: a spec is saved as the file that it names, a command prints what the page shows."""
    text = PAGE.read_text(encoding="utf-8")
    folder = tmp_path / "here"
    folder.mkdir()
    seen = {"console": 0, "rackspec": 0}

    def run(match: re.Match[str]) -> str:
        kind, note, body = match.groups()
        seen[kind] += 1
        if kind == "rackspec":
            (folder / note.strip()).write_text(body, encoding="utf-8")
            return match[0]
        commands = [line[2:] for line in body.splitlines() if line.startswith("$ ")]
        shown = [f"$ {command}\n{shell(command, folder, programs)[1]}".rstrip() for command in commands]
        return "```console" + note + "\n" + "\n".join(shown) + "\n```"

    fresh = FENCE.sub(run, text)
    if request.config.getoption("--refresh"):
        PAGE.write_text(fresh, encoding="utf-8")
    assert fresh == text, "the page shows something else; pytest --refresh writes it anew"
    assert all(seen.values()), seen
