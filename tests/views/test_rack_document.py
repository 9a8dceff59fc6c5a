"""Specs go in; the document of their racks must be as it was approved, and hang on nothing but what the specs say."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rackspec.files import from_bytes
from rackspec.findings import ERROR
from rackspec.project import Project
from rackspec.views.rack_document import Linked, rack_json
from rackspec.views.rack_document_values import nearest
from rackspec.views.schema import schema_text

EXPECTED = Path(__file__).with_name("rack_document.json")

HOUSE = """\
house {
    currency  EUR
    rate      3 GBP is 3.5 EUR stated "the paper" 2026-11-20
    old       price 90 days
    spare     depth 4mm
    assume    draws 1mA..3mA on +5V per HP
    flag      header-unkeyed as error
    fail-at   warning
}
"""
PARTS = [
    """\
module saw "saw 🎛" {
    width     14HP
    face      70.7mm +0mm/-0.2mm measured
    depth     1 1/3in
    draws     41mA on -12V
    draws     60mA +-5mA on +12V guessed
    header    10-pin keyed
    ribbon    missing
    hole      3.2mm at (7.5mm, 125.5mm)
    hole      3.2mm at (7.5mm, 3mm)
    price     148.50 EUR stated "notice board" 2026-10-29
    basis     stated "maker's sheet" 2026-08-30
}
""",
    """\
module saw-b "another run" like saw {
    depth     24mm..26mm measured "callipers" 2026-11-14
    mass      4oz
    note      "hums"
}
""",
    """\
module attenuator {
    width     2HP
    draws     nothing
}
""",
    """\
supply slim {
    width     4HP
    depth     35mm
    gives     1.2A on +12V
    gives     0.9A on -12V
    headers   6 of 16-pin
    input     adapter 15V 3A
    efficiency 85% guessed
}
""",
    """\
rail trough {
    length    32HP minus 0.3mm
    takes     strip-m3
    takes     nut-m3
    recess    1.5mm
    lip       front 1.2mm outside 3.3mm measured "callipers" 2026-11-08
    end-hole  M4 behind 5.2mm inward 0.4mm deep 12.5mm
}
""",
    """\
insert strip-m3 {
    strip     M3
    holes     32 every 1HP
    first     1/2HP
    play      3mm
}
""",
    """\
insert nut-m3 {
    nut       M3
    across    5.5mm
    slack     0.7mm measured
    enters    front
}
""",
    """\
sheet ply-9 "drawer bottoms" {
    thickness 9mm +0.3mm/-0.5mm
    size      600mm x 300mm
    count     2
    price     14 EUR
    basis     stated "the stamp on it" 2026-10-01
}
""",
    """\
part cable-10 "grey ribbon" {
    ribbon    16-pin to 10-pin
    price     2.10 EUR
}
""",
    """\
part brick-15 {
    adapter   15V 3A
    mass      240g
}
""",
    """\
part jar {
    holds     100 of M3x6
    holds     100 of M3 washer
    holds     2 of cable-10
}
""",
    """\
seller drift "Drift & Daughters" {
    ships     4.90 EUR
    ships     2.90 EUR from 40 EUR
    free      from 80 EUR
    least     10 EUR
    longer    600mm adds 3 EUR
    heavier   2kg adds 1.50 EUR
    days      2 to 4
    sells     trough at 11 EUR pair
    sells     trough at 10 EUR pair from 3 stock 5
    sells     M3x6 at 1.80 EUR pack 20 measured "till slip" 2026-11-02
    sells     jar at 9 EUR
    sells     brick-15 at 12 EUR
    sells     blank 2HP at 1 EUR
    basis     stated "their list" 2026-10-01
}
""",
    """\
seller stall {
    ships     nothing
    sells     M3 washer at 0.05 EUR
}
""",
    """\
module unused-here {
    width     8HP
}
""",
]
RACKS = [
    """\
