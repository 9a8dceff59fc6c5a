"""From paths to results, on one page: read, parse, link, inspect. The file to read first.

In: what to inspect and the date of the day. Out: findings in order, the linked racks, margins, what is not known yet.
No clock, no environment and no printing here: those belong to ``cli``.
"""

import os
from datetime import date
from typing import NamedTuple

from rackspec.files import root_of, shown
from rackspec.findings import Finding, in_order
from rackspec.language.bound import Block
from rackspec.model.house import NO_HOUSE, House
from rackspec.project import Project, read_projects
from rackspec.rules.registry import Rule, load_rules
from rackspec.seeing import Inspected, inspect_rack, see
from rackspec.store import DISK, Store
from rackspec.summary import RackSummary
from rackspec.waivers import apply_flags


class Request(NamedTuple):
    """What to inspect: paths (``-`` is ``stdin_text``, which stands where the file ``named`` would), from which
    folder they are taken, the date that counts as today, rules that look only when they are asked for
    (``part-unused``), and the store that holds the files: the disk, or a git revision."""

    paths: tuple[str, ...]
    folder: str
    today: date
    stdin_text: bytes | None = None
    named: str = ""
    also: tuple[str, ...] = ()
    store: Store = DISK


class Result(NamedTuple):
    """Everything that an inspection says.

    ``names``: the files that were named, as they are shown. ``racks``: the linked racks, and ``summaries`` what people
    are shown of each. ``things``: the blocks of everything named that these files hold or use, racks and houses too.
    ``failed``: named paths that could not be read, each with the reason. ``not_checked``: words of lines of the library
    and the house that no rule looks at yet.
    """

    findings: tuple[Finding, ...]
    racks: tuple[Inspected, ...]
    summaries: tuple[RackSummary, ...]
    names: tuple[str, ...]
    things: tuple[Block, ...]
    fail_at: str
    failed: tuple[str, ...]
    not_checked: tuple[str, ...] = ()

    @property
    def files(self) -> int:
        """How many files were named."""
        return len(self.names)


def inspect(request: Request) -> Result:
    """Inspect paths. Never raises on what is in the files; a path that cannot be read is told in ``failed``."""
    rules = load_rules()
    projects, failed = read_request(request)
    findings: list[Finding] = []
    racks: list[Inspected] = []
    summaries: list[RackSummary] = []
    fail_at = ""
    for project in projects:
        found, inspected, summed = inspect_project(project, rules, request)
        findings += found
        racks += inspected
        summaries += summed
        fail_at = fail_at or project.house.fail_at
    return Result(
        findings=tuple(in_order(findings)),
        racks=tuple(racks),
        summaries=tuple(summaries),
        names=tuple(name for project in projects for name in project.shown_names()),
        things=tuple(block for project in projects for block in project.things()),
        fail_at=fail_at,
        failed=tuple(failed),
        not_checked=tuple(line.word for project in projects for line in project.later()),
    )


def read_request(request: Request) -> tuple[list[Project], list[str]]:
    """The projects of the paths, by root, and the paths that could not be read, each with the reason."""
    return read_projects(request.paths, request.folder, request.stdin_text, request.named, request.store)


def inspect_project(
    project: Project, rules: dict[str, Rule], request: Request
) -> tuple[list[Finding], list[Inspected], list[RackSummary]]:
    """Link and inspect everything that one root holds of a run."""
    findings: list[Finding] = []
    inspected: list[Inspected] = []
    summaries: list[RackSummary] = []
    for rack in project.link():
        sight = see(rack, project.house, rules, request.today, project.is_sound)
        findings += sight.findings
        inspected.append(sight.inspected)
        summaries.append(sight.summary)
    findings += project.findings()
    if "part-unused" in request.also:
        findings += project.unused()
    return apply_flags(findings, project.house, rules), inspected, summaries


class HouseInForce(NamedTuple):
    """What holds below one root (shown as ``root``), and what was not understood of it."""

    root: str
    house: House
    findings: tuple[Finding, ...]


def houses(request: Request) -> tuple[list[HouseInForce], list[str]]:
    """The house of each root that the paths belong to, and the paths that could not be read."""
    projects, failed = read_request(request)
    roots = {project.root for project in projects}
    for path in request.paths:
        folder = os.path.join(request.folder, path)
        if (
            request.store.is_folder(folder) and root_of(folder) not in roots
        ):  # a folder without specs has a house all the same
            projects.append(Project(root_of(folder), request.folder))
            projects[-1].close()
            roots.add(root_of(folder))
    rules = load_rules()
    found = []
    for project in projects:
        project.link()
        house = project.house
        source = house.place.source if house.place is not None else None
        own = [finding for finding in project.findings() if finding.place.source is source]
        root = shown(project.root, request.folder)
        found.append(HouseInForce(root, house, tuple(in_order(apply_flags(own, house, rules)))))
    return found, failed


__all__ = [
    "NO_HOUSE",
    "HouseInForce",
    "Inspected",
    "Request",
    "Result",
    "houses",
    "inspect",
    "inspect_project",
    "inspect_rack",
    "read_request",
]
