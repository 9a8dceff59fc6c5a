"""``tidy`` from outside: paths, streams, exit codes, and what is kept of a file beside its text."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from rackspec import files
from rackspec.cli import tidy as command
from rackspec.cli.main import main
from rackspec.findings import Source
from rackspec.language import layout
from tests.cli.running import give_up_rights, rackspec, write

UNTIDY = "module saw {\n  width 14HP  # wide\n}\n"
TIDY = "module saw {\n    width     14HP                  # wide\n}\n"
BROKEN = "module saw {\n  width 14\n}\n"


def read(path: Path) -> str:
    """A text, with its line ends as they are."""
    return path.read_bytes().decode("utf-8")


def test_a_file_a_folder_or_nothing(tmp_path: Path) -> None:
    """Every file below is laid out, and each that changed is named."""
    write(tmp_path, {"a.rackspec": UNTIDY, "b/c.rackspec": UNTIDY, "b/done.rackspec": TIDY, ".d/e.rackspec": UNTIDY})
    run = rackspec(tmp_path, "tidy", "a.rackspec")
    assert (run.code, run.out, run.err) == (0, "tidied: a.rackspec\n1 file: 1 tidied\n", "")
    run = rackspec(tmp_path, "tidy")
    assert (run.code, run.out, run.err) == (0, "tidied: b/c.rackspec\n3 files: 1 tidied\n", "")
    assert read(tmp_path / "a.rackspec") == read(tmp_path / "b/c.rackspec") == TIDY
    assert read(tmp_path / ".d/e.rackspec") == UNTIDY
    run = rackspec(tmp_path, "tidy", ".", "b", "b/c.rackspec")
    assert run.out == "3 files: 0 tidied\n"


def test_standard_input_goes_to_standard_output(tmp_path: Path) -> None:
    """An editor sends its text through; nothing else is on standard output."""
    run = rackspec(tmp_path, "tidy", "-", stdin=UNTIDY.encode())
    assert (run.code, run.out, run.err) == (0, TIDY, "")
    run = rackspec(tmp_path, "tidy", "--show", "-", stdin=b"")
    assert (run.code, run.out, run.err) == (0, "", "")


def test_standard_input_beside_files(tmp_path: Path) -> None:
    """Standard output belongs to the text; what was done to files is told beside it."""
    write(tmp_path, {"a.rackspec": UNTIDY})
    run = rackspec(tmp_path, "tidy", "a.rackspec", "-", stdin=UNTIDY.replace("saw", "b").encode())
    assert (run.code, run.out) == (0, TIDY.replace("saw", "b"))
    assert run.err == "tidied: a.rackspec\n2 files: 1 tidied\n"
    assert read(tmp_path / "a.rackspec") == TIDY


def test_a_word_that_nobody_knows(tmp_path: Path) -> None:
    """A misspelt word, or one of a later version, is no matter of layout."""
    write(tmp_path, {"a.rackspec": "module saw {\nwidht 14HP\n}\n"})
    run = rackspec(tmp_path, "tidy")
    assert (run.code, run.out, run.err) == (0, "tidied: a.rackspec\n1 file: 1 tidied\n", "")
    assert read(tmp_path / "a.rackspec") == "module saw {\n    widht     14HP\n}\n"


def test_show_writes_nothing(tmp_path: Path) -> None:
    """The layout of one file, or of several one behind the other."""
    write(tmp_path, {"a.rackspec": UNTIDY, "b.rackspec": TIDY.replace("saw", "b")})
    run = rackspec(tmp_path, "tidy", "--show", "a.rackspec", "b.rackspec")
    assert (run.code, run.out, run.err) == (0, TIDY + TIDY.replace("saw", "b"), "")
    assert read(tmp_path / "a.rackspec") == UNTIDY


@pytest.mark.parametrize(
    "data",
    [BROKEN.encode(), BROKEN.replace("\n", "\r\n").encode(), b"module \xff {\n}\n", b"\xef\xbb\xbf" + BROKEN.encode()],
)
def test_what_is_refused_comes_out_as_it_was(tmp_path: Path, data: bytes) -> None:
    """A text with a slip: the same bytes, the finding on standard error, and 1. No editor loses what was typed."""
    for arguments in (("-",), ("--show", "-")):
        run = rackspec(tmp_path, "tidy", *arguments, stdin=data)
        assert run.code == 1
        assert run.raw_out == data
        assert run.err.startswith("-:")
    (tmp_path / "a.rackspec").write_bytes(data)
    run = rackspec(tmp_path, "tidy", "--show", "a.rackspec")
    assert (run.code, run.raw_out) == (1, data)
    run = rackspec(tmp_path, "tidy", "a.rackspec")
    assert (run.code, run.out) == (1, "1 file: 0 tidied, 1 left as it was\n")
    assert run.err.startswith("a.rackspec:")
    assert run.err.endswith("rackspec: a.rackspec stays as it is until this is mended\n")
    assert (tmp_path / "a.rackspec").read_bytes() == data


def test_one_that_is_refused_does_not_keep_the_others(tmp_path: Path) -> None:
    """1 for a slip, 2 for a path that is not there; 2 beats 1; everything else is done."""
    write(tmp_path, {"a.rackspec": UNTIDY, "b.rackspec": BROKEN, "c.rackspec": UNTIDY.replace("saw", "c")})
    run = rackspec(tmp_path, "tidy")
    assert run.code == 1
    assert run.out == "tidied: a.rackspec\ntidied: c.rackspec\n3 files: 2 tidied, 1 left as it was\n"
    write(tmp_path, {"a.rackspec": UNTIDY})
    run = rackspec(tmp_path, "tidy", "nowhere", "b.rackspec", "a.rackspec")
    assert run.code == 2
    assert run.err.splitlines()[-1] == "rackspec: nowhere: there is no such file or folder"
    assert read(tmp_path / "a.rackspec") == TIDY
    assert read(tmp_path / "b.rackspec") == BROKEN


@pytest.mark.parametrize("mark", ["", "\ufeff"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_line_ends_and_mark_are_kept(tmp_path: Path, mark: str, end: str) -> None:
    """What an editor put there stays."""
    (tmp_path / "a.rackspec").write_bytes((mark + UNTIDY.replace("\n", end)).encode())
    assert rackspec(tmp_path, "tidy").code == 0
    assert read(tmp_path / "a.rackspec") == mark + TIDY.replace("\n", end)


def test_a_text_that_was_saved_meanwhile(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """What somebody saves while their file is laid out is not overwritten."""
    write(tmp_path, {"a.rackspec": UNTIDY})

    def slow(source: Source) -> layout.Layout:
        write(tmp_path, {"a.rackspec": UNTIDY.replace("14HP", "16HP")})
        return layout.tidy(source)

    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(command, "tidy", slow)
    assert main(["tidy", "a.rackspec"]) == 2
    said = "rackspec: a.rackspec: left as it is, because it was changed meanwhile; run tidy again\n"
    assert capsys.readouterr() == ("1 file: 0 tidied\n", said)
    assert read(tmp_path / "a.rackspec") == UNTIDY.replace("14HP", "16HP")


@pytest.mark.parametrize("arguments", [("a.rackspec", "b.rackspec"), ("--show", "a.rackspec")])
def test_a_layout_that_went_astray(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    arguments: tuple[str, ...],
) -> None:
    """A fault of this program: the file stays, 2, and one line that says so. It cannot happen, so it is made to."""
    write(tmp_path, {"a.rackspec": UNTIDY, "b.rackspec": UNTIDY.replace("saw", "b")})
    right = layout.lay_out
    monkeypatch.setattr(layout, "lay_out", lambda text: right(text).replace("saw {\n    width     14HP", "saw {"))
    monkeypatch.chdir(tmp_path)
    assert main(["tidy", *arguments]) == 2
    out, err = capsys.readouterr()
    said = "left as it was, because its layout would not have said the same; please report"
    assert err == f"rackspec: a.rackspec: {said}\n"
    assert out == (UNTIDY if "--show" in arguments else "tidied: b.rackspec\n2 files: 1 tidied\n")
    assert read(tmp_path / "a.rackspec") == UNTIDY


def test_a_file_too_large_is_shown_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """It is refused, and yet no program that reads what is shown loses any of it."""
    write(tmp_path, {"a.rackspec": UNTIDY})
    for module in (files, command):
        monkeypatch.setattr(module, "LARGEST_FILE", 8)
    monkeypatch.chdir(tmp_path)
    assert main(["tidy", "--show", "a.rackspec"]) == 1
    out, err = capsys.readouterr()
    assert out == UNTIDY
    assert "is no spec" in err
    assert main(["tidy", "a.rackspec"]) == 1
    assert read(tmp_path / "a.rackspec") == UNTIDY


def test_what_is_no_file(tmp_path: Path) -> None:
    """A pipe can be shown, and is never written: that would wait for a reader for ever."""
    os.mkfifo(tmp_path / "pipe.rackspec")
    run = rackspec(tmp_path, "tidy", "pipe.rackspec")
    said = "rackspec: pipe.rackspec: this is no file that could be written anew; --show prints its layout\n"
    assert (run.code, run.out, run.err) == (2, "0 files: 0 tidied\n", said)
    os.mkfifo(tmp_path / "other.rackspec")
    write_it = f"open('other.rackspec', 'w').write({UNTIDY!r})"
    with subprocess.Popen([sys.executable, "-c", write_it], cwd=tmp_path):
        run = rackspec(tmp_path, "tidy", "--show", "other.rackspec")
    assert (run.code, run.out, run.err) == (0, TIDY, "")


def test_rights_and_links_are_kept(tmp_path: Path) -> None:
    """A file stays as private as it was, and a link stays a link."""
    write(tmp_path, {"parts/a.rackspec": UNTIDY})
    (tmp_path / "parts" / "a.rackspec").chmod(0o640)
    os.symlink("parts/a.rackspec", tmp_path / "link.rackspec")
    run = rackspec(tmp_path, "tidy", "link.rackspec", "parts")
    assert run.out == "tidied: link.rackspec\n1 file: 1 tidied\n"
    assert (tmp_path / "link.rackspec").is_symlink()
    assert read(tmp_path / "parts" / "a.rackspec") == TIDY
    assert (tmp_path / "parts" / "a.rackspec").stat().st_mode & 0o777 == 0o640


def test_links_out_of_the_root_are_left_alone(tmp_path: Path) -> None:
    """What lies elsewhere is somebody else's: left out of a folder, refused where it is named."""
    write(tmp_path, {"out.rackspec": UNTIDY, "here/house.rackspec": "house {\n}\n"})
    os.symlink("../out.rackspec", tmp_path / "here" / "in.rackspec")
    run = rackspec(tmp_path / "here", "tidy")
    assert (run.code, run.out) == (0, "1 file: 0 tidied\n")
    run = rackspec(tmp_path / "here", "tidy", "in.rackspec")
    assert (run.code, run.err) == (2, "rackspec: in.rackspec: this link leads out of the folder it belongs to\n")
    assert read(tmp_path / "out.rackspec") == UNTIDY


