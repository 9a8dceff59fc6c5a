"""Reading alone: in: a text, out: what is told of it before anything is linked."""

from __future__ import annotations

from rackspec.findings import Finding, Source, in_order
from rackspec.language.binding import bind
from rackspec.language.lines import read_tree


def reading(text: str) -> list[Finding]:
    """The findings of tree and facts, as they would be told."""
    tree, found = read_tree(Source("spec", text))
    _, more = bind(tree)
    return in_order(found + more)
