"""The same files, flags and date go in, in changed surroundings; the same bytes come out."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from tests.cli.running import rackspec, write
from tests.cli.specs import CLEAN, ERROR

BUSY = """\
house {
    spare current 30%
    flag row-overfull as warning
}
module saw-é "Säge – one" {
    width   12HP
    draws   400mA on +12V
}
supply slim {
    width   4HP
    gives   0.5A on +12V
    gives   0.5A on -12V
}
rack loft "Ünder the roof" {
    stage later
    row top {
        length  84HP
        at 0HP  slim
        at 4HP  saw-é as one
        at 14HP saw-é as two in later
    }
    row low {
        length  60HP
        next    saw-é as three
        next    saw-é as four
    }
    wish more in later {
        width   20HP
        count   3
    }
}
"""
SURROUNDINGS = {
    "another seed": {"PYTHONHASHSEED": "1"},
    "one more seed": {"PYTHONHASHSEED": "4294967295"},
    "C locale": {"LC_ALL": "C"},
    "POSIX locale, no help from Python": {"LC_ALL": "POSIX", "PYTHONCOERCECLOCALE": "0", "PYTHONUTF8": "0"},
    "ASCII streams": {"PYTHONIOENCODING": "ascii"},
    "Latin streams": {"PYTHONIOENCODING": "latin-1"},
    "zone and columns": {"TZ": "Pacific/Kiritimati", "COLUMNS": "20", "LANGUAGE": "de", "LANG": "de_DE.UTF-8"},
    "optimised": {"PYTHONOPTIMIZE": "2"},
}


def tree(folder: Path, backwards: bool = False) -> Path:
    """A folder of specs, its files made in one order or the other."""
    texts = {f"racks/{n}.rackspec": ERROR.replace("desk", f"desk-{n}").replace("tray", f"tray-{n}") for n in "badc"}
    items = sorted({**texts, "loft/busy.rackspec": BUSY, ".git/HEAD": ""}.items(), reverse=backwards)
    write(folder, dict(items))
    return folder


@pytest.mark.parametrize("variables", SURROUNDINGS.values(), ids=SURROUNDINGS)
def test_surroundings_change_nothing(tmp_path: Path, variables: dict[str, str]) -> None:
    """Hash seed, locale, encoding of the streams, time zone: none of them shows, in text or in JSON."""
    tree(tmp_path)
    told = ("inspect", "--on", "2026-11-25", "--write", "json=-")
    assert rackspec(tmp_path, *told, **variables) == rackspec(tmp_path, *told, PYTHONHASHSEED="0")


@pytest.mark.parametrize(
    "variables", [{"PYTHONIOENCODING": "ascii"}, {"PYTHONIOENCODING": "latin-1"}], ids=["ascii", "latin"]
)
def test_text_for_people_is_the_same_bytes_too(tmp_path: Path, variables: dict[str, str]) -> None:
    """What is redirected is UTF-8 whatever the streams are set to."""
    tree(tmp_path)
    told = ("inspect", "--on", "2026-11-25")
    assert rackspec(tmp_path, *told, **variables) == rackspec(tmp_path, *told)


def test_order_of_files_changes_nothing(tmp_path: Path) -> None:
    """The order in which a folder lists its files, or in which paths are named, does not show."""
    there, back = tree(tmp_path / "there"), tree(tmp_path / "back", backwards=True)
    first = rackspec(there, "inspect", "--write", "json=-", "--on", "2026-11-25")
    assert rackspec(back, "inspect", "--write", "json=-", "--on", "2026-11-25") == first
    assert rackspec(back, "inspect", "racks", "loft", "--write", "json=-", "--on", "2026-11-25") == first


def test_findings_are_in_order(tmp_path: Path) -> None:
    """By file, place and rule."""
    found = json.loads(rackspec(tree(tmp_path), "inspect", "--write", "json=-", "--on", "2026-11-25").out)["findings"]
    keys = [(finding["file"], finding["line"], finding["column"], finding["rule"]) for finding in found]
    assert len(keys) > 6
    assert keys == sorted(keys)


@pytest.mark.parametrize(
    "name", [b"caf\xe9.rackspec", "naïve – 1.rackspec".encode(), b"a\nb.rackspec", b"a\x1b[31mb.rackspec"]
)
def test_odd_names_of_files(tmp_path: Path, name: bytes) -> None:
    """A name of bytes that are no text, or with control characters, is shown harmlessly and breaks no document."""
    path = os.path.join(os.fsencode(tmp_path), name)
    with open(path, "wb") as file:
        file.write(ERROR.encode())
    run = rackspec(tmp_path, "inspect", "--write", "json=found.json")
    assert run.code == 1
    assert b"\x1b" not in run.raw_out
    assert len(run.heads) == 1
    assert json.loads((tmp_path / "found.json").read_text("utf-8"))["findings"][0]["rule"] == "row-overfull"


def test_line_ends_and_marks_change_no_position(tmp_path: Path) -> None:
    """Windows line ends and a byte-order mark move no line and no column."""
    write(tmp_path, {"a/tray.rackspec": ERROR, "b/tray.rackspec": "\ufeff" + ERROR.replace("\n", "\r\n")})
    first, second = rackspec(tmp_path / "a", "inspect"), rackspec(tmp_path / "b", "inspect")
    assert first == second


def test_columns_count_code_points(tmp_path: Path) -> None:
    """A letter outside of the first 65,536 counts as one column."""
    write(tmp_path, {"x.rackspec": CLEAN + 'module organ "𝄞𝄞" { # x\n}\nrack b "𝄞" { row c { at 4 organ } }\n'})
    head = rackspec(tmp_path, "inspect").heads[0]
    line = (tmp_path / "x.rackspec").read_text("utf-8").splitlines()[int(head.split(":")[1]) - 1]
    assert line == 'rack b "𝄞" { row c { at 4 organ } }'
    assert int(head.split(":")[2]) == line.index("row") + 1 or line[int(head.split(":")[2]) - 1] != " "
