"""What holds for every layout: only blanks change, only once, and a change of one line touches no other.

"No other" is meant to the letter. Where a line is put in or changed, all other lines of the file are the same bytes at
the same places. Where one is taken out the same holds, but for one blank line beside it: two that meet become one, and
one that comes to stand at the edge of its block goes.
"""

from __future__ import annotations

import re

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from rackspec.findings import Source
from rackspec.language.layout import Layout, tidy
from rackspec.language.lines import read_tree

MODULE_LINES = [
    "width 14HP",
    "depth 27mm +-1mm",
    "draws 18mA..25mA on +12V guessed",
    "draws 41mA on -12V",
    "slot 3.2mm x 5mm at (22.7mm, 125.5mm)",
    "hole 3.2mm at (7.47mm, 3mm plus 1HP)",
    'note "any  text, # with it"',
    "price 148 EUR",
    "header 10-pin keyed",
    'basis stated "sheet" 2026-08-30',
    "height 128.5mm +0.1mm/-0.3mm",
    "glimmer 3 of M3x6",
    'note "a text so long that the comment behind it has to stand at a stop further out"',
]
ROW_LINES = [
    "at 0HP slim-supply",
    "at 38HP twin-saw as osc-a in later",
    "at 102HP plus 1mm twin-saw",
    "next blank 6HP",
    "rails lipped-84 with m3-strip-84",
    "behind 60mm",
    "seat (6mm, 14mm) lean 0deg",
]
RACK_LINES = ['revision "B" 2026-11-02', "budget 420 EUR", "stage later by 2027-09-01 budget 300 EUR"]
FILE_LINES = ['use "../parts/"', "rackspec 1"]
BEHIND = ["", "", "", " # why", "#x", "   #  two  blanks "]
ALONE = ["", "", "# a comment of its own", "#", '#  at   0HP "out of use"']
blanks = st.sampled_from(["", " ", "  ", "\t", " \t  "])
ends = st.sampled_from(["\n", "\r\n"])


@st.composite
def line_of(draw: st.DrawFn, lines: list[str]) -> str:
    """A line with blanks wherever they may be: a fact, a comment, or nothing."""
    line = draw(st.sampled_from([*lines, *ALONE]))
    return (
        draw(blanks) + (line if line in ALONE else draw(widened(line)) + draw(st.sampled_from(BEHIND))) + draw(blanks)
    )


@st.composite
def widened(draw: st.DrawFn, line: str) -> str:
    """A line with other blanks in the place of single ones, outside of texts."""
    parts = re.split(r'( |"[^"]*")', line)
    return "".join(draw(st.sampled_from([" ", "  ", "\t"])) if part == " " else part for part in parts)


@st.composite
def block_of(draw: st.DrawFn, header: str, lines: list[str], inner: st.SearchStrategy[list[str]] | None) -> list[str]:
    """The lines of a block, with blocks in it, if ``inner`` makes some."""
    found = [draw(blanks) + draw(widened(header)) + draw(blanks) + "{" + draw(st.sampled_from(BEHIND))]
    for _ in range(draw(st.integers(0, 5))):
        found += draw(inner) if inner is not None and draw(st.booleans()) else [draw(line_of(lines))]
    return [*found, draw(blanks) + "}" + draw(st.sampled_from(BEHIND))]


modules = block_of('module saw "Twin  saw" like other', MODULE_LINES, None)
racks = block_of("rack tray", RACK_LINES, block_of("row top", ROW_LINES, None))
files = st.lists(st.one_of(modules, racks, line_of(FILE_LINES).map(lambda line: [line])), min_size=1, max_size=4).map(
    lambda found: [line for block in found for line in block]
)


def understood(text: str) -> Layout:
    """A text laid out, though it may say a thing twice."""
    found = tidy(Source("spec.rackspec", text))
    assert not found.refused, (found.refused[0].message, text)
    assert not found.astray, text
    return found


def laid(lines: list[str], end: str = "\n") -> list[str]:
    """The lines of a layout, each without its end, which is the same for all."""
    text = understood(end.join(lines) + end).text
    assert text.endswith(end) or not text
    return text.split(end)[:-1]


@given(files, ends, st.sampled_from(["", "end", "blank"]))
@settings(max_examples=200, deadline=None)
def test_only_blanks_change_and_only_once(lines: list[str], end: str, last: str) -> None:
    """The same characters in the same order, but for blanks; and laid out again nothing changes."""
    text = end.join(lines) + {"": "", "end": end, "blank": end + "  "}[last]
    tidied = understood(text).text
    assert re.sub(r"\s", "", tidied) == re.sub(r"\s", "", text)
    assert understood(tidied).text == tidied
    assert tidied.count("\r") == (tidied.count("\n") if end == "\r\n" and end in text else 0)
    assert not re.search(r"[ \t]+\r?$", tidied, re.MULTILINE)
    assert not re.search(r"\t", re.sub(r'"[^"]*"|#.*', "", tidied))
    assert not re.search(r"^\r?\n|\n\r?\n\r?\n|\{[^\"\n]*\n\r?\n|\n\r?\n *\}|\n\r?\n\Z", re.sub("#.*", "#", tidied))
    assert tidied.endswith("\n") or not tidied


