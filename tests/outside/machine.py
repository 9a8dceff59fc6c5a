"""Specs go in; out come all documents of one run of ``inspect``, as a service would find them on its disk.

The specs here are those that hurt: names and texts full of what readers take for something else.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NamedTuple

from tests.cli.running import rackspec, write
from tests.conftest import ROOT

DAY = ("--on", "2026-11-25")
KINDS = ("json", "sarif", "junit", "annotations", "markdown")
EXAMPLES = ROOT / "tests" / "examples"

MARKUP = "no ]]> <img src=x> &amp; %0A%25::error::x | `tick` *b* @all #12 {0} {} [a](1) :100: https://x.y www.x.y $x$"
"""What is markup to one reader or another."""
AWKWARD_FOLDER = "größe 100%"
AWKWARD_NAME = "a#b, c:d?e=f 🎛 架.rackspec"
HOSTILE = {
    f"{AWKWARD_FOLDER}/{AWKWARD_NAME}": f"""\
use "{MARKUP}.rackspec"
module saw "a 🎛 title" {{
    width   14HP
    depth   30mm
    note "🎛 \u202e abc e\u0301 架 \x07\x1b[31m" colour
}}
rack loft {{
    row top {{
        length  84HP
        behind  60mm
        at 0HP  saw as one
        at 4HP  saw as two
    }}
    waive modules-overlap on two because "it's {MARKUP} \\| \u202e" until 2027-01-01
}}
""",
    "::error file=x,line=2::line\nbreak\x01\x1b[31m.rackspec": "modul x {\n}\n",
    "[x](y)|`q` <b>@me\\|.rackspec": 'use "a\\|b.rackspec"\nmodule other {\n\twidht 4HP\n\twidht 4HP\n}\n',
    "clean.rackspec": "module fine {\n    width 4HP\n    depth 10mm\n    draws nothing\n}\n",
    "bytes.rackspec": "\udcff\udcfe",
    "windows.rackspec": 'module crlf {\r\n    note "🎛🎛" 30\r\n}\r\n',
}
"""Files whose names and texts are what readers stumble over."""


class Outputs(NamedTuple):
    """What a run left: its exit code, the text for people, and a document of each kind."""

    folder: Path
    code: int
    text: str
    json: dict[str, Any]
    sarif: dict[str, Any]
    sarif_text: str
    junit: str
    annotations: str
    markdown: str

    @property
    def findings(self) -> list[dict[str, Any]]:
        """The findings of the JSON document, which the others are held against."""
        found: list[dict[str, Any]] = self.json["findings"]
        return found

    @property
    def results(self) -> list[dict[str, Any]]:
        """The findings of the SARIF document."""
        found: list[dict[str, Any]] = self.sarif["runs"][0]["results"]
        return found


def outputs(folder: Path, *arguments: str, stdin: bytes = b"") -> Outputs:
    """Inspect in a folder, and write everything at once."""
    written = [f"--write={kind}=.out/found.{kind}" for kind in KINDS]
    (folder / ".out").mkdir(exist_ok=True)
    run = rackspec(folder, "inspect", *arguments, *DAY, *written, stdin=stdin)
    texts = {kind: (folder / ".out" / f"found.{kind}").read_bytes().decode() for kind in KINDS}
    return Outputs(
        folder,
        run.code,
        run.out,
        json.loads(texts["json"]),
        json.loads(texts["sarif"]),
        texts["sarif"],
        texts["junit"],
        texts["annotations"],
        texts["markdown"],
    )


def hostile(folder: Path, files: Sequence[str] = tuple(HOSTILE)) -> None:
    """Write the hostile specs into a folder."""
    (folder / ".git").mkdir(exist_ok=True)
    for name in files:
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(HOSTILE[name].encode("utf-8", "surrogateescape"))


def examples(folder: Path) -> None:
    """Copy tests/examples into a folder, each into a root of its own."""
    for example in sorted(EXAMPLES.iterdir()):
        if example.suffix == ".expected":
            continue
        target = folder / example.stem / example.name
        target.parent.mkdir()
        (target.parent / ".git").mkdir()
        if example.is_dir():
            shutil.copytree(example, target)
        else:
            shutil.copyfile(example, target)


def demo(folder: Path) -> None:
    """Copy specs/ into a folder."""
    shutil.copytree(ROOT / "specs", folder / "specs")


def nothing(folder: Path) -> None:
    """A folder with one spec that is clean."""
    write(folder, {".git/x": "", "clean.rackspec": HOSTILE["clean.rackspec"]})


CORPORA = {"demo": demo, "examples": examples, "hostile": hostile, "clean": nothing}
"""Folders of specs, by name."""
