"""Facts of rows in a case, of rails, inserts and sheets are edited; each must be told by its thing, and what checks ask
for must be known to be known, forgotten or never said."""

from __future__ import annotations

import ast

import pytest

from rackspec.comparison.answers import OF_INSERTS, OF_RACKS, OF_RAILS, OF_SELLERS, OF_SHEETS
from rackspec.views.comparison_verdict import verdict
from tests.comparison.test_holes import SEAT, SPEC, after, edited
from tests.comparison.texts import compared
from tests.conftest import ROOT

FACTS = {
    "seat": ("(10mm, 20mm)", "(10mm, 21mm)"),
    "lean": ("lean 10deg", "lean 11deg"),
    "drilled": (SEAT, f"{SEAT}        drilled   left bottom (15mm, 23.5mm) measured\n"),
    "apart": ("apart     122.5mm", "apart     122.4mm"),
    "end-screws": ("M4x16 washer 1mm", "M4x20 washer 1mm"),
    "washer": ("M4x16 washer 1mm", "M4x16 washer 0.8mm"),
    "rails": ("rails     trough with strip\n        seat      (", "rails     trough with nut\n        seat      ("),
    "inside": ("42HP plus 1mm", "42HP plus 2mm"),
    "shims": ("        inside", "        shims     1mm\n        inside"),
    "abandoned": ("        abandoned", "        abandoned right (20mm, 20mm)\n        abandoned"),
    "side corner": ("(150mm, 320mm)", "(140mm, 320mm)"),
    "side from": ("            from      ply\n", ""),
    "side count": ("            count     2\n", "            count     1\n"),
    "lip": ("front 1.2mm", "front 1.3mm"),
    "end-hole": ("behind 5mm", "behind 5.2mm"),
    "slack": ("slack     0.4mm", "slack     0.5mm"),
    "enters": ("enters    end", "enters    front"),
    "thickness": ("thickness 9mm", "thickness 10mm"),
}


@pytest.mark.parametrize("fact", FACTS)
def test_each_fact_is_told_by_its_thing(fact: str) -> None:
    """Under its row, case, rail, insert or sheet, with what is written on each side."""
    old, new = FACTS[fact]
    there = after((old, new))
    words = [change.word for change in there.changes]
    assert words == [{"lean": "seat", "washer": "end-screws"}.get(fact, fact)]
    (change,) = there.changes
    assert change.old != change.new
    kinds = {"lip": "rail", "end-hole": "rail", "slack": "insert", "enters": "insert", "thickness": "sheet"}
    in_a_case = fact in ("inside", "shims", "abandoned") or fact.startswith("side ")
    assert change.kind == kinds.get(fact, "case" if in_a_case else "row")


def test_a_question_that_a_case_brings_is_nothing_forgotten() -> None:
    """Nobody asked for a seat before; who adds a case has not lost it."""
    without = edited((SEAT, ""), ("    end-hole  M4 behind 5mm inward 0.5mm deep 12mm\n", ""))
    start = without.index("    case {")
    bare = without[:start] + "}\n"
    there = compared(bare, without)
    (rack,) = there.racks
    assert {item.fact for item in rack.unknown} >= {"seat", "the thread in its ends"}
    assert rack.forgotten == ()
    lost = compared(SPEC, without)
    assert {item.fact for item in lost.racks[0].forgotten} >= {"seat", "the thread in its ends"}
    assert "the thread in the ends of 'trough'" in verdict(lost)


def test_a_sheet_that_nobody_finds_is_named() -> None:
    """As any part is, and not asked for a second time."""
    lost = after(("sheet ply", "sheet plywood"))
    facts = {(item.thing, item.fact) for rack in lost.racks for item in rack.forgotten}
    assert facts == {("ply", "part")}
    assert "'ply' is not found any more" in verdict(lost)


ALWAYS_SAID = {
    "what it gives",
    "number of headers",
    "what feeds it",
    "which supply will feed it",
    "whether all wishes fit",
    "what feeds the row",
    "length of the row",
    "room behind the row",
    "what the screws go into",
    "what its end screws go through",
    "seat",
    "width",
    "depth",
    "current",
    "its power header",
}
"""Questions that ``unknowns`` answers by itself: of a panel, row, supply or wish."""


def test_every_question_of_a_rule_is_known_here() -> None:
    """A question that is new in ``rules/`` has to say here where its answer stands, or it would be forgotten by adding
    what makes a rule ask it."""
    found: set[str] = set()
    for path in sorted((ROOT / "rackspec" / "rules").glob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "NotKnown":
                fact = node.args[1]
                if isinstance(fact, ast.Constant):
                    found.add(str(fact.value))
    assert len(found) > 15
    listed = (OF_RAILS, OF_INSERTS, OF_SHEETS, OF_SELLERS, OF_RACKS)
    assert found - ALWAYS_SAID - {fact for answers in listed for fact in answers} == set()
    assert OF_SHEETS.keys() | {"seat"} <= found
