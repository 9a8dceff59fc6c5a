"""The one layout: each line by itself, nothing lost, nothing moved, and the same when it is laid out again."""

from __future__ import annotations

from pathlib import Path

import pytest

from rackspec.findings import Source
from rackspec.language.layout import HARMLESS, tidy
from rackspec.rules.registry import load_rules
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
def test_the_demo_is_tidy(path: Path) -> None:
    """The demo is laid out as tidy leaves it."""
    text = path.read_bytes().decode("utf-8")
    assert laid(text) == text


REFUSED = [
    ("module a {\n    width 14\n}\n", "unit-missing"),
    ("module a {\n    width 14HP\n", "brace-astray"),
    ("module a {\n    width 14HP\nmodule b {\n    width 6HP\n}\n}\n", "unknown-word"),
    ("width 14HP\n", "unknown-word"),
    ("module a {\n    saw\t14HP\t27mm\t62mA\n}\n", "unknown-word"),
    ("module a {\n    depth 27mm 28mm\n}\n", "line-not-understood"),
    ("module a {\n    depth 27,5mm\n}\n", "line-not-understood"),
    ('module a {\n    note "' + "x" * 2_000 + '"\n}\n', "line-not-understood"),
    ("module a {\n    depth 5mA\n}\n", "wrong-dimension"),
    ("module a {\n    depth 5mm\u00a0# hidden\n}\n", "line-not-understood"),
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
        "module a {\n  width 0HP\n}\n",
        "module a {\n  price 5 XQX\n}\n",
        "rail a {\n  recess 1mm\n}\n",
        "rackspec 99\n  module a {\n}\n",
        "rack a {\n row b {\n  at 0HP nobody-knows\n}\n}\n",
    ],
)
def test_what_is_wrong_but_understood_is_laid_out(text: str) -> None:
    """A line said twice, a fact that is missing or a name nobody knows is no matter of layout."""
    assert laid(text) != text


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("module a {\n  widht 14HP\n}\n", "module a {\n    widht     14HP\n}\n"),
        (
            'rackspec 2\nlantern  big "x  y" {\nlamp 3W   (1mm,2mm)\n inner {\n at 3HP x # c\n}\n}\n',
            """rackspec 2
lantern big "x  y" {
    lamp      3W (1mm, 2mm)
    inner {
        at   3HP  x                     # c
    }
}
""",
        ),
    ],
)
def test_words_that_nobody_knows_yet(text: str, expected: str) -> None:
    """A layout needs no words: a file with words of a later version, or with one misspelt, is laid out."""
    assert laid(text) == expected


def test_what_does_no_harm_are_rules() -> None:
    """Each rule that does not keep a file from being laid out is one that there is."""
    assert set(load_rules()) >= HARMLESS


@pytest.mark.parametrize(
    ("comment", "kept"),
    [
        ("#  two  blanks\tand a tab \t ", "#  two  blanks\tand a tab"),
        ("# \u00a0a blank that does not break\u00a0", "# \u00a0a blank that does not break\u00a0"),
        ("# form feed\x0c", "# form feed\x0c"),
        ("# in\rside", "# in\rside"),
        ('#"', '#"'),
        ("# }", "# }"),
    ],
)
def test_the_text_of_a_comment_is_kept(comment: str, kept: str) -> None:
    """Only blanks and tabs are taken off its end, wherever it stands."""
    text = f"{comment}\nmodule a {{{comment}\n{comment}\nwidth 3HP {comment}\n}}{comment}\n{comment}"
    assert [line[line.index("#") :] for line in laid(text).split("\n")[:-1]] == [kept] * 6


def test_a_line_end_is_kept_above_blank_lines() -> None:
    """The last line that is left keeps its own end, though the file ended otherwise."""
    assert laid("module a {\r\n}\n  ") == "module a {\r\n}\n"
    assert laid("module a {\n}\r\n  ") == "module a {\n}\r\n"
    assert laid("module a {\r\n}\r") == "module a {\r\n}\r\n"
    assert laid("module a {\n}\r") == "module a {\n}\n"
