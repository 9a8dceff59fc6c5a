"""Inspecting many files: in: a request, a memory, how many processes, out: the same result, sooner.

Its racks and things are left out of the result: what is taken from memory is not linked again.
"""

from __future__ import annotations

import os
from collections.abc import Callable

from rackspec.files import files_below, root_of
from rackspec.findings import Finding, in_order
from rackspec.memory import Memory
from rackspec.pipeline import Request, Result, inspect
from rackspec.project import Project, read_projects
from rackspec.remembering import inspect_remembering, is_clean
from rackspec.rules.registry import load_rules
from rackspec.signatures import Signatures
from rackspec.summary import RackSummary
from rackspec.waivers import apply_flags

FEWEST = 64
"""Files of a project, and files among them that are not known yet, from which on more processes pay (measured)."""


def count_files(request: Request) -> int:
    """How many spec files the paths name, about."""
    found = 0
    for path in request.paths:
        full = os.path.join(request.folder, path)
        if request.store.is_folder(full):
            found += len(files_below(full, root_of(full, request.store), request.store))
        else:
            found += 1
    return found


def _read(request: Request, clean: Callable[..., bool]) -> tuple[list[Project], list[str]]:
    return read_projects(request.paths, request.folder, request.stdin_text, request.named, request.store, clean)


def inspect_many(
    request: Request, memory: Memory, workers: int, told: Callable[[int], None] = lambda _: None
) -> Result:
    """Inspect paths, taking from ``memory`` what is known and learning the rest, with so many ``workers``.

    ``told`` hears how many more files or racks were looked at. Never raises on what is in the files.
    """
    if request.also:
        return inspect(request)
    rules = load_rules()

    def together(project: Project, signatures: Signatures) -> None:
        if workers > 1 and len(project.named) >= FEWEST:
            from rackspec.workers import learn_together  # it takes long to import

            learn_together([project], [signatures], rules, request.today, memory, workers, told)

    if not memory.clean and workers > 1 and count_files(request) >= FEWEST:
        # nothing is known: files are outlined only, so that reading them is left to the workers, too
        for project in _read(request, lambda read: not read.findings)[0]:
            project.open_library()
            together(project, Signatures(project, request.today))
    projects, failed = _read(request, lambda read: is_clean(memory, read))
    findings: list[Finding] = []
    summaries: list[RackSummary] = []
    not_checked: list[str] = []
    fail_at = ""
    for project in projects:
        seen = inspect_remembering(project, rules, request.today, memory, told, together)
        if seen is None:
            return inspect(request)
        findings += apply_flags(seen.findings, project.house, rules)
        summaries += seen.summaries
        not_checked += seen.not_checked
        fail_at = fail_at or project.house.fail_at
    return Result(
        findings=tuple(in_order(findings)),
        racks=(),
        summaries=tuple(summaries),
        names=tuple(name for project in projects for name in project.shown_names()),
        things=(),
        fail_at=fail_at,
        failed=tuple(failed),
        not_checked=tuple(not_checked),
    )