rack loft "under the roof" {
    revision  "B" 2026-11-02
    budget    400 EUR
    stage     spring "more of it" by 2027-04-01 budget 150 EUR
    have      2 of trough
    have      20 of M3x6
    have      4 of M4 washer
    have      1 of blank 2HP
    also      1 of jar
    also      2 of cable-10 in spring
    spent     30 EUR
    gift      50 EUR in spring stated "aunt Ada"
    anyway    12 EUR from drift
    note      "mind the beam"
    row top "where the lamp is" {
        rails     trough with strip-m3
        or        trough
        behind    60mm
        power     from board
        screws    M3x6
        seat      (6.5mm, 14.25mm) lean 12deg
        drilled   left bottom (12.9mm, 16.6mm) measured 2026-11-02
        drilled   right top (38.6mm, 136.1mm) measured 2026-11-02
        apart     122.3mm measured "rule"
        end-screws M4x16 washer 0.8mm
        at   0HP  slim
        next      saw as saw-one
        next      saw-b as saw-two until spring
        instead   attenuator in spring
        next      gap 2HP
    }
    about saw-one {
        depth     28.3mm measured "with the adapter board" 2026-10-21
        draws     58mA on +12V measured
    }
    wish echo in spring {
        count     2
        width     8HP
        price     90 EUR guessed
    }
    bus board {
        from      slim
        headers   12 of 16-pin
    }
    case "what was left of the chest" {
        side right {
            from      ply-9
            count     1
            corner    (0mm, 0mm)
            corner    (205mm, 0mm)
            corner    (75mm, 301mm)
        }
        side left {
            from      ply-9
        }
        inside    32HP plus 1.5mm
        shims     0.9mm guessed
        abandoned left (11.2mm, 17.1mm) measured 2026-10-30
        abandoned right (11.3mm, 17.4mm)
        lid       gap 30mm
    }
    waive spare-too-thin on slim because "it is fan-cooled" until 2027-01-01
}
""",
    """\
