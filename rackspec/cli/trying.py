"""``rackspec inspect --try``: in: a request and what might be bought, out: the answer as text, and an exit code."""

from __future__ import annotations

import sys

from rackspec.cli.main import DONE, FAILED, FOUND
from rackspec.pipeline import Request
from rackspec.solve.question import ask
from rackspec.views.candidate import candidate_lines
from rackspec.views.slips import slip_lines
from rackspec.views.text import Painter


def run_trial(request: Request, asked: str, rack: str, paint: Painter) -> int:
    """0: at least one rack can take it and breaks no error-level rule; 1: none can, or facts were not understood."""
    answer = ask(request, asked, rack)
    for line in slip_lines(answer.findings, paint):
        print(line)
    if answer.part is not None:
        for line in candidate_lines(answer.part, answer.trials, paint):
            print(line)
    for reason in answer.failed:
        print(f"rackspec: {reason}", file=sys.stderr)
    if answer.failed:
        return FAILED
    return DONE if any(trial.takes for trial in answer.trials) else FOUND
