"""``--write`` goes in; documents come out, as schema and contract say, wherever they are sent."""

from __future__ import annotations

import json
import os
import subprocess
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from rackspec.language.words import BLOCKS
from tests.cli.running import command, environment, give_up_rights, rackspec, rights_count, write
from tests.cli.specs import BROKEN, CLEAN, ERROR

DAY = ("--on", "2026-11-25")
KEYS = {
    "": "format_version findings racks closest not_checked summary",
    "findings": "rule severity message file line column end_line end_column places sum remedy rests_on waived",
    "findings places": "file line column label",
    "findings waived": "reason until",
    "racks": "name file rows power not_known not_checked",
    "racks rows": "name length_hp used_hp free_hp longest_free_run_hp",
    "racks power": "supply voltage_v nominal_ma worst_ma rated_ma at_least",
    "racks not_known": "thing fact how",
    "closest": "what value limit margin unit rests_on",
    "summary": "files racks errors warnings notes waived",
}
"""The keys of each kind of record, in the order in which they are written."""

FULL = """\
module saw {
    width   12HP
    depth   50mm
    draws   400mA on +12V
    header  10-pin
}
module mystery {
    width   20HP plus 0.01mm
}
supply slim {
    width   4HP
    gives   0.5A on +12V
}
rack loft {
    row top {
        length  84HP
        seat    (6mm, 14mm)
        behind  45mm
        at 0HP  slim
        at 4HP  saw as one
        at 14HP saw as two
        at 40HP mystery
    }
    waive no-room-behind on one because "no lid yet" until 2027-03-01
    waive no-room-behind on two because "no lid yet"
}
"""
"""Every kind of record that there is."""


