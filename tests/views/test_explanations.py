"""``explain``: words, values and commands go in; pages must say what each is, and never guess at an empty word."""

from __future__ import annotations

from pathlib import Path

import pytest

from rackspec.cli.main import COMMANDS
from rackspec.language.currencies import CODES
from rackspec.language.units import UNITS
from rackspec.language.words import BLOCKS
from rackspec.physics.threads import THREADS
from rackspec.rules.registry import PLANNED, load_rules
from rackspec.views.explanations import explanation, inner_words, planned, suggestions, topics
from rackspec.views.pages import page_text
from rackspec.views.value_pages import class_names
from tests.cli.running import rackspec


def page(asked: str) -> str:
    """A page, on one line."""
    text = explanation(asked, COMMANDS)
    assert text is not None, asked
    assert text.endswith("\n")
    assert not text.endswith("\n\n")
    return " ".join(text.split())


def test_every_topic_has_a_page() -> None:
    """Whatever may be suggested can be explained."""
    for topic in topics(COMMANDS):
        assert page(topic)
    assert {*COMMANDS, *PLANNED, *UNITS, *class_names(), "like", "measured", "units"} <= set(topics(COMMANDS))


def test_a_group_of_lines_is_no_word() -> None:
    """Groups are the table's own; a file is none, and its page has its lines."""
    assert [name for name in ("known", "bought", "fed", "feeding") if explanation(name) is not None] == []
    assert page("file").startswith("lines of a file: rackspec version of the language")


@pytest.mark.parametrize("name", planned())
def test_a_planned_rule_says_that_it_is_to_come(name: str) -> None:
    """It may be named already; it is listed as such, and one that there is has its own page."""
    assert f"{name}: a rule that is to come" in page(name)
    assert name in page("rules").split("to come (a waiver or a flag may name them already):")[1].split()


def test_a_rule_that_there_is_is_not_to_come() -> None:
    """A name that is in both lists is a rule."""
    for name, rule in load_rules().items():
        assert page_text(rule) in str(explanation(name))
        assert "to come" not in page(name).split("Why:")[0]
        assert name not in planned()


@pytest.mark.parametrize(
    ("word", "lines"),
    [
        ("like", ["module NEW [TEXT] [like <module>] { … }", "rail NEW [TEXT] [like <rail>] { … }"]),
        ("mains", ["in supply, about: what feeds it input (adapter VOLTAGE CURRENT | mains) [evidence]"]),
        ("keyed", ["in module, about: its power header header PINS [keyed | unkeyed] [evidence]"]),
        ("per", ["in house:", "draws CURRENT on VOLTAGE per HP)"]),
        ("because", ["in rack:", "waive RULE"]),
        ("depth", ["in wish: how deep one is", "inside of lines that begin with: spare (in house), assume (in house)"]),
        ("blank", ["at 4HP blank 6HP", "next (blank LENGTH | gap LENGTH"]),
    ],
)
def test_a_word_inside_of_lines_says_of_which(word: str, lines: list[str]) -> None:
    """Words that begin no line are explained by the lines that have them."""
    for line in lines:
        assert line in page(word)


def test_inner_words_are_those_of_the_table() -> None:
    """Each is found in a pattern, and lower case; a word of a group alone is none of a line."""
    words = inner_words()
    assert {"on", "of", "at", "x", "keyed", "nothing", "left", "pack"} <= set(words)
    assert "widht" not in words
    for statements in words.values():
        assert all(BLOCKS[statement.block].statements[statement.word] == statement for statement in statements)


@pytest.mark.parametrize("word", ["stated", "measured", "guessed"])
def test_evidence(word: str) -> None:
    """What the word says, with a line that has it."""
    assert page(word).startswith(f"{word}: ")
    assert f'depth 28.3mm {word} "' in page(word)


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("SCREW", "SCREW: a screw, such as M3x6"),
        ("SCREW", "Words that take one: screws, holds, sells, have, also, end-screws"),
        ("POINT", "(7.5mm, 3mm) is 7.5mm from the left and 3mm from the bottom"),
        ("VOLTAGE", "the unit is one of: V, mV"),
        ("LENGTH", "the unit is one of: mm, cm, m, um, in, thou, ft, HP, U"),
        ("GAUGE", "such as 18AWG or 0.5mm2"),
        ("EVIDENCE", "Words that take one: basis"),
    ],
)
def test_classes_of_value(name: str, told: str) -> None:
    """What the words in capitals are, with an example, and what takes one."""
    assert told in page(name)


