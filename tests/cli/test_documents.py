"""``--write`` of several kinds in one run goes in; each document comes out where it was sent, whatever others do."""

from __future__ import annotations

import contextlib
import itertools
import json
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest

from tests.cli.running import environment, give_up_rights, rackspec, write
from tests.cli.specs import BROKEN, CLEAN, ERROR

DAY = ("--on", "2026-11-25")
KINDS = ("json", "sarif", "junit", "annotations", "markdown")


def is_of_kind(kind: str, text: str) -> bool:
    """Whether a text is a document of a kind about one error."""
    match kind:
        case "json":
            return len(json.loads(text)["findings"]) == 1
        case "sarif":
            return len(json.loads(text)["runs"][0]["results"]) == 1
        case "junit":
            return ElementTree.fromstring(text.encode()).get("failures") == "1"
        case "annotations":
            return text.startswith("::error ") and text.count("\n") == 1
        case _:
            return text.startswith("## Rack inspection failed\n")


def test_all_kinds_in_one_run(tmp_path: Path) -> None:
    """Each to its own file, one kind twice; the text for people is the same as without."""
    write(tmp_path, {"tray.rackspec": ERROR})
    plain = rackspec(tmp_path, "inspect", *DAY)
    written = [f"--write={kind}=found.{kind}" for kind in KINDS]
    run = rackspec(tmp_path, "inspect", *DAY, *written, "--write", "sarif=again.sarif")
    assert (run.code, run.raw_out, run.raw_err) == (1, plain.raw_out, b"")
    for kind in KINDS:
        assert is_of_kind(kind, (tmp_path / f"found.{kind}").read_text("utf-8")), kind
    assert (tmp_path / "again.sarif").read_bytes() == (tmp_path / "found.sarif").read_bytes()


def test_kinds_are_told_apart(tmp_path: Path) -> None:
    """The test above does look: no document passes for another kind."""
    write(tmp_path, {"tray.rackspec": ERROR})
    texts = {kind: rackspec(tmp_path, "inspect", *DAY, f"--write={kind}=-").out for kind in KINDS}
    taken = []
    for kind, other in itertools.product(KINDS, KINDS):
        with contextlib.suppress(ValueError, KeyError, ElementTree.ParseError):
            if is_of_kind(kind, texts[other]):
                taken.append((kind, other))
    assert taken == [(kind, kind) for kind in KINDS]


@pytest.mark.parametrize("kind", KINDS)
def test_one_of_them_on_standard_output(tmp_path: Path, kind: str) -> None:
    """Nothing but the document there, the same bytes as in a file; the text for people on standard error."""
    write(tmp_path, {"tray.rackspec": ERROR})
    plain = rackspec(tmp_path, "inspect", *DAY)
    written = [f"--write={each}=found.{each}" for each in KINDS]
    run = rackspec(tmp_path, "inspect", *DAY, *written, f"--write={kind}=-")
    assert (run.code, run.raw_err) == (1, plain.raw_out)
    assert run.raw_out == (tmp_path / f"found.{kind}").read_bytes()


@pytest.mark.parametrize(("one", "other"), [("sarif", "sarif"), ("json", "junit"), ("annotations", "markdown")])
def test_two_on_standard_output_are_refused(tmp_path: Path, one: str, other: str) -> None:
    """They could not be told apart: 2, one line, and nothing is inspected or written."""
    write(tmp_path, {"tray.rackspec": ERROR})
    run = rackspec(tmp_path, "inspect", f"--write={one}=-", f"--write={other}=-", "--write=json=found.json")
    assert (run.code, run.out) == (2, "")
    assert run.err == "rackspec: only one document can go to standard output\n"
    assert not (tmp_path / "found.json").exists()


@pytest.mark.parametrize("kind", KINDS)
def test_one_that_cannot_be_written(tmp_path: Path, kind: str) -> None:
    """2 and one line that names it; all others are written, and so is the text."""
    write(tmp_path, {"tray.rackspec": ERROR})
    written = [f"--write={each}={'no/folder' if each == kind else 'found'}.{each}" for each in KINDS]
    run = rackspec(tmp_path, "inspect", *DAY, *written)
    assert run.code == 2
    assert run.err == f"rackspec: no/folder.{kind}: No such file or directory\n"
    assert run.summary == "1 file, 1 rack: 1 error, 0 warnings, 0 notes"
    for other in KINDS:
        if other != kind:
            assert is_of_kind(other, (tmp_path / f"found.{other}").read_text("utf-8")), other


