"""Specs with a case go in; where rows stand, what was drilled and where to drill must reach the document.

A field of the model that nobody has told the document of is found here by its name.
"""

from __future__ import annotations

import json
import re
from fractions import Fraction
from math import cos, radians, sin
from typing import Any, NamedTuple

import pytest

from rackspec.model.case import Abandoned, Case, SidePiece
from rackspec.model.parts import EndHole, Insert, Lip, Rail
from rackspec.model.rack import Also, Have, Purse, Rack, Row
from rackspec.model.seats import Drilled, EndScrews, Seat, Standing
from rackspec.model.sellers import Days, Offer, Seller
from rackspec.model.sheets import Sheet
from rackspec.model.wares import Held, Part
from rackspec.rules.drill_points import DrillPoint
from rackspec.views.schema import schema_text
from tests.views.test_rack_document import WHOLE, linked, placeless

RECORDS: dict[str, tuple[type[Any], ...]] = {
    "insert": (Insert,),
    "rail": (Rail,),
    "lip": (Lip,),
    "end_hole": (EndHole,),
    "row": (Row, Standing),
    "seat": (Seat,),
    "drilled": (Drilled,),
    "end_screws": (EndScrews,),
    "rack": (Rack,),
    "case": (Case,),
    "side": (SidePiece,),
    "abandoned": (Abandoned,),
    "sheet": (Sheet,),
    "drill_point": (DrillPoint,),
    "part": (Part,),
    "held": (Held,),
    "seller": (Seller,),
    "offer": (Offer,),
    "days": (Days,),
    "have": (Have,),
    "also": (Also,),
    "purse": (Purse,),
    "anyway": (Purse,),
}
"""Records of the schema, and what of the model they are made of."""
CALLED = {
    "spoiled": "complete",
    "choices": "rails",
    "power_place": "power",
    "screws_place": "screws",
    "standing": "seat",
    "buses": "busses",
    "unfed": "not_fed",
    "later": "not_checked",
    "back": "back_mm",
    "up": "up_mm",
    "diameter": "diameter_mm",
    "sides": "size",
    "free": "free_from",
    "least": "from",
    "stage": "since",
}
"""What fields are called in the document, where that is another name."""
SPREAD = {(kind, "bought") for kind in ("insert", "rail", "sheet", "part")} | {
    ("drill_point", "values"),
    ("drill_point", "place"),
    ("rack", "wares"),
    ("purse", "seller"),
}
"""Fields whose own fields stand in the record; what a drill point rests on, which stands where it is written; what is
known of wares, which stands in the library; and the seller of money that has none."""


def loft(text: str) -> Any:
    """The rack of a text that has a case, without its places."""
    return next(rack for rack in placeless(linked(text))["racks"] if rack["name"] == "loft")


@pytest.mark.parametrize("name", RECORDS)
def test_every_field_of_the_model_has_a_key(name: str) -> None:
    """A field that is added to the model has to be added to the document, or to the lists above with its reason."""
    described = json.loads(schema_text("rack"))["$defs"][name]["properties"]
    for kind in RECORDS[name]:
        fields: tuple[str, ...] = kind._fields
        left_out = [
            field
            for field in fields
            if field not in described and CALLED.get(field) not in described and (name, field) not in SPREAD
        ]
        assert left_out == []


class Edit(NamedTuple):
    """A text of the spec, what stands there instead, and where in the document that is seen (a path of keys)."""

    old: str
    new: str
    path: str


