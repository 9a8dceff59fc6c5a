"""What goes wrong goes in; out comes 0, 1 or 2, and everything that could be read is still told."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.running import give_up_rights, rackspec, rights_count, write
from tests.cli.specs import BROKEN, CLEAN, ERROR, HOUSE_FAILS_AT, NOTE, UNKNOWN, WARNING

LEVELS = ("error", "warning", "note", "never")
WORST = {"error": ERROR, "warning": WARNING, "note": NOTE}


@pytest.mark.parametrize("severity", WORST)
@pytest.mark.parametrize("level", LEVELS)
def test_level_by_option(tmp_path: Path, severity: str, level: str) -> None:
    """A finding fails the run at its own level and at every milder one, never at ``never``."""
    write(tmp_path, {"tray.rackspec": WORST[severity]})
    run = rackspec(tmp_path, "inspect", "--fail-at", level)
    assert f": {severity}: " in run.out
    assert f" 1 {severity}" in run.summary
    fails = level != "never" and LEVELS.index(severity) <= LEVELS.index(level)
    assert run.code == (1 if fails else 0)


@pytest.mark.parametrize(("severity", "code"), [("error", 1), ("warning", 0), ("note", 0)])
def test_level_is_error_where_nobody_says(tmp_path: Path, severity: str, code: int) -> None:
    """Without option and house only errors fail a run."""
    write(tmp_path, {"tray.rackspec": WORST[severity]})
    assert rackspec(tmp_path, "inspect").code == code


@pytest.mark.parametrize(("level", "code"), [("warning", 1), ("error", 0)])
def test_level_of_the_house(tmp_path: Path, level: str, code: int) -> None:
    """The house may change the level, also for a file that is named alone; the option beats it."""
    write(tmp_path, {"house.rackspec": HOUSE_FAILS_AT.format(level=level), "racks/tray.rackspec": WARNING})
    assert rackspec(tmp_path, "inspect").code == code
    assert rackspec(tmp_path, "inspect", "racks/tray.rackspec").code == code
    other = "error" if level == "warning" else "warning"
    assert rackspec(tmp_path, "inspect", "--fail-at", other).code == 1 - code


def test_house_that_never_fails(tmp_path: Path) -> None:
    """``fail-at never`` of a house: a look at errors without a failing run."""
    write(tmp_path, {"house.rackspec": HOUSE_FAILS_AT.format(level="never"), "tray.rackspec": ERROR})
    run = rackspec(tmp_path, "inspect")
    assert run.code == 0
    assert "1 error," in run.summary


@pytest.mark.parametrize(
    ("data", "rule"),
    [
        (BROKEN.encode(), "unknown-word"),
        (UNKNOWN.encode(), "unknown-name"),
        (ERROR.encode(), "row-overfull"),
        (b"module \xe9 {\n}\n", "not-utf-8"),
        (b'use "gone.rackspec"\n', "use-not-found"),
        (b"\xff\xfem\0o\0", "not-utf-8"),
        (b"}{" * 50, "brace-astray"),
        (b"rack " + b"{\n" * 3000, ""),
        (b"module osc {\n width " + b"9" * 5000 + b"HP\n}\n", ""),
    ],
    ids=["syntax", "link", "rule", "bytes", "use", "utf-16", "braces", "depth", "digits"],
)
def test_faults_of_a_text_are_findings(tmp_path: Path, data: bytes, rule: str) -> None:
    """Syntax, linking, rules and bytes that are not UTF-8 give findings and 1, never more."""
    (tmp_path / "tray.rackspec").write_bytes(data)
    run = rackspec(tmp_path, "inspect")
    assert (run.code, run.err) == (1, "")
    assert f"rule      {rule}" in run.out


@pytest.mark.parametrize(
    "arguments",
    [
        (),
        ("frobnicate",),
        ("inspect", "--no-such-option"),
        ("inspect", "--fail-at", "sometimes"),
        ("inspect", "--on", "tomorrow"),
        ("inspect", "--on", "2026-02-30"),
        ("inspect", "--write", "json"),
        ("inspect", "--write", "json="),
        ("inspect", "--write", "xml=x.xml"),
        ("inspect", "--write", "json=-", "--write", "json=-"),
        ("inspect", "gone.rackspec"),
        ("inspect", "gone/"),
        ("inspect", ""),
        ("begin",),
        ("begin", "two words"),
        ("explain",),
        ("explain", "flux-capacity"),
        ("export", "--schema", "poem"),
    ],
    ids=" ".join,
)
def test_what_cannot_be_done_is_two(tmp_path: Path, arguments: tuple[str, ...]) -> None:
    """Usage, and paths that are not there: 2, a word about it on standard error, nothing written."""
    run = rackspec(tmp_path, *arguments)
    assert run.code == 2
    assert run.err.strip()
    assert list(tmp_path.iterdir()) == []


def test_two_beats_one_and_the_rest_is_told(tmp_path: Path) -> None:
    """A path that is not there does not keep the others from being inspected."""
    write(
        tmp_path, {"tray.rackspec": ERROR, "shelf/shelf.rackspec": CLEAN.replace("desk", "d").replace("tray", "shelf")}
    )
    run = rackspec(tmp_path, "inspect", "gone.rackspec", "tray.rackspec", "also-gone/", "shelf")
    assert run.code == 2
    assert run.heads[0].startswith("tray.rackspec:7:9: error: row 'top' is overfull by 6HP")
    assert run.summary == "2 files, 2 racks: 1 error, 0 warnings, 0 notes"
    assert run.err.splitlines() == [
        "rackspec: gone.rackspec: there is no such file or folder",
        "rackspec: also-gone/: there is no such file or folder",
    ]


def test_two_stays_two_at_every_level(tmp_path: Path) -> None:
    """``--fail-at never`` does not hide that a path was not there."""
    write(tmp_path, {"tray.rackspec": ERROR})
    assert rackspec(tmp_path, "inspect", "--fail-at", "never", "gone.rackspec", "tray.rackspec").code == 2


def test_a_link_to_nowhere_that_is_named(tmp_path: Path) -> None:
    """A dangling link is a path that cannot be read."""
    (tmp_path / "tray.rackspec").symlink_to("gone.rackspec")
    run = rackspec(tmp_path, "inspect", "tray.rackspec")
    assert run.code == 2
    assert "tray.rackspec" in run.err


def test_use_of_a_link_to_nowhere(tmp_path: Path) -> None:
    """What is used and cannot be read is a finding at its line."""
    write(tmp_path, {"tray.rackspec": 'use "parts.rackspec"\n' + CLEAN})
    (tmp_path / "parts.rackspec").symlink_to("gone.rackspec")
    run = rackspec(tmp_path, "inspect", "tray.rackspec")
    assert run.code == 1
    assert run.heads == ["tray.rackspec:1:5: error: there is no file or folder 'parts.rackspec'"]


@pytest.fixture
def locked(tmp_path: Path) -> Path:
    """A folder with a clean spec, and a file and a folder that nobody may read."""
    write(tmp_path, {"tray.rackspec": ERROR, "secret.rackspec": CLEAN, "vault/more.rackspec": CLEAN})
    (tmp_path / "secret.rackspec").chmod(0)
    if not rights_count(tmp_path / "secret.rackspec"):
        pytest.skip("here nobody can be kept from reading a file")
    return tmp_path


@pytest.mark.parametrize("paths", [("secret.rackspec", "tray.rackspec"), (".",)], ids=["named", "in a folder"])
def test_a_file_that_may_not_be_read(locked: Path, paths: tuple[str, ...]) -> None:
    """It is told by name, the others are inspected, and the exit code is 2."""
    (locked / "vault").rename(locked / ".vault")
    run = rackspec(locked, "inspect", *paths, before=give_up_rights)
    assert run.code == 2
    assert run.err == "rackspec: secret.rackspec: Permission denied\n"
    assert run.heads[0].startswith("tray.rackspec:7:9: error:")


@pytest.mark.parametrize("paths", [("vault",), (".",)], ids=["named", "in a folder"])
def test_a_folder_that_may_not_be_read(locked: Path, paths: tuple[str, ...]) -> None:
    """Its files are not quietly taken for absent."""
    (locked / "secret.rackspec").unlink()
    (locked / "vault").chmod(0)
    run = rackspec(locked, "inspect", *paths, before=give_up_rights)
    (locked / "vault").chmod(0o755)
    assert run.code == 2
    assert run.err.splitlines()[-1] == "rackspec: vault: Permission denied"


def test_use_of_a_file_that_may_not_be_read(locked: Path) -> None:
    """A finding at the ``use`` line, not the end of the run."""
    (locked / "tray.rackspec").write_text('use "secret.rackspec"\n' + CLEAN.replace("desk", "shelf-desk"))
    run = rackspec(locked, "inspect", "tray.rackspec", before=give_up_rights)
    assert run.code == 1
    assert run.heads == ["tray.rackspec:1:5: error: 'secret.rackspec' cannot be read: Permission denied"]


WAIVED = ERROR.replace("    }\n}", '    }\n    waive row-overfull on top because "filed down" until 2027-03-01\n}')


@pytest.mark.parametrize(
    ("day", "code", "findings"),
    [
        ("2026-11-02", 0, "0 errors, 0 warnings, 0 notes, 1 waived"),
        ("2027-03-01", 0, "0 errors, 0 warnings, 0 notes, 1 waived"),
        ("2027-03-02", 1, "1 error, 1 warning, 0 notes"),
    ],
    ids=["before", "last day", "day after"],
)
def test_today_for_waivers(tmp_path: Path, day: str, code: int, findings: str) -> None:
    """A waiver holds until its last day is over; then its finding is back, and a word about the waiver."""
    write(tmp_path, {"tray.rackspec": WAIVED})
    run = rackspec(tmp_path, "inspect", "--on", day)
    assert (run.code, run.summary.partition(": ")[2]) == (code, findings)


@pytest.mark.parametrize(("until", "code"), [("1999-12-31", 1), ("9999-12-31", 0)])
def test_without_a_date_the_day_of_the_machine_counts(tmp_path: Path, until: str, code: int) -> None:
    """Without ``--on`` a waiver of the past is over and one of the far future holds."""
    write(tmp_path, {"tray.rackspec": WAIVED.replace("2027-03-01", until)})
    assert rackspec(tmp_path, "inspect").code == code


def test_waived_findings_fail_at_no_level(tmp_path: Path) -> None:
    """What is accepted is told and counted as waived, and never fails a run."""
    write(tmp_path, {"tray.rackspec": WAIVED})
    run = rackspec(tmp_path, "inspect", "--fail-at", "note", "--on", "2026-11-02")
    assert run.code == 0
    assert run.heads == ["tray.rackspec:7:9: error: row 'top' is overfull by 6HP (waived)"]
    assert "waived    filed down (until 2027-03-01)" in run.out
