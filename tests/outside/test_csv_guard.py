"""Hostile texts go in; the table must stay a table of texts, for readers that were written by others.

Sources: RFC 4180, section 2, whose grammar is written down here as one pattern (letters beyond ASCII as RFC 7111 has
them); OWASP, CSV Injection, for what a cell may not begin with; Python's ``csv``; defusedcsv 3.0.0 (Apache-2.0), a
second opinion on what has to be guarded; and ``ssconvert`` of Gnumeric, a spreadsheet that computes what it takes for a
formula.
"""

from __future__ import annotations

import csv
import io
import re
from fractions import Fraction
from pathlib import Path

import pytest
from defusedcsv import csv as defused
from hypothesis import given
from hypothesis import strategies as st

from rackspec.views.csv_table import as_csv, guarded
from tests.cli.running import rackspec, write
from tests.outside import readers

FIELD = re.compile(r'(?:"((?:[^"]|"")*)"|([^",\r\n]*))(,|\r\n)')
"""escaped = DQUOTE *(TEXTDATA / COMMA / CR / LF / 2DQUOTE) DQUOTE; non-escaped = *TEXTDATA; then COMMA or CRLF."""
FORBIDDEN = ("=", "+", "-", "@", "\t", "\r", "\n")
"""What OWASP says that a cell may not begin with."""
FORMULAS = (
    "=1+1",
    "+1+1",
    "-1+1",
    "@SUM(1;1)",
    "\t=1+1",
    " =1+1",
    '=HYPERLINK("http://a.example";"b")',
    "x;=1+1",
    "x;\t@SUM(1)",
    "x, =1+1",
    "\r=1+1",
    "\n=1+1",
    "=cmd|' /C calc'!A0",
    "\uff1d1+1",
    "|calc",
    "%0A=1",
)
PLAIN = (
    "",
    "osc",
    "M3x8",
    "2 rails x 2 ends",
    'a 3" panel',
    "one, two",
    "über",
    "🎛 1",
    "a\nb",
    "it's",
    "10-pin",
    "a-b",
)
TEXTS = st.text(st.sampled_from("=+-@|%\t\r\n ;,\"'aé🎛1\uff1d"), max_size=8)
HOSTILE = """\
insert nut-m3 {
    nut M3
    price 0.10 EUR guessed "=2+3;=4+5"
}
rail bar {
    length 40HP
    takes nut-m3
    price 9 EUR stated "@SUM(1)"
}
module osc {
    width 8HP
    draws nothing
    price 90 EUR stated "	=1+1" 2026-02-03
}
seller shop {
    sells nut-m3 at 3 EUR pack 50 guessed "-1+1"
}
rack tray "=1+1" {
    stage later "+1"
    wish x "=1+2, no" {
        width 4HP
    }
    wish y "-3 über 🎛" {
        width 4HP
    }
    row top "@row" {
        rails bar with nut-m3
        at 0HP osc
        next osc as b in later
    }
}
"""


def by_the_grammar(text: str) -> list[list[str]]:
    """A table, as RFC 4180 has it. Raises AssertionError on one that it has not."""
    table: list[list[str]] = [[]]
    at = 0
    while at < len(text):
        field = FIELD.match(text, at)
        assert field is not None, text[at : at + 40]
        table[-1].append(field[1].replace('""', '"') if field[1] is not None else field[2])
        at = field.end()
        if field[3] == "\r\n":
            table.append([])
    assert table.pop() == []
    return table


def by_python(text: str) -> list[list[str]]:
    """A table, as Python's reader has it."""
    return list(csv.reader(io.StringIO(text, newline=""), strict=True))


@pytest.mark.parametrize("text", PLAIN)
def test_plain_texts_stay_as_they_are(text: str) -> None:
    """Nothing is put in front of a text that no spreadsheet computes."""
    assert guarded(text) == text


@pytest.mark.parametrize("text", FORMULAS)
def test_formulas_become_texts(text: str) -> None:
    """What is written begins with an apostrophe, or does so behind the mark; without those it is the text itself."""
    kept = guarded(text)
    assert kept.replace("'", "") == text.replace("'", "")
    for piece in re.split("[;,|]", kept):
        assert not piece.strip(" ").startswith(("=", "+", "-", "@", "\uff1d")), piece


