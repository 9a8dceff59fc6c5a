"""One file of a project: in: a text that was read, out: its blocks, read whole or as they are needed."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from rackspec.files import ReadText
from rackspec.findings import ERROR, Finding, Place, Source
from rackspec.language.binding import bind
from rackspec.language.bound import Block, Fact
from rackspec.language.lines import read_tree
from rackspec.language.tree import Tree
from rackspec.model.library import KINDS, Entry
from rackspec.model.link import later_in
from rackspec.model.rack import Later
from rackspec.uses import UseLine

if TYPE_CHECKING:
    from rackspec.language.outline import Piece

MOST_TOLD = 500
"""Findings about reading that are told of one file; a file with more is none of ours."""


class File:
    """One file of a project: its text, and either its block or its outline."""

    def __init__(self, path: str, read: ReadText, whole: bool) -> None:
        self.path = path
        self.source = read.source
        self.damaged = read.damaged
        self.findings: list[Finding] = list(read.findings)
        self.pieces: list[Piece] | None = None
        self.block: Block | None = None
        self._has_no_outline = False
        if whole or self.outlined() is None:
            self.block = self.parse(0, None)

    def outlined(self) -> list[Piece] | None:
        """The outline of the file, or None where it has none."""
        if self.pieces is None and not self._has_no_outline:
            from rackspec.language.outline import outline

            self.pieces = outline(self.source)
            self._has_no_outline = self.pieces is None
        return self.pieces

    def parse(self, start: int, end: int | None) -> Block:
        """The block of the file, or of a part of it; findings are kept with the file."""
        tree, found = read_tree(self.source, start, end)
        block, more = bind(Tree(self.source, tree.nodes))
        found += more
        if self.damaged:
            found = [finding for finding in found if not self._near_damage(finding.place)]
        if len(found) > MOST_TOLD:
            rest = found[MOST_TOLD]
            message = f"and {len(found) - MOST_TOLD} more lines of this file are not understood"
            found = [
                *found[:MOST_TOLD],
                Finding("line-not-understood", ERROR, message, rest.place, remedy="mend those above first"),
            ]
        self.findings += found
        return block

    def _near_damage(self, place: Place) -> bool:
        """Whether a line holds characters that could not be read: then that is the finding."""
        text = self.source.text
        start = text.rfind("\n", 0, place.start) + 1
        end = text.find("\n", place.start)
        return "\ufffd" in text[start : end if end >= 0 else None]

    def uses(self) -> list[UseLine]:
        """Its ``use`` lines."""
        if self.block is None:
            assert self.pieces is not None
            spans = [(piece.start, piece.end) for piece in self.pieces if piece.word == "use"]
            blocks = [self.parse(start, end) for start, end in spans]
        else:
            blocks = [self.block]
        return [UseLine(fact.text("use"), fact.place("use")) for block in blocks for fact in block.all("use")]

    def named_things(self) -> list[Entry]:
        """The named things of the file, as entries of a library."""
        if self.block is not None:
            return [
                Entry(fact.block.kind, fact.block.name, fact.block.place(), fact.block, None)
                for fact in self.block.order
                if fact.block is not None and fact.block.name and fact.block.kind in KINDS
            ]
        assert self.pieces is not None
        return [
            Entry(
                piece.word,
                piece.name,
                Place(self.source, piece.name_start, piece.name_start + len(piece.name)),
                None,
                self._reader(piece),
            )
            for piece in self.pieces
            if piece.is_block and piece.name and piece.word in KINDS
        ]

    def _reader(self, piece: Piece) -> Callable[[], Block]:
        def read() -> Block:
            file_block = self.parse(piece.start, piece.end)
            for fact in file_block.order:
                if fact.block is not None:
                    return fact.block
            return Block(piece.word, piece.name, (), True, (), _no_header(self.source, piece))

        return read

    def later(self) -> list[Later]:
        """Lines of its library and house that no rule looks at yet, if it was read whole."""
        facts = self.block.order if self.block is not None else ()
        return [
            line for fact in facts if fact.block is not None and fact.word != "rack" for line in later_in(fact.block)
        ]

    def house_block(self) -> Block | None:
        """Its ``house`` block, if it has one."""
        if self.block is None:
            assert self.pieces is not None
            for piece in self.pieces:
                if piece.word == "house":
                    return next((fact.block for fact in self.parse(piece.start, piece.end).all("house")), None)
            return None
        return next((fact.block for fact in self.block.all("house")), None)


def _no_header(source: Source, piece: Piece) -> Fact:
    """The header of a block that could not be read: a place and nothing else."""
    from rackspec.language.bound import Bound
    from rackspec.language.values import Value

    word = Value("name", 0, len(piece.word), piece.word, piece.word)
    return Fact(Bound(None, {"": word}, (), None, (), True, None, ()), source, piece.start)
