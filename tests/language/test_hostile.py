"""Texts that nobody means well with: each gives findings or is clean, and none harms, hangs or shows a traceback."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from rackspec.findings import Finding
from rackspec.pipeline import Request, Result, inspect
from tests.conftest import ROOT, TODAY

pytestmark = pytest.mark.slow

RACK = "rack towpath {\n    row deck {\n        length 84HP\n        at 0HP saw\n    }\n}\n"
SAW = "module saw {\n    width 14HP\n}\n"


@pytest.fixture
def workshop(tmp_path: Path) -> Path:
    """An empty folder that is a root of its own, inside a folder that is none of its business."""
    folder = tmp_path / "outer" / "workshop"
    (folder / ".git").mkdir(parents=True)
    return folder


def inspected(folder: Path, *paths: str) -> Result:
    """The whole run, without the command line around it."""
    return inspect(Request(paths or (".",), str(folder), TODAY))


def rules(result: Result) -> list[str]:
    """The rules of all findings, in order."""
    return [finding.rule for finding in result.findings]


def command(folder: Path, *arguments: str, stdin: bytes | None = None) -> subprocess.CompletedProcess[bytes]:
    """The real command line in a folder; it is to tell findings, and never to break."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONDONTWRITEBYTECODE": "1", "NO_COLOR": "1"}
    done = subprocess.run(
        [sys.executable, "-m", "rackspec", "inspect", *arguments],
        cwd=folder,
        env=environment,
        input=stdin,
        capture_output=True,
        timeout=60,
        check=False,
    )
    assert b"Traceback" not in done.stderr, done.stderr.decode()
    assert done.returncode in (0, 1, 2)
    return done


