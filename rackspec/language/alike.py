"""Lines that are alike: in: a line, out: its shape by the example of one that differs in digits, texts and a name.

No terminal of the grammar looks at which digit stands where, at what a text in quotes says, or which name stands behind
the first word. So a line that is equal to one that lark has read, but for these, has the same tokens, and its values
are read without asking lark again. Digits are replaced one by one, so that places stay; texts are emptied and the name
is cut to one letter, and what follows moves along.
"""

import re
from typing import Any, NamedTuple

from lark import Token

from rackspec.language.tree import Shape
from rackspec.language.values import make_value

NAMED = re.compile(r"[ \t]*[a-z]+(?:-[a-z]+)* (?!(?:plus|minus)(?: |$))([a-z][a-z0-9]*(?:-[a-z0-9]+)*)(?= |$)")
"""A first word, and a name that can be nothing else, whatever comes next."""
DIGITS = str.maketrans("123456789", "000000000")
MOST_REMEMBERED = 20_000


class Example(NamedTuple):
    """What lark saw in a line: what it does, its indentation, its tokens as (terminal, start, end), texts emptied."""

    does: int
    indent: int
    tokens: tuple[tuple[str, int, int], ...]


_EXAMPLES: dict[str, Example] = {}


class Skeleton(NamedTuple):
    """A line without what may differ; where its name began (-1: it has none); by how much the name was cut, and then
    each text."""

    line: str
    name: int
    cut: list[int]


def emptied(line: str) -> Skeleton | None:
    """The line with digits made equal, its name cut, and texts emptied; None where quotes do not pair."""
    named = NAMED.match(line)
    name, cut = -1, []
    if named is not None:
        name, end = named.span(1)
        cut = [end - name - 1]
        line = f"{line[:name]}n{line[end:]}"
    if '"' not in line:
        return Skeleton(line.translate(DIGITS), name, cut)
    parts = line.split('"')
    if len(parts) % 2 == 0:
        return None
    cut += [len(text) for text in parts[1::2]]
    return Skeleton('""'.join(parts[0::2]).translate(DIGITS), name, cut)


def keep_alike(line: str, does: int, indent: int, children: list[Any]) -> None:
    """Remember what lark saw in a line, if all of its values are single tokens and every text is one of them."""
    skeleton = emptied(line)
    if skeleton is None or not all(isinstance(child, Token) for child in children):
        return
    if sum(child.type == "TEXT" or child.start_pos == skeleton.name for child in children) != len(skeleton.cut):
        return  # a quote in a comment, say
    tokens: list[tuple[str, int, int]] = []
    gone = 0
    cut = iter(skeleton.cut)
    for child in children:
        start = child.start_pos - gone
        if child.type == "TEXT" or child.start_pos == skeleton.name:
            gone += next(cut)
        end = child.end_pos - gone
        tokens.append((child.type, start, end))
    if len(_EXAMPLES) > MOST_REMEMBERED:
        _EXAMPLES.clear()
    _EXAMPLES[skeleton.line] = Example(does, indent, tuple(tokens))


def read_alike(line: str) -> Shape | None:
    """The shape of a line by example, or None where lark has to read it."""
    skeleton = emptied(line)
    example = _EXAMPLES.get(skeleton.line) if skeleton is not None else None
    if skeleton is None or example is None:
        return None
    values = []
    moved = 0
    cut = iter(skeleton.cut)
    for terminal, start, end in example.tokens:
        start += moved
        if terminal == "TEXT" or start == skeleton.name:
            moved += next(cut)
        end += moved
        values.append(make_value(terminal, line[start:end], start, end))
    return Shape(example.does, example.indent, tuple(values), text=line)
