"""``rackspec order``: in: options, out: what racks need, or where to buy it, as text and as documents.

Every seller of the run counts, not only those that a rack's file may name: who is asked is named on the command line.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING, NamedTuple

from rackspec.cli.documents import targets, to_standard_output, write_documents
from rackspec.cli.inspect import here, today
from rackspec.cli.main import DONE, FAILED, FOUND, Failure
from rackspec.cli.output import read_standard_input
from rackspec.language.suggest import nearest

if TYPE_CHECKING:
    import argparse

    from rackspec.model.rack import Rack
    from rackspec.project import Project
    from rackspec.views.reported import Reported

KINDS = ("json", "csv", "markdown")
START = "start"


class Seen(NamedTuple):
    """What was read: the racks with every seller of their run, names of all sellers, whether every line was understood
    and every name found, and what could not be read."""

    racks: list[Reported]
    sellers: list[str]
    sound: bool
    failed: list[str]
    slips: list[str]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """What the command takes."""
    add = parser.add_argument
    text = "a file, a folder, or - for standard input (this folder); every seller in it is asked"
    add("paths", metavar="PATH", nargs="*", default=["."], help=text)
    add("--rack", metavar="RACK", help="only this rack")
    add("--stage", metavar="STAGE", help="only what this stage has to buy; 'start' is the rack from the start")
    add("--parts", action="store_true", help="only the list of what is needed, and where each number comes from")
    add("--parcels", metavar="N", help="order in at most so many parcels")
    text = "do not ask this seller (may be given several times)"
    add("--without", metavar="SELLER", action="append", default=[], help=text)
    text = f"also write a document (may be given several times): {', '.join(KINDS)}; FILE - is standard output"
    add("--write", metavar="KIND=FILE", action="append", default=[], help=text)
    add("--markdown", action="store_true", help="print markdown instead of text")
    add("--on", metavar="DATE", help="the date that counts as today, such as 2026-11-02")
    add("--named", metavar="FILE", default="", help="the file that standard input stands for, for its 'use' lines")


def run(options: argparse.Namespace) -> int:
    """Read, choose racks, print, write."""
    documents = targets(options.write, KINDS, options.paths)
    parcels = parcels_of(options)
    seen = read(options, today(options.on))
    for line in seen.slips:
        print(line, file=sys.stderr)
    for reason in seen.failed:
        print(f"rackspec: {reason}", file=sys.stderr)
    if seen.failed and not seen.racks:
        return FAILED
    without = sellers_left_out(options.without, seen)
    wanted = choose(options, seen)
    from rackspec.cli.ordering import Asking, say

    kinds = ["markdown" if options.markdown else "text", *(kind for kind, _ in documents)]
    complete = seen.sound and not seen.failed
    asking = Asking(wanted, today(options.on), complete, without, parcels)
    text, *texts = say(asking, kinds, parts_only=options.parts)
    failed = write_documents(zip((path for _, path in documents), texts, strict=True))
    (sys.stderr if to_standard_output(documents) else sys.stdout).write(text)
    for reason in failed:
        print(f"rackspec: {reason}", file=sys.stderr)
    return FAILED if failed or seen.failed else DONE if seen.sound else FOUND


def parcels_of(options: argparse.Namespace) -> int | None:
    """The most parcels. Raises Failure."""
    if options.parcels is None:
        return None
    if options.parts:
        raise Failure("--parcels is about an order; it does not go with --parts")
    text = options.parcels
    if not text.isascii() or not text.isdigit() or len(text) > 4 or not int(text):
        raise Failure(f"--parcels takes a whole number from 1 on, not '{text}'")
    return int(text)


def read(options: argparse.Namespace, day: date) -> Seen:
    """Read and inspect what is named."""
    from rackspec.cli.painting import painter
    from rackspec.findings import ERROR, Finding, in_order
    from rackspec.pipeline import Request, inspect_project, read_request
    from rackspec.rules.registry import load_rules
    from rackspec.views.report import racks_of
    from rackspec.views.slips import slip_lines

    stdin = read_standard_input() if "-" in options.paths else None
    request = Request(tuple(options.paths), here(), day, stdin, options.named)
    rules = load_rules()
    projects, failed = read_request(request)
    racks: list[Reported] = []
    sellers: list[str] = []
    slips: list[Finding] = []
    for project in projects:
        found, inspected, _ = inspect_project(project, rules, request)
        selling = sorted(entry.name for entry in project.library.entries.values() if entry.kind == "seller")
        sellers += selling
        asked = [seen._replace(rack=asking_all(seen.rack, project, selling)) for seen in inspected]
        racks += racks_of(asked, tuple(in_order(found)), (), day)
        slips += [
            finding
            for finding in found
            if finding.severity == ERROR and (finding.rule not in rules or rules[finding.rule].look is None)
        ]
    lines = list(slip_lines(in_order(slips), painter(sys.stderr)))
    return Seen(racks, sellers, not slips, failed, lines)


def asking_all(rack: Rack, project: Project, names: Sequence[str]) -> Rack:
    """A rack that knows every seller of its run, and what these sell."""
    from rackspec.model.purse import make_wares

    library = project.library
    sellers = tuple(library.seller(library.entries[name]) for name in names)
    return rack._replace(sellers=sellers, wares=make_wares(library, [*rack.have, *rack.also], sellers))


def sellers_left_out(names: Iterable[str], seen: Seen) -> frozenset[str]:
    """The sellers that are not asked. Raises Failure for a name that none has."""
    for name in names:
        if name not in seen.sellers:
            raise Failure(not_here("seller", name, seen.sellers, "no seller is known here"))
    return frozenset(names)


def not_here(kind: str, name: str, there: Sequence[str], none: str) -> str:
    """Why a name is none, and what there is."""
    if not there:
        return none
    near = nearest(name, list(there))
    guess = f"; did you mean '{near[0]}'?" if near else ""
    return f"no {kind} is called '{name}' here; there are: {', '.join(dict.fromkeys(there))}{guess}"


class Chosen(NamedTuple):
    """A rack that is asked for, with the stage (None: all of them)."""

    rack: Reported
    stage: int | None


def choose(options: argparse.Namespace, seen: Seen) -> list[Chosen]:
    """The racks and stages that are asked for. Raises Failure."""
    names = [rack.seen.rack.name for rack in seen.racks]
    wanted = [rack for rack in seen.racks if options.rack in (None, rack.seen.rack.name)]
    if not wanted:
        raise Failure(not_here("rack", options.rack or "", names, "there is no rack here to order for"))
    if options.stage is None:
        return [Chosen(rack, None) for rack in wanted]
    found = [Chosen(rack, number) for rack in wanted if (number := stage_in(rack.seen.rack, options.stage)) is not None]
    if not found:
        stages = [START, *(stage.name for rack in wanted for stage in rack.seen.rack.stages[1:])]
        raise Failure(not_here("stage", options.stage, stages, ""))
    return found


def stage_in(rack: Rack, name: str) -> int | None:
    """The number of a stage; a stage that is itself called 'start' comes before the start."""
    numbers = {stage.name: stage.number for stage in rack.stages if stage.name}
    return numbers.get(name, 0 if name == START else None)
