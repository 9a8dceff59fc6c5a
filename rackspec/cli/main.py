"""The command line: in: arguments, out: an exit code.

0: nothing at or above the failing level; 1: findings at or above it; 2: the job could not be done.
"""

from __future__ import annotations

import argparse
import gc
import sys
from collections.abc import Callable, Sequence
from importlib import import_module

from rackspec import __version__
from rackspec.cli.output import Output

DONE, FOUND, FAILED = 0, 1, 2


class Failure(Exception):
    """The job could not be done; its text is one line for the user."""


COMMANDS = {
    "begin": "write a first spec that passes",
    "inspect": "check everything",
    "report": "print the worked numbers: fit, power, growth, a sheet for the first power-up",
    "explain": "explain a rule, a word, a unit or a limit",
    "export": "print schemas of the documents that are written",
}
"""Each has a file of its name in this folder, with ``add_arguments`` and ``run``; it is imported when it is asked for."""


def parser() -> argparse.ArgumentParser:
    """The program as a whole: its commands, and what they are for."""
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
    text = COMMANDS[name]
    command = argparse.ArgumentParser(prog=f"rackspec {name}", description=text[0].upper() + text[1:] + ".")
    import_module(f"rackspec.cli.{name}").add_arguments(command)
    return command


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command line."""
    gc.disable()  # a run is short, and what it makes is needed to its end: looking for rubbish is a third of the reading
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
        options = parser_of(name).parse_args(given[1:])
        run: Callable[[argparse.Namespace], int] = import_module(f"rackspec.cli.{name}").run
        return run(options)
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
