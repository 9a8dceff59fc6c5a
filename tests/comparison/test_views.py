"""Comparisons go in, small ones, huge ones and hostile ones; text, page and document must stay what they are for."""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Callable
from types import FrameType

import pytest

from rackspec.comparison import compare
from rackspec.views.colour import paint
from rackspec.views.comparison_json import comparison_json
from rackspec.views.comparison_markdown import MARK, comparison_markdown
from rackspec.views.comparison_text import comparison_lines
from rackspec.views.comparison_verdict import verdict
from rackspec.views.positions import utf16_units
from rackspec.views.schema import schema_text
from tests.comparison.texts import compared, seen


def many(racks: int, width: int = 6, depth: int = 30, prefix: str = "r") -> str:
    """A spec of many racks, each with a supply, modules in a chain, and little room."""
    text = f"module m {{\n    width {width}HP\n    depth {depth}mm\n    draws 20mA on +12V\n}}\n"
    text += "supply s {\n    width 4HP\n    gives 100mA on +12V\n}\n"
    for number in range(racks):
        panels = "".join(f"        next m as p{panel}-{number}\n" for panel in range(4))
        text += (
            f"rack {prefix}{number} {{\n    row a {{\n        length 28HP\n        behind 42mm\n        power from s\n"
        )
        text += f"        at 0HP s\n{panels}    }}\n}}\n"
    return text


def test_a_page_is_bounded_however_much_changes() -> None:
    """Comments of a review take less than 65,536 characters; the verdict and the worst findings are kept."""
    comparison = compared(many(400), many(400, width=7, depth=44))
    page = comparison_markdown(comparison)
    assert len(comparison.findings) > 1000
    assert utf16_units(page) < 60_000
    assert page.startswith(f"{MARK}\n\n## rackspec compare\n\n**400 racks change: ")
    assert "… and " in page
    assert page.count("\n### ") >= 1


def test_what_is_long_is_folded_away() -> None:
    """A list of more than a dozen changes can be unfolded; the tags are closed."""
    page = comparison_markdown(compared(many(30), many(30, prefix="x")))
    assert page.count("<details>") == page.count("</details>") == 1
    assert "<details>" not in comparison_markdown(compared(many(2), many(2, prefix="x")))


HOSTILE = """\
module x {
    note "</details> <!-- --> | `a` <b>bold</b> @everybody #12 [x](https://plover.example) $y$"
    note "\u202e\u200b\x07 hidden"
    price 5 EUR
}
rack r "<script>alert(1)</script> | **loud**" {
    waive row-overfull because "| </summary> <img src=x onerror=y> @team"
    row a {
        length 84HP
        at 0HP x as y
    }
}
"""


def test_texts_of_a_spec_stay_texts() -> None:
    """No mark, tag, mention or hidden character of a spec takes effect."""
    old = HOSTILE.replace("5 EUR", "6 EUR").replace("@team", "@others")
    for one, other in ((old, HOSTILE), (HOSTILE, old), ("", HOSTILE), (HOSTILE, "")):
        comparison = compared(one, other)
        page = comparison_markdown(comparison)
        outside = re.sub(r"(`+).*?\1", "", page)  # what is code takes no effect
        bare = re.sub(r"\\.", "", outside.replace(MARK, "", 1))
        assert not re.search(r"<(?!/?(details|summary)>)", bare)
        assert "@" not in bare
        assert "](" not in bare
        text = "\n".join(comparison_lines(comparison))
        assert "\u202e" not in text + page
        assert "\x07" not in text + page
        for line in page.splitlines():
            assert not line.startswith("|") or line.replace("\\|", "").count("|") in (4, 6, 7)
        json.loads(comparison_json(comparison))


def test_a_finding_is_the_same_record_as_in_the_other_document() -> None:
    """Who reads findings of ``inspect`` reads these, too."""
    own, other = (json.loads(schema_text(name)) for name in ("comparison", "findings"))
    assert own["$defs"]["finding"] == other["$defs"]["finding"]