TOP, CASE, LIBRARY = "racks 1 rows 0", "racks 1 case", "roots 0 library"
SELLER = f"{LIBRARY} sellers 0"
EDITS = [
    Edit("front 1.2mm", "front 1.3mm", f"{LIBRARY} rails 0 lip front exact nominal"),
    Edit("outside 3.3mm", "outside 3.4mm", f"{LIBRARY} rails 0 lip outside exact nominal"),
    Edit("end-hole  M4", "end-hole  M3", f"{LIBRARY} rails 0 end_hole thread"),
    Edit("behind 5.2mm", "behind 5.3mm", f"{LIBRARY} rails 0 end_hole behind exact nominal"),
    Edit("inward 0.4mm", "inward 0.5mm", f"{LIBRARY} rails 0 end_hole inward exact nominal"),
    Edit("deep 12.5mm", "deep 12.6mm", f"{LIBRARY} rails 0 end_hole deep exact nominal"),
    Edit("deep 12.5mm", "deep 12.5mm measured", f"{LIBRARY} rails 0 end_hole evidence level"),
    Edit("deep 12.5mm", "", f"{LIBRARY} rails 0 end_hole deep"),
    Edit("slack     0.7mm", "slack     0.8mm", f"{LIBRARY} inserts 0 slack exact nominal"),
    Edit("enters    front", "enters    end", f"{LIBRARY} inserts 0 enters"),
    Edit("thickness 9mm", "thickness 10mm", f"{LIBRARY} sheets 0 thickness exact nominal"),
    Edit('"drawer bottoms"', '"bottoms"', f"{LIBRARY} sheets 0 title"),
    Edit("(6.5mm, ", "(6.6mm, ", f"{TOP} seat back exact nominal"),
    Edit(", 14.25mm)", ", 14.26mm)", f"{TOP} seat up exact nominal"),
    Edit("seat      (6.5mm, 14.25mm)", "seat      setback 6.5mm up 14.25mm", f"{TOP} seat setback"),
    Edit("lean 12deg", "lean 13deg", f"{TOP} seat lean exact nominal"),
    Edit("lean 12deg", "", f"{TOP} seat lean"),
    Edit("(12.9mm, ", "(12.8mm, ", f"{TOP} drilled 0 back exact nominal"),
    Edit(", 16.6mm)", ", 16.7mm)", f"{TOP} drilled 0 up exact nominal"),
    Edit("left bottom", "right bottom", f"{TOP} drilled 0 side"),
    Edit("left bottom", "left top", f"{TOP} drilled 0 line"),
    Edit("apart     122.3mm", "apart     122.4mm", f"{TOP} apart exact nominal"),
    Edit("end-screws M4x16", "end-screws M4x20", f"{TOP} end_screws designation"),
    Edit("washer 0.8mm", "washer 0.9mm", f"{TOP} end_screws washer exact nominal"),
    Edit("washer 0.8mm", "", f"{TOP} end_screws washer"),
    Edit("32HP plus 1.5mm", "32HP plus 1.6mm", f"{CASE} inside exact nominal"),
    Edit("shims     0.9mm", "shims     0.8mm", f"{CASE} shims exact nominal"),
    Edit("abandoned right (11.3mm", "abandoned left (11.3mm", f"{CASE} abandoned 1 side"),
    Edit("(11.2mm, 17.1mm)", "(11.1mm, 17.1mm)", f"{CASE} abandoned 0 back exact nominal"),
    Edit("(11.2mm, 17.1mm)", "(11.2mm, 17.2mm)", f"{CASE} abandoned 0 up exact nominal"),
    Edit("side right {", "side {", f"{CASE} sides 0 which"),
    Edit("count     1\n", "count     2\n", f"{CASE} sides 0 pieces"),
    Edit("(75mm, 301mm)", "(76mm, 301mm)", f"{CASE} sides 0 corners 2 back exact nominal"),
    Edit("(75mm, 301mm)", "(75mm, 302mm)", f"{CASE} sides 0 corners 2 up exact nominal"),
    Edit("            from      ply-9\n            count", "            count", f"{CASE} sides 0 sheet"),
    Edit("ships     4.90", "ships     5.90", f"{SELLER} ships 0 price amount"),
    Edit("from 40 EUR", "from 45 EUR", f"{SELLER} ships 1 from"),
    Edit("free      from 80", "free      from 85", f"{SELLER} free_from amount"),
    Edit("least     10 EUR", "", f"{SELLER} smallest"),
    Edit("longer    600mm", "longer    700mm", f"{SELLER} longer 0 mm"),
    Edit("2kg adds 1.50", "2kg adds 1.60", f"{SELLER} heavier 0 price amount"),
    Edit("days      2 to 4", "days      2 to 5", f"{SELLER} days most"),
    Edit("10 EUR pair from 3", "10 EUR pair from 4", f"{SELLER} offers 1 from"),
    Edit("stock 5", "stock 6", f"{SELLER} offers 1 stock"),
    Edit("1.80 EUR pack 20", "1.80 EUR pack 25", f"{SELLER} offers 2 pieces"),
    Edit('measured "till slip" 2026-11-02', "guessed", f"{SELLER} offers 2 price evidence level"),
    Edit('"their list" 2026-10-01', '"their list" 2026-10-02', f"{SELLER} offers 0 price evidence date"),
    Edit("ships     nothing", "ships     0 EUR", f"{LIBRARY} sellers 1 fetched"),
    Edit("16-pin to 10-pin", "10-pin", f"{LIBRARY} parts 1 ribbon bus_pins"),
    Edit("adapter   15V 3A", "adapter   15V 4A", f"{LIBRARY} parts 0 adapter current exact nominal"),
    Edit("100 of M3 washer", "100 of M3 nut", f"{LIBRARY} parts 2 holds 1 kind"),
    Edit("600mm x 300mm", "600mm x 400mm", f"{LIBRARY} sheets 0 size 1 exact nominal"),
    Edit("    count     2\n    price     14", "    price     14", f"{LIBRARY} sheets 0 there"),
    Edit("price     14 EUR", "price     15 EUR", f"{LIBRARY} sheets 0 price amount"),
    Edit("ribbon    missing", "ribbon    along", "racks 1 rows 0 panels 1 facts ribbon"),
    Edit("4 of M4 washer", "4 of M4 nut", "racks 1 have 2 kind"),
    Edit("2 of cable-10 in spring", "2 of cable-10", "racks 1 also 1 since"),
    Edit("spent     30", "spent     31", "racks 1 spent 0 money amount"),
    Edit("50 EUR in spring", "50 EUR", "racks 1 gifts 0 stage"),
    Edit("12 EUR from drift", "12 EUR from stall", "racks 1 anyway 0 seller"),
    Edit("old       price 90", "old       price 91", "roots 0 house limits 14 value exact nominal"),
    Edit('"the paper" 2026-11-20', '"the paper" 2026-11-21', "roots 0 house rates 0 evidence date"),
]


