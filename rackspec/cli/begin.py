"""``rackspec begin``: in: a name, out: a first spec with comments, in a file that was not there before."""

from __future__ import annotations

import os
import re
from typing import TYPE_CHECKING

from rackspec.cli.main import DONE, Failure
from rackspec.cli.writing import write_whole
from rackspec.files import HOUSE_FILE, SUFFIX
from rackspec.views.first_spec import first_spec

if TYPE_CHECKING:
    import argparse

NAME = re.compile(r"[^\W\d_]\w*(?:-\w+)*")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """What the command takes."""
    parser.add_argument("name", metavar="NAME", help="name of the rack; the file is called NAME.rackspec")


def run(options: argparse.Namespace) -> int:
    """Write the first spec."""
    from rackspec.language.lines import read_shape
    from rackspec.language.words import RESERVED

    name = options.name.removesuffix(SUFFIX)
    if name in RESERVED:
        raise Failure(f"'{name}' is no name for a rack: the word is reserved; choose another name")
    if not NAME.fullmatch(name) or read_shape(f"rack {name} {{").values[1].kind != "name":
        raise Failure(f"'{options.name}' is no name for a rack: letters, digits and single hyphens, such as desk-rack")
    path = name + SUFFIX
    if path == HOUSE_FILE:
        raise Failure(f"{path} is the name of the file with the house's rules; choose another name")
    if os.path.lexists(path):
        raise Failure(f"{path} is there already, and nothing is overwritten; choose another name")
    write_whole(path, first_spec(name))
    print(f"{path} is written. Look at it:   rackspec inspect {path}")
    return DONE
