"""Terminals, pipes and closed streams go in; colour, quiet and exit codes come out as a shell expects them."""

from __future__ import annotations

import os
import pty
import re
import subprocess
from collections.abc import Sequence
from pathlib import Path

import pytest

from tests.cli.running import command, environment, rackspec, write
from tests.cli.specs import CLEAN, ERROR

ESCAPE = re.compile(r"\x1b\[[0-9;]*m")
MANY = "".join(ERROR.replace("desk", f"desk-{n}").replace("tray", f"tray-{n}") for n in range(300))
"""Far more findings than a pipe holds (64 KB)."""


def on_a_terminal(folder: Path, arguments: Sequence[str], **variables: str) -> str:
    """What the program shows on a terminal."""
    ours, its = pty.openpty()
    with subprocess.Popen(
        command(*arguments), cwd=folder, env=environment(**variables), stdin=its, stdout=its, stderr=its
    ) as process:
        os.close(its)
        shown = b""
        while True:
            try:
                part = os.read(ours, 65536)
            except OSError:  # the terminal is closed
                break
            if not part:
                break
            shown += part
        process.wait()
    os.close(ours)
    return shown.decode("utf-8").replace("\r\n", "\n")


def test_colour_on_a_terminal_only_underlines(tmp_path: Path) -> None:
    """On a terminal there is colour; without it the text is the same as in a pipe."""
    write(tmp_path, {"tray.rackspec": ERROR})
    shown = on_a_terminal(tmp_path, ["inspect"], TERM="xterm-256color", PYTHONUTF8="1")
    assert "\x1b[" in shown
    assert ESCAPE.sub("", shown) == rackspec(tmp_path, "inspect").out
    assert ESCAPE.search(shown.splitlines()[-1]) is None, "colour runs on behind the end"


@pytest.mark.parametrize(
    ("variables", "coloured"),
    [
        ({"NO_COLOR": "1"}, False),
        ({"NO_COLOR": ""}, True),
        ({"NO_COLOR": "1", "FORCE_COLOR": "1"}, False),
        ({"TERM": "dumb"}, False),
        ({"TERM": "dumb", "FORCE_COLOR": "1"}, True),
    ],
    ids=lambda value: " ".join(f"{k}={v}" for k, v in value.items()) if isinstance(value, dict) else "",
)
def test_colour_of_a_terminal(tmp_path: Path, variables: dict[str, str], coloured: bool) -> None:
    """NO_COLOR, where it is not empty, beats everything; a dumb terminal gets none."""
    write(tmp_path, {"tray.rackspec": ERROR})
    shown = on_a_terminal(tmp_path, ["inspect"], **{"TERM": "xterm", "PYTHONUTF8": "1", **variables})
    assert ("\x1b[" in shown) is coloured
    assert "row 'top' is overfull by 6HP" in ESCAPE.sub("", shown)


@pytest.mark.parametrize(
    ("variables", "coloured"),
    [
        ({}, False),
        ({"FORCE_COLOR": "1"}, True),
        ({"FORCE_COLOR": "1", "NO_COLOR": "1"}, False),
        ({"FORCE_COLOR": ""}, False),
    ],
    ids=["nothing", "FORCE_COLOR", "both", "empty"],
)
def test_colour_of_a_pipe(tmp_path: Path, variables: dict[str, str], coloured: bool) -> None:
    """No colour where there is no terminal, unless it is forced; never in a document."""
    write(tmp_path, {"tray.rackspec": ERROR})
    run = rackspec(tmp_path, "inspect", **variables)
    assert ("\x1b[" in run.out) is coloured
    run = rackspec(tmp_path, "inspect", "--write", "json=-", **variables)
    assert b"\x1b" not in run.raw_out
    assert b"\\u001b" not in run.raw_out
    assert (b"\x1b[" in run.raw_err) is coloured


@pytest.mark.parametrize("stop", ["first line", "at once"])
@pytest.mark.parametrize(
    "arguments", [("inspect",), ("inspect", "--write", "json=-"), ("explain", "words"), ("--help",)], ids=" ".join
)
def test_a_reader_that_leaves_is_no_fault(tmp_path: Path, arguments: tuple[str, ...], stop: str) -> None:
    """``| head -1``: quiet, and never 2."""
    write(tmp_path, {"many.rackspec": MANY})
    with subprocess.Popen(
        command(*arguments), cwd=tmp_path, env=environment(), stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        if stop == "first line":
            assert process.stdout.readline()
        process.stdout.close()
        told = process.stderr.read()
    if "json=-" in arguments:
        told = b"" if b"Traceback" not in told and b"BrokenPipe" not in told else told
    assert told == b""
    assert process.returncode in (0, 1)


def test_a_reader_that_leaves_hides_no_error(tmp_path: Path) -> None:
    """With ``pipefail`` a broken spec still fails: the exit code is that of the findings."""
    write(tmp_path, {"many.rackspec": MANY})
    with subprocess.Popen(command("inspect"), cwd=tmp_path, env=environment(), stdout=subprocess.PIPE) as process:
        assert process.stdout is not None
        process.stdout.readline()
        process.stdout.close()
    assert process.returncode == 1


@pytest.mark.parametrize("closed", [0, 1, 2])
@pytest.mark.parametrize(
    "arguments",
    [("inspect", "tray.rackspec"), ("inspect", "-"), ("inspect", "gone"), ("explain", "width"), ("--version",)],
    ids=" ".join,
)
def test_closed_streams(tmp_path: Path, closed: int, arguments: tuple[str, ...]) -> None:
    """Started with a stream closed, as some services do: no traceback, and an exit code that is one of the three."""
    write(tmp_path, {"tray.rackspec": CLEAN})
    run = rackspec(tmp_path, *arguments, before=lambda: os.close(closed))
    usual = rackspec(tmp_path, *arguments).code
    if closed == 0 and arguments == ("inspect", "-"):
        assert run.code == 2
        assert "standard input" in run.err
    elif closed == 1:
        assert run.code in (usual, 2)
    else:
        assert run.code == usual


def test_a_full_disk(tmp_path: Path) -> None:
    """What cannot be printed is 2, in one line."""
    if not os.path.exists("/dev/full"):
        pytest.skip("no /dev/full here")
    write(tmp_path, {"tray.rackspec": CLEAN})
    with open("/dev/full", "wb") as full:
        done = subprocess.run(
            command("inspect"), cwd=tmp_path, env=environment(), stdout=full, stderr=subprocess.PIPE, check=False
        )
    assert done.returncode == 2
    assert done.stderr.count(b"\n") == 1
    assert done.stderr.startswith(b"rackspec: ")


def test_no_input_is_waited_for(tmp_path: Path) -> None:
    """Only ``-`` reads standard input; an endless one disturbs nobody else."""
    write(tmp_path, {"tray.rackspec": CLEAN})
    reading, writing = os.pipe()  # never written to and never closed while the program runs
    try:
        done = subprocess.run(
            command("inspect"),
            cwd=tmp_path,
            env=environment(),
            stdin=reading,
            capture_output=True,
            check=False,
            timeout=60,
        )
    finally:
        os.close(reading)
        os.close(writing)
    assert done.returncode == 0


def test_empty_input(tmp_path: Path) -> None:
    """An empty text is a text without racks."""
    run = rackspec(tmp_path, "inspect", "-")
    assert (run.code, run.summary) == (0, "1 file, 0 racks: 0 errors, 0 warnings, 0 notes")