def write(path: Path, data: str | bytes) -> None:
    """A file with exactly these characters or bytes."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(data.encode("utf-8", "surrogatepass") if isinstance(data, str) else data)


# --- by the whole run: rule of each finding, in order


def nested(count: int) -> str:
    """A block in a block in a block …, each on its line, closed by nobody."""
    return "x {\n" * count


TEXTS: dict[str, tuple[str | bytes, list[str]]] = {
    "empty file": ("", []),
    "only a comment": ("# nothing here yet", []),
    "only spaces and tabs": (" \t \n\t\n  ", []),
    "no line end at the end": (SAW.rstrip("\n"), []),
    "byte-order mark": (b"\xef\xbb\xbf" + SAW.encode(), []),
    "line ends of another system": (SAW.replace("\n", "\r\n"), []),
    "a number of 1,500 digits": (f"module saw {{\n    width {'7' * 1_500}HP\n}}\n", ["line-not-understood"]),
    "a number of 4,301 digits": (f"module saw {{\n    width {'7' * 4_301}HP\n}}\n", ["line-not-understood"]),
    "a long decimal": (f"module saw {{\n    width 1.{'3' * 1_000}mm\n}}\n", ["line-not-understood"]),
    "a long count": (f"module saw {{\n    screws {'4' * 400} of M3x6\n}}\n", ["line-not-understood"]),
    "a long sum of money": (f"module saw {{\n    price {'4' * 400} EUR\n}}\n", ["line-not-understood"]),
    "a fraction over zero": ("module saw {\n    width 4 1/0in\n}\n", ["line-not-understood"]),
    "200,000 braces on one line": ("{" * 200_000 + "\n", ["line-not-understood"]),
    "200,000 closing braces on one line": ("}" * 200_000 + "\n", ["line-not-understood"]),
    "NUL in a line": (SAW.replace("14HP", "14HP\0"), ["line-not-understood"]),
    "NUL in a text": ('module saw "a\0b" {\n    width 14HP\n}\n', []),
    "one byte that is no UTF-8": (SAW.replace("saw", "s\udce4w").encode("utf-8", "surrogateescape"), ["not-utf-8"]),
    "UTF-16, little end first": (SAW.encode("utf-16"), ["not-utf-8"]),
    "UTF-16, big end first": (b"\xfe\xff" + SAW.encode("utf-16-be"), ["not-utf-8"]),
    "UTF-16 without a mark": ("ä".encode("utf-16-le") + SAW.encode("utf-16-le"), ["not-utf-8"]),
    "bytes of a picture": (bytes(range(256)) * 64, ["not-utf-8"]),
    "a very long line": ("module saw {\n    note " + "x" * 1_000_000 + "\n}\n", ["line-not-understood"]),
    "a very long text": ('module saw {\n    note "' + "x" * 1_000_000 + '"\n}\n', ["line-not-understood"]),
    "a very long comment": (SAW + "# " + "x" * 1_000_000 + "\n", []),
    "a very long comment behind a fact": (SAW.replace("14HP", "14HP # " + "x" * 1_000_000), ["line-not-understood"]),
    "a sum of 400 measures": ("module saw {\n    width " + " plus ".join(["1mm"] * 200) + "\n}\n", []),
    "one side of a merge": ("<<<<<<< ours\n" + SAW + "=======\n" + SAW + ">>>>>>> theirs\n", ["merge-unfinished"]),
    "a merge that was begun": ("<<<<<<< ours\n" + SAW, ["merge-unfinished"]),
    "a merge that was ended": (SAW + ">>>>>>> theirs\n", ["merge-unfinished"]),
    "a merge with three sides": (
        "<<<<<<< a\n" + SAW + "||||||| b\n" + SAW + "=======\n" + SAW + ">>>>>>> c\n",
        ["merge-unfinished"],
    ),
    "a merge inside a block": (
        "module saw {\n<<<<<<< a\n    width 14HP\n=======\n    width 16HP\n>>>>>>> b\n}\n",
        ["merge-unfinished"],
    ),
    "a merge that cuts a block": (
        "module saw {\n<<<<<<< a\n    width 14HP\n}\n=======\n    width 16HP\n}\n>>>>>>> b\n",
        ["merge-unfinished"],
    ),
    "what is left of a merge": (SAW.replace("    width", "=======\n    width"), ["merge-unfinished"]),
    "two merges": (
        "<<<<<<< a\n" + SAW + "=======\n>>>>>>> b\n<<<<<<< a\n" + SAW.replace("saw", "low") + "=======\n>>>>>>> b\n",
        ["merge-unfinished", "merge-unfinished"],
    ),
}


@pytest.mark.parametrize("name", TEXTS)
def test_a_hostile_text(name: str, workshop: Path) -> None:
    """Its findings, and no more."""
    data, expected = TEXTS[name]
    write(workshop / "spec.rackspec", data)
    result = inspected(workshop)
    assert rules(result) == expected
    assert not result.failed


def test_a_merge_in_a_merge(workshop: Path) -> None:
    """Nobody can say which side is whose; that marks are left is told."""
    text = "<<<<<<< a\n" + SAW + "<<<<<<< c\n=======\n>>>>>>> d\n=======\n>>>>>>> b\n"
    write(workshop / "spec.rackspec", text)
    assert rules(inspected(workshop)).count("merge-unfinished") >= 2


def test_blocks_nested_200_000_deep(workshop: Path) -> None:
    """A handful of findings for one cause, not one for each line."""
    write(workshop / "spec.rackspec", nested(200_000))
    result = inspected(workshop)
    assert 1 <= len(result.findings) <= 4
    assert "brace-astray" in rules(result)


def test_blocks_nested_and_closed(workshop: Path) -> None:
    """The same with all its braces."""
    write(workshop / "spec.rackspec", nested(50_000) + "}\n" * 50_000)
    assert 1 <= len(inspected(workshop).findings) <= 4


def test_closing_braces_only(workshop: Path) -> None:
    """Each closes nothing; at some number of findings it is enough."""
    write(workshop / "spec.rackspec", "}\n" * 100_000)
    result = inspected(workshop)
    assert set(rules(result)) <= {"brace-astray", "line-not-understood"}
    assert 1 <= len(result.findings) <= 501


def test_five_megabytes_of_junk_on_one_line(workshop: Path) -> None:
    """One finding."""
    write(workshop / "spec.rackspec", "x=;“" * 1_300_000)
    assert rules(inspected(workshop)) == ["line-not-understood"]


def test_five_megabytes_of_junk_on_many_lines(workshop: Path) -> None:
    """At some number of findings it is enough: a file with more is none of ours."""
    write(
        workshop / "spec.rackspec", "".join(f"<p>{number % 999}</p> and so on, and on\n" for number in range(150_000))
    )
    result = inspected(workshop)
    assert 1 <= len(result.findings) <= 501
    assert result.findings[-1].message.endswith("more lines of this file are not understood")


def test_five_megabytes_of_facts(workshop: Path) -> None:
    """A library with 100,000 names is read; what is not used is not looked at."""
    write(
        workshop / "library.rackspec",
        "".join(f"part thing-{number} {{\n    mass 12g\n    price 1 EUR\n}}\n" for number in range(100_000)),
    )
    write(workshop / "rack.rackspec", 'use "library.rackspec"\n' + SAW + RACK + "part last like thing-99999 {\n}\n")
    result = inspected(workshop, "rack.rackspec")
    assert result.findings == ()
    assert [inspected.rack.name for inspected in result.racks] == ["towpath"]


def test_a_name_given_20_000_times(workshop: Path) -> None:
    """Every one but the first is told."""
    write(workshop / "spec.rackspec", "part thing {\n}\n" * 20_000)
    assert set(rules(inspected(workshop))) == {"name-taken"}


def test_line_ends_of_another_system_keep_columns_right(workshop: Path) -> None:
    """CRLF counts to the line that it ends, and for nothing else."""
    write(workshop / "spec.rackspec", "module saw {\r\n    width 14\r\n}\r\n")
    (found,) = inspected(workshop).findings
    text = found.place.source.text
    assert text[found.place.start : found.place.end] == "14"
    assert b"spec.rackspec:2:11: error: '14' has no unit" in command(workshop, "spec.rackspec").stdout


def test_a_byte_order_mark_keeps_columns_right(workshop: Path) -> None:
    """The mark is no character of the first line."""
    write(workshop / "spec.rackspec", b"\xef\xbb\xbfmodul saw {\n}\n")
    assert b"spec.rackspec:1:1: error: 'modul' is not a word" in command(workshop, "spec.rackspec").stdout


# --- chains and rings


def test_a_long_chain_of_like(workshop: Path) -> None:
    """10,000 revisions, each of the one before: told or cut, not followed into the ground."""
    chain = "".join(f"module m{number} like m{number - 1} {{\n}}\n" for number in range(1, 10_000))
    write(workshop / "spec.rackspec", "module m0 {\n    width 4HP\n}\n" + chain + RACK.replace("saw", "m9999"))
    result = inspected(workshop)
    assert not result.failed
    assert [inspected.rack.name for inspected in result.racks] == ["towpath"]


def test_a_ring_of_like(workshop: Path) -> None:
    """One finding for the ring, though three things are in it."""
    names = ("a", "b", "c")
    ring = "".join(
        f"module {name} like {names[number - 1]} {{\n    width 4HP\n}}\n" for number, name in enumerate(names)
    )
    write(workshop / "spec.rackspec", ring + RACK.replace("saw", "a"))
    assert set(rules(inspected(workshop))) == {"like-cycle"}


def test_a_thing_like_itself(workshop: Path) -> None:
    """The shortest ring."""
    write(workshop / "spec.rackspec", "module saw like saw {\n    width 4HP\n}\n" + RACK)
    assert rules(inspected(workshop)) == ["like-cycle"]


def test_a_ring_of_busses(workshop: Path) -> None:
    """A bus that is fed from itself by way of another."""
    busses = "    bus one {\n        from two\n    }\n    bus two {\n        from one\n    }\n}\n"
    write(workshop / "spec.rackspec", SAW + RACK[:-2] + busses)
    assert set(rules(inspected(workshop))) == {"fed-in-a-ring"}


def test_a_ring_of_files(workshop: Path) -> None:
    """One finding for the ring."""
    for number in range(50):
        write(workshop / f"f{number}.rackspec", f'use "f{(number + 1) % 50}.rackspec"\n')
    assert rules(inspected(workshop, "f0.rackspec")) == ["use-cycle"]
    assert rules(inspected(workshop)) == ["use-cycle"]


def test_a_long_chain_of_files(workshop: Path) -> None:
    """1,500 files, each used by the one before: deeper than Python's stack."""
    for number in range(1_500):
        write(workshop / f"f{number}.rackspec", f'use "f{number + 1}.rackspec"\n')
    write(workshop / "f1500.rackspec", SAW)
    write(workshop / "rack.rackspec", 'use "f0.rackspec"\n' + RACK)
    assert rules(inspected(workshop, "rack.rackspec")) == []


