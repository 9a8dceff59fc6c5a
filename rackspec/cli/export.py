"""``rackspec export``: in: paths, or the name of a schema, out: the linked racks as a JSON document, or the schema.

Findings of rules do not matter here; what was not understood or not found is told, and the rest is exported.
"""

from __future__ import annotations

import sys
from datetime import date
from typing import TYPE_CHECKING

from rackspec.cli.inspect import here
from rackspec.cli.main import DONE, FAILED, FOUND, Failure
from rackspec.cli.output import read_standard_input
from rackspec.views.schema import schema_names, schema_text

if TYPE_CHECKING:
    import argparse


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """What the command takes."""
    add = parser.add_argument
    text = "a file, a folder, or - for standard input (this folder)"
    add("paths", metavar="PATH", nargs="*", default=[], help=text)
    text = f"print a schema instead, by its name: {', '.join(schema_names())}"
    add("--schema", metavar="NAME", help=text)
    add("--named", metavar="FILE", default="", help="the file that standard input stands for, for its 'use' lines")


def run(options: argparse.Namespace) -> int:
    """Print racks, or a schema."""
    if options.schema is None:
        return print_racks(tuple(options.paths) or (".",), options.named)
    if options.paths or options.named:
        raise Failure("--schema prints a schema and reads no file; leave out the paths, or leave out --schema")
    try:
        sys.stdout.write(schema_text(options.schema))
    except KeyError:
        raise Failure(f"there is no schema '{options.schema}'; there are: {', '.join(schema_names())}") from None
    return DONE


def print_racks(paths: tuple[str, ...], named: str) -> int:
    """Print all racks of some paths as one document."""
    from rackspec.cli.painting import painter
    from rackspec.files import shown
    from rackspec.findings import ERROR, in_order
    from rackspec.pipeline import Request, read_request
    from rackspec.views.rack_document import Linked, rack_json
    from rackspec.views.slips import slip_lines

    stdin = read_standard_input() if "-" in paths else None
    folder = here()
    # nothing here hangs on the day: a waiver that has ended is exported with its end
    projects, failed = read_request(Request(paths, folder, date.min, stdin, named))
    roots = [Linked(shown(project.root, folder), project, tuple(project.link())) for project in projects]
    errors = [finding for project in projects for finding in project.findings() if finding.severity == ERROR]
    sys.stdout.write(rack_json(roots, not errors and not failed))
    for line in slip_lines(in_order(errors), painter(sys.stderr)):
        print(line, file=sys.stderr)
    if not projects and not failed:
        print("rackspec: no .rackspec file here; 'rackspec begin NAME' writes a first one", file=sys.stderr)
    for reason in failed:
        print(f"rackspec: {reason}", file=sys.stderr)
    return FAILED if failed else FOUND if errors else DONE
