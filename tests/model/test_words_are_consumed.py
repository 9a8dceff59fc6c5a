"""Each word of each block is consumed by exactly one builder of the model: no fact is lost between text and model.

A spec with every statement of the table is made from the table itself, linked and inspected. Meanwhile every look into
the facts of a block is recorded: which word of which kind of block was asked for, and by which function.
"""

from __future__ import annotations

import sys
from collections import defaultdict
from pathlib import Path
from types import FrameType
from typing import Any

import pytest

from rackspec import spec_file
from rackspec.findings import Finding, Place
from rackspec.language import binding
from rackspec.language.bound import Block, Fact
from rackspec.language.values import CLASSES
from rackspec.language.words import BLOCKS
from rackspec.model import link
from rackspec.model.layers import Layers
from rackspec.model.library import Entry
from rackspec.model.rack import Later
from rackspec.pipeline import Request, inspect
from rackspec.rules.registry import load_rules
from rackspec.views.reference import writable_blocks
from tests.conftest import TODAY

BUILDERS = frozenset(
    {
        "File.uses",
        "make_house",
        "make_insert",
        "make_rail",
        "make_panel_part",
        "make_stages",
        "make_wish",
        "make_bus",
        "make_rack",
        "RowBuilder.build",
        "make_case",
        "make_side",
        "make_sheet",
        "make_part",
        "make_seller",
    }
)
"""The functions that make a record of the model out of a block; what their helpers read, they read."""

LINKING = frozenset({"_link_boxes", "link_part"})
"""Functions that only look names up: they may read lines that no rule looks at yet, beside ``later_in``."""

CHECKING = frozenset({"Library._look_for_two_forms", "link_seller", "link_kit"})
"""Functions that only look whether lines agree with each other and names are known, and keep nothing of them."""

MACHINERY = ("layers.py", "known.py", "bound.py")
"""Files that read facts for whoever asks."""

UNREAD = {
    "note": "a note is for people; only those of parts and of a rack are kept for views to show",
    "basis": "it speaks for the facts of its block, and in some blocks none is read yet that evidence belongs to",
}
"""Words that may be consumed by nobody, each with the reason why that is right."""


class Recorded:
    """What was asked for, by whom, and where the facts stand."""

    def __init__(self) -> None:
        self.readers: defaultdict[tuple[str, str], set[str]] = defaultdict(set)
        self.facts: dict[tuple[str, int], tuple[str, Fact]] = {}

    def all(self, block: Block, word: str) -> tuple[Fact, ...]:
        """In the place of ``Block.all``: somebody asks a block for the facts of a word, and it has some."""
        found = tuple(fact for fact in block.order if fact.word == word)
        reader = reader_of(sys._getframe(2)) if found else ""
        if reader:
            self.readers[block.kind, word].add(reader)
        return found

    def block(self, kind: str, name: str, order: tuple[Fact, ...], *rest: Any) -> Block:
        """In the place of ``Block``: its facts can be found again by where they stand."""
        for fact in order:
            place = fact.place("")
            self.facts[place.source.name, place.start] = kind, fact
        return Block(kind, name, order, *rest)

    def later(self, word: str, place: Place) -> Later:
        """In the place of ``Later``: a line that is told not to be checked yet, with all that is in its block."""
        kind, fact = self.facts[place.source.name, place.start]
        self.told_later(kind, fact)
        return Later(word, place)

    def told_later(self, kind: str, fact: Fact) -> None:
        """A fact, and those of the block it opens."""
        assert fact.bound.statement is not None
        self.readers[kind, fact.bound.statement.word].add("later_in")
        if fact.block is not None:
            for inner in fact.block.order:
                self.told_later(fact.block.kind, inner)

    def entry(self, kind: str, *rest: Any) -> Entry:
        """In the place of ``Entry``: a named thing that comes into the library."""
        self.readers["file", kind].add("File.named_things")
        return Entry(kind, *rest)


def reader_of(frame: FrameType | None) -> str:
    """The builder that reads, else the function that does; nothing where the language itself looks."""
    innermost = ""
    while frame is not None:
        path = Path(frame.f_code.co_filename)
        if "rackspec" in path.parts and path.name not in MACHINERY and "tests" not in path.parts:
            name = frame.f_code.co_qualname
            if path.parent.name == "language" and not innermost:
                return ""
            if name in CHECKING:
                return ""
            if name in BUILDERS or name in LINKING:
                return name
            innermost = innermost or name
        frame = frame.f_back
    return innermost