# --- what 'use' may reach


def used(workshop: Path, path: str) -> list[Finding]:
    """Findings of a file that uses a path."""
    write(workshop / "spec.rackspec", f'use "{path}"\n')
    result = inspected(workshop, "spec.rackspec")
    assert not result.failed
    return list(result.findings)


SECRET = "part secret-of-the-neighbours {\n}\n"


@pytest.mark.parametrize(
    ("path", "rule"),
    [
        ("spec.rackspec", "use-cycle"),
        ("./spec.rackspec", "use-cycle"),
        ("missing.rackspec", "use-not-found"),
        ("missing/", "use-not-found"),
        ("", "use-not-found"),
        (" ", "use-not-found"),
        ("empty/", "use-not-found"),
        ("spec.rackspec/x", "use-not-found"),
        ("x" * 1_000, "use-not-found"),
        ("../", "use-outside-root"),
        ("../secret.rackspec", "use-outside-root"),
        ("empty/../../secret.rackspec", "use-outside-root"),
        ("../../../../../../../../etc/passwd", "use-outside-root"),
        ("/etc/passwd", "use-outside-root"),
        ("/", "use-outside-root"),
        ("C:\\parts\\saw.rackspec", "use-outside-root"),
        ("link.rackspec", "use-outside-root"),
        ("linked-folder/", "use-outside-root"),
        ("linked-folder/secret.rackspec", "use-outside-root"),
        ("link-to-itself.rackspec", "use-not-found"),
    ],
)
def test_a_path_that_cannot_be_used(path: str, rule: str, workshop: Path) -> None:
    """One finding at its place; nothing outside of the root is read."""
    write(workshop.parent / "secret.rackspec", SECRET)
    (workshop / "empty").mkdir()
    (workshop / "link.rackspec").symlink_to(workshop.parent / "secret.rackspec")
    (workshop / "linked-folder").symlink_to(workshop.parent)
    (workshop / "link-to-itself.rackspec").symlink_to(workshop / "link-to-itself.rackspec")
    (found,) = used(workshop, path)
    assert found.rule == rule
    assert found.remedy
    assert "secret-of-the-neighbours" not in found.message + found.remedy