rack crate {
    row only {
        length    20HP
        seat      setback 8.1mm up 21.7mm guessed
        at   1/3HP attenuator
    }
}
""",
]


def linked(text: str, wrong: int = 0) -> Any:
    """The document of a text that stands alone, and in which so much is ``wrong``."""
    project = Project("/nowhere", "/nowhere")
    project.add_named("/nowhere/loft.rackspec", from_bytes("loft.rackspec", text.encode()))
    project.close()
    racks = tuple(project.link())
    errors = [finding.message for finding in project.findings() if finding.severity == ERROR]
    assert len(errors) == wrong, errors
    return json.loads(rack_json([Linked(".", project, racks)], not errors))


def records(document: Any) -> Iterator[dict[str, Any]]:
    """All records in a document, at any depth."""
    if isinstance(document, dict):
        yield document
        for value in document.values():
            yield from records(value)
    elif isinstance(document, list):
        for value in document:
            yield from records(value)


def placeless(document: Any) -> Any:
    """A document without its places."""
    if isinstance(document, dict):
        return {key: placeless(value) for key, value in document.items() if key != "place"}
    return [placeless(value) for value in document] if isinstance(document, list) else document


WHOLE = HOUSE + "".join(PARTS) + "".join(RACKS)


def test_golden(golden: Callable[[Path, str], None]) -> None:
    """One small spec with something of everything."""
    golden(EXPECTED, json.dumps(linked(WHOLE), ensure_ascii=False, indent=2) + "\n")


def test_places_point_at_what_they_say() -> None:
    """At the place of each value stands the very text of the value."""
    lines = WHOLE.splitlines()
    values = [record for record in records(linked(WHOLE)) if "evidence" in record and "text" in record]
    assert len(values) > 50
    for value in values:
        rest = lines[value["place"]["line"] - 1][value["place"]["column"] - 1 :]
        assert rest.removeprefix("(").startswith(value["text"]) or f", {value['text']})" in rest


def test_about_and_like_are_resolved() -> None:
    """The nearest layer decides, voltage by voltage; the library keeps what is true of the kind."""
    document = linked(WHOLE)
    loft = next(rack for rack in document["racks"] if rack["name"] == "loft")
    one, two = loft["rows"][0]["panels"][1:3]
    assert [(draw["voltage"]["value"], draw["current"]["nominal"]) for draw in one["facts"]["draws"]] == [
        (12, 58),
        (-12, 41),
    ]
    assert (one["part"], one["facts"]["depth"]["text"]) == ("saw", "28.3mm")
    assert (two["facts"]["depth"]["text"], two["facts"]["price"]["amount"]) == ("24mm..26mm", "148.5")
    modules = {module["name"]: module for module in document["roots"][0]["library"]["modules"]}
    assert sorted(modules) == ["attenuator", "saw", "saw-b"]
    assert modules["saw"]["facts"]["depth"]["exact"]["nominal"] == str(Fraction(4, 3) * Fraction("25.4"))
    assert modules["saw-b"]["like"] == ["saw"]
    saw_b = WHOLE.splitlines()[modules["saw-b"]["place"]["line"] - 1]
    assert saw_b.startswith("module saw-b ")


def test_unknown_is_null_and_nothing_is_empty() -> None:
    """What nobody wrote is null; ``draws nothing`` is an empty list; a gap has no facts at all."""
    document = linked(WHOLE)
    modules = {module["name"]: module["facts"] for module in document["roots"][0]["library"]["modules"]}
    assert modules["attenuator"]["draws"] == []
    assert (
        linked(WHOLE.replace("draws     nothing", "", 1))["racks"][0]["rows"][0]["panels"][0]["facts"]["draws"] is None
    )
    for fact in ("depth", "plug", "header", "screws", "price", "mass"):
        assert modules["attenuator"][fact] is None
    gap = document["racks"][1]["rows"][0]["panels"][-1]
    assert (gap["what"], gap["name"], gap["part"], gap["facts"]) == ("gap", None, None, None)


def test_what_is_named_and_not_known_is_null() -> None:
    """A name that nothing has is no fact: the place stays, what it leads to is null."""
    broken = WHOLE.replace("power     from board", "power     from bored").replace("from      slim", "from      slimm")
    broken = broken.replace("at   0HP  slim", "at   0HP  slam").replace("takes     nut-m3", "takes     nut-m5")
    broken = broken.replace("have      20 of M3x6", "have      20 of m3screws")
    loft, root = (found := linked(broken, wrong=6))["racks"][1], found["roots"][0]
    assert (loft["name"], loft["rows"][0]["power"], loft["busses"][0]["from"], loft["feeds"]) == (
        "loft",
        None,
        None,
        [],
    )
    assert [(item["part"], item["kind"]) for item in loft["have"]] == [
        ("trough", "rail"),
        ("m3screws", None),
        ("M4 washer", "washer"),
        ("blank 2HP", "blank"),
    ]
    slam = loft["rows"][0]["panels"][0]
    assert (slam["name"], slam["what"], slam["part"], slam["width"], slam["facts"]) == ("slam", *[None] * 4)
    assert root["library"]["rails"][0]["takes"] == ["strip-m3"]


def test_parts_say_how_far_they_are_trusted() -> None:
    """A block's basis and what it is like stand beside its facts, for parts of every kind."""
    rail = 'rail trough-b "shorter" like trough {\n    length    30HP\n    basis     measured "tape" 2026-11-01\n}\n'
    text = WHOLE.replace("or        trough", "or        trough-b") + rail
    trough, shorter = linked(text)["roots"][0]["library"]["rails"]
    assert (trough["name"], trough["like"], trough["basis"]) == ("trough", [], None)
    assert (shorter["title"], shorter["like"]) == ("shorter", ["trough"])
    assert shorter["basis"] == {"level": "measured", "text": "tape", "date": "2026-11-01"}
    assert shorter["length"]["evidence"] == shorter["basis"]
    assert shorter["recess"] == trough["recess"]
    assert shorter["recess"]["evidence"]["level"] == "stated"


