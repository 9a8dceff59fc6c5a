"""An inspection as it is said: in: a request and how it is to be told, out: texts for people and documents.

What is here is only read when a run has something new to say (``cli/inspect.py``).
"""

import os
from collections.abc import Sequence
from typing import NamedTuple

from rackspec.cli.cache import Cache
from rackspec.cli.inspect import Said
from rackspec.cli.main import DONE, FAILED, FOUND
from rackspec.cli.painting import painter_for
from rackspec.pipeline import Request, Result, inspect
from rackspec.views.failing import fails
from rackspec.views.text import result_lines

MANY = 32
"""Files from which on what is seen of each is kept for the next run, too (measured)."""


class Keeping(NamedTuple):
    """Where what is seen is kept, and under which key; no cache, no keeping."""

    cache: Cache | None
    key: bytes


def found(request: Request, keeping: Keeping) -> Result:
    """What an inspection finds; of many files what is known already is not looked at again."""
    plain = keeping.cache.get(keeping.key) if keeping.cache is not None else None
    if plain is None and not is_many(request):
        return inspect(request)
    from rackspec.cli.progress import Progress
    from rackspec.many import count_files, inspect_many
    from rackspec.memory import Memory

    memory = Memory(plain)
    progress = Progress(count_files(request))
    try:
        result = inspect_many(request, memory, cores(), progress.told)
    finally:
        progress.end()
    if keeping.cache is not None:
        kept = memory.plain()
        if kept != plain:
            keeping.cache.put(keeping.key, kept)
    return result


def is_many(request: Request) -> bool:
    """Whether the paths may name many files: a folder is listed once in a run, so that this costs nothing more."""
    if not any(request.store.is_folder(os.path.join(request.folder, path)) for path in request.paths):
        return len(request.paths) >= MANY
    from rackspec.many import count_files

    return count_files(request) >= MANY


def cores() -> int:
    """How many processors this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def say(
    request: Request, fail_at: str | None, kinds: Sequence[str], keeping: Keeping, *, coloured: bool
) -> tuple[Said, bool]:
    """Inspect and tell; and whether the same would be said again, as long as the files stay as they are."""
    result = found(request, keeping)
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
