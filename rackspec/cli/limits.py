"""``rackspec inspect --show-limits``: in: a request, out: every limit in force as text, and an exit code."""

from __future__ import annotations

import sys

from rackspec.cli.main import DONE, FAILED, FOUND
from rackspec.pipeline import Request, houses
from rackspec.views.limits import limit_lines
from rackspec.views.slips import slip_lines
from rackspec.views.text import Painter


def run_limits(request: Request, paint: Painter) -> int:
    """0: they are shown; 1: the house has lines that were not understood, so that more may have been meant."""
    found, failed = houses(request)
    for number, house in enumerate(found):
        if number:
            print()
        for line in (*slip_lines(house.findings, paint), *limit_lines(house.house, house.root, paint)):
            print(line)
    for reason in failed:
        print(f"rackspec: {reason}", file=sys.stderr)
    if failed:
        return FAILED
    return FOUND if any(house.findings for house in found) else DONE
