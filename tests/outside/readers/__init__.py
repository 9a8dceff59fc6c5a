"""Programs of other people that read back what rackspec writes: in: documents, out: what each of them understood.

``.ci/readers FOLDER`` installs them, and RACKSPEC_READERS=FOLDER says where. Without one a test skips and names it;
under CI it fails.
"""

from __future__ import annotations

import csv
import io
import json
import os
import shutil
import subprocess
from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any, NamedTuple, NoReturn

import pytest

HERE = Path(__file__).resolve().parent


def absent(what: str) -> NoReturn:
    """Skip a test, or fail under CI, where everything has to be there."""
    told = f"{what} is not here: .ci/readers FOLDER installs it, and RACKSPEC_READERS=FOLDER says where"
    if os.environ.get("CI"):
        pytest.fail(told)
    pytest.skip(told)


def program(name: str) -> str:
    """A program of the system."""
    found = shutil.which(name)
    return found if found is not None else absent(name)


def installed(*parts: str) -> Path:
    """A file that .ci/readers has installed."""
    folder = os.environ.get("RACKSPEC_READERS")
    path = Path(folder, *parts) if folder else None
    return path if path is not None and path.exists() else absent(parts[-1])


def run(command: list[str], stdin: str = "", folder: Path | None = None, **variables: str) -> str:
    """What a program prints. It must not fail."""
    done = subprocess.run(
        command,
        input=stdin,
        cwd=folder,
        env={**os.environ, **variables},
        capture_output=True,
        check=False,
        encoding="utf-8",
        timeout=300,
    )
    assert done.returncode == 0, (command, done.stdout, done.stderr)
    return done.stdout


def node(script: str, given: Any) -> str:
    """What one of our scripts prints that hands JSON to a package of npm."""
    return run([program("node"), str(HERE / script)], json.dumps(given))


def ajv(schema: Any, documents: Mapping[str, Any], strict: bool = True) -> dict[str, list[str]]:
    """What ajv finds wrong with each document. ``strict``: what it finds wrong with the schema makes the test fail."""
    installed("node_modules", "ajv")
    told: dict[str, list[str]] = json.loads(
        node("schema.mjs", {"schema": schema, "strict": strict, "documents": dict(documents)})
    )
    return told


def toolkit_lines(annotations: list[dict[str, Any]]) -> str:
    """The lines that the toolkit of the CI service itself writes for these annotations."""
    installed("node_modules", "@actions", "core")
    return node("annotate.mjs", annotations)


def sarif_schema() -> Any:
    """The JSON Schema of SARIF 2.1.0, as the SARIF Multitool ships it."""
    return json.loads(installed("node_modules", "@microsoft", "sarif-multitool-linux", "sarif-2.1.0.json").read_text())


def multitool(folder: Path, documents: Mapping[str, str]) -> dict[str, set[str]]:
    """The rules of the SARIF Multitool that each document breaks, as errors or warnings. It exits with 0 regardless."""
    tool = installed("node_modules", "@microsoft", "sarif-multitool-linux", "Sarif.Multitool")

    def broken(number: int, text: str) -> set[str]:
        (folder / f"{number}.sarif").write_text(text, "utf-8")
        arguments = ["--rule-kind", "Sarif;Gh", "--output", f"{number}.log", "--log", "ForceOverwrite"]
        run([str(tool), "validate", f"{number}.sarif", *arguments], folder=folder)
        (ran,) = json.loads((folder / f"{number}.log").read_text("utf-8-sig"))["runs"]
        return {result["ruleId"] for result in ran["results"]}

    # one file a run: in a run of several it does not tell everything of each
    with ThreadPoolExecutor(os.cpu_count()) as threads:
        told = threads.map(broken, range(len(documents)), documents.values())
        return dict(zip(documents, told, strict=True))


SVG_DTD = Path("/usr/share/xml/w3c-sgml-lib/schema/dtd/REC-SVG11-20110816/svg11.dtd")


def svg_dtd() -> Path:
    """The DTD of SVG 1.1, second edition, as the W3C gives it out (Debian: w3c-sgml-lib)."""
    return SVG_DTD if SVG_DTD.is_file() else absent("the DTD of SVG 1.1 (w3c-sgml-lib)")


def chromium(folder: Path, page: Path) -> Path:
    """A page as a browser prints it, as PDF. It gets a profile of its own in the folder."""
    printed = folder / "printed.pdf"
    quiet = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--no-first-run"]
    where = [f"--user-data-dir={folder / 'profile'}", f"--print-to-pdf={printed}", "--no-pdf-header-footer"]
    run([program("chromium"), *quiet, *where, page.resolve().as_uri()], HOME=str(folder))
    return printed


class Issue(NamedTuple):
    """A finding as sarif-tools understands it."""

    severity: str
    rule: str
    text: str
    file: str
    line: int


def sarif_tools(folder: Path, document: str) -> list[Issue]:
    """The findings as sarif-tools lists them."""
    program_file = installed("python", "bin", "sarif")
    (folder / "read.sarif").write_text(document, "utf-8")
    run([str(program_file), "csv", "read.sarif", "-o", "read.csv"], folder=folder)
    rows = csv.DictReader(io.StringIO((folder / "read.csv").read_text("utf-8-sig")))
    return [Issue(row["Severity"], row["Code"], row["Description"], row["Location"], int(row["Line"])) for row in rows]


class Jump(NamedTuple):
    """A finding as an editor understands its line, and where its cursor stands after a jump there: the line, and how
    far into it, counted from 1 in characters."""

    file: str
    line: int
    column: int
    kind: str
    at_line: int
    at_character: int


VIM_KINDS = {"e": "error", "w": "warning", "n": "note", "": ""}


def vim(folder: Path, text: str, errorformat: str = "") -> list[Jump]:
    """What Vim's quickfix list makes of the text of ``inspect``; without ``errorformat`` with the one it comes with."""
    (folder / "found.txt").write_text(text, "utf-8")
    command = [program("vim"), "-Nu", "NONE", "-i", "NONE", "-es", "-S", str(HERE / "quickfix.vim")]
    run(command, folder=folder, FOUND="found.txt", TOLD="told.json", FORMAT=errorformat, LC_ALL="C.UTF-8")
    told = json.loads((folder / "told.json").read_text("utf-8"))
    return [
        Jump(each["file"], each["line"], each["column"], VIM_KINDS[each["type"]], each["lands"][0], each["lands"][2])
        for each in told
    ]


def emacs(folder: Path, text: str, screen: bool) -> list[Jump]:
    """What Emacs' compilation mode makes of it, with columns taken for columns of the screen or for characters."""
    (folder / "found.txt").write_text(text, "utf-8")
    where = {"FOLDER": str(folder), "FOUND": str(folder / "found.txt"), "TOLD": str(folder / "told.json")}
    command = [program("emacs"), "-Q", "--batch", "-l", str(HERE / "compile.el")]
    run(command, **where, **({"SCREEN": "t"} if screen else {}), LC_ALL="C.UTF-8")
    told = json.loads((folder / "told.json").read_text("utf-8"))
    return [Jump(each["file"], each["line"], each["column"], each["kind"], *each["lands"]) for each in told]
