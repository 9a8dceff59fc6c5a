"""Rows of panels go in, before and after; what is told of them must be what a builder did."""

from __future__ import annotations

import pytest

from rackspec.comparison import Comparison
from rackspec.comparison.record import Change
from rackspec.language.units import HP
from rackspec.views.comparison_groups import groups_of
from tests.comparison.texts import compared

PARTS = "".join(
    f"module {name} {{\n    width {width}HP\n    draws nothing\n}}\n"
    for name, width in (("reed", 10), ("weir", 8), ("otter", 6), ("heron", 16), ("eel", 8))
)


def rack(*rows: str, name: str = "desk", parts: str = PARTS, stages: str = "") -> str:
    """A rack with rows, each given as its lines with ``;`` between them; a row is called by a letter."""
    text = parts + f"rack {name} {{\n{stages}"
    for letter, row in zip("abc", rows, strict=False):
        lines = "\n".join(f"        {line.strip()}" for line in row.split(";"))
        text += f"    row {letter} {{\n        length 84HP\n{lines}\n    }}\n"
    return text + "}\n"


def words(comparison: Comparison) -> list[str]:
    """What is told, a line each."""
    return [
        f"{told.label}: {told.text}" if told.label else told.text
        for group in groups_of(comparison.changes)
        for told in group.lines
    ]


CHAIN = "at 0HP reed; next weir; next otter; next heron; next eel"

MADE = {
    "one put into the middle": (
        CHAIN,
        "at 0HP reed; next weir; next otter as new; next otter; next heron; next eel",
        [
            "added: 'new' (otter, 6HP) in row 'a' at 18HP",
            "and 'otter', 'heron' and 'eel' behind it move 6HP to the right",
        ],
    ),
    "one taken out": (
        CHAIN,
        "at 0HP reed; next otter; next heron; next eel",
        ["removed: 'weir' (8HP) in row 'a' at 10HP", "and 'otter', 'heron' and 'eel' behind it move 8HP to the left"],
    ),
    "the last one taken out": (
        CHAIN,
        "at 0HP reed; next weir; next otter; next heron",
        ["removed: 'eel' (8HP) in row 'a' at 40HP"],
    ),
    "two as wide change places": (
        CHAIN,
        "at 0HP reed; next eel; next otter; next heron; next weir",
        ["swapped: 'eel' and 'weir' change places in row 'a'"],
    ),
    "neighbours of other widths change places": (
        CHAIN,
        "at 0HP reed; next otter; next weir; next heron; next eel",
        ["swapped: 'otter' and 'weir' change places in row 'a'"],
    ),
    "the first goes to the end": (
        CHAIN.replace("at 0HP", "next"),
        "next weir; next otter; next heron; next eel; next reed",
        [
            "moved: the 4 panels 'weir' to 'eel' in row 'a', 10HP to the left",
            "moved: 'reed' in row 'a' from 0HP to 38HP",
        ],
    ),
    "one is moved by hand": (
        "at 0HP reed; at 20HP weir",
        "at 0HP reed; at 30HP weir",
        ["moved: 'weir' in row 'a' from 20HP to 30HP"],
    ),
    "one is called otherwise": (
        "at 0HP reed as low; next weir",
        "at 0HP reed as deep; next weir",
        ["renamed: 'low' is now 'deep'"],
    ),
    "one is called otherwise and stands elsewhere": (
        "at 0HP reed as low; at 20HP weir",
        "at 40HP reed as deep; at 20HP weir",
        ["renamed: 'low' is now 'deep'", "moved: 'deep' in row 'a' from 0HP to 40HP"],
    ),
    "another part under the same name": (
        "at 0HP weir as filter; next otter",
        "at 0HP eel as filter; next otter",
        ["replaced: 'filter': weir → eel"],
    ),
    "another part in the same place": (
        "at 0HP weir; at 10HP otter",
        "at 0HP eel; at 10HP otter",
        ["replaced: 'weir' by 'eel' in row 'a' at 0HP"],
    ),
    "another part that is wider": (
        "at 0HP weir as filter; next otter; next eel",
        "at 0HP reed as filter; next otter; next eel",
        ["replaced: 'filter': weir → reed", "and 'otter' and 'eel' behind it move 2HP to the right"],
    ),
    "a place is written down": (
        "at 0HP weir; next otter; next eel",
        "at 0HP weir; at 8HP otter; at 14HP eel",
        ["pinned: 'otter' and 'eel' in row 'a': their places are written down ('at' instead of 'next')"],
    ),
    "a place hangs on the one above again": (
        "at 0HP weir; at 8HP otter",
        "at 0HP weir; next otter",
        ["unpinned: 'otter' in row 'a': its place hangs on the panel above ('next', not 'at')"],
    ),
    "a blank is narrower": (
        "at 0HP weir; next blank 6HP; next otter",
        "at 0HP weir; next blank 4HP; next otter",
        [
            "changed: a blank in row 'a' at 8HP: width 6HP → 4HP",
            "moved: 'otter' in row 'a', 2HP to the left",
        ],
    ),
    "a blank gives way": (
        "at 0HP weir; next blank 6HP; next eel",
        "at 0HP weir; next otter; next eel",
        ["replaced: a blank of 6HP by 'otter' in row 'a' at 8HP"],
    ),
    "a gap becomes a blank": (
        "at 0HP weir; next gap 2HP",
        "at 0HP weir; next blank 2HP",
        ["replaced: a gap of 2HP by a blank of 2HP in row 'a' at 8HP"],
    ),
    "lines of the same places in another order": (
        "at 0HP weir; at 20HP otter",
        "at 20HP otter; at 0HP weir",
        [],
    ),
    "the same place in another unit": ("at 20HP weir", "at 101.6mm weir", []),
    "a name that says what it is called anyway": ("at 0HP weir", "at 0HP weir as weir", []),
}


