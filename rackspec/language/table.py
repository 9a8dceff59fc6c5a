"""The table of words as lark reads it: in: the tree of words.txt, out: plain lists that can be kept as JSON.

A block is ``[name, groups, help, statements]``, a statement ``[word, items, marks, help]``; items are lists that begin
with what they are. Only run when the tables are prepared; ``words.py`` makes the table from the lists.
"""

from __future__ import annotations

from typing import Any

from lark import Token, Tree

Node = Tree[Token]


def words_of(nodes: list[Any]) -> list[str]:
    """The words among the children of a node."""
    return [str(node) for node in nodes if isinstance(node, Token)]


def key_of(nodes: list[Any]) -> str:
    """The key that a value names for itself, or nothing."""
    for node in nodes:
        if isinstance(node, Tree) and node.data == "key":
            return str(node.children[0])
    return ""


def read_items(pattern: Any) -> list[Any]:
    """The items of a pattern, each ``[what, …]``."""
    items: list[Any] = []
    for node in pattern.children:
        kind, children = str(node.data), node.children
        match kind:
            case "literal" | "opens":
                items.append([kind, str(children[0])])
            case "value":
                items.append([kind, str(children[0]), key_of(children)])
            case "reference":
                items.append([kind, words_of(children), key_of(children)])
            case "either" | "optional":
                items.append([kind, [read_items(inner) for inner in children]])
            case "evidence":
                items.append([kind])
            case _:
                raise ValueError(f"words.txt: no such item: {kind}")
    return items


def read_table(tree: Node) -> list[Any]:
    """All blocks of the table, in its order."""
    blocks: list[Any] = []
    for node in tree.children:
        assert isinstance(node, Tree)
        name, groups, text, *statements = node.children
        rows: list[Any] = []
        for statement in statements:
            assert isinstance(statement, Tree)
            word, pattern, *rest = statement.children
            marks = [[str(part) for part in mark.children if part] for mark in rest if isinstance(mark, Tree)]
            rows.append([str(word), read_items(pattern), marks, str(rest[-1])[2:].strip()])
        names = words_of(groups.children) if isinstance(groups, Tree) else []
        blocks.append([str(name), names, str(text)[2:].strip(), rows])
    return blocks