def test_a_folder_is_used_without_links_that_leave_it(workshop: Path) -> None:
    """Whoever walks the folder does not follow them either."""
    write(workshop.parent / "secret.rackspec", SECRET)
    write(workshop / "parts" / "saw.rackspec", SAW)
    (workshop / "parts" / "link.rackspec").symlink_to(workshop.parent / "secret.rackspec")
    write(workshop / "spec.rackspec", 'use "parts/"\n' + SECRET + RACK)
    result = inspected(workshop, "spec.rackspec")
    assert result.findings == ()
    assert inspected(workshop).files == 2


def test_a_path_with_nul(workshop: Path) -> None:
    """No file can be called so."""
    assert [found.rule for found in used(workshop, "parts\0/")] == ["use-not-found"]


# --- names that mean something elsewhere


NAMES_WITH_MEANING = (
    "\x1b[2Jgone",
    "\x1b]0;title\x07",
    "<script>alert(1)</script>",
    "=1+1",
    "@SUM(A1)",
    "${HOME}",
    "$(id)",
    "`id`",
    "%s%n",
    "{0}",
    "\u202egnikcab",
    "a\rb",
    "[bold]x[/bold]",
)


@pytest.mark.parametrize("name", NAMES_WITH_MEANING, ids=ascii)
def test_a_name_that_means_something_elsewhere(name: str, workshop: Path) -> None:
    """As a name it is a finding, as a text it is a text, and no control character reaches the terminal raw."""
    write(workshop / "spec.rackspec", f'module {name} "{name}" {{\n    width 14\n    note "{name}"\n}}\n')
    done = command(workshop, "spec.rackspec")
    assert done.returncode == 1
    shown = done.stdout.decode()
    assert not {character for character in shown if ord(character) < 32} - {"\n"}
    assert not set("\x7f\x9b\u202e\u2066\u200b") & set(shown)