def inside(before: list[str], at: int) -> list[str]:
    """Lines that may stand at a place of a layout, by the block that it is in."""
    opened: list[str] = []
    for line in before[:at]:
        bare = re.sub(r'"[^"]*"', "", line).partition("#")[0].strip()
        if bare.endswith("{"):
            opened.append(bare.split()[0])
        elif bare == "}":
            opened.pop()
    return {"module": MODULE_LINES, "rack": RACK_LINES, "row": ROW_LINES}[opened[-1]] if opened else FILE_LINES


def is_fact(line: str) -> bool:
    """Whether a line is neither blank nor the edge of a block."""
    bare = re.sub(r'"[^"]*"', "", line).partition("#")[0].strip()
    return bool(line) and not bare.endswith(("{", "}"))


@given(files, ends, st.data())
@settings(max_examples=200, deadline=None)
def test_a_line_that_is_put_in_touches_no_other(lines: list[str], end: str, data: st.DataObject) -> None:
    """The layout is the one before with this line in its place."""
    before = laid(lines, end)
    at = data.draw(st.integers(0, len(before)))
    new = data.draw(line_of(inside(before, at)))
    after = laid([*before[:at], new, *before[at:]], end)
    if new.strip():
        assert [*after[:at], *after[at + 1 :]] == before
        assert re.sub(r"\s", "", after[at]) == re.sub(r"\s", "", new)
    else:
        assert after in (before, [*before[:at], "", *before[at:]])


@given(files, ends, st.data())
@settings(max_examples=200, deadline=None)
def test_a_line_that_is_changed_touches_no_other(lines: list[str], end: str, data: st.DataObject) -> None:
    """The layout is the one before with another line in the place of this one."""
    before = laid(lines, end)
    own = [number for number, line in enumerate(before) if is_fact(line)]
    assume(own)
    at = data.draw(st.sampled_from(own))
    new = data.draw(line_of(inside(before, at)).filter(str.strip))
    after = laid([*before[:at], new, *before[at + 1 :]], end)
    assert after[:at] == before[:at]
    assert after[at + 1 :] == before[at + 1 :]
    assert re.sub(r"\s", "", after[at]) == re.sub(r"\s", "", new)


@given(files, ends, st.data())
@settings(max_examples=200, deadline=None)
def test_a_line_that_is_taken_out_touches_no_other(lines: list[str], end: str, data: st.DataObject) -> None:
    """The layout is the one before without it, and without one blank line beside it where two met or one has no use."""
    before = laid(lines, end)
    own = [number for number, line in enumerate(before) if is_fact(line)]
    assume(own)
    at = data.draw(st.sampled_from(own))
    left = [*before[:at], *before[at + 1 :]]
    after = laid(left, end)
    if after != left:
        assert len(after) == len(left) - 1
        beside = [number for number in (at - 1, at) if 0 <= number < len(left) and left[number] == ""]
        assert after in [[*left[:number], *left[number + 1 :]] for number in beside]


@given(files, st.sampled_from([modules, racks]), st.data())
@settings(max_examples=100, deadline=None)
def test_a_block_that_is_put_in_touches_no_line(
    lines: list[str], block: st.SearchStrategy[list[str]], data: st.DataObject
) -> None:
    """Another thing between two things: all lines that were there stay as they are, where they are."""
    before = laid(lines)
    tops = [at for at in range(len(before) + 1) if inside(before, at) is FILE_LINES]
    at = data.draw(st.sampled_from(tops))
    new = data.draw(block)
    after = laid([*before[:at], *new, *before[at:]])
    more = len(after) - len(before)
    assert after[:at] == before[:at]
    assert after[at + more :] == before[at:]
    assert after[at : at + more] == laid(new)


@given(st.text(max_size=80))
@settings(max_examples=200, deadline=None)
def test_any_text_at_all(text: str) -> None:
    """It is laid out or refused; what is refused is as it was."""
    hold(text)


@given(files, st.data())
@settings(max_examples=200, deadline=None)
def test_any_slip_of_the_hand(lines: list[str], data: st.DataObject) -> None:
    """So is a file in which something was typed, or deleted, anywhere."""
    text = "\n".join(lines)
    at = data.draw(st.integers(0, len(text)))
    typed = data.draw(
        st.sampled_from(["", " ", "\t", "\n", "\r", "#", '"', "{", "}", "(", ")", ",", "plus ", "+", "\x0c"])
    )
    hold(text[:at] + typed + text[at + data.draw(st.integers(0, 3)) :])


def hold(text: str) -> None:
    """What holds for a text that may be anything."""
    found = tidy(Source("spec.rackspec", text))
    assert not found.astray
    if found.refused:
        assert found.text == text
    else:
        assert not read_tree(Source("", found.text))[1]
        assert understood(found.text).text == found.text
