"""Linking by hypotheses: where things stand and what they are called changes nothing but places and names."""

from __future__ import annotations

import re
from collections import Counter
from fractions import Fraction
from typing import Any, NamedTuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rackspec.files import from_bytes
from rackspec.findings import Finding, Place, Source, in_order
from rackspec.language.bound import Block
from rackspec.language.units import HP
from rackspec.model.layers import Layers
from rackspec.model.rack import Panel, Rack
from rackspec.pipeline import Request, inspect
from rackspec.project import Project
from rackspec.views.json_findings import findings_json
from tests.conftest import ROOT, TODAY

linked_often = settings(deadline=None, max_examples=60)
linked_sometimes = settings(deadline=None, max_examples=15)


def link(text: str) -> tuple[list[Rack], list[Finding]]:
    """The racks of one file that stands alone, and what was found."""
    project = Project("/nowhere", "/nowhere")
    project.add_named("/nowhere/spec.rackspec", from_bytes("spec.rackspec", text.encode()))
    project.close()
    racks = project.link()
    return racks, in_order(project.findings())


def one_rack(text: str) -> Rack:
    """The only rack of a text that has no findings."""
    (rack,), found = link(text)
    assert found == [], found[0].message
    return rack


BY_NAME = ("wares", "sellers")
"""What stands in the order of its names, which is another one under other names."""


def facts_of(thing: Any, names: dict[str, str] | None = None) -> Any:
    """A model without its places, as plain data; with the names of ``names`` changed."""
    match thing:
        case Place() | Source() | Layers() | Block():
            return None
        case str():
            return (names or {}).get(thing, thing)
        case tuple() if hasattr(thing, "_fields"):
            fields = zip(thing._fields, thing, strict=True)
            return type(thing).__name__, {
                field: sorted(facts_of(value, names), key=repr) if field in BY_NAME else facts_of(value, names)
                for field, value in fields
                if field != "follows"
            }  # whether a place was written as ``next`` is no fact of the rack
        case tuple() | list():
            return [facts_of(value, names) for value in thing]
        case _:
            return thing


# --- order and names of the demo

PATHS = sorted((ROOT / "specs").rglob("*.rackspec"))
TEXTS = {path.relative_to(ROOT).as_posix(): path.read_text(encoding="utf-8") for path in PATHS}
WHOLE = "".join(re.sub(r'^(?:use "[^\n]*|rackspec 1)\n', "", text, flags=re.MULTILINE) for text in TEXTS.values())
"""The demo as one file."""
BLOCKS = [block + "}\n" for block in re.split(r"^\}\n", WHOLE, flags=re.MULTILINE)[:-1]]


@pytest.mark.slow
@linked_sometimes
@given(st.permutations(list(TEXTS)))
def test_the_order_of_files_changes_nothing(names: list[str]) -> None:
    """However files are named on the command line: the same bytes."""
    shuffled = inspect(Request(tuple(names), str(ROOT), TODAY))
    sorted_ = inspect(Request(tuple(sorted(names)), str(ROOT), TODAY))
    assert findings_json(shuffled) == findings_json(sorted_)
    assert shuffled.findings != ()


@linked_sometimes
@given(st.permutations(range(len(BLOCKS))))
def test_the_order_of_blocks_changes_nothing(order: list[int]) -> None:
    """A thing may be named before it is written down."""
    racks, found = link("".join(BLOCKS[number] for number in order))
    expected, expected_found = link(WHOLE)
    assert sorted((facts_of(rack) for rack in racks), key=repr) == sorted(
        (facts_of(rack) for rack in expected), key=repr
    )
    assert Counter(finding.rule for finding in found) == Counter(finding.rule for finding in expected_found)
    assert len(racks) == len(re.findall(r"^rack ", WHOLE, re.MULTILINE)) > 3


TITLES = re.compile(r'("[^"\n]*"|#[^\n]*)')
GIVEN = sorted(
    {match[2] for match in re.finditer(r"^ *(\w+) +([a-z][\w-]*)(?: \"[^\"]*\")?.*\{", WHOLE, re.MULTILINE)}
    | {match[1] for match in re.finditer(r"^ +(?:at|next|instead) .* as ([a-z][\w-]*)", WHOLE, re.MULTILINE)}
    | {match[1] for match in re.finditer(r"^ +stage +([a-z][\w-]*)", WHOLE, re.MULTILINE)}
    | {match[1] for match in re.finditer(r"^ +box +([a-z][\w-]*)", WHOLE, re.MULTILINE)}
)
"""Every name that the demo gives."""
NAME = re.compile(r"(?<![\w/-])[a-z][\w-]*(?![\w-])")


