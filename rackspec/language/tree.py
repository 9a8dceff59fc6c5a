"""The tree of a text: lines with their values, blocks with their lines. No word of the language is known here.

A ``Shape`` is what one line says, wherever it stands: equal lines share it. A ``Node`` is a shape at a place, with the
lines of its block, if it opens one.
"""

from typing import NamedTuple

from rackspec.findings import Source
from rackspec.language.values import Slip, Value

FACT, OPENS, CLOSES, BLANK = 0, 1, 2, 3


class Shape(NamedTuple):
    """A line that was read: what it does, its values (the word first), and its slips.

    ``broken``: a slip could not be mended in thought, so values are missing; ``loose`` then holds what looks like
    names.
    """

    does: int
    indent: int
    values: tuple[Value, ...]
    slips: tuple[Slip, ...] = ()
    broken: bool = False
    loose: tuple[str, ...] = ()
    text: str = ""


class Node(NamedTuple):
    """A shape at its place: offset of its line in the text, and the nodes of its block."""

    shape: Shape
    offset: int
    inside: "tuple[Node, ...] | None" = None

    @property
    def text(self) -> str:
        """The text of its line."""
        return self.shape.text


class Tree(NamedTuple):
    """All nodes of a text, outermost first."""

    source: Source
    nodes: tuple[Node, ...]
