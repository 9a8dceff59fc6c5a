"""Blocks go in, linked racks come out: names, layers, places, stages and what feeds what."""

from __future__ import annotations

from fractions import Fraction

import pytest

from rackspec.language.units import HP
from rackspec.model.rack import Panel, Rack
from tests.rules.checking import look_at, severities

PARTS = """
module ten {
    width 10HP
    depth 30mm
    draws 62mA on +12V
    draws 41mA on -12V
}
module ten-b like ten {
    draws 55mA on +12V
}
module odd {
    width 50.9mm
}
module dark {
    depth 20mm
}
supply brick {
    width 4HP
    gives 1A on +12V
}
supply slab {
    gives 1A on +12V
}
"""


def rack_of(row: str, more: str = "", before: str = "") -> Rack:
    """The rack with one row, linked."""
    lines = "".join(f"        {line.strip()}\n" for line in row.split("; "))
    (seen,) = look_at(
        f"{PARTS}rack tray {{\n{before}    row top {{\n        length 84HP\n{lines}    }}\n{more}}}\n"
    ).racks
    return seen.rack


def starts(rack: Rack) -> list[Fraction | None]:
    """Where the panels start, in HP."""
    return [None if panel.start is None else panel.start / HP for panel in rack.panels()]


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        ("next ten; next ten as b", [0, 10]),
        ("at 4HP ten; next blank 2HP; next ten as b", [4, 14, 16]),
        ("at 0HP odd; next ten", [0, 11]),
        ("at 0HP blank 50.8mm; next ten", [0, 10]),
        ("at 2.5mm ten; next ten as b", [Fraction(5, 2) / HP, 11]),
        ("at 0HP ten in late; next ten as b", [0, 10]),
        ("at 0HP ten until late; instead blank 6HP in late; next ten as b", [0, 0, 10]),
        ("at 0HP blank 6HP until late; instead ten in late; next ten as b", [0, 0, 10]),
        ("at 0HP dark; next ten", [0, None]),
        ("at 0HP dark; next ten; at 30HP ten as b; next ten as c", [0, None, 30, 40]),
        ("at 0HP nothing-there; next ten", [0, None]),
        ("at 20HP ten; at 0HP ten as b; next ten as c", [20, 0, 10]),
        ("at 0HP gap 3HP; next ten", [0, 3]),
    ],
)
def test_next_starts_behind_the_one_above(row: str, expected: list[Fraction | int | None]) -> None:
    """At the first whole HP behind the panel above, whatever its stage; behind what is not known nothing is known."""
    assert starts(rack_of(row, before="    stage late\n")) == expected


def test_measuring_moves_nothing() -> None:
    """A specimen that is wider than its sheet keeps the next one where it was."""
    about = "    about ten {\n        width 11.5HP measured\n    }\n"
    rack = rack_of("at 0HP ten; next ten as b", about)
    assert starts(rack) == [0, 10]
    first = rack.panels()[0]
    assert first.width is not None
    assert first.width.value == Fraction(23, 2) * HP


def panel_named(rack: Rack, name: str) -> Panel:
    return next(panel for panel in rack.panels() if panel.name == name)


def draws_of(panel: Panel) -> dict[int, int]:
    """Currents by voltage."""
    assert panel.part is not None
    return {int(draw.voltage): int(draw.current.value) for draw in panel.part.draws or ()}


def test_layers_are_decided_word_by_word() -> None:
    """``like`` and ``about`` replace what they say, voltage by voltage, and leave the rest."""
    about = "    about c {\n        draws 20mA on -12V measured\n    }\n    about d {\n        draws nothing\n    }\n"
    rack = rack_of("next ten as a; next ten-b as b; next ten-b as c; next ten as d", about)
    assert draws_of(panel_named(rack, "a")) == {12: 62, -12: 41}
    assert draws_of(panel_named(rack, "b")) == {12: 55, -12: 41}
    assert draws_of(panel_named(rack, "c")) == {12: 55, -12: 20}
    assert draws_of(panel_named(rack, "d")) == {}


def test_a_thing_is_placed_where_it_is_named() -> None:
    """Not where what it is ``like`` is, nor where this specimen is spoken of."""
    rack = rack_of("next ten-b as b; next ten-b as c", "    about c {\n        draws nothing\n    }\n")
    for name in ("b", "c"):
        part = panel_named(rack, name).part
        assert part is not None
        assert part.place.source.text[part.place.start :].startswith("ten-b like ten {")


@pytest.mark.parametrize(
    ("lines", "depth"),
    [
        ("depth 30mm; depth 31mm measured", 31),
        ("depth 31mm measured; depth 30mm", 31),
        ("depth 30mm guessed; depth 31mm", 31),
        ("depth 30mm guessed; depth 31mm measured; depth 32mm", 31),
    ],
)
def test_measured_beats_stated_beats_guessed(lines: str, depth: int) -> None:
    """Within one block, in whatever order they stand."""
    block = "".join(f"    {line.strip()}\n" for line in lines.split("; "))
    (seen,) = look_at(
        f"module one {{\n    width 4HP\n{block}}}\nrack r {{\n    row t {{\n        at 0HP one\n    }}\n}}\n"
    ).racks
    part = seen.rack.panels()[0].part
    assert part is not None
    assert part.depth is not None
    assert part.depth.value == depth