@pytest.mark.parametrize("what", MADE)
def test_one_row(what: str) -> None:
    """What was done is told as it was done, and nothing else."""
    before, after, told = MADE[what]
    assert words(compared(rack(before), rack(after))) == told


def test_from_row_to_row() -> None:
    """A panel that goes to another row has moved, whatever follows it."""
    comparison = compared(
        rack("at 0HP reed; next weir", "at 0HP heron"), rack("at 0HP reed", "at 0HP heron; next weir")
    )
    assert words(comparison) == ["moved: 'weir' from row 'a' at 10HP to row 'b' at 16HP"]


def test_a_row_called_otherwise_moves_nothing() -> None:
    """A row is not where a panel is; it only names it."""
    old = rack("at 0HP reed; next weir")
    assert words(compared(old, old.replace("row a", "row upper"))) == ["renamed: row 'a' is now 'upper'"]


def test_a_wider_part_moves_what_stands_behind_it_and_is_told_once() -> None:
    """One change of the library is one change, with what moves because of it."""
    old = rack("at 0HP reed; next weir as one; next otter", "at 0HP weir as two; next eel; next heron")
    new = old.replace("module weir {\n    width 8HP", "module weir {\n    width 9HP")
    comparison = compared(old, new)
    assert words(comparison) == [
        "moved: 'otter' in row 'a', 1HP to the right, because 'weir' in front of it is 1HP wider",
        "moved: 'eel' and 'heron' in row 'b', 1HP to the right, because 'weir' in front of them is 1HP wider",
        "width: 8HP → 9HP",
    ]
    part = comparison.changes[-1]
    assert (part.kind, part.name, part.rack) == ("module", "weir", "")
    assert part.touches == ("desk/one", "desk/two")


def test_twenty_that_move_are_one_line() -> None:
    """However long the chain, what moves along is told together, by how many there are and which."""
    line = "; ".join(["at 0HP reed", *(f"next otter as o{number}" for number in range(20))])
    new = line.replace("at 0HP reed", "at 0HP reed; next eel")
    told = words(compared(rack(line).replace("84HP", "200HP"), rack(new).replace("84HP", "200HP")))
    assert told == [
        "added: 'eel' (8HP) in row 'a' at 10HP",
        "and the 20 panels behind it, 'o0' to 'o19', move 8HP to the right",
    ]


def one(comparison: Comparison) -> Change:
    """The only change."""
    (change,) = comparison.changes
    return change


def test_a_shift_says_how_far_and_behind_what() -> None:
    """For a machine: all names, the distance, and what stands in front of them."""
    comparison = compared(rack(CHAIN), rack(CHAIN.replace("next otter", "next blank 3HP; next otter")))
    added, shifted = comparison.changes
    assert (added.action, added.kind) == ("added", "blank")
    assert shifted.names == ("desk/otter", "desk/heron", "desk/eel")
    assert (shifted.shift, shifted.behind, shifted.unbroken) == (3 * HP, "blank 3HP", True)