def test_every_class_is_told_once() -> None:
    """HP stands for itself: it is a unit, and no class with a page."""
    assert "HP" not in class_names()
    assert page("HP").startswith("HP: a unit of length")
    for name in class_names():
        assert page(name).startswith(f"{name}: ")


def test_screws_and_threads() -> None:
    """Pitch, clearance holes and lengths are those that the checks work with; an odd length is called one."""
    assert page("M3x6").startswith("M3x6: a screw with the thread M3, 6mm long under the head")
    assert page("M3").startswith("M3: a thread pitch 0.5mm")
    for text in ("M3", "M3x6"):
        assert "clearance hole 3.2mm fine, 3.4mm medium, 3.6mm coarse" in page(text)
        assert "standard lengths 4, 5, 6, 8, 10," in page(text)
        assert "none of them" not in page(text)
    assert page("M3x7").endswith("7mm is none of them; nearest: M3x6 and M3x8")
    assert page("M3x2").endswith("2mm is none of them; nearest: M3x4")
    assert page("M2.5x99.5").endswith("99.5mm is none of them; nearest: M2.5x25")
    for name in THREADS:
        assert f"{name}: a thread" in page(name)
    assert "those of M2, M2.5, M3, M4, M5 are" in page("M30x6")


def test_gauges() -> None:
    """A gauge of a usual wire; 00 is another one than 0, and is not kept."""
    assert "cross-section about 0.823mm2" in page("18AWG")
    assert explanation("00AWG") is None
    assert explanation("99AWG") is None


def test_currencies() -> None:
    """Each code, with the decimals of its money."""
    assert page("EUR").startswith("EUR: a currency of ISO 4217 (2026-01-01), with 2 decimals")
    assert "in whole numbers" in page("JPY")
    assert "with 3 decimals" in page("KWD")
    assert all(page(code).startswith(f"{code}: ") for code in CODES)
    assert explanation("EUX") is None


@pytest.mark.parametrize("name", COMMANDS)
def test_commands(name: str) -> None:
    """One line, and where the rest is."""
    assert page(name).endswith(f"{name}: a command: {COMMANDS[name]} what it takes: rackspec {name} --help")


def test_the_list_of_units() -> None:
    """Each unit is in it by every spelling but its full name in one word, and exactly."""
    words = page("units").split()
    for spelling, unit in UNITS.items():
        if spelling != unit.name:
            assert spelling in words
    assert "HP horizontal pitch = 5.08mm" in page("units")
    assert "thou thou = 0.0254mm" in page("units")


@pytest.mark.parametrize("asked", ["", " ", "\t\n"])
def test_an_empty_word_is_a_failure_of_usage(tmp_path: Path, asked: str) -> None:
    """Nothing is guessed at: it says what it takes."""
    run = rackspec(tmp_path, "explain", asked)
    assert (run.code, run.out) == (2, "")
    assert run.err.startswith("rackspec: explain takes a word, a rule")
    assert suggestions(asked, COMMANDS) == ()


@pytest.mark.parametrize(
    ("asked", "near"),
    [
        ("eur", "EUR"),
        ("m3x6", "M3x6"),
        ("M3X6", "M3x6"),
        ("m3", "M3"),
        ("18awg", "18AWG"),
        ("mesured", "measured"),
        ("inspct", "inspect"),
        ("screw", "SCREW"),
        ("fuse-too-larg", "fuse-too-large"),
    ],
)
def test_what_may_have_been_meant(tmp_path: Path, asked: str, near: str) -> None:
    """Unknown is still 2, with what is near."""
    run = rackspec(tmp_path, "explain", asked)
    assert (run.code, run.out) == (2, "")
    assert f"nothing is known about '{asked}'; write '{near}'" in run.err
