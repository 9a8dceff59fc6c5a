"""The cache of a user from outside: a private folder, never another answer, never in the way."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from rackspec import __version__
from rackspec.cli import cache
from tests.cli.running import Run, command, environment, give_up_rights, rackspec, write

SPECS = {
    "parts/saw.rackspec": "module saw {\n    width     14HP\n    depth     30mm guessed\n    draws     nothing\n}\n",
    "racks/tray.rackspec": (
        'use "../parts/"\nrack tray {\n    row top {\n        length    84HP\n        behind    32mm\n'
        '        at   0HP  saw\n    }\n    waive spare-depth-thin on saw because "felt" until 2026-12-01\n}\n'
    ),
}


class Home:
    """A home, and a repository in it."""

    def __init__(self, folder: Path) -> None:
        self.kept = folder / "kept" / "rackspec"
        self.here = folder / "here"
        self.kept.parent.mkdir()
        self.here.mkdir()
        (self.here / ".git").mkdir()
        write(self.here, SPECS)

    def run(self, *arguments: str, day: str = "2026-11-25", **variables: str) -> Run:
        """Inspect with the cache of this home."""
        more = {"XDG_CACHE_HOME": str(self.kept.parent), **variables}
        return rackspec(self.here, "inspect", "--on", day, *arguments, **more)

    def fresh(self, *arguments: str, day: str = "2026-11-25") -> Run:
        """Inspect without one."""
        return rackspec(self.here, "inspect", "--on", day, "--no-cache", *arguments)

    def entries(self) -> list[Path]:
        """What is kept."""
        return sorted(self.kept.iterdir()) if self.kept.is_dir() else []


@pytest.fixture
def home(tmp_path: Path) -> Home:
    return Home(tmp_path)


def test_a_second_run_says_the_same_and_reads_no_grammar(home: Home) -> None:
    """What nothing has changed for is said again, before lark, the rules and argparse are loaded."""
    fresh = home.fresh()
    assert home.run() == fresh
    assert len(home.entries()) == 1
    before = home.entries()[0].stat()
    code = (
        "import sys; from rackspec.cli.main import main; main(['inspect']);"
        "print([n for n in ('lark', 'rackspec.rules.registry', 'argparse', 'json', 'hashlib') if n in sys.modules])"
    )
    variables = environment(XDG_CACHE_HOME=str(home.kept.parent))
    first = subprocess.run(
        [sys.executable, "-c", code], cwd=home.here, env=variables, capture_output=True, text=True, check=True
    )
    assert "lark" in first.stdout.splitlines()[-1]
    second = subprocess.run(
        [sys.executable, "-c", code], cwd=home.here, env=variables, capture_output=True, text=True, check=True
    )
    assert second.stdout.splitlines()[-1] == "[]"
    assert second.stdout.splitlines()[:-1] == first.stdout.splitlines()[:-1]
    assert home.run() == fresh
    assert home.entries()[0].stat().st_mtime_ns >= before.st_mtime_ns


CHANGES = {
    "a part": {"parts/saw.rackspec": SPECS["parts/saw.rackspec"].replace("30mm", "40mm")},
    "a part, of the same length and time": {"parts/saw.rackspec": SPECS["parts/saw.rackspec"].replace("14HP", "99HP")},
    "a house": {"house.rackspec": "house {\n    flag guess-decides as error\n}\n"},
    "another file": {"racks/two.rackspec": "rack two {\n}\n"},
    "another file in a folder that is used": {"parts/more.rackspec": "module saw {\n}\n"},
    "a file that says nothing": {"racks/empty.rackspec": ""},
}


@pytest.mark.parametrize("change", CHANGES.values(), ids=CHANGES.keys())
@pytest.mark.parametrize("path", [".", "racks/tray.rackspec"])
def test_whatever_changes_is_seen(home: Home, change: dict[str, str], path: str) -> None:
    """A text, a file more, a house: what is kept is not told any more, and told again when all is back."""
    first = home.run(path)
    assert home.run(path) == first
    times = {name: (home.here / name).stat() for name in SPECS}
    write(home.here, change)
    for name, before in times.items():
        os.utime(home.here / name, ns=(before.st_atime_ns, before.st_mtime_ns))
    assert home.run(path) == home.fresh(path)
    for name in change.keys() - SPECS.keys():
        (home.here / name).unlink()
    write(home.here, SPECS)
    assert home.run(path) == first


def test_options_and_the_day_count(home: Home) -> None:
    """Each way to ask has its own answer."""
    for arguments in (
        [],
        ["--fail-at", "note"],
        ["--write", "json=-"],
        ["--write", "sarif=-"],
        ["--also", "part-unused"],
    ):
        for day in ("2026-11-25", "2026-12-24"):
            assert home.run(*arguments, day=day) == home.run(*arguments, day=day) == home.fresh(*arguments, day=day)
    assert home.run(FORCE_COLOR="1").out != home.run().out
    assert home.run(FORCE_COLOR="1").out != home.run().out


def test_documents_are_written_each_time(home: Home) -> None:
    """A document that was taken away, or goes elsewhere now, is there again."""
    assert home.run("--write", "json=a.json").code == 0
    text = (home.here / "a.json").read_bytes()
    (home.here / "a.json").unlink()
    assert home.run("--write", "json=b.json").code == 0
    assert (home.here / "b.json").read_bytes() == text
    assert home.run("--write", "json=a.json/b.json").code == 2


def test_a_wheel_is_known_again_wherever_it_is_installed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Other folders and other times are the same program; another digest or size is another one."""

    def installed(folder: Path, digest: str, content: str) -> tuple[object, ...]:
        package, record = folder / "rackspec", folder / f"rackspec-{__version__}.dist-info" / "RECORD"
        write(folder, {"rackspec/cli/cache.py": "", "rackspec/rules.py": content})
        record.parent.mkdir()
        lines = f"rackspec/rules.py,sha256={digest},1\nrackspec/__pycache__/rules.pyc,,\n{record.name},,\n"
        record.write_text(lines, encoding="utf-8")
        monkeypatch.setattr(cache, "__file__", str(package / "cli" / "cache.py"))
        return cache.program()

    first = installed(tmp_path / "one", "abc", "1")
    os.utime(tmp_path / "one" / "rackspec" / "rules.py", (1, 1))
    assert cache.program() == first
    assert installed(tmp_path / "two", "abc", "2") == first
    assert installed(tmp_path / "three", "abd", "1") != first
    assert installed(tmp_path / "four", "abc", "1 ") != first
    (tmp_path / "four" / f"rackspec-{__version__}.dist-info" / "RECORD").unlink()
    from_files = cache.program()
    os.utime(tmp_path / "four" / "rackspec" / "rules.py", (1, 1))
    assert cache.program() != from_files != first


