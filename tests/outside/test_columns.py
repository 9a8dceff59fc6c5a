"""Broken specs go in; the first line of each finding must be a GNU error line that points to the right place.

Source: GNU Coding Standards, section 4.4 "Formatting Error Messages" (https://www.gnu.org/prep/standards/, confirmed by
the official page): ``sourcefile:lineno:column: message``, both counted from 1. For columns the standard has tabs every
8 places and wide characters by their width; ours count code points, as SARIF's ``unicodeCodePoints`` and LSP's
``utf-32`` do: a tab, an accented letter and a character outside the first plane are one column each.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.outside.through_the_program import Run, run

GNU_LINE = re.compile(r"([^:\s][^:]*):([1-9]\d*):([1-9]\d*): (error|warning|note): (\S.*)")

BROKEN = {
    "no unit": "module a {\n    width 14\n}\n",
    "no brace": "module a {\n    width 14HP\n",
    "too many braces": "module a {\n    width 14HP\n}\n}\n}\n",
    "no text end": 'module a "first {\n    width 14HP\n}\n',
    "unknown names": "rack r {\n    row top {\n        rails nothing with nowhere\n        at 0HP nobody\n    }\n}\n",
    "unknown words": "module a {\n    widht 14HP\n    colour red\n    depth 3V\n}\nmodul b {\n}\n",
    "not a spec": "<html>\n<p>Hello: this is no spec.\n</html>\n\x00\x01\x02\n",
    "said twice": "module a {\n    width 14HP\n    width 15HP\n}\n",
    "overlap": "rack r {\n    row a {\n        at 0HP blank 8HP\n        at 4HP blank 1HP\n    }\n}\n",
    "merge markers": "<<<<<<< ours\nmodule a {\n    width 4HP\n=======\nmodule a {\n    width 5HP\n>>>>>>> theirs\n}\n",
    "decimal comma": "module a {\n    width 70,8mm\n    depth = 3cm\n    mass: 3 g;\n}\n",
    "waiver": 'rack r {\n    waive no-such-rule because "why not" until 2026-01-01\n}\n',
    "hidden": "module a {\n    width\u00a014HP\u200b\n    note \x1b[31m\n}\n",
}


def first_lines(seen: Run) -> list[re.Match[str]]:
    """The first line of each finding: all that begin at the margin above the racks and the summary."""
    matches = []
    for line in seen.lines[:-2]:
        if line.startswith("rack "):
            break
        if line and not line.startswith(" "):
            match = GNU_LINE.fullmatch(line)
            assert match is not None, line
            matches.append(match)
    return matches


@pytest.mark.parametrize("name", sorted(BROKEN))
def test_every_first_line_is_a_gnu_line(tmp_path: Path, name: str) -> None:
    """GNU Coding Standards 4.4; and each line says the same as the JSON document."""
    text = BROKEN[name]
    seen = run(tmp_path, text)
    found = seen.document["findings"]
    assert seen.code == 1
    assert found
    lines = [(m[1], int(m[2]), int(m[3]), m[4], m[5]) for m in first_lines(seen)]
    assert lines == [(f["file"], f["line"], f["column"], f["severity"], f["message"]) for f in found]
    of_text = text.split("\n")
    for finding in found:
        assert finding["file"] == "trial.rackspec"
        assert finding["line"] <= len(of_text)
        assert finding["column"] <= len(of_text[finding["line"] - 1]) + 1
        assert (finding["line"], finding["column"]) <= (finding["end_line"], finding["end_column"])


@pytest.mark.parametrize(
    ("line", "wrong", "column"),
    [
        ("    width 14mA", "14mA", 11),
        ("\twidth 14mA", "14mA", 8),
        ('\tnote\t"café" 14', "14", 14),
        ('    note "cafe\u0301" 14', "14", 18),  # the accent as a character of its own
        ('    note "\U0001d11e" 14', "14", 14),  # U+1D11E, two units in UTF-16
        ('\tnote "é\U0001d11e\t架" 14', "14", 14),  # all of them, and one that is two wide
        ('    note "a\u2028b\u0085c" 14', "14", 18),  # neither ends a line
    ],
)
@pytest.mark.parametrize("end", ["\n", "\r\n"], ids=["lf", "crlf"])
@pytest.mark.parametrize("start", ["", "\ufeff"], ids=["plain", "mark"])
def test_line_and_column_of_a_place(tmp_path: Path, line: str, wrong: str, column: int, end: str, start: str) -> None:
    """Columns in code points, counted here by hand; neither CRLF nor a byte order mark in front moves them."""
    seen = run(tmp_path, start + end.join(["# Größe", "module thing {", line, "}", ""]))
    (finding,) = seen.document["findings"]
    assert (finding["line"], finding["column"]) == (3, column)
    assert (finding["end_line"], finding["end_column"]) == (3, column + len(wrong))
    assert line[column - 1 :] == wrong


def test_first_line_of_a_file(tmp_path: Path) -> None:
    """A byte order mark is no column: the first character of a file stands in line 1, column 1."""
    seen = run(tmp_path, "\ufeffmodul thing {\n}\n")
    assert [(f["line"], f["column"]) for f in seen.document["findings"]] == [(1, 1)]
