"""Slips of the hand, each with its own words: in: one line with a slip, out: one finding, word for word."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import NamedTuple

import pytest

from rackspec.findings import ERROR, Source
from rackspec.language.binding import bind
from rackspec.language.lines import read_tree
from tests.language.reading import reading


class Slip(NamedTuple):
    """A line of a module with a slip in it, and what is to be said: rule, message, what is underlined, remedy."""

    line: str
    rule: str
    message: str
    span: str
    remedy: str


COMMONEST = (
    # 1 a misspelt word
    Slip("widht 14HP", "unknown-word", "'widht' is not a word that is known in a module", "widht", "write 'width'"),
    # 2 a missing or unknown unit
    Slip("width 14", "unit-missing", "'14' has no unit; a length is due here", "14", "write 14HP or 14mm"),
    Slip("draws 62 on +12V", "unit-missing", "'62' has no unit; a current is due here", "62", "write 62mA or 62A"),
    Slip("draws 62mA on +12", "unit-missing", "'+12' has no unit; a voltage is due here", "+12", "write +12V"),
    Slip("depth 27Mm", "unknown-unit", "'Mm' is not a unit; 'mm' is", "Mm", "write 27mm"),
    Slip("width 14hp", "unknown-unit", "'hp' is not a unit; 'HP' is", "hp", "write 14HP"),
    # 3 = or : between word and value
    Slip("width = 14HP", "line-not-understood", "no '=' is needed between a word and its value", "=", "delete '='"),
    Slip("width: 14HP", "line-not-understood", "no ':' is needed between a word and its value", ":", "delete ':'"),
    # 4 quotes of a word processor
    Slip(
        "note “two left”",
        "line-not-understood",
        "'“' is a curly quote; a text stands between plain ones",
        "“",
        'write " in front of the text and behind it',
    ),
    # 5 a space that does not break
    Slip(
        "depth\u00a027mm",
        "line-not-understood",
        "this space is no ordinary one (U+00A0)",
        "\u00a0",
        "replace it by an ordinary space",
    ),
    # 6 a decimal comma
    Slip(
        "depth 12,5mm",
        "line-not-understood",
        "'12,5' has a comma; decimals are written with a point",
        "12,5",
        "write 12.5",
    ),
    # 7 a text without its end
    Slip(
        'note "two left',
        "text-unfinished",
        "this text has no second quote",
        '"two left',
        'put a " behind its last word',
    ),
    # 8 one } too many
    Slip(
        "}",
        "brace-astray",
        "this '}' closes nothing",
        "}",
        "delete it, or open the block it belongs to with '{'",
    ),
    # 9 the marks of a merge: test_marks_of_a_merge
    # 10 a row of a table
    Slip(
        "saw pair\t14\t27.5\t62",
        "unknown-word",
        "this looks like a row of a table, not like a fact",
        "saw pair\t14\t27.5\t62",
        "write one fact a line, each with its word and unit: width 14HP",
    ),
    Slip(
        "\t14\t27.5\t62",
        "line-not-understood",
        "this looks like a row pasted from a table",
        "14\t27.5\t62",
        "write one fact a line, each with its word and unit: width 14HP",
    ),
)

OTHERS = (
    # units
    Slip('width 4 13/16"', "unknown-unit", "'\"' is not a unit", '"', "write 4 13/16in"),
    Slip("width 84 HP", "unit-missing", "'84 HP' has a space in it", "84 HP", "write 84HP"),
    Slip(
        "width 0.5yd",
        "unknown-unit",
        "'yd' is not a unit of this language",
        "0.5yd",
        "write 457.2mm, which is the same",
    ),
    Slip(
        "draws 18..25mA on +12V",
        "unit-missing",
        "'18' has no unit; both measures carry one",
        "18",
        "write 18mA..25mA",
    ),
    Slip("depth 27+-1mm", "unit-missing", "'27' has no unit; both measures carry one", "27", "write 27mm +-1mm"),
    Slip("depth 27mm plus 1", "unit-missing", "'1' has no unit", "1", "write its unit behind it, such as 1mm"),
    Slip(
        "depth 62mA",
        "wrong-dimension",
        "'depth' takes a length; 62mA is a current",
        "62mA",
        "write it like 84HP, 27mm or 4 13/16in",
    ),
    Slip(
        "depth 27mm plus 3mA",
        "wrong-dimension",
        "'3mA' is current, what stands before it is length",
        "3mA",
        "give both in the same kind of unit",
    ),
    # numbers
    Slip("depth .5mm", "line-not-understood", "'.5mm' lacks its zero", ".5mm", "write 0.5mm"),
    Slip("depth 1/0mm", "line-not-understood", "'1/0' divides by zero", "1/0", "mend the fraction"),
    Slip(
        "draws 25mA..18mA on +12V",
        "line-not-understood",
        "'25mA..18mA' runs backwards",
        "25mA..18mA",
        "write 18mA..25mA",
    ),
    Slip(
        "depth 27mm + 3mm",
        "line-not-understood",
        "'+' belongs to one number; sums are written out",
        "+",
        "write plus: 84HP plus 1mm",
    ),
    Slip(
        "depth 27mm plus",
        "line-not-understood",
        "the line ends where a measure is due",
        "s",
        "write the measure",
    ),
    Slip("draws 41mA on −12V", "line-not-understood", "'−' is a dash; here a hyphen '-' is due", "−", "write '-'"),
    # dates
    Slip(
        'basis stated "leaflet" 2026-10-4',
        "line-not-understood",
        "'2026-10-4' is no date in the order year-month-day with two digits each",
        "2026-10-4",
        "write 2026-10-04",
    ),
    Slip(
        'basis stated "leaflet" 4.10.2026',
        "line-not-understood",
        "'4.10.2026' is no date in the order year-month-day with two digits each",
        "4.10.2026",
        "write the year first, then month and day, like 2026-10-04",
    ),
    Slip(
        "basis stated 2026-02-30",
        "line-not-understood",
        "no calendar has 2026-02-30",
        "2026-02-30",
        "mend the date (year-month-day)",
    ),
    # points
    Slip(
        "hole 3.2mm at (7,5mm, 3mm)",
        "line-not-understood",
        "'7,5' has a comma; decimals are written with a point",
        "7,5",
        "write 7.5",
    ),
    Slip(
        "hole 3.2mm at (7.5mm 3mm)",
        "line-not-understood",
        "a point is two measures in brackets",
        "3mm",
        "write it like (7.5mm, 3mm)",
    ),
    Slip(
        "hole 3.2mm at (7.5mm, 3mm",
        "line-not-understood",
        "this '(' is never closed",
        "(7.5mm, 3mm",
        "write a point like (7.5mm, 3mm)",
    ),
    # what is due
    Slip(
        "draws 62mA +12V",
        "line-not-understood",
        "'on' is due between '62mA' and '+12V'",
        "+12V",
        "write 62mA on +12V",
    ),
    Slip(
        "screws 4 M3x6",
        "line-not-understood",
        "'of' is due between '4' and 'M3x6'",
        "M3x6",
        "write 4 of M3x6",
    ),
    Slip(
        "width",
        "line-not-understood",
        "a length is due behind 'width'",
        "width",
        "write it like 84HP, 27mm or 4 13/16in",
    ),
    Slip("header 10-pins", "line-not-understood", "'10-pins' is no number of pins", "10-pins", "write 10-pin"),
    Slip(
        "price €148",
        "line-not-understood",
        "'€' is not known here",
        "€",
        "write the currency behind the sum: 148 EUR",
    ),
    Slip(
        "draws -41mA on -12V",
        "value-impossible",
        "-41mA is below zero; the sign belongs to the voltage, not to the current",
        "-41mA",
        "write 41mA",
    ),
    Slip(
        "width 1HP plus 1/7mm minus 1in",
        "value-impossible",
        "1HP plus 1/7mm minus 1in comes to less than nothing, which 'width' cannot be",
        "1HP plus 1/7mm minus 1in",
        "work it out again: more is taken away than is there",
    ),
    Slip(
        "width 0HP",
        "value-impossible",
        "'width' of 0HP is nothing at all",
        "0HP",
        "measure it, or delete the line until it is known",
    ),
    Slip(
        "header 10pin",
        "unknown-unit",
        "'10pin' lacks its hyphen",
        "10pin",
        "write 10-pin",
    ),
    Slip(
        "width 1 5/8 in",
        "unit-missing",
        "'1 5/8 in' has a space in front of its unit",
        "1 5/8 in",
        "write 1 5/8in",
    ),
    Slip(
        "price 148",
        "line-not-understood",
        "'148' has no currency; a sum of money is due here",
        "148",
        "write 148 EUR, or the currency it is in",
    ),
    Slip(
        "depth 27mm guesed",
        "line-not-understood",
        "'guesed' is not understood here; 'stated', 'measured' or 'guessed' is due",
        "guesed",
        "write 'guessed'",
    ),
    # one fact a line
    Slip(
        "width 14HP depth 27mm",
        "line-not-understood",
        "a second fact begins at 'depth'; each stands on a line of its own",
        "depth",
        "put 'depth' and what follows on the next line",
    ),
    Slip(
        "width 14HP,",
        "line-not-understood",
        "no ',' is needed here: a fact ends with its line",
        ",",
        "delete ','",
    ),
    Slip("width width 14HP", "line-not-understood", "'width' stands here twice", "width", "delete one of the two"),
    Slip("wid>th 14HP", "line-not-understood", "'>' stands in the middle of a word", ">", "write width"),
    Slip(
        "depth ~27mm",
        "line-not-understood",
        "'~' is not known here",
        "~",
        "write 'guessed' behind the value",
    ),
    # texts
    Slip(
        "note 'two left'",
        "line-not-understood",
        "a text stands between double quotes, not between single ones",
        "'",
        'write " in front of the text and behind it',
    ),
    Slip(
        "note two left",
        "line-not-understood",
        "a text in quotes is due behind 'note', not 'two'",
        "two",
        'write it like "top row"',
    ),
    Slip(
        'note "the "small" one"',
        "line-not-understood",
        "'small' is one too many: the line is complete before it",
        "small",
        "delete it, or put it on a line of its own",
    ),
    # words of other places
    Slip(
        "rails tideline-84",
        "unknown-word",
        "'rails' is not a word that is known in a module",
        "rails",
        "'rails' belongs in a row: move the line, or look where a '}' is missing",
    ),
    Slip(
        "14HP width",
        "line-not-understood",
        "a line begins with a word, '14HP' is a value",
        "14HP",
        "write in front of it what it says",
    ),
    Slip(
        "width14HP",
        "unknown-word",
        "'width14HP' needs a space behind 'width'",
        "width14HP",
        "write width 14HP",
    ),
    Slip(
        "dep\u200bth 27mm",
        "line-not-understood",
        "a character that cannot be seen stands here (U+200B)",
        "\u200b",
        "delete it",
    ),
)


@pytest.mark.parametrize("slip", [*COMMONEST, *OTHERS], ids=lambda slip: slip.line)
def test_a_slip_in_a_line(slip: Slip) -> None:
    """Rule, message, underlined text and remedy, and nothing else."""
    text = f'module saw "a saw"  {{\n    face      40.34mm\n    {slip.line}\n    thickness 2mm\n}}\n'
    (found,) = reading(text)
    assert (found.rule, found.severity, found.message) == (slip.rule, ERROR, slip.message)
    assert text[found.place.start : found.place.end] == slip.span
    assert text.count("\n", 0, found.place.start) == 2
    assert found.remedy == slip.remedy


def told(text: str) -> list[tuple[str, str, int, str]]:
    """Each finding as rule, message, line number and underlined text."""
    return [
        (
            finding.rule,
            finding.message,
            text.count("\n", 0, finding.place.start) + 1,
            text[finding.place.start : finding.place.end],
        )
        for finding in reading(text)
    ]


TWO_BLOCKS = """\
rack towpath {
    row deck {
        behind 58mm
        at 0HP saw
    }
    row shelf {
        behind 40mm
    }
}
"""


def test_a_missing_closing_brace_is_blamed_on_its_block() -> None:
    """Indentation tells which block lacks its brace, and in front of which line it is missed."""
    text = TWO_BLOCKS.replace("saw\n    }\n", "saw\n")
    (found,) = reading(text)
    assert found.rule == "brace-astray"
    assert found.message == "the block 'row deck' is opened here and never closed"
    assert found.remedy == "put a '}' on a line of its own behind its last line"
    assert text[found.place.start :].startswith("{\n        behind 58mm")
    (missed,) = found.others
    assert text[missed.start : missed.end] == "row shelf {"
    assert missed.label == "a '}' is missed before this"


def test_a_missing_last_brace_is_blamed_on_the_outermost_block() -> None:
    """The file ends and one block is open."""
    assert told(TWO_BLOCKS[: -len("}\n")]) == [
        ("brace-astray", "the block 'rack towpath' is opened here and never closed", 1, "{")
    ]


def test_a_missing_opening_brace() -> None:
    """What follows stands further right, so a block was meant."""
    assert told(TWO_BLOCKS.replace("row deck {", "row deck")) == [
        ("brace-astray", "'row deck' is followed by a block, but none is opened", 2, "k")
    ]


def test_a_missing_header() -> None:
    """The whole line that opens a block is gone: one finding, not one for each line that was in it."""
    assert told(TWO_BLOCKS.replace("    row shelf {\n", "")) == [
        ("brace-astray", "the line that opens this block is missing", 6, "behind 40mm")
    ]


def test_a_header_pasted_twice() -> None:
    """The first one opens nothing."""
    assert told(TWO_BLOCKS.replace("    row shelf {\n", "    row shelf {\n" * 2)) == [
        ("brace-astray", "'row shelf' is opened twice", 6, "row shelf {")
    ]


def test_a_word_in_the_place_of_a_closing_brace() -> None:
    """Where the block ends is plain."""
    assert told(TWO_BLOCKS.replace("saw\n    }", "saw\n    end")) == [
        ("brace-astray", "'end' stands where the '}' of 'row deck' is due", 5, "end")
    ]


def test_an_opening_brace_on_the_next_line() -> None:
    """As other languages have it: one finding, and the block is read."""
    assert told(TWO_BLOCKS.replace("row deck {", "row deck\n    {")) == [
        ("brace-astray", "a '{' stands at the end of the line that opens its block", 3, "{")
    ]


def test_a_block_on_one_line() -> None:
    """A brace ends its line."""
    assert told("rack towpath {\n    row deck { behind 58mm }\n}\n") == [
        ("brace-astray", "something stands behind this '{', which has to be the last on its line", 2, "{")
    ]


def test_a_brace_behind_a_fact() -> None:
    """A fact of one line opens no block."""
    text = "module saw {\n    width 14HP {\n        depth 27mm\n    }\n}\n"
    assert told(text) == [("brace-astray", "'width' is a fact of one line and opens no block", 2, "width")]
    text = "module saw {\n    width 14HP {\n    depth 27mm\n}\n"
    assert told(text) == [("brace-astray", "this '{' opens a block with nothing in it", 2, "{")]


def test_a_closing_brace_at_the_end_of_a_fact() -> None:
    """It closes its block all the same."""
    assert told("module saw {\n    width 14HP }\n\nmodule low {\n    width 4HP\n}\n") == [
        ("brace-astray", "something else stands on the line of this '}', which has to be alone", 2, "}")
    ]


def test_a_stray_closing_brace_between_blocks() -> None:
    """One too many, at the outermost level."""
    assert told("module saw {\n    width 14HP\n}\n}\nmodule low {\n    width 4HP\n}\n") == [
        ("brace-astray", "this '}' closes nothing", 4, "}")
    ]


MERGED = """\
module saw {
<<<<<<< ours
    width 14HP
=======
    width 16HP
>>>>>>> theirs
    depth 27mm
}
"""


def test_marks_of_a_merge() -> None:
    """One finding for the three marks, at the first; neither side is complained about."""
    (found,) = reading(MERGED)
    assert (found.rule, found.message) == (
        "merge-unfinished",
        "two versions of these lines stand here, left by a merge",
    )
    assert MERGED[found.place.start : found.place.end] == "<<<<<<< ours"
    assert found.remedy == "keep the lines that are right and delete the marks '<<<<<<<', '=======' and '>>>>>>>'"


def test_a_merge_that_shows_what_was_there_before() -> None:
    """The third part between ||||||| and ======= is left out too."""
    text = MERGED.replace("=======\n", "||||||| base\n    width 12HP\n=======\n")
    assert [rule for rule, *_ in told(text)] == ["merge-unfinished"]


def test_a_word_said_twice_shows_both_lines() -> None:
    """Never 'the last one wins'."""
    text = "module saw {\n    width 14HP\n    width 16HP\n}\n"
    (found,) = reading(text)
    assert (found.rule, found.message) == ("said-twice", "'width' is said twice in this block, and differently")
    (first,) = found.others
    assert text.count("\n", 0, first.start) == 1
    assert text.count("\n", 0, found.place.start) == 2


def test_all_slips_of_a_text_are_told_in_one_run() -> None:
    """Slips in different lines do not hide each other."""
    lines = [slip for slip in (*COMMONEST, *OTHERS) if slip.rule != "brace-astray"]
    text = "".join(f"module m{number} {{\n    {slip.line}\n}}\n" for number, slip in enumerate(lines))
    assert [(rule, message) for rule, message, *_ in told(text)] == [(slip.rule, slip.message) for slip in lines]


def test_a_mended_line_keeps_its_values() -> None:
    """What was plainly meant is read, so that nothing else is missed because of it."""
    tree, _ = read_tree(Source("spec", "rail low {\n    length = 84HP\n}\n"))
    block, found = bind(tree)
    (rail,) = block.all("rail")
    assert rail.block is not None
    (length,) = rail.block.all("length")
    assert length.bound.values["length"].text == "84HP"
    assert length.bound.values["length"].data.value == Fraction("426.72")
    assert found == []


WHOLE_RACK = """\
rack r {
    stage later
    have 1 of saw
    row a {
        at 0HP saw as low in later
        next saw as high
        power from main
    }
    about low {
        depth 3mm
    }
    bus main {
        from thimble
    }
}
"""


@pytest.mark.parametrize(
    "word", ["stage", "have", "of", "row", "at", "as", "in", "next", "power", "from", "about", "bus"]
)
def test_a_word_written_twice(word: str) -> None:
    """One finding, and the line is read as if the word stood there once, though a thing might be called like it."""
    before, after = re.split(rf"\b{word}\b", WHOLE_RACK, maxsplit=1)
    text = f"{before}{word} {word}{after}"
    assert [(rule, message) for rule, message, *_ in told(text)] == [
        ("line-not-understood", f"'{word}' stands here twice")
    ]
    assert named_in(text) == named_in(WHOLE_RACK)


def named_in(text: str) -> list[tuple[str, str]]:
    """Every name that is kept of a text, with the key that it is kept under."""
    tree, _ = read_tree(Source("spec", text))
    waiting = [bind(tree)[0]]
    names = []
    while waiting:
        for fact in waiting.pop().order:
            names += [(key, value.text) for key, value in fact.bound.values.items() if key and value.kind == "name"]
            if fact.block is not None:
                waiting.append(fact.block)
    return names


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("widht 2,5HP", ["write 'width'", "write 2.5"]),
        ("noote “two left”", ["write 'note'", 'write " in front of the text and behind it']),
        ("drwas 40mA an +12V", ["write 'draws'"]),  # what stands behind a guessed word is no slip of its own
        ("wid,th 14HP", ["delete ','"]),  # what cut the word short is the one slip
        ("draws 4,5mA on +12v", ["write 4.5", "write +12V"]),
    ],
)
def test_two_slips_of_one_line(line: str, told: list[str]) -> None:
    """Both are told in one run, where neither follows from the other."""
    found = sorted(reading(f"module saw {{\n    {line}\n}}\n"), key=lambda finding: finding.place.start)
    assert [finding.remedy for finding in found] == told
