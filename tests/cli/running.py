"""Runs the program as a user does: in: a folder and arguments, out: exit code and both streams, as bytes.

Every run is held against what must never happen: a traceback.
"""

from __future__ import annotations

import ctypes
import os
import subprocess
import sys
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import NamedTuple

import rackspec as rackspec_package
from tests.conftest import ROOT

DROP_FROM_BOUNDING_SET = 24  # PR_CAPBSET_DROP, prctl(2)
READ_ANYTHING = (1, 2)  # CAP_DAC_OVERRIDE and CAP_DAC_READ_SEARCH, capabilities(7)


class Run(NamedTuple):
    """What a run left behind."""

    code: int
    raw_out: bytes
    raw_err: bytes

    @property
    def out(self) -> str:
        """Standard output as text."""
        return self.raw_out.decode("utf-8")

    @property
    def err(self) -> str:
        """Standard error as text."""
        return self.raw_err.decode("utf-8")

    @property
    def heads(self) -> list[str]:
        """The first lines of the findings, in order."""
        return [
            line for line in self.out.splitlines() if line[:1] not in ("", " ") and line.count(": ") > 1 and ":" in line
        ]

    @property
    def summary(self) -> str:
        """The last line of the human text."""
        return self.out.splitlines()[-1]


@cache
def path_for_python() -> dict[str, str]:
    """PYTHONPATH, where a new Python would not find the very program that is being tested."""
    find = [sys.executable, "-c", "import rackspec; print(rackspec.__file__)"]
    found = subprocess.run(find, cwd="/", env={}, capture_output=True, check=False, text=True).stdout.strip()
    return {} if found == rackspec_package.__file__ else {"PYTHONPATH": str(ROOT)}


def environment(**more: str) -> dict[str, str]:
    """An environment in which nothing is set that could change what is printed."""
    return {"PATH": os.environ.get("PATH", ""), **path_for_python(), **more}


def command(*arguments: str) -> list[str]:
    """The command line."""
    return [sys.executable, "-m", "rackspec", *arguments]


def rackspec(
    folder: Path, *arguments: str, stdin: bytes = b"", before: Callable[[], None] | None = None, **variables: str
) -> Run:
    """Run the program in a folder; ``variables`` are added to its environment."""
    done = subprocess.run(
        command(*arguments),
        cwd=folder,
        input=stdin,
        env=environment(**variables),
        capture_output=True,
        check=False,
        preexec_fn=before,
    )
    assert b"Traceback" not in done.stderr, done.stderr.decode()
    assert b"Exception ignored" not in done.stderr, done.stderr.decode()
    return Run(done.returncode, done.stdout, done.stderr)


def give_up_rights() -> None:
    """Make the rights of files count for the next program, also where it runs as root. Raises OSError."""
    if os.geteuid() == 0:
        system = ctypes.CDLL(None, use_errno=True)
        for right in READ_ANYTHING:
            if system.prctl(DROP_FROM_BOUNDING_SET, right, 0, 0, 0) != 0:
                raise OSError(ctypes.get_errno(), "this right cannot be given up")


def rights_count(path: Path) -> bool:
    """Whether a file of which all rights were taken cannot be read any more by a program that gave up its own."""
    try:
        return (
            subprocess.run(["cat", str(path)], capture_output=True, check=False, preexec_fn=give_up_rights).returncode
            != 0
        )
    except (OSError, subprocess.SubprocessError):
        return False


def write(folder: Path, files: dict[str, str]) -> None:
    """Write files, given as texts by name."""
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8", newline="")
