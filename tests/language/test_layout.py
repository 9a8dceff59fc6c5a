"""The one layout: each line by itself, nothing lost, nothing moved, and the same when it is laid out again."""

from __future__ import annotations

import re
from difflib import SequenceMatcher

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rackspec.findings import Source
from rackspec.language import layout
from rackspec.language.layout import Layout, lay_out, tidy
from rackspec.language.lines import read_tree
from tests.conftest import ROOT

SPECS = sorted((ROOT / "specs").rglob("*.rackspec"))


def laid(text: str) -> str:
    """A text laid out, of which everything was understood."""
    found = tidy(Source("spec.rackspec", text))
    assert not found.refused, found.refused[0].message
    assert not found.astray
    return found.text


def fact(line: str, block: str = "row") -> str:
    """How a line of a block is laid out, without its margin."""
    around = {
        "row": ("rack tray {\n    row top {\n", "\n    }\n}\n", 8),
        "module": ("module saw {\n", "\n}\n", 4),
        "rack": ("rack tray {\n", "\n}\n", 4),
        "file": ("", "\n", 0),
    }[block]
    text = laid(around[0] + line + around[1])
    inner = text.removeprefix(around[0]).removesuffix(around[1])
    assert inner.startswith(" " * around[2])
    return inner[around[2] :]


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("at 0HP slim-supply", "at   0HP  slim-supply"),
        ("at 38HP twin-saw as osc-a", "at  38HP  twin-saw as osc-a"),
        ("at 102HP twin-saw", "at 102HP  twin-saw"),
        ("at 10.5HP twin-saw", "at 10.5HP  twin-saw"),
        ("at 1016.25mm twin-saw", "at 1016.25mm  twin-saw"),
        ("at\t4HP blank 6HP", "at   4HP  blank 6HP"),
        ("next    twin-saw  as osc-b  in later", "next      twin-saw as osc-b in later"),
        ("rails lipped-84 with m3-strip-84", "rails     lipped-84 with m3-strip-84"),
        ("seat (6mm,14mm) lean 0deg", "seat      (6mm, 14mm) lean 0deg"),
        (
            "drilled left bottom ( 12.4mm , 17.1mm ) measured 2026-11-02",
            "drilled   left bottom (12.4mm, 17.1mm) measured 2026-11-02",
        ),
        ("behind 60mm # free", "behind    60mm                  # free"),
        ("behind 60mm#free", "behind    60mm                  #free"),
        ('behind 60mm measured "rule"  # free  ', 'behind    60mm measured "rule"  # free'),
        ('behind 60mm measured "a  rule"# free', 'behind    60mm measured "a  rule"       # free'),
    ],
)
def test_facts_of_a_row(line: str, expected: str) -> None:
    """A word in a column of its own, a position that ends where others do, comments at stops of eight."""
    assert fact(line) == expected


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("depth 27mm+-1mm", "depth     27mm +-1mm"),
        ("depth 27mm ± 1mm", "depth     27mm ±1mm"),
        ("height 128.5mm+0.1mm/-0.3mm", "height    128.5mm +0.1mm/-0.3mm"),
        ("draws 18mA .. 25mA on +12V", "draws     18mA..25mA on +12V"),
        ("draws 41mA on  -12V", "draws     41mA on -12V"),
        ("depth 1 13/16in  plus  2mm", "depth     1 13/16in plus 2mm"),
        ("depth 30mm minus 2mm+-0.5mm", "depth     30mm minus 2mm +-0.5mm"),
        ("price 148   EUR", "price     148 EUR"),
        ("thickness 1.6mm", "thickness 1.6mm"),
        ("slot 3.2mm  x 5mm at (22.7mm , 125.5mm +-0.2mm)", "slot      3.2mm x 5mm at (22.7mm, 125.5mm +-0.2mm)"),
        ('note "two   blanks, (a) +- plus .. # no comment"', 'note      "two   blanks, (a) +- plus .. # no comment"'),
        ('basis stated "maker\'s  sheet" 2026-08-30', 'basis     stated "maker\'s  sheet" 2026-08-30'),
        ("header 10-pin   keyed", "header    10-pin keyed"),
        ("screws 4 of M3x6", "screws    4 of M3x6"),
    ],
)
def test_facts_of_a_module(line: str, expected: str) -> None:
    """Single blanks between values, and in them; what stands in quotes is never touched."""
    assert fact(line, "module") == expected


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ('use  "../parts/"', 'use "../parts/"'),
        ("rackspec  1 # first", "rackspec 1                      # first"),
        ('  module   a   "A  b"   like b{# x\n}', 'module a "A  b" like b {        # x\n}'),
        ("module a {\n   }  # end", "module a {\n}                               # end"),
    ],
)
def test_lines_of_a_file(line: str, expected: str) -> None:
    """Headers and lines at the top have single blanks."""
    assert fact(line, "file") == expected


