"""``rackspec compare``: in: two sides, out: what the change from one to the other does, as text and as documents."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, NamedTuple

from rackspec.cli.documents import targets, to_standard_output, write_documents
from rackspec.cli.inspect import here as current_folder
from rackspec.cli.inspect import today
from rackspec.cli.main import DONE, FAILED, FOUND, Failure, parser_of
from rackspec.cli.output import read_standard_input
from rackspec.cli.painting import painter
from rackspec.comparison import Comparison, compare, refused
from rackspec.comparison.refuse import REFUSABLE
from rackspec.files import SUFFIX
from rackspec.git.repository import RevisionFailure
from rackspec.pipeline import Result, inspect
from rackspec.sides import Here, Side, one_side, since_base, two_sides, within
from rackspec.views.comparison_text import comparison_lines
from rackspec.views.not_compared import IN_PART, in_part_markdown, not_compared_markdown

if TYPE_CHECKING:
    import argparse

KINDS = ("json", "markdown")
USAGE = (
    "name two sides: compare OLD NEW (files, folders, revisions, REVISION:PATH), "
    "compare BASE... (since BASE, against the files here), or compare PATH --racks A B"
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """What the command takes."""
    add = parser.add_argument
    text = (
        "the old side and the new one: files, folders, git revisions, or REVISION:PATH (a revision beside a path is "
        "that path at that time); or BASE... [PATH]"
    )
    add("sides", metavar="SIDE", nargs="*", help=text)
    add("--racks", metavar=("A", "B"), nargs=2, help="compare two racks of one file or folder: layout A or B")
    text = (
        f"exit with 1 if the change does this (may be given several times): {', '.join(REFUSABLE)}; "
        "new-findings are new errors or warnings, not notes"
    )
    add("--refuse", metavar="WHAT", action="append", default=[], choices=REFUSABLE, help=text)
    text = "OLD and NEW stand for this file or folder: what they leave out is read from there"
    add("--within", metavar="PATH", help=text)
    add("--on", metavar="DATE", help="the date that counts as today, such as 2026-11-02")
    text = "also write json=FILE or markdown=FILE; FILE - is standard output"
    add("--write", metavar="KIND=FILE", action="append", default=[], help=text)


def sides_of(options: argparse.Namespace, here: Here) -> tuple[Side, Side]:
    """What is compared."""
    given: list[str] = options.sides
    if options.racks:
        if len(given) > 1:
            raise Failure("--racks compares two racks of one file or folder; name one path")
        side = one_side(given[0] if given else ".", here)
        return side, side
    if given and "..." in given[0] and not os.path.exists(os.path.join(here.folder, given[0])):
        if options.within:
            raise Failure("--within goes with two files or folders, not with a revision")
        return since_base(given[0], given[1:], here)
    if len(given) != 2:
        raise Failure(USAGE)
    if given == ["-", "-"]:
        raise Failure("standard input can be one of the two sides, not both")
    if options.within:
        return within(given[0], given[1], options.within, here)
    return two_sides(given[0], given[1], here)


def known_racks(result: Result, racks: list[str]) -> tuple[str, str]:
    """The two racks, which must be there."""
    names = [seen.rack.name for seen in result.racks]
    for rack in racks:
        if rack not in names:
            there = f"; there are: {', '.join(sorted(names))}" if names else "; there is none at all"
            raise Failure(f"no rack is called '{rack}' there{there}")
    if racks[0] == racks[1]:
        raise Failure(f"'{racks[0]}' is one rack; name two")
    return racks[0], racks[1]


def documents_by_kind() -> dict[str, Callable[[Comparison, Sequence[str]], str]]:
    """What makes the document of each kind, from a comparison and what could not be read for it."""
    from rackspec.views.comparison_json import comparison_json
    from rackspec.views.comparison_markdown import comparison_markdown

    def page(comparison: Comparison, unread: Sequence[str]) -> str:
        made = comparison_markdown(comparison)
        return in_part_markdown(made, unread) if unread else made

    return {"json": lambda comparison, _: comparison_json(comparison), "markdown": page}


class Compared(NamedTuple):
    """A comparison, and what could not be read for it, each with the reason."""

    comparison: Comparison
    failed: tuple[str, ...]


class NotRead(Failure):
    """A side could not be read at all."""

    def __init__(self, reasons: tuple[str, ...]) -> None:
        super().__init__("; ".join(reasons))
        self.reasons = reasons


def plain_options(arguments: list[str]) -> argparse.Namespace | None:
    """The options of a command line with ``--``, behind which everything is a side whatever it looks like."""
    if "--" not in arguments:
        return None
    at = arguments.index("--")
    options = parser_of("compare").parse_intermixed_args(arguments[:at])
    options.sides += arguments[at + 1 :]
    return options


def compared(options: argparse.Namespace, here: Here) -> Compared:
    """Read both sides and compare them. Raises Failure where there is nothing to compare."""
    try:
        old, new = sides_of(options, here)
        for line in dict.fromkeys((*old.told, *new.told)):
            print(f"rackspec: {line}", file=sys.stderr)
        before = inspect(old.request)
        after = before if options.racks else inspect(new.request)
    except RevisionFailure as failure:
        raise Failure(str(failure)) from None
    failed = tuple(dict.fromkeys((*before.failed, *after.failed)))
    if any(result.failed and not result.names for result in (before, after)):
        raise NotRead(failed)
    if not (before.names or after.names):
        raise Failure(f"there is nothing to compare: neither side holds a {SUFFIX} file")
    racks = known_racks(before, options.racks) if options.racks else None
    return Compared(compare(before, after, racks), failed)


def not_compared(reasons: tuple[str, ...], documents: list[tuple[str, str]]) -> int:
    """Tell why there is no comparison; a comment that was asked for says so too, so that no earlier one is left."""
    page = not_compared_markdown(reasons)
    lost = write_documents([(path, page) for kind, path in documents if kind == "markdown"])
    for reason in (*reasons, *lost):
        print(f"rackspec: {' '.join(reason.split())}", file=sys.stderr)
    return FAILED


def run(options: argparse.Namespace) -> int:
    """Compare, print, write."""
    documents = targets(options.write, KINDS, [side for side in options.sides if os.path.isfile(side)])
    day = today(options.on)
    here = Here(current_folder(), day, read_standard_input() if "-" in options.sides else None)
    try:
        comparison, unread = compared(options, here)
    except NotRead as failure:
        return not_compared(failure.reasons, documents)
    except Failure as failure:
        return not_compared((str(failure),), documents)
    stream = sys.stderr if to_standard_output(documents) else sys.stdout
    if unread and comparison.is_empty:  # what is the same as far as it could be read is no verdict
        print("not compared: what could be read is the same on both sides, and not everything could be", file=stream)
        return not_compared(unread, documents)
    makers = documents_by_kind()
    failed = [*unread, *write_documents([(path, makers[kind](comparison, unread)) for kind, path in documents])]
    if unread:
        print(IN_PART, file=stream)
    for line in comparison_lines(comparison, painter(stream)):
        print(line, file=stream)
    reasons = [reason for what in dict.fromkeys(options.refuse) for reason in refused(comparison, what)]
    for reason in (*failed, *(f"refused: {reason}" for reason in reasons)):
        print(f"rackspec: {reason}", file=sys.stderr)
    return FAILED if failed else FOUND if reasons else DONE
