"""``rackspec tidy``: in: paths, out: the same files in the one layout, or their layout on standard output."""

from __future__ import annotations

import errno
import os
import sys
from typing import TYPE_CHECKING

from rackspec.cli.main import DONE, FAILED, FOUND, Failure
from rackspec.cli.output import Output, read_standard_input
from rackspec.cli.painting import painter
from rackspec.cli.writing import write_whole
from rackspec.files import LARGEST_FILE, files_below, from_bytes, inside, root_of, shown
from rackspec.findings import Finding, in_order
from rackspec.language.layout import tidy
from rackspec.store import DISK
from rackspec.views.text import counted, findings_lines

if TYPE_CHECKING:
    import argparse

MARK = "\ufeff"
"""The byte-order mark, which some editors put in front of a text."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """What the command takes."""
    add = parser.add_argument
    add("paths", metavar="PATH", nargs="*", default=["."], help="a file, a folder, or - (this folder)")
    add("--show", action="store_true", help="print the layout on standard output; write nothing")


class Work:
    """What has been done so far, and what went wrong."""

    def __init__(self, folder: str, show: bool, quiet: bool) -> None:
        self.folder = folder
        self.show = show
        self.told = sys.stderr if quiet else sys.stdout
        """Where the files that changed are named: not in the middle of a text."""
        self.files = 0
        self.changed: list[str] = []
        self.refused: list[str] = []
        self.failed: list[str] = []
        self._done: set[str] = set()

    def path(self, path: str) -> None:
        """Tidy what a path names."""
        full = os.path.join(self.folder, path)
        if path == "-":
            self.standard_input()
        elif path and os.path.isdir(full):
            closed: list[OSError] = []
            for name in files_below(full, root_of(full), DISK, closed):
                self.file(name)
            self.failed += [f"{shown(str(error.filename), self.folder)}: {error.strerror}" for error in closed]
        elif path and os.path.exists(full) and not inside(full, root_of(os.path.dirname(full))):
            self.failed.append(f"{path}: this link leads out of the folder it belongs to")
        elif path and os.path.exists(full):
            self.file(full)
        else:
            self.failed.append(f"{path or repr(path)}: there is no such file or folder")

    def file(self, path: str) -> None:
        """Tidy one file."""
        real = os.path.realpath(path)
        if real in self._done:
            return
        self._done.add(real)
        name = shown(path, self.folder)
        if not self.show and not os.path.isfile(path):
            self.failed.append(f"{name}: this is no file that could be written anew; --show prints its layout")
            return
        try:
            data = DISK.read(path, max(LARGEST_FILE, os.path.getsize(path)) if self.show else LARGEST_FILE)
        except OSError as error:
            self.failed.append(f"{name}: {error.strerror or 'cannot be read'}")
            return
        laid = self.laid_out(name, data)
        if self.show:
            put(data if laid is None else laid.encode("utf-8"))
        elif laid is not None and laid.encode("utf-8") != data:
            self.write(path, name, laid, data)

    def write(self, path: str, name: str, laid: str, before: bytes) -> None:
        """Put a layout into its file, unless that is closed to writing: a new file in its place would not ask.

        ``before`` is what was laid out: if somebody saves the file meanwhile, theirs is what stays.
        """
        try:
            if not os.access(path, os.W_OK):
                raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
            if DISK.read(path, LARGEST_FILE) != before:
                self.failed.append(f"{name}: left as it is, because it was changed meanwhile; run tidy again")
                return
            write_whole(path, laid)
        except OSError as error:
            self.failed.append(f"{name}: {error.strerror}")
            return
        self.changed.append(name)
        print(f"tidied: {name}", file=self.told)

    def standard_input(self) -> None:
        """Tidy standard input, onto standard output; what is not understood comes out as it was."""
        data = read_standard_input()
        laid = self.laid_out("-", data)
        put(data if laid is None else laid.encode("utf-8"))

    def laid_out(self, name: str, data: bytes) -> str | None:
        """The bytes of a file as a text laid out; None where something was not understood, which is told."""
        self.files += 1
        read = from_bytes(name, data)
        if read.findings:
            self.refuse(name, read.findings)
            return None
        layout = tidy(read.source)
        if layout.refused:
            self.refuse(name, layout.refused)
            return None
        if layout.astray:
            self.failed.append(
                f"{name}: left as it was, because its layout would not have said the same; please report"
            )
            return None
        return (MARK if data.startswith(MARK.encode()) else "") + layout.text

    def refuse(self, name: str, findings: tuple[Finding, ...]) -> None:
        """Tell why a file stays as it is."""
        self.refused.append(name)
        for line in findings_lines(in_order(list(findings)), painter(sys.stderr)):
            print(line, file=sys.stderr)
        print(f"rackspec: {name} stays as it is until this is mended", file=sys.stderr)


def put(data: bytes) -> None:
    """Put bytes on standard output, as they are."""
    if isinstance(sys.stdout, Output):
        sys.stdout.write_bytes(data)
    else:
        sys.stdout.write(data.decode("utf-8", "replace"))


def run(options: argparse.Namespace) -> int:
    """Tidy all paths."""
    try:
        work = Work(os.getcwd(), options.show, "-" in options.paths)
    except FileNotFoundError:
        raise Failure("the current folder is gone") from None
    if options.paths.count("-") > 1:
        raise Failure("standard input can be named once")
    for path in options.paths:
        work.path(path)
    if not options.show and options.paths != ["-"]:
        refused = f", {len(work.refused)} left as it was" if work.refused else ""
        print(f"{counted(work.files, 'file')}: {len(work.changed)} tidied{refused}", file=work.told)
    for reason in work.failed:
        print(f"rackspec: {reason}", file=sys.stderr)
    return FAILED if work.failed else FOUND if work.refused else DONE