def test_times_of_panels() -> None:
    """From when on something is there, and until when."""
    stages = "    stage spring\n    stage autumn\n"
    old = rack("at 0HP reed in spring; at 20HP weir", stages=stages)
    new = rack("at 0HP reed in autumn; at 20HP weir until spring", stages=stages)
    assert words(compared(old, new)) == [
        "stage: 'reed': in spring → in autumn",
        "stage: 'weir': from the start → until spring",
    ]
    renamed = rack("at 0HP reed in may; at 20HP weir", stages=stages.replace("spring", "may"))
    assert words(compared(old, renamed)) == ["renamed: stage 'spring' is now 'may'"]
    swapped = rack("at 0HP reed in spring; at 20HP weir", stages="    stage autumn\n    stage spring\n")
    assert words(compared(old, swapped)) == ["order: 'stage' lines in another order: spring, autumn → autumn, spring"]


def test_places_that_nobody_knows() -> None:
    """Behind something of unknown width no place is known; the order is told all the same."""
    unknown = PARTS + "module mystery {\n    draws nothing\n}\n"
    known = PARTS + "module mystery {\n    width 4HP\n    draws nothing\n}\n"
    row = "at 0HP mystery; next weir; next otter"
    lost = compared(rack(row, parts=known), rack(row, parts=unknown))
    assert words(lost) == [
        "unplaced: 'weir' and 'otter' in row 'a': nobody knows any more where they stand",
        "width: 4HP  (gone)",
    ]
    order = compared(rack(row, parts=unknown), rack("at 0HP mystery; next otter; next weir", parts=unknown))
    assert words(order) == ["order: row 'a': panels in another order: weir, otter → otter, weir"]


def test_a_part_called_otherwise_is_told_once() -> None:
    """A panel without a name of its own, what is like the part, and what is said of the panel all follow."""
    extra = "module weir-b like weir {\n    width 9HP\n}\n"
    old = rack("at 0HP weir; next weir-b").replace("rack desk {", extra + "rack desk {")
    old = old.replace("    row a", "    about weir {\n        depth 30mm\n    }\n    row a")
    new = old.replace("weir", "sluice")
    comparison = compared(old, new)
    assert [(change.action, change.was, change.name) for change in comparison.changes] == [
        ("renamed", "weir", "sluice"),
        ("renamed", "weir-b", "sluice-b"),
    ]
    assert not comparison.findings


def test_a_rack_called_otherwise_is_still_the_rack_that_it_was() -> None:
    """Also if a little was changed at the same time; of another rack with its own contents this is not said."""
    old = rack(CHAIN)
    comparison = compared(old, rack(CHAIN + "; next otter as last", name="bench"))
    assert [(change.action, change.kind, change.was) for change in comparison.changes] == [
        ("renamed", "rack", "desk"),
        ("added", "panel", ""),
    ]
    other = compared(old, rack("at 30HP eel; at 10HP blank 5HP; at 1HP otter", name="bench"))
    assert {(change.action, change.name) for change in other.changes} == {("added", "bench"), ("removed", "desk")}


def test_what_a_used_library_holds_besides_is_no_difference() -> None:
    """Of a library that is used only what is needed is looked at; that a part is used now is told by the panel."""
    library = {"parts.rackspec": PARTS}
    old = 'use "parts.rackspec"\n' + rack("at 0HP weir", parts="")
    new = 'use "parts.rackspec"\n' + rack("at 0HP weir; next otter", parts="")
    comparison = compared({**library, "desk.rackspec": old}, {**library, "desk.rackspec": new}, "desk.rackspec")
    change = one(comparison)
    assert (change.action, change.name) == ("added", "desk/otter")


def test_a_used_part_that_is_gone_is_told() -> None:
    """One that is still named is missed, and that is a change of the library."""
    old = 'use "parts.rackspec"\n' + rack("at 0HP weir", parts="")
    gone = PARTS.replace("module weir {", "module weir-x {")
    files = [{"parts.rackspec": parts, "desk.rackspec": old} for parts in (PARTS, gone)]
    comparison = compared(files[0], files[1], "desk.rackspec")
    change = one(comparison)
    assert (change.action, change.kind, change.name) == ("removed", "module", "weir")
    assert change.touches == ("desk/weir",)
    assert [finding.shown.rule for finding in comparison.of_status("new")] == ["unknown-name"]