class Everything:
    """A spec with every statement of the table once, made from the patterns of the table."""

    def __init__(self) -> None:
        self.lines: list[str] = []
        self.names: dict[str, str] = {}
        self.block("file", "")

    def block(self, kind: str, indent: str) -> None:
        """The lines of a block: those that name things first, so that others can refer to them."""
        for statement in BLOCKS[kind].statements.values():
            line = " ".join([statement.word, *self.words(statement.items, statement.word)])
            if not statement.opens:
                self.lines.append(indent + line)
                continue
            self.lines.append(f"{indent}{line} {{")
            self.block(statement.opens, indent + "    ")
            self.lines.append(indent + "}")

    def words(self, items: list[Any], word: str) -> list[str]:
        """What follows a word: of two ways the last one, and what may be left out, but for ``like``."""
        found: list[str] = []
        for item in items:
            match item[0]:
                case "literal":
                    found.append(item[1])
                case "value" if item[1] == "NEW":
                    found.append(self.names.setdefault(word, f"some-{word}"))
                case "value" if item[1] == "COUNT":
                    found.append("1")
                case "value" if item[1] == "TEXT":
                    found.append('"other.rackspec"')
                case "value" if item[1] == "POINT":
                    found.append("(1mm, 2mm)")
                case "value":
                    found.append(CLASSES[item[1]].example.split(" or ")[0].split(",")[0])
                case "reference":
                    found.append("some-at" if item[1][0] == "placed" else f"some-{item[1][0]}")
                case "either":
                    found += self.words(item[1][-1], word)
                case "optional" if item[1][0][0] != ["literal", "like"]:
                    found += self.words(item[1][0], word)
        return found


FORMS = (("strip", "nut"), ("nut", "strip"))
"""An insert is a strip or a nut, never both: two specs, each without the other's line."""

Seen = tuple[dict[tuple[str, str], set[str]], tuple[Finding, ...]]
"""Who reads each word of each block, and what is found."""


def record(folder: Path) -> Seen:
    """Who reads what of a spec with everything in it, and what is found in it."""
    recorded = Recorded()
    (folder / ".git").mkdir()
    (folder / "other.rackspec").write_text("", encoding="utf-8")
    lines = Everything().lines
    for form, other in FORMS:
        chosen = [line for line in lines if line.split()[0] != other]
        (folder / f"{form}.rackspec").write_text("\n".join(chosen) + "\n", encoding="utf-8")

    def version(fact: Fact, position: int, findings: list[Finding]) -> None:
        recorded.readers["file", "rackspec"].add("_look_at_version")
        look_at_version(fact, position, findings)

    look_at_version = binding._look_at_version
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Block, "all", lambda block, word: recorded.all(block, word))
        patch.setattr(binding, "Block", recorded.block)
        patch.setattr(binding, "_look_at_version", version)
        patch.setattr(link, "Later", recorded.later)
        patch.setattr(spec_file, "Entry", recorded.entry)
        results = [inspect(Request((f"{form}.rackspec",), str(folder), TODAY)) for form, _ in FORMS]
    assert [len(result.racks) for result in results] == [1, 1]
    return dict(recorded.readers), results[0].findings + results[1].findings


@pytest.fixture(scope="module")
def seen(tmp_path_factory: pytest.TempPathFactory) -> Seen:
    return record(tmp_path_factory.mktemp("everything"))


WORDS = [(block, word) for block in writable_blocks() for word in BLOCKS[block].statements]


def test_spec_with_everything_is_understood(seen: Seen) -> None:
    """Every line of it is read and every name is known: what is found in it is about sums."""
    rules = load_rules()
    # each statement stands there once, and one corner is no outline
    expected = [finding for finding in seen[1] if finding.rule == "waiver-stale" or "1 corner" in finding.message]
    assert [finding for finding in seen[1] if rules[finding.rule].look is None and finding not in expected] == []


@pytest.mark.parametrize(("block", "word"), WORDS, ids=lambda value: value)
def test_word_is_consumed_by_one_builder(block: str, word: str, seen: Seen) -> None:
    """A word is read by one builder; one that no rule looks at yet only by linking, which looks up its names."""
    readers = seen[0].get((block, word), set())
    if BLOCKS[block].statements[word].later:
        assert readers - LINKING <= {"later_in"}, f"'{word}' in {block} is not marked as read by {sorted(readers)}"
    elif word in UNREAD and not readers:
        return
    else:
        assert len(readers) == 1, f"'{word}' in {block} is read by {sorted(readers) or 'nobody'}"


def test_what_is_not_checked_yet_is_told(seen: Seen) -> None:
    """Whoever writes a line that no rule looks at yet is told so, wherever the line stands."""
    untold = defaultdict(list)
    for block, word in WORDS:
        if BLOCKS[block].statements[word].later and "later_in" not in seen[0].get((block, word), set()):
            untold[block].append(word)
    assert dict(untold) == {}


def test_nothing_else_is_read(seen: Seen) -> None:
    """No builder asks for a word that its block does not have, and the reasons of UNREAD are still needed."""
    assert set(seen[0]) <= set(WORDS)
    assert all(any(not seen[0].get((block, word)) for block, word in WORDS if word == unread) for unread in UNREAD)


def test_a_reader_more_is_seen(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The recording sees through helpers: a builder that asks for a word of another one's is a second reader."""
    before = link.make_bus

    def make_bus(block: Block, names: Any) -> Any:
        Layers((block,)).one("lead")
        block.all("headers")
        return before(block, names)

    monkeypatch.setattr(link, "make_bus", make_bus)
    readers = record(tmp_path)[0]
    assert len(readers["bus", "headers"]) == 2
    assert len(readers["bus", "lead"] - LINKING) == 2
