"""``rackspec export``: in: the name of a schema, out: the schema as text."""

from __future__ import annotations

import argparse
import sys

from rackspec.cli.main import DONE, Failure
from rackspec.views.schema import schema_names, schema_text


def run(options: argparse.Namespace) -> int:
    """Print a schema."""
    try:
        sys.stdout.write(schema_text(options.schema))
    except KeyError:
        raise Failure(f"there is no schema '{options.schema}'; there are: {', '.join(schema_names())}") from None
    return DONE
