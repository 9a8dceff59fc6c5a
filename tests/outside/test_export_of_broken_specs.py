"""Specs with slips in them go in; what is exported must be as its schema says, and no name in it may lead nowhere.

Source: jsonschema-rs 0.61.0 (MIT), a validator that is not the program's own. The slips are those of
``tests/language/mutants.py``, one to four in a spec that has something of everything.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from random import Random
from typing import Any

import jsonschema_rs
import pytest

from rackspec.files import from_bytes
from rackspec.findings import ERROR
from rackspec.project import Project
from rackspec.views.rack_document import Linked, document
from rackspec.views.schema import schema_text
from tests.cli.running import rackspec
from tests.conftest import ROOT
from tests.language.mutants import IN_LINES, OF_LINES
from tests.views.test_rack_document import WHOLE

SEEDS = range(800)


def exported(text: str) -> tuple[Any, bool]:
    """The document of a text that stands alone, and whether it has errors."""
    project = Project("/nowhere", "/nowhere")
    project.add_named("/nowhere/loft.rackspec", from_bytes("loft.rackspec", text.encode()))
    project.close()
    racks = tuple(project.link())
    wrong = any(finding.severity == ERROR for finding in project.findings())
    return document([Linked(".", project, racks)], not wrong), wrong


def named_in(rack: dict[str, Any], library: dict[str, set[str]]) -> Iterator[tuple[str, str | None, set[str]]]:
    """Each place of a rack where something is named: which, the name (None: unknown), and the names that there are."""
    panels = {panel["name"] for row in rack["rows"] for panel in row["panels"]}
    busses = {bus["name"] for bus in rack["busses"]}
    rows = {row["name"] for row in rack["rows"]}
    sources = busses | panels | library["supplies"]
    for row in rack["rows"]:
        for choice in row["rails"]:
            yield "rail", choice["rail"], library["rails"]
            yield "insert", choice["insert"], library["inserts"]
        for panel in row["panels"]:
            yield "part", panel["part"], library["modules"] | library["supplies"]
            yield "row", panel["row"], rows
        yield "power", row["power"] and row["power"]["from"], sources
    for bus in rack["busses"]:
        yield "from", bus["from"], sources
    for feed in rack["feeds"]:
        yield "supply", feed["supply"], library["supplies"]
        yield "panel", feed["panel"], panels
        yield from (("row", name, rows) for name in feed["rows"])
        yield from (("bus", name, busses) for name in feed["busses"])
    yield from (("not fed", name, rows) for name in rack["not_fed"])
    yield from (("sheet", side["sheet"], library["sheets"]) for side in (rack["case"] or {"sides": []})["sides"])
    yield from (("drill point", point["row"], rows) for point in rack["drill_points"])


def led_nowhere(seen: Any) -> list[tuple[str, str | None]]:
    """Names in a document that nothing in it has; and stages that there are not."""
    libraries = {
        root["root"]: {kind: {part["name"] for part in parts} for kind, parts in root["library"].items()}
        for root in seen["roots"]
    }
    lost = [
        (what, name)
        for rack in seen["racks"]
        for what, name, there in named_in(rack, libraries[rack["root"]])
        if name is not None and name not in there
    ]
    lost += [
        ("takes", name)
        for root in seen["roots"]
        for rail in root["library"]["rails"]
        for name in rail["takes"]
        if name not in libraries[root["root"]]["inserts"]
    ]
    for rack in seen["racks"]:
        numbers = [stage["number"] for stage in rack["stages"]]
        assert numbers == list(range(len(numbers)))
        things = [panel for row in rack["rows"] for panel in row["panels"]] + rack["wishes"]
        lost += [("since", str(thing["since"])) for thing in things if thing["since"] not in numbers]
        lost += [("until", str(panel["until"])) for panel in things if panel.get("until") not in (None, *numbers)]
    return lost


@pytest.mark.parametrize("path", ["specs", "tests/examples"])
def test_names_lead_somewhere(path: str) -> None:
    """In the demo, and in examples of everything that can be wrong."""
    seen = json.loads(rackspec(ROOT, "export", path).out)
    assert len(seen["racks"]) >= 4
    assert led_nowhere(seen) == []


def test_a_name_that_leads_nowhere_is_seen() -> None:
    """The check above can fail."""
    seen, _ = exported(WHOLE)
    assert led_nowhere(seen) == []
    seen["roots"][0]["library"]["rails"].clear()
    seen["roots"][0]["library"]["sheets"].clear()
    seen["racks"][1]["drill_points"][0]["row"] = "cellar"
    seen["racks"][0]["wishes"].append({"since": 7})
    assert ("since", "7") in led_nowhere(seen)
    assert {("rail", "trough"), ("sheet", "ply-9"), ("drill point", "cellar")} <= set(led_nowhere(seen))


@pytest.mark.parametrize("seed", [SEEDS[start : start + 100] for start in range(0, len(SEEDS), 100)], ids=str)
def test_slips(seed: range) -> None:
    """Whatever is wrong in a spec, its document is as the schema says, and says itself that it is not complete."""
    validator = jsonschema_rs.validator_for(json.loads(schema_text("rack")))
    for number in seed:
        chance, text = Random(number), WHOLE
        for _ in range(chance.choice([1, 1, 1, 2, 4])):
            text = chance.choice([*IN_LINES, *OF_LINES])(text, chance)
        seen, wrong = exported(text)
        validator.validate(seen)
        assert led_nowhere(seen) == [], number
        assert seen["complete"] is not wrong


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ('    row top "where the lamp is" {', "    row {"),
        ("    wish echo in spring {", "    wish {"),
        ("    bus board {", "    bus {"),
        ("            from      ply-9\n            count", "            from\n            count"),
        ("    flag      header-unkeyed as error", "    flag      header-unkeyed as"),
    ],
    ids=["row", "wish", "bus", "sheet", "flag"],
)
def test_a_line_that_breaks_off(before: str, after: str) -> None:
    """A thing without its name has none, and a flag without its severity is none."""
    assert before in WHOLE
    seen, wrong = exported(WHOLE.replace(before, after))
    assert wrong
    jsonschema_rs.validator_for(json.loads(schema_text("rack"))).validate(seen)
    assert led_nowhere(seen) == []
    loft = next(rack for rack in seen["racks"] if rack["name"] == "loft")
    told = {
        "row": [thing["name"] for thing in loft["rows"]],
        "wish": [thing["name"] for thing in loft["wishes"]],
        "bus": [thing["name"] for thing in loft["busses"]],
        "from": [side["sheet"] for side in loft["case"]["sides"] if side["which"] == "right"],
        "flag": [flag["rule"] for flag in seen["roots"][0]["house"]["flags"]],
    }
    assert told[before.split()[0]] == ([] if "flag" in before else [None])
