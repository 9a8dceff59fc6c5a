"""``inspect --try``: in: what to read and what might be bought, out: the trials, or why there is none."""

from __future__ import annotations

from typing import NamedTuple

from rackspec.findings import Finding, in_order
from rackspec.language.suggest import nearest
from rackspec.model.parts import PanelPart
from rackspec.pipeline import Request, read_request
from rackspec.project import Project
from rackspec.rules.registry import load_rules
from rackspec.solve.candidate import is_typed, named, no_such, read_typed
from rackspec.solve.trial import Judge, Trial, try_in


class Answer(NamedTuple):
    """What came of it. ``failed``: why the job could not be done; ``findings``: what was not understood of the part."""

    part: PanelPart | None
    trials: tuple[Trial, ...]
    findings: tuple[Finding, ...]
    failed: tuple[str, ...]


def nothing(*failed: str, findings: tuple[Finding, ...] = ()) -> Answer:
    """An answer without trials."""
    return Answer(None, (), findings, failed)


def ask(request: Request, asked: str, only: str = "") -> Answer:
    """Try what is asked for in each rack of the paths, or in the one of a name. Nothing is written.

    ``asked`` is the name of a module or supply, or facts as they would stand in its block, separated by ``;``.
    """
    if not asked.strip(" ;\t\n"):
        return nothing('--try takes the name of a module, or its facts, such as --try "width 8HP; depth 30mm"')
    typed: PanelPart | None = None
    if is_typed(asked):
        read = read_typed(asked)
        if read.part is None:
            return nothing(findings=tuple(in_order(list(read.findings))))
        typed = read.part
    rules = load_rules()
    projects, failed = read_request(request)
    racks = [(project, rack) for project in projects for rack in project.link()]
    libraries = [project.library for project in projects]
    parts = {project.root: typed or named(asked.strip(), project.library) for project in projects}
    part = next((found for found in parts.values() if found is not None), None)
    if part is None:
        return nothing(*failed, *([] if failed and not racks else [no_such(asked.strip(), libraries)]))
    wanted = [(project, rack) for project, rack in racks if not only or rack.name == only]
    if not wanted:
        return nothing(*failed, no_rack(only, [rack.name for _, rack in racks]))
    if part.spoiled:
        return nothing(*failed, findings=tuple(in_order(found_in(projects, part))))
    trials = []
    for project, rack in wanted:
        here = parts[project.root]
        if here is not None:
            trials.append(try_in(rack, here, Judge(project.house, rules, request.today)))
    return Answer(part, tuple(trials), (), tuple(failed))


def no_rack(name: str, known: list[str]) -> str:
    """Why there is no rack to try it in."""
    if not name or not known:
        return "there is no rack here to try it in"
    near = nearest(name, known)
    meant = "write " + " or ".join(f"'{other}'" for other in near) if near else f"there are: {', '.join(known[:6])}"
    return f"no rack is called '{name}'; {meant}"


def found_in(projects: list[Project], part: PanelPart) -> list[Finding]:
    """What was found in the file of a part of which some lines were not understood."""
    findings = [finding for project in projects for finding in project.findings()]
    return [finding for finding in findings if finding.place.source is part.place.source]
