"""Blocks to racks: in: the block of a rack and the library, out: the linked rack, and findings about names.

Looks up every name once; what is not understood or not known leaves a hole in the model and no finding of its own.
"""

from __future__ import annotations

from datetime import date

from rackspec.findings import Finding, Source
from rackspec.language.bound import Block, Fact
from rackspec.language.quantity import Money
from rackspec.model.case import Case, make_case
from rackspec.model.feeds import make_feeds
from rackspec.model.layers import Layers
from rackspec.model.library import Library
from rackspec.model.names import RackNames
from rackspec.model.parts import count_in, make_draws, pins_of
from rackspec.model.purse import make_also, make_have, make_purse, make_wares
from rackspec.model.rack import Bus, Later, Rack, Row, Stage, WaiverLine, Wish
from rackspec.model.rows import RowBuilder

WAIVABLE = ("panel", "row", "bus", "wish", "stage", "box")


def loose_in(block: Block) -> list[str]:
    """What looks like a name in lines of a block, and of the blocks in it, that were not understood."""
    loose = list(block.loose)
    for fact in block.order:
        if fact.block is not None:
            loose += loose_in(fact.block)
    return loose


def spoiled(block: Block) -> bool:
    """Whether any line of a block, or of the blocks in it, was not understood."""
    return block.spoiled or any(fact.block is not None and spoiled(fact.block) for fact in block.order)


def _date(fact: Fact, key: str) -> date | None:
    value = fact.bound.values.get(key)
    return value.data if value is not None and isinstance(value.data, date) else None


def _title(block: Block) -> str:
    return block.header.text("text") if block.header else ""


def make_stages(block: Block, names: RackNames) -> tuple[Stage, ...]:
    """The start and the stages of a rack, in the order they stand."""
    stages = [Stage(0, "", "", None, None, block.place())]
    for fact in block.all("stage"):
        name = fact.text("stage")
        if not name:
            continue
        names.give(name, "stage", fact.place("stage"))
        value = fact.bound.values.get("budget")
        budget = value.data if value is not None and isinstance(value.data, Money) else None
        stages.append(Stage(len(stages), name, fact.text("text"), _date(fact, "by"), budget, fact.place("stage")))
    return tuple(stages)


def make_wish(block: Block, stages: dict[str, int], names: RackNames) -> Wish:
    """A wish out of its block."""
    names.give(block.name, "wish", block.place())
    since = 0
    stage = block.header.text("in") if block.header else ""
    if block.header is not None and stage:
        since = stages.get(stage, 0)
        if stage not in stages:
            names.find(stage, ("stage",), block.header.place("in"))
    layers = Layers((block,))
    counted = count_in(layers, "count")
    return Wish(
        name=block.name,
        title=_title(block),
        place=block.place(),
        since=since,
        pieces=1 if counted is None else counted,
        width=layers.quantity("width"),
        depth=layers.quantity("depth"),
        draws=make_draws(layers, "draws"),
        price=layers.money("price"),
        spoiled=block.spoiled,
    )


def make_bus(block: Block, names: RackNames) -> Bus:
    """A bus out of its block."""
    names.give(block.name, "bus", block.place())
    source = block.all("from")
    layers = Layers((block,))
    return Bus(
        name=block.name,
        title=_title(block),
        place=source[0].place("from") if source else block.place(),
        source=source[0].text("from") if source else "",
        headers=count_in(layers, "headers"),
        header_pins=pins_of(layers),
        spoiled=block.spoiled,
    )


def make_waiver(fact: Fact, names: RackNames) -> WaiverLine | None:
    """A waiver; the thing it is held on must be there."""
    on = fact.text("on")
    bare = on.removeprefix(names.rack + "/")
    if on and bare != names.rack and not names.find(on, WAIVABLE, fact.place("on")):
        return None
    return WaiverLine(
        rule=fact.text("waive"),
        on="" if bare == names.rack else bare,
        reason=fact.text("because"),
        until=_date(fact, "until"),
        place=fact.place("waive"),
    )


def later_in(block: Block) -> list[Later]:
    """Lines of a block that are linked and that no rule looks at yet; a block of them counts as one."""
    found: list[Later] = []
    for fact in block.order:
        statement = fact.bound.statement
        if statement is not None and statement.later:
            found.append(Later(statement.word, fact.place("")))
        elif fact.block is not None:
            found += later_in(fact.block)
    return found


def _case_of(block: Block, library: Library, names: RackNames) -> Case | None:
    """The case of a rack."""
    blocks = [fact.block for fact in block.all("case") if fact.block is not None]
    for inner in blocks:
        _link_boxes(inner, names)
    return make_case(blocks[0], library) if blocks else None


def _link_boxes(case: Block, names: RackNames) -> None:
    """Names in lines that no rule looks at yet: boxes."""
    for box in case.all("box"):
        names.give(box.text("box"), "box", box.place("box"))


def make_rack(block: Block, library: Library) -> tuple[Rack, list[Finding]]:
    """The rack of a block, with findings about the names in it."""
    names = RackNames(block.name, frozenset(loose_in(block)))
    stages = make_stages(block, names)
    numbers = {stage.name: stage.number for stage in stages if stage.name}
    abouts: dict[str, Block] = {}
    for fact in block.all("about"):
        if fact.block is not None and fact.text("about"):
            abouts.setdefault(fact.text("about").removeprefix(block.name + "/"), fact.block)
    builder = RowBuilder(library, names, numbers, abouts)
    rows: list[Row] = []
    for fact in block.all("row"):
        if fact.block is not None:
            names.give(fact.block.name, "row", fact.block.place())
            rows.append(builder.build(fact.block))
    wishes = [make_wish(fact.block, numbers, names) for fact in block.all("wish") if fact.block is not None]
    buses = [make_bus(fact.block, names) for fact in block.all("bus") if fact.block is not None]
    feeds, unfed = make_feeds(library, names, tuple(rows), tuple(buses))
    for fact in block.all("about"):
        if fact.text("about"):
            names.find(fact.text("about"), ("panel",), fact.place("about"))
    case = _case_of(block, library, names)
    source: Source = block.place().source
    have, also = make_have(block, library), make_also(block, library, numbers, names)
    sellers = tuple(library.seller(entry) for entry in library.sellers_for(source))
    rack = Rack(
        name=block.name,
        title=_title(block),
        place=block.place(),
        file=source,
        revision=block.all("revision")[0].text("revision") if block.all("revision") else "",
        budget=Layers((block,)).money("budget"),
        have=have,
        stages=stages,
        rows=tuple(rows),
        wishes=tuple(wishes),
        buses=tuple(buses),
        feeds=feeds,
        unfed=unfed,
        waivers=tuple(
            waiver for fact in block.all("waive") if fact.text("waive") and (waiver := make_waiver(fact, names))
        ),
        notes=tuple(fact.text("note") for fact in block.all("note")),
        later=tuple(later_in(block)),
        spoiled=spoiled(block),
        case=case,
        also=also,
        spent=make_purse(block, "spent", numbers, names),
        gifts=make_purse(block, "gift", numbers, names),
        anyway=make_purse(block, "anyway", numbers, names, library),
        sellers=sellers,
        wares=make_wares(library, [*have, *also], sellers),
    )
    return rack, names.told()
