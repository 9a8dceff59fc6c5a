"""The proof of a layout fails where anything but blanks is another, each part of it for itself."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from rackspec.findings import Source
from rackspec.language import layout, layout_proof
from rackspec.language.binding import bind
from rackspec.language.layout import Layout, lay_out, tidy
from rackspec.language.layout_proof import comments_of, parts, same_facts, same_lines, says_the_same
from rackspec.language.lines import read_tree
from rackspec.language.tree import Tree

TEXT = """\
# top
module a {
  width 3HP # three
  depth  4 13/16in
  note "a  b"
}
rack tray {
 row top {
 # first\u00a0
   at 0HP a
   next a as b
  }
}
"""


def tree_of(text: str) -> Tree:
    """The tree of a text in which nothing is wrong."""
    tree, findings = read_tree(Source("spec.rackspec", text))
    assert findings == []
    return tree


def swapped(text: str, one: str, other: str) -> str:
    """A text in which two stretches have changed places."""
    return text.replace(one, "\0").replace(other, one).replace("\0", other)


WRONG: dict[str, Callable[[str], str]] = {
    "a value": lambda text: text.replace("3HP", "4HP"),
    "the same value, written in another way": lambda text: text.replace("3HP", "15.24mm"),
    "a comment": lambda text: text.replace("# three", "# drei"),
    "blanks in a comment": lambda text: text.replace("# three", "#  three"),
    "a comment that moved to a line of its own": lambda text: text.replace("  # three\n", "\n    # three\n"),
    "a comment that moved behind a fact": lambda text: text.replace("{\n        # first", "{  # first"),
    "a comment that moved up": lambda text: text.replace("    # first\n", "").replace(" row top", " # first\n row top"),
    "a comment that moved into a block": lambda text: text.replace("# top\nmodule a {\n", "module a {\n# top\n"),
    "a comment that is gone": lambda text: text.replace("# three", ""),
    "a comment that is new": lambda text: text + "# new\n",
    "a blank that belongs to a comment": lambda text: text.replace("first\u00a0", "first"),
    "blanks in a text": lambda text: text.replace("a  b", "a b"),
    "a blank in a number": lambda text: text.replace("4 13", "413"),
    "two lines that changed places": lambda text: swapped(text, "    width     3HP", '    note      "a  b"'),
    "two blocks that changed places": lambda text: text[text.index("rack") :] + text[: text.index("rack")],
    "a line that is gone": lambda text: text.replace("        next      a as b\n", ""),
    "a line that is new": lambda text: text.replace("    width ", "    mass      3g\n    width "),
    "a brace that is gone": lambda text: text.replace("}\n", "", 1),
    "a brace that moved": lambda text: text.replace("        next      a as b\n    }\n", "    }\n  next      a as b\n"),
    "two lines in one": lambda text: text.replace("3HP                   # three\n", "3HP "),
    "one line in two": lambda text: text.replace("a as b", "a\n as b"),
    "nothing at all": lambda _: "",
}


@pytest.mark.parametrize("what", WRONG)
def test_a_layout_that_says_something_else_is_never_given_out(what: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever a broken layout would do, the text stays as it is, and that it went astray is said."""
    wrong = WRONG[what](lay_out(TEXT))
    assert wrong != lay_out(TEXT)
    assert not says_the_same(wrong, tree_of(TEXT))
    monkeypatch.setattr(layout, "lay_out", lambda _: wrong)
    assert tidy(Source("spec.rackspec", TEXT)) == Layout(TEXT, astray=True)


