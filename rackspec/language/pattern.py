"""Patterns of statements: in: the items of a row of words.txt, out: an automaton that takes a line value by value.

A pattern has no loops, so the automaton is made from its end: a state is what may come next, and each item becomes the
state in front of what follows it. No state offers a word and a name at once, but for the reserved words (tested).
"""

from typing import Any, NamedTuple


class Edge(NamedTuple):
    """One thing that may come next: a ``literal`` word, a ``value`` of a class, or a ``reference`` to kinds of things.

    ``key`` is what its value is kept under; a literal keeps itself as a flag.
    """

    kind: str
    what: str
    key: str
    kinds: tuple[str, ...] = ()


class State:
    """What may come next: edges with the state behind each, and whether the line may end here."""

    __slots__ = ("edges", "final", "literals")

    def __init__(self, edges: "tuple[tuple[Edge, State], ...]", final: bool) -> None:
        self.edges = edges
        self.final = final
        self.literals = {edge.what: (edge, state) for edge, state in edges if edge.kind == "literal"}

    def joined(self, other: "State") -> "State":
        """Either of two states."""
        return State(self.edges + other.edges, self.final or other.final)


EVIDENCE: list[Any] = [
    ["either", [[["literal", level]] for level in ("stated", "measured", "guessed")]],
    ["optional", [[["value", "TEXT", "evidence"]]]],
    ["optional", [[["value", "DATE", "dated"]]]],
]
"""What stands for ``~`` and EVIDENCE: how far a value can be trusted, what says so, and since when."""


def compile_items(word: str, items: list[Any]) -> State:
    """The automaton of a pattern; ``word`` is the statement's own word, the key of what directly follows it."""
    return _before(items, word, State((), True))


def _before(items: list[Any], word: str, follow: State) -> State:
    """The state in front of ``items``, with ``follow`` behind them."""
    for position in range(len(items) - 1, -1, -1):
        item = items[position]
        behind = word if position == 0 else str(items[position - 1][1]) if items[position - 1][0] == "literal" else ""
        match item[0]:
            case "literal":
                follow = State(((Edge("literal", item[1], ""), follow),), False)
            case "value" if item[1] == "EVIDENCE":
                follow = _before(EVIDENCE, "", follow)
            case "value":
                key = item[2] or behind or item[1].lower()
                follow = State(((Edge("value", item[1], key), follow),), False)
            case "reference":
                key = item[2] or behind or item[1][0]
                follow = State(((Edge("reference", "name", key, tuple(item[1])), follow),), False)
            case "either":
                states = [_before(inner, behind, follow) for inner in item[1]]
                follow = states[0]
                for state in states[1:]:
                    follow = follow.joined(state)
            case "optional":
                without = follow
                for inner in reversed(item[1]):
                    follow = _before(inner, behind, without).joined(follow)
            case "evidence":
                follow = _before(EVIDENCE, "", follow).joined(follow)
            case "opens":
                pass  # the brace is looked at with the line, not with its values
            case _:
                raise ValueError(f"words.txt: no such item: {item[0]}")
    return follow