def records(document: Any, path: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """All records of a document, with the way to them."""
    if isinstance(document, list):
        for item in document:
            yield from records(item, path)
    elif isinstance(document, dict):
        yield path, document
        for key, value in document.items():
            yield from records(value, f"{path} {key}".strip())


@pytest.fixture(scope="module")
def schema() -> Any:
    """The schema as the program prints it."""
    return json.loads(rackspec(Path("/"), "export", "--schema", "findings").out)


def test_every_record_has_its_keys(tmp_path: Path, schema: Any) -> None:
    """Exactly the keys of the contract, in its order; the schema allows the document and nothing beside it."""
    write(tmp_path, {"loft.rackspec": FULL})
    run = rackspec(tmp_path, "inspect", *DAY, "--write", "json=-")
    document = json.loads(run.out)
    Draft202012Validator.check_schema(schema)
    Draft202012Validator(schema).validate(document)
    seen = {path: " ".join(record) for path, record in records(document)}
    assert seen == KEYS
    for path, record in records(document):
        assert " ".join(record) == KEYS[path]
        record["moreover"] = 1
        assert not Draft202012Validator(schema).is_valid(document)
        del record["moreover"]
        key = next(iter(record))
        value = record.pop(key)
        assert not Draft202012Validator(schema).is_valid(document), (path, key)
        record[key] = value


def test_what_the_document_says(tmp_path: Path) -> None:
    """The values, held against the spec by hand."""
    write(tmp_path, {"loft.rackspec": FULL})
    run = rackspec(tmp_path, "inspect", *DAY, "--write", "json=-")
    document = json.loads(run.out, parse_float=Decimal)
    found = {(finding["rule"], finding["line"]): finding for finding in document["findings"]}
    overlap = found["modules-overlap", 21]
    assert (overlap["column"], overlap["end_line"], overlap["end_column"]) == (12, 21, 16)
    assert overlap["message"] == "'two' starts 2HP inside 'one'"
    assert overlap["places"] == [{"file": "loft.rackspec", "line": 20, "column": 12, "label": "takes 4HP to 16HP"}]
    assert overlap["waived"] is None
    waived = [finding["waived"] for finding in document["findings"] if finding["rule"] == "no-room-behind"]
    assert waived == [{"reason": "no lid yet", "until": "2027-03-01"}, {"reason": "no lid yet", "until": None}]
    (rack,) = document["racks"]
    # 4 + 12 + 12 + 20 = 48, and 0.01 mm more are 0.0019685... HP: up where taken, down where free
    assert rack["rows"] == [
        {
            "name": "top",
            "length_hp": 84,
            "used_hp": Decimal("48.001969"),
            "free_hp": Decimal("35.998031"),
            "longest_free_run_hp": Decimal("23.998031"),
        }
    ]
    assert rack["power"] == [
        {
            "supply": "slim",
            "voltage_v": 12,
            "nominal_ma": 800,
            "worst_ma": pytest.approx(960, abs=Decimal("0.1")),  # 20 HP of unknown draw, 8 mA for each HP
            "rated_ma": 500,
            "at_least": True,
        }
    ]
    assert rack["not_checked"] == (["seat"] if BLOCKS["row"].statements["seat"].later else [])
    assert {(item["thing"], item["fact"]) for item in rack["not_known"]} == {
        ("loft/mystery", "current"),
        ("loft/mystery", "depth"),
        ("loft/mystery", "its power header"),
        ("loft/slim", "depth"),
        ("loft/slim", "what feeds it"),
        ("loft/slim", "number of headers"),
    }
    closest = document["closest"]
    shares = [item["margin"] / item["limit"] for item in closest]
    assert shares == sorted(shares)
    assert ("loft/top: width", 84, "HP") in {(item["what"], item["limit"], item["unit"]) for item in closest}
    for item in closest:
        assert item["limit"] - item["value"] - item["margin"] in (0, Decimal("0.000001"))
    counts = dict.fromkeys(("error", "warning", "note", "waived"), 0)
    for finding in document["findings"]:
        counts["waived" if finding["waived"] else finding["severity"]] += 1
    assert list(document["summary"].values()) == [1, 1, *counts.values()]


def test_json_names_what_the_text_names(tmp_path: Path) -> None:
    """Text and document hold the same findings, in the same order."""
    write(tmp_path, {"loft.rackspec": FULL, "bad/broken.rackspec": BROKEN.replace("tray", "bad")})
    run = rackspec(tmp_path, "inspect", *DAY, "--write", "json=found.json")
    found = json.loads((tmp_path / "found.json").read_text("utf-8"))["findings"]
    heads = [f"{f['file']}:{f['line']}:{f['column']}: {f['severity']}: {f['message']}" for f in found]
    assert [head.removesuffix(" (waived)") for head in run.heads] == heads


def test_document_on_standard_output(tmp_path: Path) -> None:
    """``json=-``: the document and nothing else on standard output, the text for people on standard error."""
    write(tmp_path, {"tray.rackspec": ERROR})
    plain = rackspec(tmp_path, "inspect", *DAY)
    run = rackspec(tmp_path, "inspect", *DAY, "--write", "json=-")
    assert (run.code, run.raw_err) == (plain.code, plain.raw_out)
    assert json.loads(run.out)["format_version"]
    assert run.out.endswith("}\n")


def test_two_documents(tmp_path: Path) -> None:
    """``--write`` may be repeated; all get the same document."""
    write(tmp_path, {"tray.rackspec": CLEAN})
    run = rackspec(tmp_path, "inspect", *DAY, "--write", "json=a.json", "--write=json=b=c.json", "--write", "json=-")
    assert run.code == 0
    assert run.raw_out == (tmp_path / "a.json").read_bytes() == (tmp_path / "b=c.json").read_bytes()


def test_a_document_is_written_whatever_the_level(tmp_path: Path) -> None:
    """Findings do not keep a document from being written, nor does a path that is not there."""
    write(tmp_path, {"tray.rackspec": BROKEN})
    run = rackspec(tmp_path, "inspect", "tray.rackspec", "gone", "--write", "json=found.json")
    assert run.code == 2
    assert json.loads((tmp_path / "found.json").read_text("utf-8"))["summary"]["errors"] == 1


@pytest.mark.parametrize("place", ["no/such/folder/found.json", "folder"])
def test_a_document_that_cannot_be_written(tmp_path: Path, place: str) -> None:
    """Exit 2 and its name on standard error; the text and the other document are there all the same."""
    write(tmp_path, {"tray.rackspec": CLEAN, "folder/x": ""})
    run = rackspec(tmp_path, "inspect", "--write", f"json={place}", "--write", "json=other.json")
    assert run.code == 2
    assert run.err.startswith(f"rackspec: {place}: ")
    assert len(run.err.splitlines()) == 1
    assert run.summary == "1 file, 1 rack: 0 errors, 0 warnings, 0 notes"
    assert json.loads((tmp_path / "other.json").read_text("utf-8"))["summary"]["files"] == 1
    assert sorted(path.name for path in tmp_path.iterdir()) == ["folder", "other.json", "tray.rackspec"]


def test_a_document_in_a_folder_that_may_not_be_written(tmp_path: Path) -> None:
    """A folder that is read-only gives exit 2, and no half-written file is left."""
    write(tmp_path, {"tray.rackspec": CLEAN, "kept/found.json": "old"})
    (tmp_path / "kept").chmod(0)
    if not rights_count(tmp_path / "kept/found.json"):
        pytest.skip("here nobody can be kept from writing a file")
    (tmp_path / "kept").chmod(0o555)
    run = rackspec(tmp_path, "inspect", "tray.rackspec", "--write", "json=kept/found.json", before=give_up_rights)
    (tmp_path / "kept").chmod(0o755)
    assert (run.code, run.err) == (2, "rackspec: kept/found.json: Permission denied\n")
    assert [(path.name, path.read_text()) for path in (tmp_path / "kept").iterdir()] == [("found.json", "old")]


def test_a_document_replaces_one_and_keeps_its_rights(tmp_path: Path) -> None:
    """A file that was there is replaced as a whole, through a link too, and stays as private as it was."""
    write(tmp_path, {"tray.rackspec": CLEAN, "real.json": "x" * 100_000})
    (tmp_path / "real.json").chmod(0o600)
    (tmp_path / "found.json").symlink_to("real.json")
    assert rackspec(tmp_path, "inspect", "--write", "json=found.json").code == 0
    assert (tmp_path / "found.json").is_symlink()
    assert json.loads((tmp_path / "real.json").read_text("utf-8"))["summary"]["files"] == 1
    assert (tmp_path / "real.json").stat().st_mode & 0o777 == 0o600


def test_a_document_into_a_pipe_of_the_shell(tmp_path: Path) -> None:
    """``--write json=/dev/fd/N``, as a shell makes it of ``json=>(…)``: it is written there."""
    write(tmp_path, {"tray.rackspec": CLEAN})
    reading, writing = os.pipe()
    with os.fdopen(reading, "rb") as pipe:
        arguments = command("inspect", "--write", f"json=/dev/fd/{writing}")
        done = subprocess.run(
            arguments, cwd=tmp_path, env=environment(), capture_output=True, check=False, pass_fds=(writing,)
        )
        os.close(writing)
        written = pipe.read()
    assert (done.returncode, done.stderr) == (0, b"")
    assert json.loads(written)["summary"]["files"] == 1


def test_schema_needs_no_spec(tmp_path: Path, schema: Any) -> None:
    """``export --schema`` prints valid JSON Schema and needs no file; an unknown name says which there are."""
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    run = rackspec(tmp_path, "export", "--schema", "finding")
    assert (run.code, run.out) == (2, "")
    assert "findings" in run.err
