"""What a thing is, in a line: in: its header, out: its main facts as they were written, for things on one side only."""

from __future__ import annotations

from rackspec.comparison.facts import PLACING, written
from rackspec.language.bound import Block, Fact

MAIN = (
    "like width length rails depth plug behind draws gives headers from count strip nut thread material thickness size "
    "ships price"
).split()
"""Facts that say most about a thing, in the order in which they are told."""


def outline(header: Fact) -> str:
    """The main facts of a thing: ``width 14HP; depth 27mm; price 148 EUR``; of a line without a block what it says."""
    block = header.block
    name = header.bound.values.get(header.word)
    first = name.text if name is not None and name.kind == "name" else ""
    head = written(header).removeprefix(first).strip()
    return "; ".join([*([head] if head else []), *(main_facts(block) if block is not None else [])])


def main_facts(block: Block) -> list[str]:
    """The main facts of a block, as they were written; how many rows or panels it holds."""
    facts = [f"{fact.word} {written(fact)}" for word in MAIN for fact in block.all(word)]
    placing = sum(fact.word in PLACING for fact in block.order)
    if placing:
        facts.append(counted(placing, "panel"))
    if block.kind == "rack":
        rows = [fact.block for fact in block.all("row") if fact.block is not None]
        panels = sum(fact.word in PLACING for row in rows for fact in row.order)
        facts = [counted(len(rows), "row"), counted(panels, "panel")]
    return facts


def counted(number: int, word: str) -> str:
    """``1 panel``, ``2 panels``."""
    return f"{number} {word}" if number == 1 else f"{number} {word}s"
