"""Documents by kind: in: a kind, a result and what holds for the run, out: the document as text.

Each kind has a file of its own, which is read only when it is asked for.
"""

from __future__ import annotations

from collections.abc import Callable

from rackspec.pipeline import Result


def _json(result: Result, _level: str, _folder: str) -> str:
    from rackspec.views.json_findings import findings_json

    return findings_json(result)


def _sarif(result: Result, _level: str, folder: str) -> str:
    from rackspec.views.sarif import sarif

    return sarif(result, folder)


def _junit(result: Result, level: str, _folder: str) -> str:
    from rackspec.views.junit import junit

    return junit(result, level)


def _annotations(result: Result, _level: str, _folder: str) -> str:
    from rackspec.views.annotations import annotation_lines

    return annotation_lines(result)


def _markdown(result: Result, level: str, _folder: str) -> str:
    from rackspec.views.findings_markdown import findings_markdown

    return findings_markdown(result, level)


KINDS: dict[str, Callable[[Result, str, str], str]] = {
    "json": _json,
    "sarif": _sarif,
    "junit": _junit,
    "annotations": _annotations,
    "markdown": _markdown,
}
"""What ``inspect --write KIND=FILE`` writes."""


def document_of(kind: str, result: Result, level: str, folder: str) -> str:
    """A result as a document of a kind. ``level`` is the failing level, ``folder`` where relative names begin."""
    return KINDS[kind](result, level, folder)
