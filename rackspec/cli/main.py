"""The command line: in: arguments, out: an exit code.

0: nothing at or above the failing level; 1: findings at or above it; 2: the job could not be done.
"""

from __future__ import annotations

import gc
import sys
from collections.abc import Callable, Sequence
from importlib import import_module
from typing import TYPE_CHECKING

from rackspec import __version__
from rackspec.cli.output import Output

if TYPE_CHECKING:
    import argparse

DONE, FOUND, FAILED = 0, 1, 2


class Failure(Exception):
    """The job could not be done; its text is one line for the user."""


COMMANDS = {
    "begin": "write a first spec that passes",
    "inspect": "check everything",
    "tidy": "put files into the one layout",
    "compare": "say what a change does: two files, folders, revisions, or racks",
    "report": "print the worked numbers: fit, power, growth; sheets for assembly and the first power-up",
    "order": "list what a rack needs, and where to buy it: parcels, shipping, rails in money",
    "template": "draw 1:1 sheets to drill and label by: SVG, PDF or DXF",
    "explain": "explain a rule, a word, a unit or a limit",
    "export": "print the racks as a document, or the schema of one",
}
"""Each has a file of its name in this folder, with ``add_arguments`` and ``run``, imported when it is asked for."""


def parser() -> argparse.ArgumentParser:
    """The program as a whole: its commands, and what they are for."""
    import argparse

    top = argparse.ArgumentParser(
        prog="rackspec",
        description="Read racks written down as text, and say whether they fit, close and power up.",
        epilog="exit codes: 0 nothing at the failing level, 1 findings at it or above, 2 the job could not be done",
    )
    top.add_argument("--version", action="version", version=f"rackspec {__version__}")
    commands = top.add_subparsers(dest="command", metavar="COMMAND", required=True)
    for name, text in COMMANDS.items():
        commands.add_parser(name, help=text, add_help=False)
    return top


def parser_of(name: str) -> argparse.ArgumentParser:
    """One command and its arguments."""
    import argparse

    text = COMMANDS[name]
    command = argparse.ArgumentParser(prog=f"rackspec {name}", description=text[0].upper() + text[1:] + ".")
    import_module(f"rackspec.cli.{name}").add_arguments(command)
    return command


def parsed(command: argparse.ArgumentParser, given: list[str]) -> argparse.Namespace:
    """The options of a command line. Paths may stand before and behind options, which takes longer to find out."""
    options, left = command.parse_known_args(given)
    return command.parse_intermixed_args(given) if left else options


def command_line() -> int:
    """The program as a process of its own.

    A run is short, and what it makes is needed to its end: garbage collection would be a third of the reading, and once
    more a tenth of the whole run when Python ends.
    """
    gc.disable()
    code = main()
    gc.freeze()
    return code


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command line."""
    before = sys.stdout, sys.stderr
    out, err = Output(sys.stdout), Output(sys.stderr)
    sys.stdout, sys.stderr = out, err
    try:
        code = carry_out(sys.argv[1:] if arguments is None else list(arguments))
        out.flush()
        if out.fault:
            err.write(f"rackspec: standard output: {out.fault}\n")
            code = FAILED
        err.flush()
        return code
    finally:
        sys.stdout, sys.stderr = before


def carry_out(given: list[str]) -> int:
    """Run a command, whatever happens to it."""
    try:
        name = given[0] if given else ""
        if name not in COMMANDS:  # help, version, or a slip
            parser().parse_args(given)
        command = import_module(f"rackspec.cli.{name}")
        plain = getattr(command, "plain_options", None)
        options = plain(given[1:]) if plain is not None else None
        run: Callable[[object], int] = command.run
        return run(parsed(parser_of(name), given[1:]) if options is None else options)
    except SystemExit as stop:
        return int(stop.code or 0)
    except Failure as failure:
        reason = str(failure)
    except OSError as error:
        reason = f"{error.filename or 'output'}: {error.strerror}"
    except KeyboardInterrupt:
        reason = "stopped"
    print(f"rackspec: {' '.join(reason.split())}", file=sys.stderr)
    return FAILED
