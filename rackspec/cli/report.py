"""``rackspec report``: in: options, out: worked numbers of racks, as text or markdown, printed or in a file."""

from __future__ import annotations

import os
import sys
from datetime import date
from typing import TYPE_CHECKING

from rackspec.cli.inspect import today
from rackspec.cli.main import DONE, FAILED, Failure
from rackspec.cli.writing import keep_specs, write_whole
from rackspec.findings import Finding, in_order
from rackspec.language.suggest import nearest
from rackspec.model.library import Library
from rackspec.model.parts import Rail
from rackspec.pipeline import Request, inspect_project, read_request
from rackspec.project import Project
from rackspec.rules.registry import load_rules

if TYPE_CHECKING:
    import argparse

SHEETS = ("fit", "power", "growth", "cost", "first-power-up", "assembly")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """What the command takes."""
    add = parser.add_argument
    add(
        "paths",
        metavar="PATH",
        nargs="*",
        default=["."],
        help="a file, a folder, or - for standard input (this folder)",
    )
    add("--rack", metavar="RACK", help="only this rack")
    add("--about", choices=SHEETS, help="only this sheet (without it: fit, power and growth)")
    add("--markdown", action="store_true", help="write markdown instead of text")
    add("--to", metavar="FILE", default="-", help="write into a file; - is standard output")
    add("--on", metavar="DATE", help="a date to work from, such as 2026-11-02; without it no date is used")
    add("--named", metavar="FILE", default="", help="the file that standard input stands for, for its 'use' lines")


def rails_of(project: Project) -> tuple[Rail, ...]:
    """All rails that the files of a project know."""
    library = Library({})
    for path in sorted(project.files):
        for entry in project.files[path].named_things():
            library.add(entry)
    entries = [entry for entry in library.entries.values() if entry.kind == "rail"]
    return tuple(library.rail(entry) for entry in sorted(entries, key=lambda entry: entry.name))


def run(options: argparse.Namespace) -> int:
    """Inspect, choose racks, write."""
    from rackspec.views.document import as_markdown, as_text
    from rackspec.views.report import WITHOUT_ASKING, racks_of, report
    from rackspec.views.reported import Reported

    day = today(options.on) if options.on is not None else None
    stdin = sys.stdin.buffer.read() if "-" in options.paths else None
    try:
        folder = os.getcwd()
    except FileNotFoundError:
        raise Failure("the current folder is gone") from None
    # without a date no waiver has ended: the same files give the same sheets on every day
    request = Request(tuple(options.paths), folder, day or date.min, stdin, options.named)
    rules = load_rules()
    projects, failed = read_request(request)
    racks: list[Reported] = []
    findings: list[Finding] = []
    for project in projects:
        found, inspected, _ = inspect_project(project, rules, request)
        ordered = tuple(in_order(found))
        findings += ordered
        rails = rails_of(project) if inspected else ()
        racks += racks_of(inspected, ordered, rails, day)
    for reason in failed:
        print(f"rackspec: {reason}", file=sys.stderr)
    if failed and not racks:
        return FAILED
    wanted = [rack for rack in racks if options.rack in (None, rack.seen.rack.name)]
    if not wanted:
        raise Failure(no_rack(options.rack, [rack.seen.rack.name for rack in racks]))
    document = report(wanted, (options.about,) if options.about else WITHOUT_ASKING, findings)
    text = as_markdown(document) if options.markdown else as_text(document)
    if options.to == "-":
        sys.stdout.write(text)
    else:
        keep_specs(options.to, options.paths)
        write_whole(options.to, text)
        print(f"{options.to} is written")
    return FAILED if failed else DONE


def no_rack(name: str | None, there: list[str]) -> str:
    """Why there is nothing to report on."""
    if not there:
        return "there is no rack here to report on"
    near = nearest(name or "", there)
    listed = ", ".join(dict.fromkeys(there))
    guess = f"; did you mean '{near[0]}'?" if near else ""
    return f"no rack is called '{name}' here; there are: {listed}{guess}"
