"""Results as JSON: in: a result, out: the document that ``inspect --write json=FILE`` writes, held against its schema.

Lengths are in HP where the key says so, else in mm; numbers have at most six places and are never rounded to the good
side. ``format_version`` rises in its second place when something is added, in its first when something changes.
"""

from __future__ import annotations

import json
from fractions import Fraction
from typing import Any

from rackspec.findings import ERROR, NOTE, WARNING, Finding
from rackspec.language.units import HP
from rackspec.physics.margin import Margin
from rackspec.pipeline import Result
from rackspec.summary import RackSummary
from rackspec.views.decimals import down, up
from rackspec.views.positions import LineTable
from rackspec.views.schema import checked

FORMAT_VERSION = "1.0"


def finding_record(finding: Finding, table: LineTable) -> dict[str, Any]:
    """A finding."""
    start, end = table.span(finding.place)
    places = []
    for place in finding.others:
        position = table.position(place.source, place.start)
        places.append(
            {"file": place.source.name, "line": position.line, "column": position.column, "label": place.label}
        )
    waived = {"reason": finding.waiver.reason, "until": finding.waiver.until or None} if finding.waiver else None
    return {
        "rule": finding.rule,
        "severity": finding.severity,
        "message": finding.message,
        "file": finding.place.source.name,
        "line": start.line,
        "column": start.column,
        "end_line": end.line,
        "end_column": end.column,
        "places": places,
        "sum": finding.sum,
        "remedy": finding.remedy,
        "rests_on": finding.rests_on,
        "waived": waived,
    }


def rack_record(rack: RackSummary) -> dict[str, Any]:
    """A rack: rows, power, what is not known yet, what is not checked yet."""
    return {
        "name": rack.name,
        "file": rack.file,
        "rows": [
            {
                "name": row.name,
                "length_hp": None if row.length is None else down(row.length / HP),
                "used_hp": up(row.used / HP),
                "free_hp": None if row.length is None else down(row.free / HP),
                "longest_free_run_hp": None if row.length is None else down(row.longest / HP),
            }
            for row in rack.rows
        ],
        "power": [
            {
                "supply": line.supply,
                "voltage_v": down(line.voltage),
                "nominal_ma": up(line.nominal),
                "worst_ma": up(line.worst),
                "rated_ma": None if line.rated is None else down(line.rated),
                "at_least": line.at_least,
            }
            for line in rack.power
        ],
        "not_known": [{"thing": item.thing, "fact": item.fact, "how": item.how} for item in rack.not_known],
        "not_checked": sorted(set(rack.not_checked)),
    }


def margin_record(margin: Margin) -> dict[str, Any]:
    """A closest call; widths of rows in HP, depths in mm, currents in mA."""
    in_hp = margin.unit == "mm" and margin.what.endswith("width")
    scale = Fraction(1) / HP if in_hp else Fraction(1)
    return {
        "what": margin.what,
        "value": up(margin.value * scale),
        "limit": down(margin.limit * scale),
        "margin": down(margin.margin * scale),
        "unit": "HP" if in_hp else margin.unit,
        "rests_on": margin.rests_on,
    }


def document(result: Result) -> dict[str, Any]:
    """The whole document."""
    table = LineTable()
    counts = dict.fromkeys((ERROR, WARNING, NOTE), 0)
    for finding in result.findings:
        if finding.waiver is None:
            counts[finding.severity] += 1
    margins = sorted(
        (margin for rack in result.summaries for margin in rack.margins), key=lambda margin: (margin.share, margin.what)
    )
    return {
        "format_version": FORMAT_VERSION,
        "findings": [finding_record(finding, table) for finding in result.findings],
        "racks": [rack_record(rack) for rack in result.summaries],
        "closest": [margin_record(margin) for margin in margins],
        "not_checked": sorted(set(result.not_checked)),
        "summary": {
            "files": result.files,
            "racks": len(result.summaries),
            "errors": counts[ERROR],
            "warnings": counts[WARNING],
            "notes": counts[NOTE],
            "waived": sum(finding.waiver is not None for finding in result.findings),
        },
    }


def findings_json(result: Result) -> str:
    """The document as text. It is held against its schema before it is given out."""
    return json.dumps(checked("findings", document(result)), ensure_ascii=False, indent=2) + "\n"