def value(document: Any, path: str) -> Any:
    """What stands at the end of a path."""
    for step in path.split():
        document = document[int(step) if step.isdigit() else step]
    return document


@pytest.mark.parametrize("edit", EDITS, ids=lambda edit: f"{edit.path.split('racks 1 ')[-1]}: {edit.new or 'gone'}")
def test_every_fact_reaches_the_document(edit: Edit) -> None:
    """A fact that is edited is another one at its own place."""
    assert WHOLE.count(edit.old) == 1
    before, after = value(linked(WHOLE), edit.path), value(linked(WHOLE.replace(edit.old, edit.new)), edit.path)
    assert before != after


def test_without_a_case_there_is_none() -> None:
    """Null, and not a case of which nothing is known; a row that stands nowhere has no seat and no holes."""
    crate = linked(WHOLE.replace("        seat      setback 8.1mm up 21.7mm guessed\n", ""))["racks"][0]
    row = crate["rows"][0]
    assert (crate["case"], crate["drill_points"]) == (None, [])
    assert (row["seat"], row["drilled"], row["apart"], row["end_screws"]) == (None, [], None, None)


def test_drill_points_by_another_way() -> None:
    """Each hole is where floats and the two sides of a right-angled triangle say it is, and it may be drilled."""
    points = loft(WHOLE)["drill_points"]
    assert [(point["side"], point["line"]) for point in points] == [
        (side, line) for side in ("left", "right") for line in ("bottom", "top")
    ]
    lean = radians(12)
    for point in points:
        height = 3 + 0.4 if point["line"] == "bottom" else 3 + 122.5 - 0.4
        assert point["back_mm"] == pytest.approx(6.5 + height * sin(lean) + 5.2 * cos(lean), abs=1e-6)
        assert point["up_mm"] == pytest.approx(14.25 + height * cos(lean) - 5.2 * sin(lean), abs=1e-6)
        assert (point["row"], point["diameter_mm"], point["thread"]) == ("top", 4.5, "M4")
        assert (point["released"], point["because"]) == (True, [])
        for key in ("back_mm", "up_mm"):
            assert (Fraction(repr(point[key])) * 10**6).denominator == 1


@pytest.mark.parametrize(
    ("old", "new", "names"),
    [
        ("lean 12deg", "lean 12deg guessed", "top"),
        ("deep 12.5mm", "deep 12.5mm guessed", "trough"),
        ("seat      (6.5mm, 14.25mm)", "seat      setback 6.5mm up 14.25mm", "top"),
    ],
    ids=["the seat", "the end hole", "the thickness of the panels"],
)
def test_a_guess_releases_no_drill(old: str, new: str, names: str) -> None:
    """The numbers are there, and the reason why they are not to be used."""
    assert WHOLE.count(old) == 1
    for point in loft(WHOLE.replace(old, new))["drill_points"]:
        assert not point["released"]
        (reason,) = point["because"]
        assert f"'{names}'" in reason


@pytest.mark.parametrize(
    "gone",
    [r"^    end-hole .*\n", r"^        seat      \(.*\n", r"^        (rails|or) .*\n"],
    ids=["end", "seat", "rails"],
)
def test_what_is_not_known_has_no_drill_point(gone: str) -> None:
    """Neither zero nor a default stands for it."""
    text, times = re.subn(gone, "", WHOLE, flags=re.MULTILINE)
    assert times
    assert loft(text)["drill_points"] == []


def test_sheets_are_those_of_the_case() -> None:
    """A sheet that no case is cut from is left out; one that is not found is null, and its place stays."""
    more = 'sheet card "a shoe box" {\n    thickness 1mm\n}\n'
    assert [sheet["name"] for sheet in linked(WHOLE + more)["roots"][0]["library"]["sheets"]] == ["ply-9"]
    lost = linked(WHOLE.replace("sheet ply-9", "sheet ply-6"), wrong=1)
    case = lost["racks"][1]["case"]
    assert [(side["which"], side["sheet"]) for side in case["sides"]] == [("right", None), ("left", None)]
    assert lost["roots"][0]["library"]["sheets"] == []


def test_a_line_that_was_not_understood_is_no_fact() -> None:
    """A case or side piece of which a line was not understood says so itself."""
    broken = WHOLE.replace("shims     0.9mm guessed", "shims     many")
    case = linked(broken, wrong=1)["racks"][1]["case"]
    assert (case["shims"], case["complete"], [side["complete"] for side in case["sides"]]) == (
        None,
        False,
        [True, True],
    )
    broken = WHOLE.replace("corner    (75mm, 301mm)", "corner    (75, 301mm)")
    case = linked(broken, wrong=1)["racks"][1]["case"]
    assert [side["complete"] for side in case["sides"]] == [False, True]
    assert len(case["sides"][0]["corners"]) == 2