def test_a_budget_of_a_stage_is_a_plan() -> None:
    """It has no evidence and no place of its own, and says so by having no such keys."""
    (loft,) = (rack for rack in linked(WHOLE)["racks"] if rack["name"] == "loft")
    assert loft["budget"]["evidence"]["level"] == "stated"
    assert [stage["budget"] for stage in loft["stages"]] == [
        None,
        {"amount": "150", "currency": "EUR", "text": "150 EUR"},
    ]


def test_a_feed_that_is_assumed() -> None:
    """A row that names no supply hangs on the only one; the document says that this was assumed."""
    (loft,) = (rack for rack in linked(WHOLE)["racks"] if rack["name"] == "loft")
    (feed,) = loft["feeds"]
    assert (feed["supply"], feed["panel"], feed["busses"], feed["rows"], feed["assumed"]) == (
        "slim",
        "slim",
        ["board"],
        ["top"],
        False,
    )
    (loft,) = (rack for rack in linked(WHOLE.replace("power     from board", ""))["racks"] if rack["name"] == "loft")
    assert (loft["feeds"][0]["rows"], loft["feeds"][0]["assumed"]) == (["top"], True)


@given(st.fractions(max_denominator=10**9))
def test_decimals_are_the_nearest_of_six_places(value: Fraction) -> None:
    """Half a millionth off at most, and no more places than said."""
    printed = Fraction(repr(nearest(value)))
    assert abs(printed - value) * 2_000_000 <= 1 + abs(value) / 10**6  # a float has some sixteen digits in all
    if abs(value) < 10**6:
        assert (printed * 10**6).denominator == 1


def respaced(line: str, gaps: str, comment: str) -> str:
    """A line with other white space in front of it, behind its first word and at its end."""
    match = re.match(r"\s*(\S+)\s*(.*)", line)
    assert match is not None
    first, rest = match.groups()
    return f"{gaps}{first}{' ' + gaps if rest else ''}{rest}{gaps}{comment}"


@pytest.mark.slow
@settings(deadline=None, max_examples=60)
@given(st.data())
def test_order_layout_and_comments_change_places_only(data: st.DataObject) -> None:
    """Blocks of a file in any order, lines of a part in any order, white space, comments, empty lines, CRLF."""
    blocks = data.draw(st.permutations([HOUSE, *PARTS, *RACKS]))
    gaps = st.sampled_from(["", " ", "\t", "       "])
    comments = st.sampled_from(["", "# 12mm measured", "  # {", "#"])
    lines = []
    for block in blocks:
        head, *inner, last = block.splitlines()
        if block in PARTS:
            # a list keeps its order
            listed = [line for line in inner if line.split()[0] in ("takes", "sells", "holds")]
            inner = [*listed, *data.draw(st.permutations([line for line in inner if line not in listed]))]
        for line in (head, *inner, last):
            lines.append(respaced(line, data.draw(gaps), data.draw(comments)))
            lines += [""] * data.draw(st.integers(0, 1))
    end = data.draw(st.sampled_from(["\n", "\r\n"]))
    assert placeless(linked(end.join(lines) + end)) == placeless(linked(WHOLE))


def test_every_property_is_described() -> None:
    """The schema says of each key what it is, asks for all of them, and lets no other through."""
    schema = json.loads(schema_text("rack"))
    objects = [record for record in records(schema) if record.get("type") == "object" and "properties" in record]
    assert len(objects) > 30
    for described in objects:
        assert described["description"]
        assert sorted(described["required"]) == sorted(described["properties"])
        assert described["additionalProperties"] is False
        for name, record in described["properties"].items():
            assert len(record["description"]) > 3, name