def test_every_key_of_the_schema_says_what_it_is() -> None:
    """A description stands beside each, and no record takes a key that is not described."""
    schema = json.loads(schema_text("comparison"))
    seen_objects = 0

    def walk(node: object, path: str) -> None:
        nonlocal seen_objects
        if isinstance(node, list):
            for item in node:
                walk(item, path)
        elif isinstance(node, dict):
            if node.get("type") == "object" and "properties" in node:
                seen_objects += 1
                assert node["additionalProperties"] is False, path
                assert sorted(node["required"]) == sorted(node["properties"]), path
            for key, value in node.items():
                walk(value, f"{path}/{key}")

    own = {key: value for key, value in schema.items() if key != "$defs"}
    own["$defs"] = {name: value for name, value in schema["$defs"].items() if name != "finding"}
    walk(own, "")
    assert seen_objects > 8


def test_colour_only_underlines_what_the_words_say() -> None:
    """Without its colours the text is the same, letter by letter."""
    comparison = compared(many(2), many(2, width=7))
    painted = "\n".join(comparison_lines(comparison, paint))
    assert "\x1b[" in painted
    assert re.sub(r"\x1b\[[0-9;]*m", "", painted) == "\n".join(comparison_lines(comparison))
    assert "worse" in painted


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("", "", "no difference"),
        (
            "",
            "module x {\n}\n",
            "1 part changes, and no rack with it: no finding is new or gone; room, power and price",
        ),
        ("", "house {\n    spare depth 5mm\n}\n", "the house changes, and no rack with it: "),
        ("", many(1), "rack 'r0' is new: "),
        (many(2), "", "racks 'r0' and 'r1' are gone: "),
        (many(4), "", "4 racks are gone: "),
        (many(1), many(1).replace("at 0HP s", "at 1HP s"), "rack 'r0' changes: "),
        ("module x {\n    width 4\n}\n", "", "1 part changes, and no rack with it: 1 finding gone; "),
        ("modul x", "", "no fact changes: 1 finding gone; room, power and price stay as they are"),
    ],
)
def test_verdicts(old: str, new: str, said: str) -> None:
    """One sentence that stands alone."""
    assert verdict(compared(old, new)).startswith(said)


def test_lines_that_were_not_understood_are_told() -> None:
    """What they say is not compared, on whichever side they are; two layouts of one file are told once."""
    broken = "module x {\n    thirteen wide\n}\n"
    old = list(comparison_lines(compared(broken, "module x {\n}\n")))
    assert old[1] == "1 line of the old side was not understood; what it says may be missing here"
    new = list(comparison_lines(compared("", broken * 2)))
    assert new[1] == "3 lines of the new side were not understood; what they say may be missing here"
    result = seen(many(2) + broken)
    assert list(comparison_lines(compare(result, result, ("r0", "r1"))))[1] == (
        "1 line of the files was not understood; what it says may be missing here"
    )
    with pytest.raises(KeyError):
        compare(result, result, ("r0", "nobody"))


def test_a_fingerprint_stays_while_lines_move() -> None:
    """A bot knows a change again after the branch was rebuilt; another number is another change."""

    def keys(old: str, new: str) -> set[str]:
        comparison = compared(old, new)
        found = [one.fingerprint for one in (*comparison.changes, *comparison.findings)]
        assert len(set(found)) == len(found)
        return set(found)

    first = keys(many(1), many(1, depth=44))
    below = "# a line more\n\nmodule other {\n}\n"
    assert len(first) > 3
    assert keys(below + many(1), below + many(1, depth=44)) == first
    deeper = compared(many(1), many(1, depth=45))
    assert not {change.fingerprint for change in deeper.changes} & first


def calls(work: Callable[[], object]) -> int:
    """How many functions are called for some work; the same work calls as many."""
    count = 0

    def look(_frame: FrameType, event: str, _argument: object) -> None:
        nonlocal count
        count += event in ("call", "c_call")

    sys.setprofile(look)
    try:
        work()
    finally:
        sys.setprofile(None)
    return count


@pytest.mark.parametrize("way", ["edited", "renamed", "other", "gone"])
def test_work_grows_with_the_racks_and_not_with_their_square(way: str) -> None:
    """Twice as many racks are twice the work, whatever happens to all of them at once."""

    def work(size: int) -> int:
        old = many(size)
        new = {
            "edited": many(size, width=7, depth=44),
            "renamed": many(size, prefix="x"),
            "other": many(size, prefix="x", width=5).replace("as p", "as q"),
            "gone": many(1),
        }[way]
        sides = seen(old), seen(new)

        def whole() -> None:
            comparison = compare(*sides)
            list(comparison_lines(comparison))
            comparison_markdown(comparison)

        return calls(whole)

    work(2)  # what is made once
    assert work(120) < 2.2 * work(60)
