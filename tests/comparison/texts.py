"""Specs held in memory: texts by name go in, results and comparisons come out, without a disk in between."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping

from rackspec.comparison import Comparison, compare
from rackspec.comparison.hole_record import FREED, HELD
from rackspec.pipeline import Request, Result, inspect
from tests.conftest import ROOT, TODAY

TOP = "/plover-hatch"


class Texts:
    """A store of texts, all below one folder."""

    def __init__(self, texts: Mapping[str, str]) -> None:
        self._texts = {os.path.join(TOP, name): text for name, text in texts.items()}
        self._folders = {TOP} | {os.path.dirname(path) for path in self._texts}
        self._folders |= {os.path.dirname(folder) for folder in self._folders if folder != TOP}

    def real(self, path: str) -> str:
        return os.path.normpath(path)

    def is_file(self, path: str) -> bool:
        return os.path.normpath(path) in self._texts

    def is_folder(self, path: str) -> bool:
        return os.path.normpath(path) in self._folders

    def exists(self, path: str) -> bool:
        path = os.path.normpath(path)
        return path in self._texts or path in self._folders or path == os.path.join(TOP, ".git")

    def entries(self, folder: str) -> list[str]:
        folder = os.path.normpath(folder)
        here = [path for path in (*self._texts, *self._folders) if os.path.dirname(path) == folder]
        return sorted(os.path.basename(path) for path in here)

    def files_under(self, folder: str, _closed: list[OSError] | None, /) -> Iterator[tuple[str, bool]]:
        folder = os.path.normpath(folder)
        yield from ((path, False) for path in self._texts if path.startswith(folder + "/"))

    def read(self, path: str, _most: int) -> bytes:
        return self._texts[os.path.normpath(path)].encode("utf-8", "surrogatepass")


def seen(texts: Mapping[str, str] | str, *paths: str) -> Result:
    """The result of some texts by name, or of one text."""
    named = {"spec.rackspec": texts} if isinstance(texts, str) else texts
    return inspect(Request(paths or (".",), TOP, TODAY, store=Texts(named)))


def compared(old: Mapping[str, str] | str, new: Mapping[str, str] | str, *paths: str) -> Comparison:
    """What the change from some texts to others does."""
    return compare(seen(old, *paths), seen(new, *paths))


def demo() -> dict[str, str]:
    """The demo, by name."""
    folder = ROOT / "specs"
    return {
        str(path.relative_to(folder)): path.read_text(encoding="utf-8") for path in sorted(folder.rglob("*.rackspec"))
    }


FLIPPED = {"added": "removed", "removed": "added"}
BACK = {FREED: HELD, HELD: FREED}


def contents(comparison: Comparison, mirrored: bool = False) -> dict[str, list[object]]:
    """What a comparison says, in an order that hangs on nothing but what it says.

    With ``mirrored`` as the way back would have to say it. Names are left out, because either way says them as its own
    new side does.
    """

    def sides(old: object, new: object) -> tuple[object, object]:
        return (new, old) if mirrored else (old, new)

    sign = -1 if mirrored else 1
    changes: list[object] = []
    for one in comparison.changes:
        action = FLIPPED.get(one.action, one.action) if mirrored else one.action
        alone = one.action == "swapped"  # either panel may stand for both
        shift = None if one.shift is None or alone else sign * one.shift
        spots = sides(*(spot and (spot.what, spot.start, spot.width, spot.word) for spot in (one.before, one.after)))
        details = tuple((detail.word, *sides(detail.old, detail.new)) for detail in one.details)
        changes.append(
            (
                action,
                one.kind,
                one.word,
                sides(one.old, one.new) if one.action not in ("replaced", "reordered") else "",
                sides(*one.levels),
                len(one.names),
                shift,
                "" if alone or one.names else spots,
                details,
            )
        )
    figures: list[object] = []
    holes: list[object] = []
    unknown: list[object] = []
    for rack in comparison.racks:
        for figure in rack.figures:
            better = figure.better if figure.better is None or not mirrored else not figure.better
            known = sides(figure.lost, figure.gained)
            values = (sides(figure.old, figure.new), sides(*figure.bound), better, figure.sure, known)
            figures.append((figure.kind, figure.what, figure.last, figure.unit, *values))
        for hole in rack.holes:
            points = sides(
                *(one and (sorted(one.points), len(one.because), one.drilled) for one in (hole.old, hole.new))
            )
            ways = sorted((move.side, move.line, sign * move.back, sign * move.up) for move in hole.moves)
            release = BACK.get(hole.release, "") if mirrored else hole.release
            holes.append((points, ways, hole.doubts, release, sides(hole.lost, hole.gained)))
        # what nobody knows of a thing that is new is no answer on the way back, where the thing is gone
        facts = sides([item.fact for item in rack.forgotten], [item.fact for item in rack.answered])
        if any(facts):
            unknown.append(tuple(sorted(map(str, item)) for item in facts))  # type: ignore[call-overload]
    status = {"new": "gone", "gone": "new"} if mirrored else {}
    findings: list[object] = []
    for change in comparison.findings:
        counts = sides(*(one and (one.severity, one.waiver) for one in (change.old, change.new)))
        findings.append((status.get(change.status, change.status), change.shown.rule, counts))
    return {
        "changes": sorted(changes, key=repr),
        "figures": sorted(figures, key=repr),
        "holes": sorted(holes, key=repr),
        "unknown": sorted(unknown, key=repr),
        "findings": sorted(findings, key=repr),
        "not understood": [sides(*comparison.not_understood)],
    }