def test_no_cache(home: Home) -> None:
    """Nothing is kept, and nothing that is kept is read."""
    home.fresh()
    assert home.entries() == []
    home.run()
    (entry,) = home.entries()
    entry.chmod(0)
    assert home.fresh().code == 0


def test_standard_input_is_not_kept(home: Home) -> None:
    """What comes out of a pipe comes once."""
    rackspec(home.here, "inspect", "-", stdin=b"rack a {\n}\n", XDG_CACHE_HOME=str(home.kept.parent))
    assert home.entries() == []


def test_a_run_that_could_not_read_everything_is_not_kept(home: Home) -> None:
    """What was closed may be open the next time."""
    assert home.run("nowhere", "racks").code == 2
    assert home.entries() == []


@pytest.mark.parametrize("at", [0, 5, 33, 41, 60, 400, -1])
def test_an_entry_that_is_damaged_is_passed_over(home: Home, at: int) -> None:
    """A bit that fell over, anywhere: it is looked at anew, and kept anew."""
    fresh = home.run()
    (entry,) = home.entries()
    data = bytearray(entry.read_bytes())
    data[at] ^= 0x41
    entry.write_bytes(data)
    assert home.run() == fresh
    assert entry.read_bytes() != bytes(data)
    assert home.run() == fresh


@pytest.mark.parametrize("data", [b"", b"rackspec", b"\0" * 10_000, b"rackspec keeps this for itself 1\n" + b"0" * 8])
def test_an_entry_that_is_no_entry(home: Home, data: bytes) -> None:
    """Half a file, or somebody else's."""
    fresh = home.run()
    (entry,) = home.entries()
    entry.write_bytes(data)
    assert home.run() == fresh


@pytest.mark.parametrize("mode", [0o777, 0o770, 0o722])
def test_a_folder_that_others_may_write_is_not_used(home: Home, mode: int) -> None:
    """Somebody else could put answers there."""
    home.kept.mkdir()
    home.kept.chmod(mode)
    assert home.run() == home.fresh()
    assert home.entries() == []


def test_a_folder_that_is_a_link_is_not_used(home: Home, tmp_path: Path) -> None:
    """Nor one that leads elsewhere."""
    (tmp_path / "elsewhere").mkdir(mode=0o700)
    os.symlink(tmp_path / "elsewhere", home.kept)
    assert home.run() == home.fresh()
    assert home.entries() == []


def test_a_folder_is_made_for_this_user_only(home: Home) -> None:
    """Its rights, and those of what is in it."""
    home.run()
    assert home.kept.stat().st_mode & 0o777 == 0o700
    assert [entry.stat().st_mode & 0o777 for entry in home.entries()] == [0o600]


def test_a_closed_folder_is_no_hindrance(home: Home) -> None:
    """What cannot be kept is not kept."""
    home.kept.mkdir(mode=0o500)
    variables = {"XDG_CACHE_HOME": str(home.kept.parent)}
    run = rackspec(home.here, "inspect", "--on", "2026-11-25", before=give_up_rights, **variables)
    assert run == home.fresh()
    assert home.entries() == []


@pytest.mark.parametrize("variables", [{}, {"XDG_CACHE_HOME": "relative"}, {"HOME": ""}, {"HOME": "/dev/null/home"}])
def test_without_a_home_nothing_is_kept(home: Home, variables: dict[str, str]) -> None:
    """No home, no cache, no complaint."""
    run = rackspec(home.here, "inspect", "--on", "2026-11-25", before=give_up_rights, **variables)
    assert run == home.fresh()
    assert not (home.here / "relative").exists()


def test_runs_beside_each_other(home: Home) -> None:
    """Eight at once, over files that one of them sees first: all say the same, and what is kept is whole."""
    fresh = home.fresh()
    variables = environment(XDG_CACHE_HOME=str(home.kept.parent))
    words = command("inspect", "--on", "2026-11-25")
    for _ in range(2):
        running = [
            subprocess.Popen(words, cwd=home.here, env=variables, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
            for _ in range(8)
        ]
        said = [run.communicate() for run in running]
        assert set(said) == {(fresh.raw_out, fresh.raw_err)}
    assert len(home.entries()) == 1
    assert home.run() == fresh


def test_room_is_made(home: Home) -> None:
    """The oldest entries go when there are too many."""
    home.run()
    for number in range(450):
        path = home.kept / f"{number:08x}-1"
        path.write_bytes(b"old")
        os.utime(path, (number, number))
    home.run("--fail-at", "note")
    assert 100 < len(home.entries()) <= 202
    assert not (home.kept / f"{0:08x}-1").exists()
    assert (home.kept / f"{449:08x}-1").exists()
