"""An inspection as it is said: in: a request and how it is to be told, out: texts for people and documents.

What is here is only read when a run has something new to say (``cli/inspect.py``).
"""

from __future__ import annotations

from collections.abc import Sequence

from rackspec.cli.inspect import Said
from rackspec.cli.main import DONE, FAILED, FOUND
from rackspec.cli.painting import painter_for
from rackspec.pipeline import Request, inspect
from rackspec.views.failing import fails
from rackspec.views.text import result_lines


def say(request: Request, fail_at: str | None, kinds: Sequence[str], *, coloured: bool) -> tuple[Said, bool]:
    """Inspect and tell; and whether the same would be said again, as long as the files stay as they are."""
    result = inspect(request)
    level = fail_at or result.fail_at or "error"
    code = FAILED if result.failed else FOUND if fails(result, level) else DONE
    documents = []
    for kind in kinds:
        from rackspec.views.documents import document_of  # most runs write none

        documents.append(document_of(kind, result, level, request.folder))
    text = "".join(f"{line}\n" for line in result_lines(result, painter_for(coloured)))
    told = [f"rackspec: {reason}\n" for reason in result.failed]
    if not result.files and not result.failed:
        told.insert(0, "rackspec: no .rackspec file here; 'rackspec begin NAME' writes a first one\n")
    return Said(code, text, tuple(documents), "".join(told)), not result.failed