def test_comments_and_blank_lines() -> None:
    """Comments stand where their block stands; of blank lines one is kept, and none at an edge."""
    text = "\n\n# top\n\n\n#\tnext\nmodule a {\n\n      # first\n\n\n  width 3HP\n# last\n\n}\n\n\n#      at 0HP x\n\n"
    expected = "# top\n\n#\tnext\nmodule a {\n    # first\n\n    width     3HP\n    # last\n}\n\n#      at 0HP x\n"
    assert laid(text) == expected


@pytest.mark.parametrize("text", ["", "\n", " \t\n\n", "\r\n"])
def test_nothing_stays_nothing(text: str) -> None:
    """An empty file is empty."""
    assert laid(text) == ""


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("module a {\r\n}", "module a {\r\n}\r\n"),
        ("module a {\n}", "module a {\n}\n"),
        ("#x", "#x\n"),
        (
            "module a {\r\n\r\n\r\nwidth 3HP\n\r\n\nmass 3g\r\n}\n",
            "module a {\r\n    width     3HP\n\r\n    mass      3g\r\n}\n",
        ),
    ],
)
def test_line_ends(text: str, expected: str) -> None:
    """Each line keeps its own; one that has none gets that of the first line."""
    assert laid(text) == expected


@pytest.mark.parametrize("path", SPECS, ids=lambda path: path.name)
def test_the_demo_is_tidy(path: object) -> None:
    """The demo is laid out as tidy leaves it."""
    text = path.read_text(encoding="utf-8")  # type: ignore[attr-defined]
    assert laid(text) == text


REFUSED = [
    ("module a {\n    width 14\n}\n", "unit-missing"),
    ("module a {\n    widht 14HP\n}\n", "unknown-word"),
    ("module a {\n    width 14HP\n", "brace-astray"),
    ("module a {\n    width = 14HP\n}\n", "line-not-understood"),
    ('module a {\n    note "no end\n}\n', "text-unfinished"),
    ("<<<<<<< HEAD\nmodule a {\n=======\nmodule b {\n>>>>>>> x\n}\n", "merge-unfinished"),
    ("module plus {\n}\n", "name-reserved"),
]


@pytest.mark.parametrize(("text", "rule"), REFUSED)
def test_what_is_not_understood_is_left_alone(text: str, rule: str) -> None:
    """Any line with a slip, even one that is mended in thought elsewhere, keeps its file as it is."""
    found = tidy(Source("spec.rackspec", text))
    assert [finding.rule for finding in found.refused] == [rule]
    assert found.text == text


@pytest.mark.parametrize(
    "text",
    [
        "module a {\n  width 3HP\n  width 4HP\n}\n",
        "rail a {\n  recess 1mm\n}\n",
        "rackspec 99\n  module a {\n}\n",
        "rack a {\n row b {\n  at 0HP nobody-knows\n}\n}\n",
    ],
)
def test_what_is_wrong_but_understood_is_laid_out(text: str) -> None:
    """A line said twice, a fact that is missing or a name nobody knows is no matter of layout."""
    assert laid(text) != text