def renamed(text: str, names: dict[str, str]) -> str:
    """A text with its names changed, but for texts in quotes, comments and the words of the language."""
    parts = TITLES.split(text)
    parts[::2] = [NAME.sub(lambda match: names.get(match[0], match[0]), part) for part in parts[::2]]
    return "".join(parts)


@linked_sometimes
@given(st.permutations(range(len(GIVEN))), st.sampled_from(["n{}", "part-{}", "x{}y", "ä{}"]))
def test_renaming_changes_nothing_but_names(order: list[int], shape: str) -> None:
    """Every name of the demo changed: the same racks and the same findings, under other names."""
    names = dict(zip(GIVEN, (shape.format(number) for number in order), strict=True))
    racks, found = link(renamed(WHOLE, names))
    expected, expected_found = link(WHOLE)
    assert [facts_of(rack) for rack in racks] == [facts_of(rack, names) for rack in expected]
    assert [finding.rule for finding in found] == [finding.rule for finding in expected_found]
    assert len(names) > 60


# --- positions


class Width(NamedTuple):
    """The width of a panel, as written and in mm."""

    text: str
    value: Fraction


whole_widths = st.integers(1, 24).map(lambda hp: Width(f"{hp}HP", hp * HP))
odd_widths = st.integers(100, 9_999).map(lambda tenths: Width(f"{tenths // 10}.{tenths % 10}mm", Fraction(tenths, 10)))
widths = st.lists(st.one_of(whole_widths, odd_widths), min_size=1, max_size=8)


def modules_of(widths: list[Width]) -> str:
    """A module for each width."""
    return "".join(f"module m{number} {{\n    width {width.text}\n}}\n" for number, width in enumerate(widths))


def rack_of(lines: list[str], more: str = "", stages: int = 0) -> str:
    """A rack with one row."""
    named = "".join(f"    stage s{number}\n" for number in range(1, stages + 1))
    placed = "".join(f"        {line}\n" for line in lines)
    return f"rack r {{\n{named}    row a {{\n        length 400HP\n{placed}    }}\n{more}}}\n"


def starts(rack: Rack) -> list[Fraction | None]:
    """Where the panels of the only row begin."""
    (row,) = rack.rows
    return [panel.start for panel in row.panels]


@linked_often
@given(widths, st.integers(0, 40))
def test_next_is_the_first_whole_hp_behind(widths: list[Width], first: int) -> None:
    """A chain of ``next`` is the same rack as the positions worked out by hand and written with ``at``."""
    positions = [first]
    for width in widths[:-1]:
        end = positions[-1] * HP + width.value
        positions.append(next(hp for hp in range(2_000) if hp * HP >= end))
    chain = [f"at {first}HP m0", *(f"next m{number}" for number in range(1, len(widths)))]
    explicit = [f"at {position}HP m{number}" for number, position in enumerate(positions)]
    by_next, by_at = one_rack(modules_of(widths) + rack_of(chain)), one_rack(modules_of(widths) + rack_of(explicit))
    assert starts(by_next) == [position * HP for position in positions]
    assert facts_of(by_next) == facts_of(by_at)


@linked_often
@given(widths, st.data())
def test_measuring_a_specimen_moves_nothing(widths: list[Width], data: st.DataObject) -> None:
    """``next`` goes by the width in the library, whatever was measured on this specimen."""
    chain = [f"next m{number}" for number in range(len(widths))]
    measured = data.draw(st.sampled_from(range(len(widths))))
    about = f"    about m{measured} {{\n        width 3HP measured\n    }}\n"
    before = one_rack(modules_of(widths) + rack_of(chain))
    after = one_rack(modules_of(widths) + rack_of(chain, about))
    assert starts(before) == starts(after)
    width = after.rows[0].panels[measured].width
    assert width is not None
    assert width.value == 3 * HP


@linked_often
@given(widths, st.lists(st.integers(0, 3), min_size=8, max_size=8))
def test_next_does_not_ask_for_stages(widths: list[Width], stages: list[int]) -> None:
    """A panel that comes later keeps its room from the start."""
    plain = [f"next m{number}" for number in range(len(widths))]
    staged = [line + (f" in s{stage}" if stage else "") for line, stage in zip(plain, stages, strict=False)]
    assert starts(one_rack(modules_of(widths) + rack_of(plain, stages=3))) == starts(
        one_rack(modules_of(widths) + rack_of(staged, stages=3))
    )


