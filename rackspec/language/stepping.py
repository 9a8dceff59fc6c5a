"""One step of an automaton: in: a state and a value, out: the edge that takes the value and the state behind it."""

from __future__ import annotations

from rackspec.language.pattern import Edge, State
from rackspec.language.values import Value, takes
from rackspec.language.words import RESERVED


def step(state: State, value: Value) -> tuple[Edge, State] | None:
    """The edge that a value takes, and the state behind it."""
    if value.kind == "name":
        literal = state.literals.get(value.text)
        if literal is not None:
            return literal
    for edge, behind in state.edges:
        if edge.kind == "value" and takes(edge.what, value):
            return edge, behind
        if edge.kind == "reference" and value.kind == "name" and value.text not in RESERVED:
            return edge, behind
    return None