def test_a_layout_that_says_something_else_is_never_given_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each of the three proofs can fail: a value, a comment, a fact."""
    text = "module a {\n  width 3HP # three\n  depth 30mm\n}\n"
    wrong = {
        "a value": lambda text: lay_out(text).replace("3HP", "4HP"),
        "a comment": lambda text: lay_out(text).replace("# three", "# drei"),
        "a comment that moved": lambda text: lay_out(text).replace("  # three\n", "\n    # three\n"),
        "a comment that is gone": lambda text: lay_out(text).replace("# three", ""),
        "two lines that changed places": lambda text: "\n".join(
            [*(ls := lay_out(text).split("\n"))[:1], ls[2], ls[1], *ls[3:]]
        ),
        "a line that is gone": lambda text: lay_out(text).replace("    depth     30mm\n", ""),
        "a brace that is gone": lambda text: lay_out(text).replace("}\n", ""),
        "another unit": lambda text: lay_out(text).replace("30mm", "3cm"),
    }
    for what, function in wrong.items():
        assert function(text) != lay_out(text), what
        monkeypatch.setattr(layout, "lay_out", function)
        assert tidy(Source("spec.rackspec", text)) == Layout(text, astray=True), what


# What follows makes files of all kinds of lines, and lays blanks around in them.

LINES = [
    "width 14HP",
    "depth 27mm +-1mm",
    "draws 18mA..25mA on +12V guessed",
    "draws 41mA on -12V",
    "slot 3.2mm x 5mm at (22.7mm, 125.5mm)",
    "hole 3.2mm at (7.47mm, 3mm plus 1HP)",
    'note "any  text, # with it"',
    "price 148 EUR",
    "header 10-pin keyed",
    "screws 4 of M3x6",
    'basis stated "sheet" 2026-08-30',
    "height 128.5mm +0.1mm/-0.3mm",
    "# a comment of its own",
    "#",
    "",
]
BEHIND = ["", "", "", " # why", "#x", "   #  two  blanks "]
blanks = st.sampled_from(["", " ", "  ", "\t", " \t  "])


@st.composite
def untidy_line(draw: st.DrawFn) -> str:
    """A line of a module with blanks wherever they may be."""
    line = draw(st.sampled_from(LINES))
    if not line.startswith("#"):
        parts = re.split(r'( |"[^"]*")', line)
        wide = [draw(st.sampled_from([" ", "  ", "\t"])) if part == " " else part for part in parts]
        line = "".join(wide) + (draw(st.sampled_from(BEHIND)) if line else "")
    return draw(blanks) + line + draw(blanks)


modules = st.lists(untidy_line(), max_size=8).map(lambda lines: ["module a {", *lines, "}"])
files = st.lists(modules, min_size=1, max_size=3).map(
    lambda blocks: [
        line.replace("module a", f"module a{number}") for number, block in enumerate(blocks) for line in block
    ]
)


def understood(text: str) -> Layout:
    """A text laid out, though it may say a thing twice."""
    found = tidy(Source("spec.rackspec", text))
    assert not found.refused
    assert not found.astray
    return found


@given(files, st.sampled_from(["\n", "\r\n"]))
@settings(max_examples=150, deadline=None)
def test_only_blanks_change_and_only_once(lines: list[str], end: str) -> None:
    """The same characters in the same order, but for blanks; and laid out again nothing changes."""
    text = end.join(lines)
    tidied = understood(text).text
    assert re.sub(r"\s", "", tidied) == re.sub(r"\s", "", text)
    assert understood(tidied).text == tidied
    assert tidied.count("\r") == (tidied.count("\n") if end == "\r\n" else 0)
    assert not re.search(r"[ \t]+\r?$", tidied, re.MULTILINE)


@given(files, untidy_line(), st.integers(min_value=0))
@settings(max_examples=150, deadline=None)
def test_a_change_touches_no_other_line(lines: list[str], new: str, at: int) -> None:
    """A line that is put in, changed or taken away changes itself, and no line of facts or comments beside it."""
    before = understood("\n".join(lines)).text.splitlines()
    inner = [number for number, line in enumerate(before) if line.startswith("    ")]
    put_in = at % max(1, len(before) - 1) + 1
    changes = [([*before[:put_in], new, *before[put_in:]], {new.strip()})]
    if inner:
        one = inner[at % len(inner)]
        changes.append(([*before[:one], new, *before[one + 1 :]], {new.strip(), before[one].strip()}))
        changes.append(([*before[:one], *before[one + 1 :]], {before[one].strip()}))
    for changed, mine in changes:
        if tidy(Source("spec.rackspec", "\n".join(changed))).refused:
            continue  # a fact outside of any block
        after = understood("\n".join(changed)).text.splitlines()
        said = [line for line in before if line]
        says = [line for line in after if line]
        others = [
            line
            for tag, a, b, c, d in SequenceMatcher(None, said, says, autojunk=False).get_opcodes()
            if tag != "equal"
            for line in (*said[a:b], *says[c:d])
        ]
        tidied = {re.sub(r"\s", "", line) for line in mine}
        assert all(re.sub(r"\s", "", line) in tidied for line in others), (others, mine)


@given(st.text(max_size=80))
@settings(max_examples=150, deadline=None)
def test_any_text_at_all(text: str) -> None:
    """It is laid out or refused; what is refused is as it was."""
    found = tidy(Source("spec.rackspec", text))
    assert not found.astray
    if found.refused:
        assert found.text == text
    else:
        assert not read_tree(Source("", found.text))[1]
        assert understood(found.text).text == found.text
