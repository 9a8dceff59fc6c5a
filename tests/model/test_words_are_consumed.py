"""Each word of each block is consumed by exactly one builder of the model: no fact that a builder writes is lost on the way.

A spec with every statement of the table is made from the table itself, linked and inspected. Meanwhile every look into the
facts of a block is recorded: which word of which kind of block was asked for, and by which function.
"""

from __future__ import annotations

import sys
from collections import defaultdict
from pathlib import Path
from types import FrameType
from typing import Any

import pytest

from rackspec import project
from rackspec.findings import Finding, Place
from rackspec.language import binding
from rackspec.language.bound import Block, Fact
from rackspec.language.values import CLASSES
from rackspec.language.words import BLOCKS
from rackspec.model import link
from rackspec.model.library import Entry
from rackspec.model.rack import Later
from rackspec.pipeline import Request, inspect
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
    }
)
"""The functions that make a record of the model out of a block; what their helpers read, they read."""

LINKING = frozenset({"_link_case", "link_part"})
"""Functions that only look names up: they may read lines that no rule looks at yet, beside ``later_in``."""

MACHINERY = ("layers.py", "known.py", "bound.py")
"""Files that read facts for whoever asks."""

UNREAD = {"note": "a note is for people; only that of a part and that of a rack are kept for views to show"}
"""Words that may be consumed by nobody, each with the reason why that is right."""


class Recorded:
    """What was asked for, by whom, and where the facts stand."""

    def __init__(self) -> None:
        self.readers: defaultdict[tuple[str, str], set[str]] = defaultdict(set)
        self.facts: dict[tuple[str, int], tuple[str, Fact]] = {}

    def reads(self, kind: str, word: str) -> None:
        """Somebody asks a block for the facts of a word that it has."""
        reader = reader_of(sys._getframe(2))
        if reader:
            self.readers[kind, word].add(reader)

    def block(self, kind: str, name: str, facts: dict[str, tuple[Fact, ...]], *rest: Any) -> Block:
        """In the place of ``Block``: one whose facts tell who reads them."""
        for several in facts.values():
            for fact in several:
                place = fact.place("")
                self.facts[place.source.name, place.start] = kind, fact
        return Block(kind, name, TellingFacts(facts, self, kind), *rest)

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


class TellingFacts(dict[str, tuple[Fact, ...]]):
    """The facts of a block by word, which tell when they are read."""

    def __init__(self, facts: dict[str, tuple[Fact, ...]], recorded: Recorded, kind: str) -> None:
        super().__init__(facts)
        self._recorded = recorded
        self._kind = kind

    def get(self, word: str, default: Any = None) -> Any:
        if super().__contains__(word):
            self._recorded.reads(self._kind, word)
        return super().get(word, default)

    def __getitem__(self, word: str) -> tuple[Fact, ...]:
        self._recorded.reads(self._kind, word)
        return super().__getitem__(word)

    def _whole(self, *_: object) -> Any:
        raise AssertionError("facts are asked for by their word; who reads them all at once has to be recorded here first")

    __iter__ = items = values = keys = _whole


def reader_of(frame: FrameType | None) -> str:
    """The builder that reads, else the function that does; nothing where the language itself looks."""
    innermost = ""
    while frame is not None:
        path = Path(frame.f_code.co_filename)
        if "rackspec" in path.parts and path.name not in MACHINERY and "tests" not in path.parts:
            name = frame.f_code.co_qualname
            if path.parent.name == "language" and not innermost:
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
        """What follows a word: of two ways the last one, nothing that may be left out."""
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
                case "value":
                    found.append(CLASSES[item[1]].example.split(" or ")[0].split(",")[0] if item[1] != "POINT" else "(1mm, 2mm)")
                case "reference":
                    kind = "module" if item[1] == ["placed"] else item[1][0]
                    found.append(f"some-{kind}")
                case "either":
                    found += self.words(item[1][-1], word)
        return found


def record(folder: Path) -> tuple[dict[tuple[str, str], set[str]], tuple[Finding, ...]]:
    """Who reads what of a spec with everything in it, and what is found in it."""
    recorded = Recorded()
    (folder / ".git").mkdir()
    (folder / "other.rackspec").write_text("", encoding="utf-8")
    text = "\n".join(Everything().lines) + "\n"
    (folder / "spec.rackspec").write_text(text, encoding="utf-8")

    def version(fact: Fact, position: int, findings: list[Finding]) -> None:
        recorded.readers["file", "rackspec"].add("_look_at_version")
        look_at_version(fact, position, findings)

    look_at_version = binding._look_at_version
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(binding, "Block", recorded.block)
        patch.setattr(binding, "_look_at_version", version)
        patch.setattr(link, "Later", recorded.later)
        patch.setattr(project, "Entry", recorded.entry)
        result = inspect(Request(("spec.rackspec",), str(folder), TODAY))
    assert len(result.racks) == 1
    return dict(recorded.readers), result.findings


@pytest.fixture(scope="module")
def seen(tmp_path_factory: pytest.TempPathFactory) -> tuple[dict[tuple[str, str], set[str]], tuple[Finding, ...]]:
    return record(tmp_path_factory.mktemp("everything"))


WORDS = [(block, word) for block in writable_blocks() for word in BLOCKS[block].statements]


def test_spec_with_everything_is_understood(seen: tuple[Any, tuple[Finding, ...]]) -> None:
    """Every line of it is bound: what is found in it is about names and sums, not about reading."""
    about_reading = {"unknown-word", "line-not-understood", "unit-missing", "unknown-unit", "wrong-dimension", "brace-astray"}
    assert [finding for finding in seen[1] if finding.rule in about_reading] == []


@pytest.mark.parametrize(("block", "word"), WORDS, ids=lambda value: value)
def test_word_is_consumed_by_one_builder(
    block: str, word: str, seen: tuple[dict[tuple[str, str], set[str]], tuple[Finding, ...]]
) -> None:
    """A word is read by one builder; one that no rule looks at yet is told to be so, and by nobody else but linking."""
    readers = seen[0].get((block, word), set())
    if BLOCKS[block].statements[word].later:
        assert readers - LINKING == {"later_in"}, f"'{word}' in {block} is nowhere told not to be checked yet"
    elif word in UNREAD and not readers:
        return
    else:
        assert len(readers) == 1, f"'{word}' in {block} is read by {sorted(readers) or 'nobody'}"


def test_nothing_else_is_read(seen: tuple[dict[tuple[str, str], set[str]], Any]) -> None:
    """No builder asks for a word that its block does not have, and the reasons of UNREAD are still needed."""
    assert set(seen[0]) <= set(WORDS)
    assert all(any(not seen[0].get((block, word)) for block, word in WORDS if word == unread) for unread in UNREAD)
