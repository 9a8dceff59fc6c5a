"""The parts list as a table for spreadsheets: in: parts of racks, out: text, one line a need, the same columns always.

Columns of stages stand at the end, one for each name of a stage among the racks; a rack without that stage leaves its
cell empty. Texts of a spec may hold anything; ``csv_table`` keeps them texts.
"""

from __future__ import annotations

from collections.abc import Iterable

from rackspec.views.csv_table import Cell, as_csv
from rackspec.views.parts_record import Line, Parts, uses_text

COLUMNS = (
    "rack",
    "thing",
    "kind",
    "needed",
    "along",
    "there",
    "to buy",
    "at least",
    "can be made",
    "price",
    "currency",
    "price is",
    "price source",
    "price date",
    "sold by",
    "where the number comes from",
    "file",
)
"""Columns that each table has. ``price source`` and ``price date``: what says what it costs, and since when."""
START = "buy at the start"


def stage_column(name: str) -> str:
    """The column of a stage."""
    return f"buy at {name}" if name else START


def parts_csv(racks: Iterable[Parts]) -> str:
    """All needs of some racks."""
    listed = list(racks)
    stages: dict[str, None] = {}
    for parts in listed:
        stages.update((stage_name(parts, stage), None) for stage in parts.stages)
    names = sorted(stages, key=lambda name: name != "")  # the start first, the others as they come
    rows = [row_of(parts, line, names) for parts in listed for line in parts.lines]
    return as_csv((*COLUMNS, *(stage_column(name) for name in names)), rows)


def stage_name(parts: Parts, stage: int) -> str:
    """The name of a stage; empty for the start."""
    return parts.reported.seen.rack.stages[stage].name


def row_of(parts: Parts, line: Line, stages: list[str]) -> tuple[Cell, ...]:
    """A need."""
    need, rack = line.need, parts.reported.seen.rack
    price = need.price
    buy = {stage_name(parts, stage): pieces for stage, pieces in zip(parts.stages, line.buy, strict=True)}
    dated = price.evidence.dated if price is not None else None
    return (
        rack.name,
        need.part,
        ", ".join(need.kinds),
        line.needed,
        line.along,
        line.there,
        line.all,
        "yes" if need.at_least else "no",
        "yes" if need.made else "no",
        price.money.value if price is not None else None,
        price.money.currency if price is not None else None,
        price.evidence.level if price is not None else None,
        price.evidence.text if price is not None else None,
        dated.isoformat() if dated is not None else None,
        "; ".join(selling.text for selling in line.sold),
        uses_text(line),
        rack.file.name,
        *(buy.get(name) for name in stages),
    )
