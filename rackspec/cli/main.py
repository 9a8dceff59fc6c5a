"""The command line: in: arguments, out: an exit code.

0: nothing at or above the failing level; 1: findings at or above it; 2: the job could not be done.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Sequence
from importlib import import_module

from rackspec import __version__

DONE, FOUND, FAILED = 0, 1, 2


class Failure(Exception):
    """The job could not be done; its text is one line for the user."""


def parser() -> argparse.ArgumentParser:
    """All commands and their options."""
    top = argparse.ArgumentParser(
        prog="rackspec",
        description="Read racks written down as text, and say whether they fit, close and power up.",
        epilog="exit codes: 0 nothing at the failing level, 1 findings at it or above, 2 the job could not be done",
    )
    top.add_argument("--version", action="version", version=f"rackspec {__version__}")
    commands = top.add_subparsers(dest="command", metavar="COMMAND", required=True)

    begin = commands.add_parser("begin", help="write a first spec that passes", description="Write NAME.rackspec, a first spec with comments.")
    begin.add_argument("name", metavar="NAME", help="name of the rack; the file is called NAME.rackspec")

    inspect = commands.add_parser("inspect", help="check everything", description="Inspect files and folders of specs.")
    inspect.add_argument("paths", metavar="PATH", nargs="*", default=["."], help="a file, a folder, or - for standard input (default: this folder)")
    inspect.add_argument("--fail-at", choices=("error", "warning", "note", "never"), help="exit with 1 from this severity on (default: error, or what the house says)")
    inspect.add_argument("--on", metavar="DATE", help="the date that counts as today (year-month-day)")
    inspect.add_argument("--write", metavar="KIND=FILE", action="append", default=[], help="also write a document; kinds: json; FILE - is standard output; may be repeated")
    inspect.add_argument("--named", metavar="FILE", default="", help="where standard input would stand, for its 'use' lines")

    explain = commands.add_parser("explain", help="explain a rule, a word, a unit or a limit", description="Explain a word of the language, a rule, a unit or a limit.")
    explain.add_argument("word", metavar="WORD", nargs="+", help="a word, a rule, a unit, 'rules', 'words' or 'limits'")

    export = commands.add_parser("export", help="print schemas of the documents that are written", description="Print a JSON Schema.")
    export.add_argument("--schema", metavar="NAME", required=True, help="name of the schema: findings")
    return top


COMMANDS = ("begin", "inspect", "explain", "export")
"""Each has a file of its name in this folder, with a function ``run``; it is imported when it is asked for."""


def command(name: str) -> Callable[[argparse.Namespace], int]:
    """The function of a command."""
    run: Callable[[argparse.Namespace], int] = import_module(f"rackspec.cli.{name}").run
    return run


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command line."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure") and (stream.encoding or "").lower().replace("-", "") != "utf8":
            stream.reconfigure(errors="backslashreplace")
    try:
        options = parser().parse_args(arguments)
    except SystemExit as stop:
        return int(stop.code or 0)
    try:
        code = command(options.command)(options)
        sys.stdout.flush()
        return code
    except Failure as failure:
        print(f"rackspec: {failure}", file=sys.stderr)
        return FAILED
    except BrokenPipeError:
        # the reader has seen enough; python must not complain about the rest at its end
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except OSError as error:
        print(f"rackspec: {error.filename or 'output'}: {error.strerror}", file=sys.stderr)
        return FAILED
    except KeyboardInterrupt:
        print("rackspec: stopped", file=sys.stderr)
        return FAILED
