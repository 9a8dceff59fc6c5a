"""``rackspec inspect``: in: options, out: findings as text and as documents, and an exit code."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING, NamedTuple

from rackspec.cli.cache import key_of, open_cache, program
from rackspec.cli.documents import targets, to_standard_output, write_documents
from rackspec.cli.main import FAILED, Failure
from rackspec.cli.output import read_standard_input
from rackspec.cli.painting import is_coloured, painter
from rackspec.files import LARGEST_FILE
from rackspec.findings import SEVERITIES
from rackspec.recorded import Recorded, still_hold
from rackspec.store import DISK

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
    no_cache: bool = False


class Said(NamedTuple):
    """What a run says: its exit code, the text for people, its documents in order, and lines on standard error."""

    code: int
    text: str
    documents: tuple[str, ...]
    told: str


def plain_options(arguments: list[str]) -> Options | None:
    """The options of a command line that needs no parser, as most: paths, and at most a date and ``--no-cache``."""
    paths: list[str] = []
    plain = Options(paths)
    waiting = iter(arguments)
    for argument in waiting:
        if argument == "--no-cache":
            plain = plain._replace(no_cache=True)
        elif argument == "--on":
            plain = plain._replace(on=next(waiting, "-"))
            if str(plain.on).startswith("-"):
                return None
        elif argument.startswith("-") and argument != "-":
            return None
        else:
            paths.append(argument)
    return plain if paths else plain._replace(paths=["."])


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """What the command takes."""
    add = parser.add_argument
    add("paths", metavar="PATH", nargs="*", default=["."], help="a file, a folder, or - (this folder)")
    add(
        "--fail-at",
        choices=(*SEVERITIES, "never"),
        help="exit with 1 from this severity on (error, or what the house says)",
    )
    add("--on", metavar="DATE", help="the date that counts as today, such as 2026-11-02")
    text = "also look for what is told on request only: part-unused"
    add("--also", metavar="RULE", action="append", default=[], help=text)
    text = f"also write a document (may be given several times): {', '.join(KINDS)}; FILE - is standard output"
    add("--write", metavar="KIND=FILE", action="append", default=[], help=text)
    text = "say whether a module could be bought: its name, or its facts ('width 8HP; depth 30mm; …')"
    add("--try", dest="candidate", metavar="MODULE", help=text)
    add("--rack", metavar="RACK", default="", help="with --try: only try it in this rack")
    add("--show-limits", action="store_true", help="print each limit in force, what it means and where it comes from")
    add("--no-cache", action="store_true", help="look at everything anew, and keep nothing for the next run")
    add("--named", metavar="FILE", default="", help="the file that standard input stands for, for its 'use' lines")


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


def here() -> str:
    """The current folder. Raises Failure where it is gone."""
    try:
        return os.getcwd()
    except FileNotFoundError:
        raise Failure("the current folder is gone") from None


def run(given: argparse.Namespace | Options) -> int:
    """Inspect, print, write; or answer a question about what was read."""
    options = given if isinstance(given, Options) else Options(**vars(given))
    documents = targets(options.write, KINDS, options.paths)
    asks = options.candidate is not None or options.show_limits
    if asks and documents:
        raise Failure("--write writes what 'inspect' finds; it does not go with --try or --show-limits")
    if options.candidate is not None and options.show_limits:
        raise Failure("--try and --show-limits are two questions; ask one at a time")
    if options.rack and options.candidate is None:
        raise Failure("--rack goes with --try")
    day, folder, rules = today(options.on), here(), also(options.also)
    if asks:
        return answer(options, day, folder, rules)
    stream = sys.stderr if to_standard_output(documents) else sys.stdout
    said = said_of(options, day, folder, rules, [kind for kind, _ in documents], is_coloured(stream))
    failed = write_documents(zip((path for _, path in documents), said.documents, strict=True))
    stream.write(said.text)
    sys.stderr.write(said.told)
    for reason in failed:
        print(f"rackspec: {reason}", file=sys.stderr)
    return FAILED if failed else said.code


def said_of(options: Options, day: date, folder: str, rules: tuple[str, ...], kinds: list[str], coloured: bool) -> Said:
    """What is said: as it was the last time, if nothing that it hangs on has changed since."""
    from_stream = "-" in options.paths
    cache = None if options.no_cache or from_stream else open_cache()
    if cache is None:
        from rackspec.cli.inspecting import Keeping, say
        from rackspec.pipeline import Request

        stdin = read_standard_input() if from_stream else None
        request = Request(tuple(options.paths), folder, day, stdin, options.named, rules, Recorded(DISK))
        return say(request, options.fail_at, kinds, Keeping(None, b""), coloured=coloured)[0]
    what = (program(), folder, *options.paths), rules, options.named
    key = key_of(what, options.fail_at, day.isoformat(), tuple(kinds), coloured)
    kept = cache.get(key)
    if kept is not None and still_hold(kept[0], DISK, LARGEST_FILE):
        return Said(*kept[1])
    from rackspec.cli.inspecting import Keeping, say
    from rackspec.pipeline import Request

    store = Recorded(DISK)
    request = Request(tuple(options.paths), folder, day, None, options.named, rules, store)
    said, lasts = say(request, options.fail_at, kinds, Keeping(cache, key_of(what)), coloured=coloured)
    if lasts and not store.closed:
        cache.put(key, (store.answers, tuple(said)))
    return said


def answer(options: Options, day: date, folder: str, rules: tuple[str, ...]) -> int:
    """Answer a question instead of inspecting."""
    from rackspec.pipeline import Request

    stdin = read_standard_input() if "-" in options.paths else None
    request = Request(tuple(options.paths), folder, day, stdin, options.named, rules)
    if options.candidate is not None:
        from rackspec.cli.trying import run_trial

        return run_trial(request, options.candidate, options.rack, painter(sys.stdout))
    from rackspec.cli.limits import run_limits

    return run_limits(request, painter(sys.stdout))