def test_a_tidy_file_is_not_written(tmp_path: Path) -> None:
    """Neither its time nor its place on the disk changes, so that nothing is built anew because of it."""
    write(tmp_path, {"a.rackspec": TIDY})
    os.utime(tmp_path / "a.rackspec", (1, 1))
    before = (tmp_path / "a.rackspec").stat()
    assert rackspec(tmp_path, "tidy").code == 0
    after = (tmp_path / "a.rackspec").stat()
    assert (before.st_ino, before.st_mtime_ns) == (after.st_ino, after.st_mtime_ns)


def test_a_file_that_may_not_be_read(tmp_path: Path) -> None:
    """2 and its name; the others are done."""
    write(tmp_path, {"a.rackspec": UNTIDY, "b.rackspec": UNTIDY.replace("saw", "b")})
    (tmp_path / "a.rackspec").chmod(0)
    try:
        run = rackspec(tmp_path, "tidy", before=give_up_rights)
    finally:
        (tmp_path / "a.rackspec").chmod(0o644)
    assert (run.code, run.err) == (2, "rackspec: a.rackspec: Permission denied\n")
    assert read(tmp_path / "b.rackspec") == TIDY.replace("saw", "b")


def test_a_file_that_may_not_be_written(tmp_path: Path) -> None:
    """A file that its owner closed stays as it is, though a new one could be put in its place; 2, and its name."""
    write(tmp_path, {"a.rackspec": UNTIDY, "b.rackspec": UNTIDY.replace("saw", "b"), "c.rackspec": TIDY})
    for name in ("a.rackspec", "c.rackspec"):
        (tmp_path / name).chmod(0o444)
    run = rackspec(tmp_path, "tidy", before=give_up_rights)
    said = "rackspec: a.rackspec: Permission denied\n"
    assert (run.code, run.out, run.err) == (2, "tidied: b.rackspec\n3 files: 1 tidied\n", said)
    assert read(tmp_path / "a.rackspec") == UNTIDY
    run = rackspec(tmp_path, "tidy", "--show", "a.rackspec", before=give_up_rights)
    assert (run.code, run.out, run.err) == (0, TIDY, "")


def test_what_inspect_says_moves_with_the_text_only(tmp_path: Path) -> None:
    """Tidy changes places of findings and nothing of what they say."""
    spec = "rack tray {\nrow top {\nlength 10HP # short\n\n\nat 0HP blank 8HP as a\nnext blank 6HP as b\n}\n}\n"
    write(tmp_path, {"a.rackspec": spec})

    def said() -> list[str]:
        return [line.partition(": ")[2] for line in rackspec(tmp_path, "inspect").out.splitlines() if line[:1] != " "]

    before = said()
    assert rackspec(tmp_path, "tidy").code == 0
    assert said() == before
    assert any("error" in line for line in before)


def test_the_first_spec_is_tidy(tmp_path: Path) -> None:
    """What ``begin`` writes is laid out already."""
    assert rackspec(tmp_path, "begin", "hillside").code == 0
    assert rackspec(tmp_path, "tidy").out == "1 file: 0 tidied\n"


@pytest.mark.parametrize("arguments", [("-", "-"), ("--quiet",), ("--show", "--width=3")])
def test_usage(tmp_path: Path, arguments: tuple[str, ...]) -> None:
    """There are no settings."""
    assert rackspec(tmp_path, "tidy", *arguments).code == 2
