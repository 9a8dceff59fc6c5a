"""A comparison as JSON: in: a comparison, out: the document that ``compare --write json=FILE`` writes, held against its
schema.

Lengths are in HP where the unit or the key says so, else in mm; currents in mA. Numbers have at most six places and are
never rounded to the good side; drill points, which have none, to the nearest. ``format_version`` rises in its second
place when something is added, in its first when something changes.
"""

from __future__ import annotations

import json
from fractions import Fraction
from typing import Any

from rackspec.comparison.hole_record import Hole, HoleChange, Holes
from rackspec.comparison.record import (
    GONE,
    NEW,
    OTHERWISE,
    Change,
    Comparison,
    Figure,
    FindingChange,
    RackFigures,
    Spot,
    Unknown,
)
from rackspec.comparison.refuse import REFUSABLE, refused
from rackspec.findings import Finding
from rackspec.language.units import HP
from rackspec.views.comparison_groups import part_fact
from rackspec.views.comparison_verdict import verdict
from rackspec.views.comparison_words import in_words
from rackspec.views.decimals import down, up
from rackspec.views.json_findings import finding_record
from rackspec.views.positions import LineTable
from rackspec.views.rack_document_values import nearest
from rackspec.views.schema import checked

FORMAT_VERSION = "1.2"


def number(value: Fraction | None, figure: Figure) -> int | float | None:
    """A value of a figure, rounded to the bad side; a width is said in HP."""
    if value is None:
        return None
    scaled = value / HP if figure.unit == "HP" else value
    return down(scaled) if figure.more_is_better is not False else up(scaled)


def figure_record(figure: Figure) -> dict[str, Any]:
    """A number that is another."""
    return {
        "kind": figure.kind,
        "about": figure.about,
        "what": figure.what,
        "stage": figure.stage or None,
        "last": figure.last,
        "unit": figure.unit,
        "old": number(figure.old, figure),
        "new": number(figure.new, figure),
        "step": number(figure.step, figure),
        "old_bound": figure.bound[0] or None,
        "new_bound": figure.bound[1] or None,
        "better": figure.better,
        "less_known": figure.lost,
        "more_known": figure.gained,
    }


def unknown_record(item: Unknown) -> dict[str, Any]:
    """A fact that is not known."""
    return {"thing": item.thing, "fact": item.fact}


def hole_record(hole: Hole) -> dict[str, Any]:
    """Where a hole goes. No side of it is the good one: it is rounded to the nearest."""
    return {
        "side": hole.side,
        "line": hole.line,
        "back_mm": nearest(hole.back),
        "up_mm": nearest(hole.up),
        "diameter_mm": nearest(hole.diameter),
        "thread": hole.thread,
    }


def holes_record(holes: Holes | None) -> dict[str, Any] | None:
    """The drill points of a row on a side."""
    if holes is None:
        return None
    return {
        "points": [hole_record(hole) for hole in holes.points],
        "released": holes.released,
        "because": list(holes.because),
        "drilled": holes.drilled,
    }


def hole_change_record(change: HoleChange) -> dict[str, Any]:
    """What becomes of the drill points of a row."""
    return {
        "about": change.about,
        "old": holes_record(change.old),
        "new": holes_record(change.new),
        "moves": [
            {"side": move.side, "line": move.line, "back_mm": nearest(move.back), "up_mm": nearest(move.up)}
            for move in change.moves
        ],
        "less_known": change.lost,
        "more_known": change.gained,
    }


def rack_record(rack: RackFigures) -> dict[str, Any]:
    """What a rack comes to."""
    return {
        "name": rack.name,
        "was": rack.was or None,
        "file": rack.file,
        "action": rack.action,
        "figures": [figure_record(figure) for figure in rack.figures],
        "not_known": [unknown_record(item) for item in rack.unknown],
        "not_known_any_more": [unknown_record(item) for item in rack.forgotten],
        "settled": [unknown_record(item) for item in rack.answered],
        "drill_points": [hole_change_record(change) for change in rack.holes],
    }


def spot_record(spot: Spot | None) -> dict[str, Any] | None:
    """Where a panel is."""
    if spot is None:
        return None
    return {
        "what": spot.what,
        "part": spot.part or None,
        "row": spot.row,
        "start_hp": None if spot.start is None else down(spot.start / HP),
        "width_hp": None if spot.width is None else up(spot.width / HP),
        "since": spot.since or None,
        "until": spot.until or None,
        "word": spot.word,
    }


def change_record(change: Change) -> dict[str, Any]:
    """A change, and the same in words."""
    label, text = words_of(change)
    because = change.because
    return {
        "action": change.action,
        "kind": change.kind,
        "name": change.name,
        "was": change.was or None,
        "rack": change.rack or None,
        "word": change.word or None,
        "old": change.old or None,
        "new": change.new or None,
        "old_level": change.levels[0] or None,
        "new_level": change.levels[1] or None,
        "before": spot_record(change.before),
        "after": spot_record(change.after),
        "names": list(change.names),
        "shift_hp": None if change.shift is None else down(change.shift / HP),
        "behind": change.behind or None,
        "because": {"part": because[0], "wider_hp": down(because[1] / HP)} if because is not None else None,
        "details": [{"word": one.word, "old": one.old or None, "new": one.new or None} for one in change.details],
        "touches": list(change.touches),
        "text": f"{label}: {text}" if label else text,
        "fingerprint": change.fingerprint,
    }


def words_of(change: Change) -> tuple[str, str]:
    """A change in words: a label and a sentence."""
    if change.rack or not change.word:
        told = in_words(change)
        return told.label, told.text
    return part_fact(change)


def count_record(finding: Finding | None) -> dict[str, Any] | None:
    """How a finding counts on a side."""
    if finding is None:
        return None
    return {"severity": finding.severity, "waived": finding.waiver is not None}


def finding_change_record(change: FindingChange, table: LineTable) -> dict[str, Any]:
    """What became of a finding; the finding is as on the new side, or as it was."""
    return {
        "status": change.status,
        "rack": change.rack or None,
        "names": list(change.shown.names),
        "old": count_record(change.old),
        "new": count_record(change.new),
        "finding": finding_record(change.shown, table),
        "fingerprint": change.fingerprint,
    }


def document(comparison: Comparison) -> dict[str, Any]:
    """The whole document."""
    table = LineTable()
    pair = comparison.pair
    return {
        "format_version": FORMAT_VERSION,
        "verdict": verdict(comparison),
        "layouts": None if pair is None else {"old": pair[0], "new": pair[1]},
        "racks": [rack_record(rack) for rack in comparison.racks],
        "changes": [change_record(change) for change in comparison.changes],
        "findings": [finding_change_record(change, table) for change in comparison.findings],
        "not_understood": {"old": comparison.not_understood[0], "new": comparison.not_understood[1]},
        "refusals": {what: refused(comparison, what) for what in REFUSABLE},
        "summary": {
            "racks": len(comparison.concerned()),
            "changes": len(comparison.changes),
            "new": len(comparison.of_status(NEW)),
            "gone": len(comparison.of_status(GONE)),
            "otherwise": len(comparison.of_status(OTHERWISE)),
        },
    }


def comparison_json(comparison: Comparison) -> str:
    """The document as text. It is held against its schema before it is given out."""
    return json.dumps(checked("comparison", document(comparison)), ensure_ascii=False, indent=2) + "\n"