# --- stages

STAGES = 4


@linked_often
@given(st.integers(0, STAGES), st.one_of(st.none(), st.integers(1, STAGES)))
def test_a_panel_is_there_from_its_stage_until_its_stage(since: int, until: int | None) -> None:
    """No ``in`` is from the start, no ``until`` for ever; at the stage of ``until`` it is gone."""
    line = "at 4HP m0" + (f" in s{since}" if since else "") + (f" until s{until}" if until else "")
    rack = one_rack(modules_of([Width("4HP", 4 * HP)]) + rack_of([line], stages=STAGES))
    (panel,) = rack.panels()
    there = [stage.number for stage in rack.stages if panel.there(stage.number)]
    assert there == [stage for stage in range(STAGES + 1) if since <= stage and (until is None or stage < until)]
    assert [stage.name for stage in rack.stages] == ["", *(f"s{number}" for number in range(1, STAGES + 1))]
    assert rack.rows[0].at(since) == ((panel,) if panel.there(since) else ())


@linked_often
@given(widths, st.integers(0, 20), st.integers(1, STAGES))
def test_instead_stands_where_the_panel_above_stands(widths: list[Width], first: int, stage: int) -> None:
    """At another time, in one place; what comes next begins behind the widest of them."""
    lines = [f"at {first}HP m0 until s{stage}"]
    lines += [f"instead m{number} in s{stage}" for number in range(1, len(widths))]
    rack = one_rack(modules_of(widths) + rack_of([*lines, "next blank 1HP"], stages=STAGES))
    *taking_turns, behind = rack.panels()
    assert {panel.start for panel in taking_turns} == {first * HP}
    widest = first * HP + max(width.value for width in widths)
    assert behind.start is not None
    assert behind.start >= widest > behind.start - HP
    assert behind.start % HP == 0
    changed = [panel.there(stage) != panel.there(stage - 1) for panel in taking_turns]
    assert all(changed)


# --- evidence

LEVELS = ("measured", "stated", "guessed")
WORDS = {"width": "HP", "depth": "mm", "plug": "mm", "mass": "g"}


@linked_often
@given(
    st.sampled_from(sorted(WORDS)),
    st.dictionaries(st.sampled_from(LEVELS), st.integers(1, 200), min_size=1),
    st.randoms(use_true_random=False),
    st.one_of(st.none(), st.sampled_from(LEVELS)),
)
def test_measured_beats_stated_beats_guessed(word: str, said: dict[str, int], chance: Any, basis: str | None) -> None:
    """In whatever order the lines stand; never 'the last one wins'."""
    lines = [f"    {word} {value}{WORDS[word]} {level}\n" for level, value in said.items()]
    if basis is not None:
        lines.append(f"    basis {basis}\n")
    chance.shuffle(lines)
    rack = one_rack(f"module m {{\n{''.join(lines)}}}\n" + rack_of(["at 0HP m"]))
    best = next(level for level in LEVELS if level in said)
    known = value_of(rack.panels()[0], word)
    assert known.evidence.level == best
    assert known.quantity.text == f"{said[best]}{WORDS[word]}"


@linked_often
@given(st.sampled_from(LEVELS), st.sampled_from(LEVELS))
def test_the_basis_holds_where_a_line_says_nothing(basis: str, own: str) -> None:
    """A word behind the value holds for one value, ``basis`` for the rest of the block."""
    text = f'module m {{\n    depth 3mm {own}\n    plug 4mm\n    basis {basis} "the leaflet" 2026-10-04\n}}\n'
    panel = one_rack(text + rack_of(["at 0HP m"])).panels()[0]
    assert value_of(panel, "depth").evidence.level == own
    assert value_of(panel, "plug").evidence.level == basis
    assert value_of(panel, "plug").evidence.text == "the leaflet"


def test_what_nobody_says_otherwise_is_stated() -> None:
    """Whoever writes a value down states it."""
    panel = one_rack("module m {\n    depth 3mm\n}\n" + rack_of(["at 0HP m"])).panels()[0]
    assert value_of(panel, "depth").evidence.level == "stated"


def value_of(panel: Panel, word: str) -> Any:
    """What is known under a word of the part of a panel."""
    assert panel.part is not None
    known = panel.part.bought.mass if word == "mass" else getattr(panel.part, word)
    assert known is not None
    return known


# --- like and about

VOLTAGES = ("+12V", "-12V", "+5V")
currents = st.dictionaries(st.sampled_from(VOLTAGES), st.integers(0, 300))
"""What one block says about currents: nothing (empty), or a current for some voltages."""


