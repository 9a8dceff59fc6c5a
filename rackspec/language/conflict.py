"""Merge-conflict marks: in: the lines of a text, out: the lines of one side, and one finding a conflict."""

from __future__ import annotations

from rackspec.findings import ERROR, Finding, Place, Source
from rackspec.language.tree import Shape

Line = tuple[Shape, int, str]


def without_conflicts(source: Source, lines: list[Line]) -> tuple[list[Line], list[Finding]]:
    """Leave out the marks and the other side, so that nothing is found twice only because both sides stand there."""
    kept: list[Line] = []
    findings: list[Finding] = []
    inside = ""
    for shape, offset, text in lines:
        mark = text[:7]
        if mark == "<<<<<<<":
            inside = "ours"
            place = Place(source, offset, offset + len(text))
            message = "two versions of these lines stand here, left by a merge"
            remedy = "keep the lines that are right and delete the marks '<<<<<<<', '=======' and '>>>>>>>'"
            findings.append(Finding("merge-unfinished", ERROR, message, place, remedy=remedy))
        elif mark == "|||||||" and inside == "ours":
            inside = "base"
        elif mark == "=======" and inside:
            inside = "theirs"
        elif mark == ">>>>>>>":
            if not inside:
                place = Place(source, offset, offset + len(text))
                message = "a mark of a merge was left here"
                findings.append(Finding("merge-unfinished", ERROR, message, place, remedy="delete this line"))
            inside = ""
        elif inside in ("", "ours"):
            kept.append((shape, offset, text))
    return kept, findings