def test_escapes_in_the_name_of_a_file(workshop: Path) -> None:
    """A file may be called anything; what is shown is what can be seen."""
    write(workshop / "a\x1b[31mb\nc.rackspec", "module saw {\n    width 14\n}\n")
    done = command(workshop)
    assert done.returncode == 1
    assert b"\x1b" not in done.stdout + done.stderr
    (head,) = [line for line in done.stdout.decode().splitlines() if "error: '14' has no unit" in line]
    assert head.count(":2:11: ") == 1


def test_a_waiver_with_escapes_in_its_reason(workshop: Path) -> None:
    """The reason is printed beside the finding it accepts."""
    rack = RACK.replace("84HP", "10HP")[:-2] + '    waive row-overfull because "\x1b[2Jfine"\n'
    rack += '    waive beyond-rail-end because "\x1b[2Jfine"\n}\n'
    write(workshop / "spec.rackspec", SAW + rack)
    done = command(workshop, "spec.rackspec", "--fail-at", "note")
    assert b"waived" in done.stdout
    assert b"\x1b" not in done.stdout


# --- the real command line

THROUGH_THE_COMMAND: dict[str, tuple[str | bytes, int]] = {
    "a number of 4,301 digits": (f"module saw {{\n    width {'7' * 4_301}HP\n}}\n", 1),
    "a number of 1,500 digits": (f"module saw {{\n    width {'7' * 1_500}HP\n}}\n", 1),
    "200,000 braces on one line": ("{" * 200_000 + "\n", 1),
    "200,000 lines with a brace": (nested(200_000), 1),
    "five megabytes on one line": ("x=;“" * 1_300_000, 1),
    "NUL": (SAW.replace("14HP", "14HP\0"), 1),
    "not UTF-8": (b"module s\xe4w {\n}\n", 1),
    "UTF-16": (SAW.encode("utf-16"), 1),
    "a picture": (bytes(range(256)) * 64, 1),
    "empty": ("", 0),
    "only a comment": ("# nothing here yet", 0),
    "byte-order mark": (b"\xef\xbb\xbf" + SAW.encode(), 0),
    "line ends of another system": (SAW.replace("\n", "\r\n"), 0),
    "marks of a merge": ("<<<<<<< ours\n" + SAW + "=======\n>>>>>>> theirs\n", 1),
    "uses itself": ('use "spec.rackspec"\n', 1),
    "uses what is not there": ('use "missing.rackspec"\n', 1),
    "uses what is outside": ('use "/etc/passwd"\n', 1),
}


@pytest.mark.parametrize("name", THROUGH_THE_COMMAND)
def test_a_hostile_file_through_the_command(name: str, workshop: Path) -> None:
    """Findings are exit code 1, not 2: the job could be done."""
    data, code = THROUGH_THE_COMMAND[name]
    write(workshop / "spec.rackspec", data)
    done = command(workshop, "spec.rackspec")
    assert (done.returncode, done.stderr) == (code, b"")
    assert (b": error: " in done.stdout) == (code == 1)
    assert len(done.stdout) < 1_000_000


@pytest.mark.parametrize("data", [b"", b"\xff\xfe\x00", b"\0" * 1_000, b"{" * 10_000, SAW.encode()], ids=repr)
def test_a_hostile_standard_input(data: bytes, workshop: Path) -> None:
    """The same from a pipe."""
    assert command(workshop, "-", stdin=data).returncode in (0, 1)


@pytest.mark.parametrize("prepare", [lambda path: path.mkdir(), lambda path: path.symlink_to("nowhere")])
def test_a_name_that_is_no_file(prepare: Callable[[Path], None], workshop: Path) -> None:
    """A folder that is called like a spec, and a link to nothing, are passed over."""
    write(workshop / "good.rackspec", SAW)
    prepare(workshop / "odd.rackspec")
    done = command(workshop)
    assert done.returncode == 0
    assert b"1 file" in done.stdout


def test_a_named_path_that_is_not_there(workshop: Path) -> None:
    """The job could not be done: exit code 2, and what can be read is still told."""
    write(workshop / "spec.rackspec", "module saw {\n    width 14\n}\n")
    done = command(workshop, "spec.rackspec", "missing.rackspec")
    assert done.returncode == 2
    assert b"'14' has no unit" in done.stdout
    assert b"missing.rackspec: there is no such file or folder" in done.stderr