def test_numbers_stay_numbers() -> None:
    """A number is written bare, below zero too, so that a column can be added up; the same as a text is guarded."""
    rows = [(12, None, -5), (Fraction(19, 2), Fraction(-1, 8), "-5")]
    assert as_csv(("a", "b", "c"), rows) == "a,b,c\r\n12,,-5\r\n9.5,-0.125,'-5\r\n"


def test_each_row_has_a_cell_for_each_head() -> None:
    """A row of another length is a fault of ours."""
    with pytest.raises(ValueError, match="1 cells under 2 heads"):
        as_csv(("a", "b"), [("x",)])


@given(st.lists(st.tuples(TEXTS, TEXTS, TEXTS), max_size=5))
def test_two_readers_see_the_same_texts(rows: list[tuple[str, str, str]]) -> None:
    """Python's reader and the grammar of the standard; no cell of either begins as a formula does."""
    text = as_csv(("a", "b", "c"), rows)
    table = by_the_grammar(text)
    assert table == by_python(text)
    assert table[1:] == [[guarded(cell) for cell in row] for row in rows]
    assert not any(cell.startswith(FORBIDDEN) for row in table for cell in row)


@given(TEXTS)
def test_another_guard_finds_nothing_left(text: str) -> None:
    """defusedcsv would change nothing any more."""
    out = io.StringIO()
    defused.writer(out).writerow([guarded(text)])
    plain = io.StringIO()
    csv.writer(plain).writerow([guarded(text)])
    assert out.getvalue() == plain.getvalue()


@given(TEXTS, TEXTS, st.sampled_from(";\t"))
def test_readers_that_split_elsewhere_see_no_formula(first: str, second: str, mark: str) -> None:
    """In some countries spreadsheets split at semicolons, and do not know our quotes for what they are."""
    line = as_csv(("a", "b"), [(first, second)]).removeprefix("a,b\r\n")
    for piece in re.split(f"[{mark}\r\n]", line):
        assert not piece.lstrip(' "').startswith(("=", "@")), (line, piece)


def parts_table(folder: Path) -> str:
    """The table of the hostile rack, as it is written."""
    write(folder, {"=a.rackspec": HOSTILE})
    run = rackspec(folder, "order", "--parts", "--write", "csv=-", "=a.rackspec")
    assert run.code == 0, run.err
    return run.raw_out.decode("utf-8")


def test_everything_that_a_spec_may_say_is_guarded(tmp_path: Path) -> None:
    """Evidence, titles, file names: whatever comes into a cell."""
    text = parts_table(tmp_path)
    table = by_the_grammar(text)
    assert table == by_python(text)
    rows = [dict(zip(table[0], row, strict=True)) for row in table[1:]]
    by_thing = {row["thing"]: row for row in rows}
    assert by_thing["nut-m3"]["price source"] == "'=2+3;'=4+5"
    assert by_thing["bar"]["price source"] == "'@SUM(1)"
    assert by_thing["osc"]["price source"].replace("'", "") == "\t=1+1"
    assert by_thing["wish x"]["where the number comes from"] == "'=1+2, no"
    assert by_thing["wish y"]["where the number comes from"] == "'-3 über 🎛"
    assert {row["file"] for row in rows} == {"'=a.rackspec"}
    assert not any(cell.startswith(FORBIDDEN) for row in table for cell in row)
    assert by_thing["osc"]["needed"] == "2"


def test_a_spreadsheet_computes_nothing(tmp_path: Path) -> None:
    """Gnumeric reads the table and writes it again: every cell says what it said, and none became a number."""
    program = readers.program("ssconvert")
    text = as_csv(("a", "b"), [(one, 7) for one in FORMULAS])
    (tmp_path / "in.csv").write_text(text, "utf-8", newline="")
    # a formula that is not guarded is computed: else this test would show nothing
    (tmp_path / "bare.csv").write_text("a,b\r\n=1+1,7\r\n", "utf-8", newline="")
    for name in ("in", "bare"):
        readers.run([program, f"{name}.csv", f"{name}.out.csv"], folder=tmp_path, HOME=str(tmp_path))
    assert by_python((tmp_path / "bare.out.csv").read_text("utf-8"))[1][0] == "2"
    back = by_python((tmp_path / "in.out.csv").read_text("utf-8"))
    assert [row[0].replace("'", "").strip() for row in back[1:]] == [one.replace("'", "").strip() for one in FORMULAS]
