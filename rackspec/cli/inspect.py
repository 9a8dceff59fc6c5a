"""``rackspec inspect``: in: options, out: findings as text and as documents, and an exit code."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING, NamedTuple, TextIO

from rackspec.cli.main import DONE, FAILED, FOUND, Failure
from rackspec.cli.output import read_standard_input
from rackspec.cli.writing import write_whole
from rackspec.pipeline import Request, inspect
from rackspec.views.failing import LEVELS, fails
from rackspec.views.text import Painter, plain, result_lines

if TYPE_CHECKING:
    import argparse

KINDS = ("json", "sarif", "junit", "annotations", "markdown")
ON_REQUEST = ("part-unused",)


class Options(NamedTuple):
    """What the command line says."""

    paths: list[str]
    fail_at: str | None = None
    on: str | None = None
    also: tuple[str, ...] | list[str] = ()
    write: tuple[str, ...] | list[str] = ()
    candidate: str | None = None
    rack: str = ""
    show_limits: bool = False
    named: str = ""


def plain_options(arguments: list[str]) -> Options | None:
    """The options of a command line that names paths only, which needs no parser: most do."""
    if any(argument.startswith("-") and argument != "-" for argument in arguments):
        return None
    return Options(arguments or ["."])


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """What the command takes."""
    add = parser.add_argument
    add("paths", metavar="PATH", nargs="*", default=["."], help="a file, a folder, or - (this folder)")
    add("--fail-at", choices=LEVELS, help="exit with 1 from this severity on (error, or what the house says)")
    add("--on", metavar="DATE", help="the date that counts as today, such as 2026-11-02")
    text = "also look for what is told on request only: part-unused"
    add("--also", metavar="RULE", action="append", default=[], help=text)
    text = f"also write a document (may be given several times): {', '.join(KINDS)}; FILE - is standard output"
    add("--write", metavar="KIND=FILE", action="append", default=[], help=text)
    text = "say whether a module could be bought: its name, or its facts ('width 8HP; depth 30mm; …')"
    add("--try", dest="candidate", metavar="MODULE", help=text)
    add("--rack", metavar="RACK", default="", help="with --try: only try it in this rack")
    add("--show-limits", action="store_true", help="print each limit in force, what it means and where it comes from")
    add("--named", metavar="FILE", default="", help="the file that standard input stands for, for its 'use' lines")


def targets(written: Sequence[str]) -> list[tuple[str, str]]:
    """The documents to write, as (kind, file)."""
    found = []
    for item in written:
        kind, equals, path = item.partition("=")
        if not equals or not path:
            raise Failure(f"--write takes KIND=FILE, such as json=findings.json, not '{item}'")
        if kind not in KINDS:
            raise Failure(f"--write knows no kind '{kind}'; known: {', '.join(KINDS)}")
        found.append((kind, path))
    if sum(path == "-" for _, path in found) > 1:
        raise Failure("only one document can go to standard output")
    return found


def also(rules: Sequence[str]) -> tuple[str, ...]:
    """The rules that look on request."""
    for name in rules:
        if name not in ON_REQUEST:
            raise Failure(f"--also knows no rule '{name}'; on request there is: {', '.join(ON_REQUEST)}")
    return tuple(rules)


def today(text: str | None) -> date:
    """The date that counts as today."""
    if text is None:
        return date.today()
    try:
        day = date.fromisoformat(text)
        if day.isoformat() != text:
            raise ValueError(text)
        return day
    except ValueError:
        raise Failure(f"--on takes a date like 2026-11-02, not '{text}'") from None


def request_of(options: Options) -> Request:
    """What to inspect."""
    day = today(options.on)
    stdin = read_standard_input() if "-" in options.paths else None
    try:
        folder = os.getcwd()
    except FileNotFoundError:
        raise Failure("the current folder is gone") from None
    return Request(tuple(options.paths), folder, day, stdin, options.named, also(options.also))


def run(given: argparse.Namespace | Options) -> int:
    """Inspect, print, write; or answer a question about what was read."""
    options = given if isinstance(given, Options) else Options(**vars(given))
    documents = targets(options.write)
    asks = options.candidate is not None or options.show_limits
    if asks and documents:
        raise Failure("--write writes what 'inspect' finds; it does not go with --try or --show-limits")
    if options.candidate is not None and options.show_limits:
        raise Failure("--try and --show-limits are two questions; ask one at a time")
    if options.rack and options.candidate is None:
        raise Failure("--rack goes with --try")
    request = request_of(options)
    if options.candidate is not None:
        from rackspec.cli.trying import run_trial

        return run_trial(request, options.candidate, options.rack, painter(sys.stdout))
    if options.show_limits:
        from rackspec.cli.limits import run_limits

        return run_limits(request, painter(sys.stdout))
    result = inspect(request)
    stream = sys.stderr if any(path == "-" for _, path in documents) else sys.stdout
    level = options.fail_at or result.fail_at or "error"
    code = FAILED if result.failed else FOUND if fails(result, level) else DONE
    failed_writing = []
    for kind, path in documents:
        from rackspec.views.documents import document_of  # most runs write none

        text = document_of(kind, result, level, request.folder)
        if path == "-":
            sys.stdout.write(text)
            continue
        try:
            write_whole(path, text)
        except OSError as error:
            failed_writing.append(f"{path}: {error.strerror}")
    for line in result_lines(result, painter(stream)):
        print(line, file=stream)
    if not result.files and not result.failed:
        print("rackspec: no .rackspec file here; 'rackspec begin NAME' writes a first one", file=sys.stderr)
    for reason in (*result.failed, *failed_writing):
        print(f"rackspec: {reason}", file=sys.stderr)
    return FAILED if failed_writing else code


def painter(stream: TextIO) -> Painter:
    """How to colour for a stream: only a terminal gets colour, and only where nobody asked for none."""
    is_terminal = stream.isatty()
    if os.environ.get("NO_COLOR") or (not is_terminal and not os.environ.get("FORCE_COLOR")):
        return plain
    if os.environ.get("TERM") == "dumb" and not os.environ.get("FORCE_COLOR"):
        return plain
    from rackspec.views.colour import paint

    return paint