def test_stages_are_numbered_in_order() -> None:
    """0 is the start; a panel is there from ``in`` on and until before ``until``."""
    rack = rack_of(
        "next ten; next ten as b in mid; next ten as c until late; next ten as d in mid until late",
        before="    stage mid\n    stage late\n",
    )
    there = {panel.name: [panel.there(stage) for stage in range(3)] for panel in rack.panels()}
    assert there == {
        "ten": [True, True, True],
        "b": [False, True, True],
        "c": [True, True, False],
        "d": [False, True, False],
    }


@pytest.mark.parametrize(
    ("row", "more", "feeds", "unfed"),
    [
        ("power from slab; next ten", "", {"slab": ["top"]}, []),
        ("power from brick; next brick; next ten", "", {"brick": ["top"]}, []),
        ("next brick; next ten", "", {"brick": ["top"]}, []),
        ("next ten", "", {}, ["top"]),
        ("next blank 4HP", "", {}, []),
        ("power from spine; next ten", "    bus spine {\n        from slab\n    }\n", {"slab": ["top"]}, []),
        (
            "power from far; next ten",
            "    bus far {\n        from near\n    }\n    bus near {\n        from slab\n    }\n",
            {"slab": ["top"]},
            [],
        ),
        ("next brick; next ten", "    bus spine {\n        from slab\n    }\n", {"slab": [], "brick": []}, ["top"]),
        ("next brick as b1; next brick as b2; power from b2; next ten", "", {"b2": ["top"], "b1": []}, []),
        ("power from nothing-there; next ten", "", {}, []),
    ],
)
def test_what_feeds_what(row: str, more: str, feeds: dict[str, list[str]], unfed: list[str]) -> None:
    """Busses lead back to their supply; a single supply feeds what names none; with two nobody guesses."""
    rack = rack_of(row, more)
    assert {feed.name: [fed.name for fed in feed.rows] for feed in rack.feeds} == feeds
    assert [lost.name for lost in rack.unfed] == unfed


def test_a_single_supply_is_taken_and_marked_so() -> None:
    """What was assumed is marked as assumed."""
    assert [feed.assumed for feed in rack_of("next brick; next ten").feeds] == [True]
    assert [feed.assumed for feed in rack_of("power from slab; next ten").feeds] == [False]


@pytest.mark.parametrize(
    ("text", "rules"),
    [
        ("row a {\n}\nrow a {\n}", ["name-taken"]),
        ("stage a\nrow a {\n}", ["name-taken"]),
        ("row a {\nnext ten\nnext ten\n}", ["name-taken"]),
        ("row a {\nnext ten\nnext ten as b\n}", []),
        ("row a {\nnext blank 2HP\nnext blank 2HP\n}", []),
        ("row tray {\n}", []),
        ("row a {\nnext ten in gone\n}", ["unknown-name"]),
        ("row a {\nnext gone\nnext gone as b\n}", ["unknown-name"]),
        ("row a {\npower from ten\n}", ["name-of-other-kind"]),
        ("bus a {\nfrom b\n}\nbus b {\nfrom a\n}\nrow c {\npower from a\n}", ["fed-in-a-ring"]),
        ("row a {\ninstead ten\n}", ["nothing-above"]),
        ("about gone {\n}", ["unknown-name"]),
        ('waive row-overfull on gone because "x"', ["unknown-name"]),
        ('waive row-overfull on tray/a because "x"\nrow a {\n}', ["waiver-stale"]),
    ],
)
def test_names_of_a_rack(text: str, rules: list[str]) -> None:
    """Each fault of a name is told once, and nothing that follows from it."""
    assert [rule for rule, severity in severities(f"{PARTS}rack tray {{\n{text}\n}}\n") if severity != "note"] == rules


@pytest.mark.parametrize(
    ("text", "messages"),
    [
        ("module a like b {\n}\nmodule b like a {\n}\n", ["'b' is like 'a', which in the end is like 'b'"]),
        ("module a like a {\n}\n", ["'a' is like 'a', which in the end is like 'a'"]),
        ("module a like gone {\n}\n", ["no module is called 'gone'"]),
        ("module a like brick {\n}\n" + PARTS, ["'brick' is a supply; a module is due here"]),
    ],
)
def test_like(text: str, messages: list[str]) -> None:
    """A ring is told once, at the line that closes it, by the names that stand there."""
    assert [finding.message for finding in look_at(text).findings] == messages


def test_a_bus_that_is_nearly_named() -> None:
    """Where a bus or a supply may stand, both are offered."""
    buses = "    bus spine {\n        from slab\n        headers 4\n    }\n"
    found = look_at(f"{PARTS}rack tray {{\n    row top {{\n        power from spnie\n    }}\n{buses}}}\n").findings
    assert [finding.rule for finding in found] == ["unknown-name"]
    assert "'spine'" in found[0].remedy
