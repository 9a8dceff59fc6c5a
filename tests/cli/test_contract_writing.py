"""Nothing is ever half written: full disks, folders that are closed, and writers that are killed."""

from __future__ import annotations

import resource
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.running import command, environment, give_up_rights, rackspec, write

NO_BYTECODE = {"PYTHONDONTWRITEBYTECODE": "1"}
"""Else it is Python's own files that are cut off first."""

LIMIT = 4_096
"""Bytes that a file may have where the disk is said to be full."""

UNTIDY = "module saw-{0} {{\n  width   14HP\n  depth 30mm   # {1}\n}}\n"


def no_larger_files() -> None:
    """From here on no file can grow beyond the limit, as on a disk that fills up."""
    resource.setrlimit(resource.RLIMIT_FSIZE, (LIMIT, LIMIT))


def files(folder: Path) -> dict[str, bytes]:
    """Everything in a folder, hidden files too."""
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}


def specs(folder: Path) -> dict[str, bytes]:
    """A small file and a large one, neither tidy."""
    write(folder, {"small.rackspec": UNTIDY.format("b", "y")})
    large = "".join(UNTIDY.format(f"l{number}", "x" * 1_000) for number in range(5))
    write(folder, {"large.rackspec": large})
    return files(folder)


def on_a_full_disk(folder: Path, *arguments: str) -> tuple[int, str]:
    """Run the program on a disk that is full in truth, a small one made for it; exit code and standard error."""
    own = folder / "disk"
    own.mkdir()
    script = f'mount -t tmpfs -o size=12k none {own} && cp {folder}/*.rackspec {own} && cd {own} && exec "$@"'
    done = subprocess.run(
        [
            "unshare",
            "-rm",
            "sh",
            "-c",
            f"({script}); code=$?; cp -a {own}/. {folder}/left; exit $code",
            "sh",
            *command(*arguments),
        ],
        cwd=folder,
        env=environment(**NO_BYTECODE),
        capture_output=True,
        text=True,
        check=False,
    )
    return done.returncode, done.stderr


def can_mount() -> bool:
    """Whether this system lets anybody make a small disk."""
    if not shutil.which("unshare"):
        return False
    made = ["unshare", "-rm", "sh", "-c", "mount -t tmpfs -o size=12k none /mnt"]
    return subprocess.run(made, capture_output=True, check=False).returncode == 0


def test_tidy_on_a_disk_that_fills_up(tmp_path: Path) -> None:
    """The file that does not fit stays as it was, byte for byte; the other one is done; 2, and one line."""
    before = specs(tmp_path)
    run = rackspec(tmp_path, "tidy", before=no_larger_files, **NO_BYTECODE)
    assert run.code == 2
    assert run.err == "rackspec: large.rackspec: File too large\n"
    after = files(tmp_path)
    assert sorted(after) == sorted(before), "nothing is left over"
    assert after["large.rackspec"] == before["large.rackspec"]
    assert after["small.rackspec"] != before["small.rackspec"]


@pytest.mark.parametrize("kinds", [("sarif",), ("sarif", "json", "junit")])
def test_documents_on_a_disk_that_fills_up(kinds: tuple[str, ...], tmp_path: Path) -> None:
    """The document that was there stays; text and exit code say what happened."""
    before = specs(tmp_path)
    write(tmp_path, {f"out.{kind}": "what was there" for kind in kinds})
    run = rackspec(
        tmp_path, "inspect", *(f"--write={kind}=out.{kind}" for kind in kinds), before=no_larger_files, **NO_BYTECODE
    )
    large = [kind for kind in kinds if kind == "sarif"]  # which has a page for every rule in it
    assert run.code == 2
    assert run.err.splitlines() == [f"rackspec: out.{kind}: File too large" for kind in large]
    assert run.summary.startswith("2 files, 0 racks:")
    after = files(tmp_path)
    assert all(after[f"out.{kind}"] == b"what was there" for kind in large)
    assert sorted(after) == sorted({**before, **{f"out.{kind}": b"" for kind in kinds}})


def test_a_disk_that_is_full(tmp_path: Path) -> None:
    """The same with a real disk of three pages, where this system lets us make one; else with the limit above."""
    before = specs(tmp_path)
    if not can_mount():
        test_tidy_on_a_disk_that_fills_up(tmp_path)
        return
    (tmp_path / "left").mkdir()
    code, err = on_a_full_disk(tmp_path, "tidy", "large.rackspec")
    assert (code, err) == (2, "rackspec: large.rackspec: No space left on device\n")
    assert files(tmp_path / "left") == before


def test_a_folder_that_may_not_be_written(tmp_path: Path) -> None:
    """A closed folder: 2, one line a file, nothing changed; files elsewhere are done."""
    for name in ("closed", "open"):
        (tmp_path / name).mkdir()
    before = specs(tmp_path / "closed")
    write(tmp_path / "open", {"small.rackspec": UNTIDY.format("c", "y")})
    (tmp_path / "closed").chmod(0o555)
    try:
        run = rackspec(tmp_path, "tidy", before=give_up_rights)
    finally:
        (tmp_path / "closed").chmod(0o755)
    assert run.code == 2
    assert run.err.splitlines() == [
        "rackspec: closed/large.rackspec: Permission denied",
        "rackspec: closed/small.rackspec: Permission denied",
    ]
    assert files(tmp_path / "closed") == before
    assert (
        (tmp_path / "open" / "small.rackspec").read_text(encoding="utf-8").startswith("module saw-c {\n    width     ")
    )


KILLER = """
import os, signal, sys
def die(*_, **__): os.kill(os.getpid(), signal.SIGKILL)
{setup}
from rackspec.cli.main import main
main(sys.argv[1:])
"""

MOMENTS = {
    "before anything is written": "import tempfile; tempfile.mkstemp = die",
    "in the middle of the text": "import os; os.fsync = die",
    "before the rename": "os.replace = die",
}


@pytest.mark.parametrize("setup", MOMENTS.values(), ids=MOMENTS.keys())
@pytest.mark.parametrize(
    "arguments", [("tidy", "small.rackspec"), ("inspect", "--write=json=small.json", "small.rackspec")]
)
def test_killed_while_writing(setup: str, arguments: tuple[str, ...], tmp_path: Path) -> None:
    """Whenever it happens, the file holds what it held; the next run does not stumble over what was left."""
    specs(tmp_path)
    write(tmp_path, {"small.json": "what was there"})
    before = files(tmp_path)
    run = [sys.executable, "-c", KILLER.format(setup=setup), *arguments]
    done = subprocess.run(run, cwd=tmp_path, env=environment(**NO_BYTECODE), capture_output=True, check=False)
    assert done.returncode == -9
    after = files(tmp_path)
    assert {name: data for name, data in after.items() if name in before} == before
    assert all(name.startswith(".rackspec-") for name in after if name not in before)
    again = rackspec(tmp_path, *arguments)
    assert again.code == 0
    assert files(tmp_path) != after