def test_an_unknown_kind_names_the_known_ones(tmp_path: Path) -> None:
    """One line, and all kinds in it; ``--help`` has them too."""
    run = rackspec(tmp_path, "inspect", "--write", "html=x")
    assert (run.code, run.out) == (2, "")
    assert run.err.count("\n") == 1
    helped = " ".join(rackspec(tmp_path, "inspect", "--help").out.split())
    for kind in KINDS:
        assert kind in run.err
        assert kind in helped


@pytest.mark.parametrize("kind", KINDS)
def test_documents_of_nothing_and_of_anything(tmp_path: Path, kind: str) -> None:
    """An empty folder, a clean spec, a broken one: a document each time, and never a traceback."""
    codes = []
    for name, text in (
        ("a", {}),
        ("b", {"x.rackspec": CLEAN}),
        ("c", {"x.rackspec": BROKEN}),
        ("d", {"x.rackspec": ""}),
    ):
        folder = tmp_path / name
        folder.mkdir()
        write(folder, {".git/x": "", **text})
        run = rackspec(folder, "inspect", *DAY, f"--write={kind}=found")
        codes.append(run.code)
        document = (folder / "found").read_text("utf-8")
        assert document or kind == "annotations"
        assert document[-1:] in ("", "\n")
        if kind in ("json", "sarif"):
            json.loads(document)
        elif kind == "junit":
            ElementTree.fromstring(document.encode())
    assert codes == [0, 0, 1, 0]


def test_other_kinds_read_no_other_files(tmp_path: Path) -> None:
    """Each kind imports what it needs: an annotation neither JSON nor a schema nor XML."""
    write(tmp_path, {"tray.rackspec": CLEAN})
    code = (
        "import sys; from rackspec.cli.main import main; main(['inspect', '--write', 'annotations=found']);"
        "print([name for name in ('json', 'jsonschema', 'xml', 'urllib') if name in sys.modules])"
    )
    run = subprocess.run(
        [sys.executable, "-c", code], cwd=tmp_path, env=environment(), capture_output=True, check=True, text=True
    )
    assert run.stdout.splitlines()[-1] == "[]"


@pytest.mark.parametrize(
    ("arguments", "lost"),
    [
        (("inspect", "a.rackspec", "--write", "json=a.rackspec"), "a.rackspec"),
        (("inspect", "a.rackspec", "--write", "json=house.rackspec"), "house.rackspec"),
        (("inspect", "a.rackspec", "--write", "json=new.rackspec"), "new.rackspec"),
        (("inspect", "a.rackspec", "--write", "json=link"), "link"),
        (("inspect", "plain.txt", "--write", "junit=./plain.txt"), "./plain.txt"),
        (("report", "a.rackspec", "--to", "a.rackspec"), "a.rackspec"),
        (("report", "plain.txt", "--to", "plain.txt"), "plain.txt"),
        (("compare", "a.rackspec", "house.rackspec", "--write", "json=house.rackspec"), "house.rackspec"),
    ],
)
def test_no_document_takes_the_place_of_a_spec(tmp_path: Path, arguments: tuple[str, ...], lost: str) -> None:
    """What somebody wrote is worth more than what can be written again."""
    files = {"a.rackspec": CLEAN, "house.rackspec": "house {\n}\n", "plain.txt": CLEAN}
    write(tmp_path, files)
    (tmp_path / "link").symlink_to("a.rackspec")
    run = rackspec(tmp_path, *arguments)
    assert (run.code, run.out) == (2, "")
    assert run.err.startswith(f"rackspec: {lost} would be overwritten, and is ")
    assert {name: (tmp_path / name).read_text(encoding="utf-8") for name in files} == files
    assert not (tmp_path / "new.rackspec").exists()


def test_two_documents_in_one_file(tmp_path: Path) -> None:
    """One of them would be lost."""
    write(tmp_path, {"a.rackspec": CLEAN})
    run = rackspec(tmp_path, "inspect", "--write", "json=x", "--write", "sarif=./x")
    assert (run.code, run.out) == (2, "")
    assert run.err == "rackspec: ./x is named for two documents; each needs a file of its own\n"
    assert rackspec(tmp_path, "inspect", "--write", "json=/dev/null", "--write", "sarif=/dev/null").code == 0


def test_a_document_that_is_closed_to_writing(tmp_path: Path) -> None:
    """A new file in its place would not ask."""
    write(tmp_path, {"a.rackspec": CLEAN, "x": "kept"})
    (tmp_path / "x").chmod(0o444)
    run = rackspec(tmp_path, "inspect", "--write", "json=x", before=give_up_rights)
    assert (run.code, run.err) == (2, "rackspec: x: Permission denied\n")
    assert (tmp_path / "x").read_text(encoding="utf-8") == "kept"
