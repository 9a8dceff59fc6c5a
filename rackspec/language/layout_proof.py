"""The proof of a layout: in: a text laid out and the tree of what it was made from, out: whether both say the same.

The layout is read again, as any text is. Only blanks may differ, and not those inside of texts and comments. The same
values have to stand in the same lines and blocks, the same comments behind and between them, and the lines have to give
the same facts. Never raises.
"""

from collections.abc import Iterator
from typing import NamedTuple

from rackspec.findings import Source
from rackspec.language.binding import bind
from rackspec.language.bound import Block, Bound
from rackspec.language.lines import read_shape, read_tree
from rackspec.language.tree import BLANK, Node, Shape, Tree
from rackspec.language.values import Value

BLANKS = " \t\r"
"""What may stand at both ends of a line and says nothing. Any other character of a comment is the builder's."""


class Part(NamedTuple):
    """A stretch of a text: a line at its top level, the block it opens, and what follows it up to the next one."""

    text: str
    node: Node | None


def says_the_same(text: str, before: Tree) -> bool:
    """Whether a text says what the one before it says. A part that is the same to the letter needs no second look."""
    after, findings = read_tree(Source(before.source.name, text))
    if findings or len(after.nodes) != len(before.nodes) or not same_letters(text, before.source.text):
        return False
    pairs = zip(parts(before), parts(after), strict=True)
    changed = [(one, other) for one, other in pairs if one.text != other.text]
    was = tuple(one.node for one, _ in changed if one.node is not None)
    now = tuple(other.node for _, other in changed if other.node is not None)
    return (
        same_lines(was, now, set())
        and all(comments_of(one.text) == comments_of(other.text) for one, other in changed)
        and same_facts(bind(Tree(before.source, was))[0], bind(Tree(after.source, now))[0], set())
    )


def same_letters(one: str, other: str) -> bool:
    """Whether two texts are the same but for their blanks."""
    return without_blanks(one) == without_blanks(other)


def without_blanks(text: str) -> str:
    """All of a text that can be seen."""
    return "".join(text.split())


def parts(tree: Tree) -> Iterator[Part]:
    """The parts of a text, which are the whole text together; the first one is what stands above all facts."""
    text = tree.source.text
    ends = [*(node.offset for node in tree.nodes), len(text)]
    yield Part(text[: ends[0]], None)
    for node, end in zip(tree.nodes, ends[1:], strict=True):
        yield Part(text[node.offset : end], node)


def same_lines(was: tuple[Node, ...], now: tuple[Node, ...], held: set[tuple[str, str]]) -> bool:
    """Whether lines and those of their blocks say the same; ``held``: pairs of texts that are known to."""
    if len(was) != len(now):
        return False
    for one, other in zip(was, now, strict=True):
        pair = (one.text, other.text)
        if pair not in held:
            if not same_values(one.shape, other.shape):
                return False
            held.add(pair)
        if one.inside is None or other.inside is None:
            if one.inside is not other.inside:
                return False
        elif not same_lines(one.inside, other.inside, held):
            return False
    return True


def same_values(one: Shape, other: Shape) -> bool:
    """Whether two lines have the same values in the same order."""
    return [(value.kind, bare(value)) for value in one.values] == [(value.kind, bare(value)) for value in other.values]


def bare(value: Value) -> str:
    """The text of a value without the blanks in it; a text in quotes keeps them, and a name has none."""
    return value.text if value.kind in ("text", "name") else without_blanks(value.text)


def comments_of(text: str) -> list[tuple[int, bool, str]]:
    """All comments, each with how many lines that say something stand above it, and whether it is in the last one."""
    if "#" not in text:
        return []
    found = []
    facts = 0
    for line in text.split("\n"):
        if "#" not in line:
            facts += bool(line.strip(BLANKS))
            continue
        shape = read_shape(line.removesuffix("\r"))
        alone = shape.does == BLANK
        facts += not alone
        at = line.find("#", end_of(line, shape.values[-1]) if shape.values else 0)
        if at >= 0:
            found.append((facts, not alone, line[at:].rstrip(BLANKS)))
    return found


def start_of(line: str, value: Value) -> int:
    """Where a value begins in its line; a point with its bracket."""
    return line.rindex("(", 0, value.start + 1) if value.kind == "point" else value.start


def end_of(line: str, value: Value) -> int:
    """Where a value ends in its line; a point behind its bracket."""
    return line.index(")", value.end - 1) + 1 if value.kind == "point" else value.end


def same_facts(was: Block, now: Block, held: set[tuple[int, int]]) -> bool:
    """Whether blocks say the same: all facts in order; ``held``: pairs of bound lines, by identity, known to."""
    if len(was.order) != len(now.order):
        return False
    for one, other in zip(was.order, now.order, strict=True):
        pair = (id(one.bound), id(other.bound))
        if pair not in held:
            if said(one.bound) != said(other.bound):
                return False
            held.add(pair)
        if one.block is None or other.block is None:
            if one.block is not other.block:
                return False
        elif not same_facts(one.block, other.block, held):
            return False
    return True


def said(bound: Bound) -> tuple[object, ...]:
    """What a bound line says: its values by key, of which the word is one, however they are written; its evidence."""
    values = {key: (value.kind, meant(value)) for key, value in bound.values.items()}
    return (values, bound.flags, bound.evidence)


def meant(value: Value) -> object:
    """What a value says, without the text it was written in, which is the last thing that quantities and money hold."""
    if value.data is None:
        return None
    if value.kind == "point":
        return tuple(quantity[:-1] for quantity in value.data)
    return value.data[:-1] if value.kind in ("amount", "money") else value.data