@pytest.mark.parametrize("what", WRONG)
def test_the_proof_does_not_rest_on_letters_alone(what: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same is found if nobody compares the letters that can be seen."""
    monkeypatch.setattr(layout_proof, "same_letters", lambda *_: True)
    assert says_the_same(lay_out(TEXT), tree_of(TEXT))
    assert not says_the_same(WRONG[what](lay_out(TEXT)), tree_of(TEXT))


def test_letters_alone_are_a_proof(monkeypatch: pytest.MonkeyPatch) -> None:
    """A letter more or less is found, even if nobody compares what is read."""
    for name in ("same_lines", "same_facts"):
        monkeypatch.setattr(layout_proof, name, lambda *_: True)
    monkeypatch.setattr(layout_proof, "comments_of", lambda _: [])
    assert says_the_same(lay_out(TEXT), tree_of(TEXT))
    assert not says_the_same(lay_out(TEXT).replace("3HP", "4HP"), tree_of(TEXT))


def test_what_is_laid_out_otherwise_says_the_same() -> None:
    """Blanks outside of texts and comments, and blank lines, make no difference."""
    for text in (TEXT, lay_out(TEXT), TEXT.replace("\n", "\r\n"), TEXT.replace("\n", "\n\n"), "\n" + TEXT[:-1]):
        assert says_the_same(text, tree_of(TEXT))


def test_lines_and_nesting() -> None:
    """Values, their kinds, their order, and what opens a block are compared."""
    for line, other, same in (
        ("width 3HP", "  width   3HP  # x", True),
        ("width 3HP", "width 3mm", False),
        ("depth 3mm +-1mm", "depth 3mm+-1mm", True),
        ("draws 3mA on +5V", "draws 3mA on", False),
        ('note "a"', 'note "a "', False),
        ("header 10-pin", "header 16-pin", False),
        ("module a {\n}", "module a", False),
        ("module a {\nx\n}", "module a {\n}", False),
        ("module a {\nx\n}", "module a {\ny\n}", False),
        ("module a {\nx\n}\ny", "module a {\nx\ny\n}", False),
    ):
        assert same_lines(tree_of(line).nodes, tree_of(other).nodes, set()) is same


def test_facts() -> None:
    """Exact values, evidence and flags are compared, however they are written."""

    def facts_agree(line: str, other: str) -> bool:
        blocks = [bind(tree_of(f"module a {{\n{text}\n}}\n"))[0] for text in (line, other)]
        return same_facts(blocks[0], blocks[1], set())

    assert facts_agree("depth 4 13/16in", "depth   4  13/16in")
    assert facts_agree("width 1HP", "width 5.08mm")
    assert facts_agree("slot 3mm x 5mm at (1mm,2mm)", "slot 3mm x 5mm at ( 1mm , 2mm )")
    for line, other in (
        ("depth 4 13/16in", "depth 413/16in"),
        ("depth 4mm", "depth 4mm +-1mm"),
        ("depth 4mm", "depth 4mm guessed"),
        ("depth 4mm stated 2026-01-01", "depth 4mm stated 2026-01-02"),
        ("slot 3mm x 5mm at (1mm, 2mm)", "slot 3mm x 5mm at (1mm, 3mm)"),
        ("header 10-pin keyed", "header 10-pin unkeyed"),
        ("price 5 EUR", "price 5 GBP"),
        ("depth 4mm", "plug 4mm"),
        ("depth 4mm", "depth 4mm\nplug 4mm"),
    ):
        assert not facts_agree(line, other), (line, other)
    whole = bind(tree_of(TEXT))[0]
    headless = whole._replace(order=tuple(fact._replace(block=None) for fact in whole.order))
    assert same_facts(whole, whole, set())
    assert not same_facts(whole, headless, set())
    assert not same_facts(headless, whole, set())


def test_comments() -> None:
    """Each with the lines above it, and whether it stands behind one; a mark inside of a text is none."""
    text = '# a\nmodule a { # b\n\n  note "# no" # c \t\r\n  # d\n  note "#"\n}# e\n#'
    assert comments_of(text) == [
        (0, False, "# a"),
        (1, True, "# b"),
        (2, True, "# c"),
        (2, False, "# d"),
        (4, True, "# e"),
        (4, False, "#"),
    ]


def test_parts_are_the_whole_text() -> None:
    """Nothing stands between them."""
    for text in ("", "# x\n", TEXT, "\n" + TEXT + "\n# end"):
        found = list(parts(tree_of(text)))
        assert "".join(part.text for part in found) == text
        assert [part.node for part in found] == [None, *tree_of(text).nodes]
