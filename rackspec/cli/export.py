"""``rackspec export``: in: the name of a schema, out: the schema as text."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from rackspec.cli.main import DONE, Failure
from rackspec.views.schema import schema_names, schema_text

if TYPE_CHECKING:
    import argparse


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """What the command takes."""
    parser.add_argument("--schema", metavar="NAME", required=True, help="name of the schema: findings")


def run(options: argparse.Namespace) -> int:
    """Print a schema."""
    try:
        sys.stdout.write(schema_text(options.schema))
    except KeyError:
        raise Failure(f"there is no schema '{options.schema}'; there are: {', '.join(schema_names())}") from None
    return DONE
