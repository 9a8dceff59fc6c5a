"""A text goes in as a builder writes it; out comes the value that the parser reads, or all that a whole run says."""

from __future__ import annotations

import contextlib
import io
import json
import os
import subprocess
import sys
from fractions import Fraction
from pathlib import Path
from typing import Any, NamedTuple

from rackspec.cli.main import main
from rackspec.language.lines import read_shape
from rackspec.language.quantity import Quantity
from rackspec.language.values import Value

ROOT = Path(__file__).resolve().parents[2]
DAY = "2026-11-20"


class Run(NamedTuple):
    """One run: exit code, JSON document, the same with exact numbers (Fraction), and the human text as lines."""

    code: int
    document: dict[str, Any]
    exact: dict[str, Any]
    lines: list[str]

    @property
    def rules(self) -> list[str]:
        """The rules of all findings."""
        return [finding["rule"] for finding in self.document["findings"]]


def read_value(text: str) -> Value:
    """The value that the parser reads in a line ``length TEXT``."""
    shape = read_shape(f"length {text}")
    assert not shape.slips, shape.slips
    assert len(shape.values) == 2, shape.values
    return shape.values[1]


def measure(text: str) -> Quantity:
    """The exact quantity that the language reads in a measure such as ``16 4/5in`` or ``4HP minus 0.3mm``."""
    value = read_value(text)
    assert value.slip is None, value.slip
    assert isinstance(value.data, Quantity), value
    return value.data


def run(folder: Path, text: str) -> Run:
    """Run ``rackspec inspect`` on a text that stands alone in an empty folder, a root of its own."""
    (folder / ".git").mkdir(exist_ok=True)
    (folder / "trial.rackspec").write_bytes(text.encode())
    document = folder / "trial.json"
    out, errors = io.StringIO(), io.StringIO()
    with contextlib.chdir(folder), contextlib.redirect_stdout(out), contextlib.redirect_stderr(errors):
        code = main(["inspect", "trial.rackspec", "--on", DAY, "--write", f"json={document}"])
    assert errors.getvalue() == ""
    return read_run(code, document, out.getvalue())


def run_process(folder: Path, path: str, document: Path) -> Run:
    """Run ``python -m rackspec inspect PATH`` in a folder, in a process of its own."""
    command = [sys.executable, "-m", "rackspec", "inspect", path, "--on", DAY, "--write", f"json={document}"]
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONUTF8": "1", "NO_COLOR": "1"}
    done = subprocess.run(command, cwd=folder, env=environment, capture_output=True, check=False, encoding="utf-8")
    assert done.stderr == ""
    return read_run(done.returncode, document, done.stdout)


def read_run(code: int, document: Path, text: str) -> Run:
    """What a run wrote. Exact numbers are those that stand in the document: a float would hide how one was rounded."""
    written = document.read_text("utf-8")
    exact = json.loads(written, parse_float=Fraction, parse_int=Fraction)
    return Run(code, json.loads(written), exact, text.split("\n"))
