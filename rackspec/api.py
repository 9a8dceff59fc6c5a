"""rackspec from Python: in: paths, texts or revisions, out: racks, results and comparisons, all typed and frozen.

What is named in ``__all__`` here stays as it is until the first number of the version rises; records may gain fields.
Lengths are in mm, currents in mA, exact (``Fraction``). The command line says the same as these functions do.
"""

from __future__ import annotations

import os
from datetime import date

from rackspec.comparison import Comparison
from rackspec.comparison import compare as compare_results
from rackspec.findings import ERROR, Edit, Finding, Place, Source, Waiver, in_order
from rackspec.git.repository import RevisionFailure
from rackspec.model.known import Known, KnownMoney
from rackspec.model.parts import Insert, PanelPart, Rail
from rackspec.model.rack import Bus, Feed, Panel, Rack, Row, Stage, Wish
from rackspec.pipeline import Inspected, Request, Result, read_request
from rackspec.pipeline import inspect as inspect_request
from rackspec.sides import Here, one_side, since_base, two_sides
from rackspec.summary import PowerLine, RackSummary, RowLine
from rackspec.views.comparison_verdict import verdict

__all__ = [
    "Bus",
    "CannotRead",
    "Comparison",
    "Edit",
    "Feed",
    "Finding",
    "Insert",
    "Inspected",
    "Known",
    "KnownMoney",
    "NotUnderstood",
    "Panel",
    "PanelPart",
    "Place",
    "PowerLine",
    "Rack",
    "RackSummary",
    "Rail",
    "Result",
    "Row",
    "RowLine",
    "Source",
    "Stage",
    "Waiver",
    "Wish",
    "compare",
    "inspect",
    "load",
    "verdict",
]


class CannotRead(Exception):
    """A path or a revision cannot be read; the text says which, and why."""


class NotUnderstood(Exception):
    """Some lines were not understood, or name what is not there; ``findings`` says where, in order."""

    def __init__(self, findings: tuple[Finding, ...]) -> None:
        first = findings[0]
        super().__init__(f"{first.place.source.name}: {first.message}" + (" …" if len(findings) > 1 else ""))
        self.findings = findings


def _request(paths: tuple[str | os.PathLike[str], ...], text: str | None, named: str, on: date | None) -> Request:
    """A request for paths, or for a text."""
    if text is not None and paths:
        raise ValueError("give paths or a text, not both")
    wanted = ("-",) if text is not None else tuple(os.fspath(path) for path in paths) or (".",)
    stdin = text.encode("utf-8", "surrogatepass") if text is not None else None
    return Request(wanted, os.getcwd(), on or date.today(), stdin, named)


def load(*paths: str | os.PathLike[str], text: str | None = None, named: str = "") -> tuple[Rack, ...]:
    """The linked racks of files and folders (none given: the current folder), or of a ``text``, which stands where the
    file ``named`` would. Raises CannotRead and NotUnderstood."""
    projects, failed = read_request(_request(paths, text, named, date.min))
    if failed:
        raise CannotRead("; ".join(failed))
    racks = tuple(rack for project in projects for rack in project.link())
    told = [finding for project in projects for finding in project.findings() if finding.severity == ERROR]
    if told:
        raise NotUnderstood(tuple(in_order(told)))
    return racks


def inspect(*paths: str | os.PathLike[str], text: str | None = None, named: str = "", on: date | None = None) -> Result:
    """Everything that an inspection says of files and folders, or of a text. ``on`` is the day that counts as today.

    What is wrong in a spec is a finding, never an exception. Raises CannotRead.
    """
    result = inspect_request(_request(paths, text, named, on))
    if result.failed:
        raise CannotRead("; ".join(result.failed))
    return result


def compare(
    old: str | os.PathLike[str],
    new: str | os.PathLike[str] | None = None,
    *,
    racks: tuple[str, str] | None = None,
    on: date | None = None,
) -> Comparison:
    """What a change does: ``old`` and ``new`` are files, folders, git revisions, ``REVISION:PATH``; or ``old`` is
    ``BASE...``, against the files that are here; or two ``racks`` of ``old``. Raises CannotRead."""
    here = Here(os.getcwd(), on or date.today())
    first = os.fspath(old)
    try:
        if racks is not None:
            before = after = one_side(first, here)
        elif new is not None:
            before, after = two_sides(first, os.fspath(new), here)
        elif "..." in first:
            before, after = since_base(first, (), here)
        else:
            raise ValueError("give two sides, or BASE..., or two racks")
        results = [inspect_request(before.request)]
        results.append(results[0] if after is before else inspect_request(after.request))
    except RevisionFailure as failure:
        raise CannotRead(str(failure)) from None
    failed = [reason for result in results for reason in result.failed]
    if failed:
        raise CannotRead("; ".join(dict.fromkeys(failed)))
    if not any(result.names for result in results):
        raise CannotRead("neither side holds a .rackspec file")
    missing = [rack for rack in racks or () if rack not in {seen.rack.name for seen in results[0].racks}]
    if missing:
        raise CannotRead(f"no rack is called '{missing[0]}' there")
    return compare_results(results[0], results[1], racks)