class Said(NamedTuple):
    """What one revision says: currents, that it draws nothing, and its depth."""

    currents: dict[str, int]
    nothing: bool
    depth: int | None


said = st.builds(Said, currents, st.just(False), st.one_of(st.none(), st.integers(1, 90)))
cleared = st.builds(Said, st.just({}), st.just(True), st.none())
chains = st.lists(st.one_of(said, said, cleared), min_size=1, max_size=6)


def lines_of(words: Said) -> str:
    """The lines of a block that says so."""
    lines = [f"draws {current}mA on {voltage}" for voltage, current in words.currents.items()]
    lines += ["draws nothing"] if words.nothing else []
    lines += [f"depth {words.depth}mm"] if words.depth else []
    return "".join(f"    {line}\n" for line in lines)


def expected_draws(nearest_first: list[Said]) -> dict[str, int] | None:
    """For each voltage what the nearest says; behind one that draws nothing, nothing more counts."""
    decided: dict[str, int] = {}
    spoken = False
    for words in nearest_first:
        spoken = spoken or bool(words.currents) or words.nothing
        decided = {**words.currents, **decided}
        if words.nothing:
            break
    return decided if spoken else None


def draws_of(panel: Panel) -> dict[str, int] | None:
    """What a placed part draws, by voltage; None where nobody said."""
    assert panel.part is not None
    if panel.part.draws is None:
        return None
    by_value = {Fraction(voltage[:-1]): voltage for voltage in VOLTAGES}
    return {by_value[draw.voltage]: int(draw.current.value) for draw in panel.part.draws}


def revisions(chain: list[Said]) -> str:
    """A module for each, like the one before."""
    texts = []
    for number, words in enumerate(chain):
        like = f" like m{number - 1}" if number else ""
        texts.append(f"module m{number}{like} {{\n{lines_of(words)}}}\n")
    return "".join(reversed(texts))


@linked_often
@given(chains)
def test_a_revision_overrides_voltage_by_voltage(chain: list[Said]) -> None:
    """Each revision sees what it says, then what it is like; ``draws nothing`` clears what lies behind it."""
    rack = one_rack(revisions(chain) + rack_of([f"at {20 * number}HP m{number}" for number in range(len(chain))]))
    for number, panel in enumerate(rack.panels()):
        nearest_first = list(reversed(chain[: number + 1]))
        assert draws_of(panel) == expected_draws(nearest_first)
        depth = next((words.depth for words in nearest_first if words.depth), None)
        assert panel.part is not None
        assert (panel.part.depth.value if panel.part.depth else None) == depth


@linked_often
@given(chains, st.one_of(said, cleared))
def test_about_is_nearest(chain: list[Said], specimen: Said) -> None:
    """What is true of this specimen comes before its part; the next specimen knows nothing of it."""
    last = f"m{len(chain) - 1}"
    about = f"    about mine {{\n{lines_of(specimen)}    }}\n"
    lines = [f"at 0HP {last} as mine", f"at 40HP {last} as other"]
    mine, other = one_rack(revisions(chain) + rack_of(lines, about)).panels()
    nearest_first = list(reversed(chain))
    assert draws_of(mine) == expected_draws([specimen, *nearest_first])
    assert draws_of(other) == expected_draws(nearest_first)
    depth = next((words.depth for words in (specimen, *nearest_first) if words.depth), None)
    assert mine.part is not None
    assert (mine.part.depth.value if mine.part.depth else None) == depth


@linked_often
@given(st.sampled_from(LEVELS), st.sampled_from(LEVELS))
def test_nearer_counts_more_than_better_known(library: str, specimen: str) -> None:
    """A guess about this specimen is nearer than a measurement of its part."""
    about = f"    about m {{\n        depth 9mm {specimen}\n    }}\n"
    rack = one_rack(f"module m {{\n    depth 3mm {library}\n}}\n" + rack_of(["at 0HP m"], about))
    known = value_of(rack.panels()[0], "depth")
    assert (known.quantity.text, known.evidence.level) == ("9mm", specimen)


def test_nothing_said_is_not_nothing_drawn() -> None:
    """Unknown is not zero."""
    text = "module quiet {\n    draws nothing\n}\nmodule unknown {\n    width 4HP\n}\n"
    quiet, unknown = one_rack(text + rack_of(["at 0HP quiet", "at 8HP unknown"])).panels()
    assert quiet.part is not None
    assert unknown.part is not None
    assert quiet.part.draws == ()
    assert unknown.part.draws is None
