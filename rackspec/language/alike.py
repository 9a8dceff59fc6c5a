"""Lines that are alike: in: a line, out: its shape by the example of one that differs in digits and texts only.

No terminal of the grammar looks at which digit stands where, or at what a text in quotes says. So a line that is
equal to one that lark has read, but for these, has the same tokens, and its values are read without asking lark
again. Digits are replaced one by one, so that places stay; texts are emptied, and what follows moves along.
"""

from typing import Any, NamedTuple

from lark import Token

from rackspec.language.tree import Shape
from rackspec.language.values import make_value

DIGITS = str.maketrans("123456789", "000000000")
MOST_REMEMBERED = 20_000


class Example(NamedTuple):
    """What lark saw in a line: what it does, its indentation, its tokens as (terminal, start, end), texts emptied."""

    does: int
    indent: int
    tokens: tuple[tuple[str, int, int], ...]


_EXAMPLES: dict[str, Example] = {}


def emptied(line: str) -> tuple[str, list[int]] | None:
    """The line with digits made equal and texts emptied, and how long each text was; None where quotes do not pair."""
    if '"' not in line:
        return line.translate(DIGITS), []
    parts = line.split('"')
    if len(parts) % 2 == 0:
        return None
    return '""'.join(parts[0::2]).translate(DIGITS), [len(text) for text in parts[1::2]]


def keep_alike(line: str, does: int, indent: int, children: list[Any]) -> None:
    """Remember what lark saw in a line, if all of its values are single tokens and every text is one of them."""
    skeleton = emptied(line)
    if skeleton is None or not all(isinstance(child, Token) for child in children):
        return
    if sum(child.type == "TEXT" for child in children) != len(skeleton[1]):
        return  # a quote in a comment, say
    tokens: list[tuple[str, int, int]] = []
    gone = 0
    texts = iter(skeleton[1])
    for child in children:
        start, end = child.start_pos - gone, child.end_pos - gone
        if child.type == "TEXT":
            length = next(texts)
            gone += length
            end -= length
        tokens.append((child.type, start, end))
    if len(_EXAMPLES) > MOST_REMEMBERED:
        _EXAMPLES.clear()
    _EXAMPLES[skeleton[0]] = Example(does, indent, tuple(tokens))


def read_alike(line: str) -> Shape | None:
    """The shape of a line by example, or None where lark has to read it."""
    skeleton = emptied(line)
    example = _EXAMPLES.get(skeleton[0]) if skeleton is not None else None
    if skeleton is None or example is None:
        return None
    values = []
    moved = 0
    texts = iter(skeleton[1])
    for terminal, start, end in example.tokens:
        start += moved
        if terminal == "TEXT":
            moved += next(texts)
        end += moved
        values.append(make_value(terminal, line[start:end], start, end))
    return Shape(example.does, example.indent, tuple(values), text=line)
