"""``rackspec export`` goes in; a document, finding lines and exit codes come out, as the contract says."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from rackspec.pipeline import Request, inspect
from rackspec.rules.money import items_of
from tests.cli.running import Run, environment, rackspec, write
from tests.cli.specs import BROKEN, CLEAN, ERROR, UNKNOWN
from tests.conftest import ROOT, TODAY

CONSUMER = Path(__file__).with_name("panels_to_buy.py")
NO_SUCH = "gone.rackspec: there is no such file or folder"


def exported(run: Run) -> Any:
    """The document of a run, which is as the schema that the program prints says."""
    document = json.loads(run.out)
    Draft202012Validator(json.loads(rackspec(Path("/"), "export", "--schema", "rack").out)).validate(document)
    return document


def racks(run: Run) -> list[str]:
    """The names of the racks of a run."""
    return [rack["name"] for rack in exported(run)["racks"]]


def test_file_folder_stream_and_nothing(tmp_path: Path) -> None:
    """A file, a folder, standard input and the current folder are one and the same rack."""
    write(tmp_path, {"specs/tray.rackspec": CLEAN})
    folder = tmp_path / "specs"
    for arguments in (("tray.rackspec",), (".",), ()):
        run = rackspec(folder, "export", *arguments)
        assert (run.code, run.err) == (0, "")
        assert [(rack["name"], rack["file"]) for rack in exported(run)["racks"]] == [("tray", "tray.rackspec")]
        assert exported(run)["complete"]
    run = rackspec(folder, "export", "-", stdin=CLEAN.encode())
    assert (run.code, exported(run)["racks"][0]["file"]) == (0, "-")
    run = rackspec(tmp_path, "export", "-", "--named", "specs/tray.rackspec", stdin=CLEAN.encode())
    assert (run.code, exported(run)["racks"][0]["file"]) == (0, "specs/tray.rackspec")


def test_findings_of_rules_do_not_matter(tmp_path: Path) -> None:
    """A row that is overfull is exported as it is, and nothing is said of it."""
    write(tmp_path, {"tray.rackspec": ERROR})
    assert rackspec(tmp_path, "inspect").code == 1
    run = rackspec(tmp_path, "export")
    assert (run.code, run.err, exported(run)["complete"]) == (0, "", True)
    assert exported(run)["racks"][0]["rows"][0]["panels"][0]["width"]["text"] == "90HP"


@pytest.mark.parametrize(
    ("text", "line", "width"),
    [(BROKEN, 2, "60HP"), (BROKEN.replace("60HP", "60"), 2, None), (UNKNOWN, 10, None)],
    ids=["a word mended in thought", "a value not understood", "a name that nothing has"],
)
def test_what_could_be_linked_is_there(tmp_path: Path, text: str, line: int, width: str | None) -> None:
    """Errors of reading and linking go to standard error as ``inspect`` prints them; the rest is exported."""
    write(tmp_path, {"tray.rackspec": text})
    run = rackspec(tmp_path, "export")
    assert run.code == 1
    document = exported(run)
    assert not document["complete"]
    (panel,) = document["racks"][0]["rows"][0]["panels"]
    assert (panel["width"] and panel["width"]["text"]) == width
    heads = [told for told in run.err.splitlines() if told and not told.startswith(" ")]
    assert len(heads) == 1
    assert heads[0].startswith(f"tray.rackspec:{line}:")
    assert run.err.rstrip() in rackspec(tmp_path, "inspect").out


def test_a_path_that_is_not_there(tmp_path: Path) -> None:
    """2 beats 1, and everything that can be read is exported."""
    write(tmp_path, {"tray.rackspec": CLEAN, "broken/tray.rackspec": BROKEN.replace("desk", "d").replace("tray", "t")})
    run = rackspec(tmp_path, "export", "gone.rackspec", "tray.rackspec")
    assert (run.code, run.err, racks(run)) == (2, f"rackspec: {NO_SUCH}\n", ["tray"])
    assert not exported(run)["complete"]
    run = rackspec(tmp_path, "export", "gone.rackspec", "tray.rackspec", "broken")
    assert (run.code, racks(run)) == (2, ["tray", "t"])
    assert NO_SUCH in run.err
    assert "broken/tray.rackspec:2:" in run.err
    run = rackspec(tmp_path, "export", "gone.rackspec")
    assert (run.code, racks(run)) == (2, [])


def test_a_folder_without_specs(tmp_path: Path) -> None:
    """It has no racks; a word on standard error says how to get one."""
    run = rackspec(tmp_path, "export")
    assert (run.code, racks(run), exported(run)["complete"]) == (0, [], True)
    assert "rackspec begin NAME" in run.err


@pytest.mark.parametrize("more", [("tray.rackspec",), ("-",), ("--named", "x.rackspec")], ids=" ".join)
def test_a_schema_reads_no_file(tmp_path: Path, more: tuple[str, ...]) -> None:
    """``--schema`` beside a path is a slip, and it is said which of the two to leave out."""
    write(tmp_path, {"tray.rackspec": CLEAN})
    run = rackspec(tmp_path, "export", "--schema", "rack", *more)
    assert (run.code, run.out) == (2, "")
    assert run.err == (
        "rackspec: --schema prints a schema and reads no file; leave out the paths, or leave out --schema\n"
    )


def test_two_roots(tmp_path: Path) -> None:
    """Each root has its house and its parts, of which two may have one name; a rack says which root is its own."""
    small = CLEAN.replace("60HP", "6HP")
    house = "house {\n    spare depth 4mm\n}\n"
    write(tmp_path, {"a/.git/x": "", "a/a.rackspec": CLEAN, "b/house.rackspec": house, "b/b.rackspec": small})
    document = exported(rackspec(tmp_path, "export", "b", "a"))
    assert [rack["root"] for rack in document["racks"]] == ["a", "b"]
    assert [root["root"] for root in document["roots"]] == ["a", "b"]
    widths = [root["library"]["modules"][0]["facts"]["width"]["text"] for root in document["roots"]]
    assert widths == ["60HP", "6HP"]
    spare = [
        {limit["name"]: (limit["value"]["text"], limit["origin"]) for limit in root["house"]["limits"]}["spare depth"]
        for root in document["roots"]
    ]
    assert spare == [("0mm", "common practice"), ("4mm", "the house")]


def test_same_bytes_whatever_the_hash_seed() -> None:
    """The demo, twice over, with the paths named in another order."""
    first = rackspec(ROOT, "export", "specs", PYTHONHASHSEED="1")
    second = rackspec(ROOT, "export", "specs/racks", "specs/house.rackspec", "specs", PYTHONHASHSEED="2")
    assert first.code == 0
    assert first.raw_out == second.raw_out


def test_text_is_utf8_wherever_it_is_printed(tmp_path: Path) -> None:
    """A title in any script comes through, also where the locale knows only ASCII."""
    write(tmp_path, {"tray.rackspec": CLEAN.replace("rack tray", 'rack tray "Größe 🎛 架"')})
    run = rackspec(tmp_path, "export", LC_ALL="C")
    assert exported(run)["racks"][0]["title"] == "Größe 🎛 架"


def test_the_consumer_of_the_manual(tmp_path: Path) -> None:
    """The script prints each panel that is to be bought, as the rules about money count them."""
    document = rackspec(ROOT, "export", "specs").raw_out
    done = subprocess.run(
        [sys.executable, str(CONSUMER)],
        input=document,
        env=environment(),
        cwd=tmp_path,
        capture_output=True,
        check=True,
    )
    printed = [tuple(line.split("\t")) for line in done.stdout.decode().splitlines()]
    expected = []
    for seen in sorted(inspect(Request(("specs",), str(ROOT), TODAY)).racks, key=lambda seen: seen.rack.name):
        placed = {panel.part.name for panel in seen.rack.panels() if panel.part is not None}
        for item in items_of(seen.rack):
            if item.part in placed:
                price = item.price.money.text if item.price is not None else "price not known"
                expected.append((seen.rack.name, seen.rack.stages[item.stage].name or "start", item.part, price))
    assert printed == expected
    assert len({stage for _, stage, _, _ in printed}) > 2
