"""The grammar holds together: no conflict, the whole grammar and its one line agree, every word can be a name."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from pathlib import Path
from random import Random
from typing import Any, NamedTuple

import lark
import pytest
from lark.exceptions import UnexpectedInput

from rackspec.findings import Source
from rackspec.language.binding import bind_line
from rackspec.language.folder import grammar_text
from rackspec.language.grammar import build_lines, build_words
from rackspec.language.lines import read_shape, read_tree
from rackspec.language.pattern import State
from rackspec.language.values import CLASSES
from rackspec.language.words import BLOCKS, RESERVED, Statement, automaton, make_blocks
from rackspec.pipeline import Result
from tests.conftest import ROOT
from tests.language.mutants import IN_LINES, OF_LINES

# --- conflicts


@pytest.mark.parametrize(
    ("name", "options"),
    [
        ("rackspec.lark", {"start": ["single", "file"], "maybe_placeholders": False}),
        ("words.lark", {"start": "table"}),
    ],
)
def test_no_conflict(name: str, options: dict[str, Any], caplog: pytest.LogCaptureFixture) -> None:
    """Lark settles a shift/reduce conflict silently and only tells its log."""
    with caplog.at_level(logging.DEBUG, logger=lark.logger.name):
        lark.Lark(grammar_text(name), parser="lalr", debug=True, **options)
    assert [record.getMessage() for record in caplog.records if "onflict" in record.getMessage()] == []


def test_a_conflict_would_be_seen(caplog: pytest.LogCaptureFixture) -> None:
    """A grammar with a conflict, so that the test above is known to see one."""
    with caplog.at_level(logging.DEBUG, logger=lark.logger.name):
        lark.Lark('start: e\ne: e "+" e | "1"', parser="lalr", debug=True)
    assert any("onflict" in record.getMessage() for record in caplog.records)


# --- the whole grammar and its one line

WHOLE = build_lines("file")


def whole_accepts(text: str) -> bool:
    """Whether the rule ``file`` takes a text."""
    try:
        WHOLE.parse(text if text.endswith("\n") or not text else text + "\n")
    except UnexpectedInput:
        return False
    return True


def lines_accept(text: str) -> bool:
    """Whether the reader that goes line by line has nothing to say."""
    return not read_tree(Source("spec", text))[1]


def texts_of_files() -> dict[str, str]:
    """Every spec of the demo and of the tests."""
    paths = sorted([*(ROOT / "specs").rglob("*.rackspec"), *(ROOT / "tests").rglob("*.rackspec")])
    return {path.relative_to(ROOT).as_posix(): path.read_text(encoding="utf-8") for path in paths}


FILES = texts_of_files()


@pytest.mark.parametrize("name", FILES)
def test_both_readers_agree_on_files(name: str) -> None:
    """The grammar as a whole and the reader of lines accept the same files."""
    assert whole_accepts(FILES[name]) == lines_accept(FILES[name])


def test_the_demo_is_accepted() -> None:
    """So that agreeing is not agreeing on nothing."""
    assert all(whole_accepts(text) for name, text in FILES.items() if name.startswith("specs/"))


def test_both_readers_agree_on_slips() -> None:
    """Seeded slips in short pieces of the demo: the whole grammar accepts a text if and only if no line has a slip."""
    pieces = [piece + "}\n" for name in FILES if name.startswith("specs/") for piece in FILES[name].split("}\n")[:-1]]
    pieces = [piece for piece in pieces if lines_accept(piece)]
    accepted = 0
    cases = 900
    for number in range(cases):
        chance = Random(f"agree {number}")
        text = chance.choice((*IN_LINES, *OF_LINES))(chance.choice(pieces), chance)
        whole = whole_accepts(text)
        accepted += whole
        assert whole == lines_accept(text), text
    assert cases / 10 < accepted < cases * 9 / 10


ODD_TEXTS = (
    "",
    "\n",
    "# only a comment",
    "a {\n}\n",
    "a { # comment\n} # comment\n",
    "a{\n}\n",
    "a {\r\n    width 14HP\r\n}\r\n",
    "a {}\n",
    "a { b\n}\n",
    "a\n{\n}\n",
    "}\n",
    "a {\n",
    "a {\n    }\n    b {\n}\n",
    'a "#{}" {\n}\n',
    'a "one\ntwo"\n',
    "a (1mm, 2mm)\n",
    "a (1mm 2mm)\n",
    "a 1mm plus 2mm minus 3mm\n",
    "a plus\n",
    "a 1mm +-2mm +-2mm\n",
    "a 1mm..2mm\n",
    "a 1mm ..2mm\n",
    "a +0.1mm/-0.2mm\n",
    "a 1mm +0.1mm/-0.2mm\n",
    "a 4 13/16in\n",
    "a 4 13/16 in\n",
    "a 1 2 3\n",
    "a/b c/d\n",
    "a/b/c\n",
    "a- b\n",
    "-a\n",
    "1a\n",
    "a M3x6 M3 M2.5x10 M3y\n",
    "a 10-pin 10-pins\n",
    "a 10-pin\n",
    "a 2026-10-04 2026-10-4\n",
    "a 148 EUR\n",
    "a\t148\tEUR\n",
    "a 148 EURO\n",
    "a 18AWG 0.5mm²\n",
    "größe 12mm\n",
    "a\u00a012mm\n",
    "a ٣mm\n",
)


@pytest.mark.parametrize("text", ODD_TEXTS)
def test_both_readers_agree_on_odd_texts(text: str) -> None:
    """Corners of the grammar."""
    assert whole_accepts(text) == lines_accept(text)


# --- the table of words


def test_the_table_is_the_one_that_runs() -> None:
    """What was prepared is what words.txt says now."""
    assert make_blocks(build_words()) == BLOCKS


def states_of(state: State) -> Iterator[State]:
    """All states of an automaton."""
    seen: set[int] = set()
    waiting = [state]
    while waiting:
        state = waiting.pop()
        if id(state) not in seen:
            seen.add(id(state))
            yield state
            waiting += [behind for _, behind in state.edges]


STATEMENTS = [statement for block in BLOCKS.values() for statement in block.statements.values()]


@pytest.mark.parametrize("statement", STATEMENTS, ids=lambda statement: f"{statement.block}-{statement.word}")
def test_no_word_stands_where_a_name_may(statement: Statement) -> None:
    """A literal in the place of a name would hide a thing of that name: only reserved words may stand there."""
    for state in states_of(automaton(statement)):
        names = [
            edge for edge, _ in state.edges if edge.kind == "reference" or (edge.kind == "value" and edge.what == "NEW")
        ]
        if names:
            assert set(state.literals) <= {"blank", "gap"}, statement


# --- every word as a name, everywhere


class NamePlace(NamedTuple):
    """A line with one place for a name in it: a pattern for ``format``, the block it stands in, the key of the name."""

    block: str
    statement: Statement
    line: str


def ways(items: list[Any]) -> list[list[str]]:
    """All ways to write a pattern, with ``{}`` for each name: optional parts with and without."""
    found: list[list[str]] = [[]]
    for item in items:
        match item[0]:
            case "literal":
                choices = [[item[1]]]
            case "value" if item[1] == "NEW":
                choices = [["{}"]]
            case "value":
                choices = [[CLASSES[item[1]].example.split(" or ")[0].split(", ")[0]]]
                if item[1] == "POINT":
                    choices = [["(7.5mm, 3mm)"]]
            case "reference":
                choices = [["{}"]]
            case "either":
                choices = [way for inner in item[1] for way in ways(inner)]
            case "optional":
                choices = [[], *(way for inner in item[1] for way in ways(inner))]
            case _:
                choices = [[]]
        found = [way + choice for way in found for choice in choices]
    return found


def name_places() -> list[NamePlace]:
    """Each place of each statement where a name may stand, in the shortest line that has it."""
    places: dict[tuple[str, str, str, int], NamePlace] = {}
    for statement in STATEMENTS:
        if statement.block in ("known", "bought", "panel", "fed", "feeding"):
            continue
        for way in sorted(ways(statement.items), key=len):
            slots = [position for position, part in enumerate(way) if part == "{}"]
            for slot in slots:
                parts = [
                    part if part != "{}" or position == slot else "other-thing" for position, part in enumerate(way)
                ]
                before = next((part for part in reversed(way[:slot]) if part.isalpha()), "")
                key = (statement.block, statement.word, before, len(slots))
                line = " ".join([statement.word, *parts]) + (" {{" if statement.opens else "")
                places.setdefault(key, NamePlace(statement.block, statement, line))
    return list(places.values())


PLACES = name_places()
WORDS = sorted(
    set(BLOCKS)
    | {statement.word for statement in STATEMENTS}
    | {literal for statement in STATEMENTS for state in states_of(automaton(statement)) for literal in state.literals}
)
NAMES = [word for word in WORDS if word not in RESERVED]


def test_there_are_many_places_and_words() -> None:
    """So that what follows is not proved of nothing."""
    lines = {place.line for place in PLACES}
    assert len(PLACES) > 40
    assert len(NAMES) > 90
    assert {"module {} {{", "takes {}", "power from {}", "next {}", "next other-thing as {}", "wish {} {{"} <= lines
    assert {"rails other-thing with {}", "module other-thing like {} {{", "next other-thing in {}"} <= lines


@pytest.mark.parametrize("place", PLACES, ids=lambda place: f"{place.block}-{place.line}")
def test_every_word_can_be_a_name(place: NamePlace) -> None:
    """No word of the table is taken from the builder: only four are reserved."""
    for word in NAMES:
        shape = read_shape(place.line.format(word))
        assert shape.slips == (), (word, shape.slips)
        bound = bind_line(place.block, shape, bool(place.statement.opens))
        assert bound.slips == (), (word, bound.slips)
        assert not bound.spoiled
        assert bound.statement == place.statement
        assert [value.text for key, value in bound.values.items() if key and value.text == word], word


@pytest.mark.parametrize("place", PLACES, ids=lambda place: f"{place.block}-{place.line}")
@pytest.mark.parametrize("word", sorted(RESERVED))
def test_a_reserved_word_is_no_name(place: NamePlace, word: str) -> None:
    """It is told in one finding, or it is the word that it is reserved for."""
    shape = read_shape(place.line.format(word))
    bound = bind_line(place.block, shape, bool(place.statement.opens))
    slips = [*shape.slips, *bound.slips]
    if word in ("blank", "gap") and any(word in state.literals for state in states_of(automaton(place.statement))):
        if place.line.split("{}")[0].split()[-1] in ("as", "in", "until"):
            assert [slip.rule for slip in slips] == ["name-reserved"]
        else:
            (slip,) = slips
            assert slip.message.startswith(f"a length is due behind '{word}'")
        return
    if word in ("plus", "minus") and place.line.split("{}")[0].endswith("HP "):
        assert len(slips) == 1  # behind a measure it adds one
        return
    assert [slip.rule for slip in slips] == ["name-reserved"], slips
    assert slips[0].message == f"'{word}' is reserved and cannot be a name"
    assert place.line.format(word)[slips[0].start : slips[0].end] == word


def test_a_rack_of_words(inspect_files: Any) -> None:
    """Modules that bear the words of the language, all placed in one row: linked without a finding."""
    modules = "".join(f"module {word} {{\n    width 1HP\n}}\n" for word in NAMES)
    placed = "".join(f"        next {word}\n" for word in NAMES)
    text = f"{modules}rack rack-of-words {{\n    row row-of-words {{\n        length 200HP\n{placed}    }}\n}}\n"
    result: Result = inspect_files(text)
    assert result.findings == ()
    assert [panel.name for panel in result.racks[0].rack.rows[0].panels] == NAMES
    assert [panel.part is not None for panel in result.racks[0].rack.rows[0].panels] == [True] * len(NAMES)


def test_the_grammar_is_found_beside_the_package() -> None:
    """An editable install and a bare checkout read the grammar where it is edited."""
    assert Path(ROOT, "grammar", "rackspec.lark").read_text(encoding="utf-8") == grammar_text("rackspec.lark")
