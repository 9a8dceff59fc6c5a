"""What a rack needs: in: a look at it and its rows on chosen rails, out: everything that has to be there, by thing.

Rails, strips, nuts, screws and washers (``rules/hardware.py``), panels, blanks, supplies, power ribbons, adapters,
sheets, wishes, and what is bought besides. Each number says where it comes from. Unknown is not zero: a need of which
something is not known is "at least".
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from rackspec.findings import Place
from rackspec.language.quantity import show_hp
from rackspec.model.known import KnownMoney
from rackspec.model.rack import Panel
from rackspec.model.wares import opened
from rackspec.rules.hardware import KINDS as BOLTED
from rackspec.rules.hardware import RowHardware, Use, along_at, uses_of
from rackspec.rules.needed_parts import adapters, ribbons, sheets
from rackspec.rules.registry import Look
from rackspec.rules.stages import stage_numbers

MODULE, SUPPLY, BLANK, RIBBON, ADAPTER, SHEET, BESIDES, WISH = (
    "module",
    "supply",
    "blank",
    "ribbon",
    "adapter",
    "sheet",
    "besides",
    "wish",
)
KINDS = (MODULE, SUPPLY, BLANK, *BOLTED, RIBBON, ADAPTER, SHEET, BESIDES, WISH)
"""Kinds of needs, in the order of a list."""


class Need(NamedTuple):
    """A thing that a rack needs, by designation.

    ``needed`` and ``along`` (what comes along with panels) are pieces at each stage, ``there`` what is there already.
    ``buy`` is what each stage has to buy beyond the stages before it: what goes out at one stage serves the next one.
    ``serves``: designations of wares that would do, itself among them. ``price``: as it is written down where the thing
    is described, for one piece. ``made``: it can be made at the bench, so nobody has to sell it.
    """

    part: str
    kinds: tuple[str, ...]
    needed: tuple[int, ...]
    along: tuple[int, ...]
    there: int
    buy: tuple[int, ...]
    at_least: bool
    uses: tuple[Use, ...]
    serves: tuple[str, ...]
    price: KnownMoney | None
    place: Place
    made: bool

    @property
    def all(self) -> int:
        """What all stages have to buy."""
        return sum(self.buy)


class Asked(NamedTuple):
    """A use with what is known of its thing."""

    use: Use
    serves: tuple[str, ...]
    price: KnownMoney | None
    place: Place


def needs_of(look: Look, rows: Sequence[RowHardware]) -> tuple[Need, ...]:
    """Everything that a rack needs with its rows on given rails, by kind, then by name."""
    asked: list[Asked] = []
    for row in rows:
        asked += bolted(look, row)
    for ask in (panels, loose_supplies, ribbons_asked, adapters_asked, sheets_asked, besides, wishes):
        asked += ask(look)
    there = there_of(look)
    by_part: dict[str, list[Asked]] = {}
    for one in asked:
        by_part.setdefault(one.use.part, []).append(one)
    found = []
    for part, here in sorted(by_part.items(), key=lambda item: len(item[1][0].serves)):
        need = need_of(look, rows, part, here, there)
        found.append(need)
        if there.get(part):  # what is asked for by its name is not there for others that it would do for
            there[part] = max(0, there[part] - max(need.needed))
    return tuple(sorted(found, key=lambda need: (KINDS.index(need.kinds[0]), need.part)))


def need_of(look: Look, rows: Sequence[RowHardware], part: str, asked: list[Asked], there: dict[str, int]) -> Need:
    """All uses of one thing together."""
    uses = tuple(one.use for one in asked)
    kinds = tuple(kind for kind in KINDS if any(use.kind == kind for use in uses))
    stages = stage_numbers(look.rack)
    serves = asked[0].serves
    needed = tuple(sum(use.pieces[stage] for use in uses) for stage in stages)
    along = tuple(along_at(list(rows), part, stage) for stage in stages)
    have = sum(there.get(one, 0) for one in serves)
    buy, bought = [], 0
    for need, coming in zip(needed, along, strict=True):
        more = max(0, need - coming - have - bought)
        buy.append(more)
        bought += more
    price = next((one.price for one in asked if one.price is not None), None)
    return Need(
        part=part,
        kinds=kinds,
        needed=needed,
        along=along,
        there=have,
        buy=tuple(buy),
        at_least=any(use.at_least for use in uses),
        uses=uses,
        serves=serves,
        price=price,
        place=asked[0].place,
        made=kinds[0] == BLANK,
    )


def there_of(look: Look) -> dict[str, int]:
    """What is there already, by designation: what is written, what kits among it hold, and sheets that are counted."""
    wares = {ware.name: ware for ware in look.rack.wares}
    written: dict[str, int] = {}
    for item in look.rack.have:
        written[item.part] = written.get(item.part, 0) + item.pieces
    there = opened(wares, written)
    for piece in look.rack.case.sides if look.rack.case is not None else ():
        if piece.sheet is not None and piece.sheet.name not in there:
            there[piece.sheet.name] = piece.sheet.there or 0
    return there


def bolted(look: Look, row: RowHardware) -> Iterator[Asked]:
    """Rails, strips, nuts, screws and washers of a row."""
    rail, insert = row.chosen.rail, row.chosen.insert
    for use in uses_of(look, row):
        price = None
        if rail is not None and use.part == rail.name:
            price = rail.bought.price
        elif insert is not None and use.part == insert.name:
            price = insert.bought.price
        yield Asked(use, (use.part,), price, row.chosen.choice.place)


def panels(look: Look) -> Iterator[Asked]:
    """Modules, supplies and blanks in rows."""
    stages = stage_numbers(look.rack)
    placed: dict[str, list[Panel]] = {}
    for panel in look.rack.panels():
        if panel.what == "blank" and panel.width is not None:
            placed.setdefault(f"blank {show_hp(panel.width.value)}", []).append(panel)
        elif panel.part is not None:
            placed.setdefault(thing_of(panel), []).append(panel)
    for thing, here in placed.items():
        pieces = tuple(sum(panel.there(stage) for panel in here) for stage in stages)
        kind = BLANK if here[0].part is None else SUPPLY if here[0].what == "supply" else MODULE
        named = any(panel.name != thing for panel in here if panel.name)
        names = [panel.name for panel in here if panel.name] if named else []
        rows = ", ".join(dict.fromkeys(panel.row for panel in here))
        source = (", ".join(names) + " " if names else "") + f"in row {rows}"
        part = here[0].part
        price = part.bought.price if part is not None else None
        yield Asked(Use(thing, kind, here[0].row, pieces, source, False), (thing,), price, here[0].place)


def thing_of(panel: Panel) -> str:
    """What a panel is bought as: its part; by its own name where somebody wrote down what this very one costs."""
    part = panel.part
    assert part is not None
    return panel.name if part.own_price else part.name


def loose_supplies(look: Look) -> Iterator[Asked]:
    """Supplies that stand in no row."""
    for feed in look.rack.feeds:
        if feed.panel is None:
            name = feed.supply.name
            use = Use(name, SUPPLY, "", (1,) * len(look.rack.stages), "feeds the rack", False)
            yield Asked(use, (name,), feed.supply.bought.price, feed.place)


def ribbons_asked(look: Look) -> Iterator[Asked]:
    """Power ribbons that did not come along with modules."""
    for ribbon in ribbons(look):
        use = Use(ribbon.called, RIBBON, "", ribbon.pieces, ribbon.source, ribbon.at_least)
        yield Asked(use, (ribbon.called, *ribbon.wares), ribbon.price, ribbon.place)


def adapters_asked(look: Look) -> Iterator[Asked]:
    """Closed adapters that supplies want."""
    always = (1,) * len(look.rack.stages)
    for adapter in adapters(look):
        pieces = tuple(adapter.pieces * one for one in always)
        use = Use(adapter.called, ADAPTER, "", pieces, adapter.source, False)
        yield Asked(use, (adapter.called, *adapter.wares), adapter.price, adapter.place)


def sheets_asked(look: Look) -> Iterator[Asked]:
    """Sheets that side pieces are cut from."""
    for sheet in sheets(look):
        use = Use(sheet.name, SHEET, "", (sheet.pieces,) * len(look.rack.stages), sheet.source, sheet.at_least)
        yield Asked(use, (sheet.name,), sheet.price, sheet.place)


def besides(look: Look) -> Iterator[Asked]:
    """What is bought besides."""
    wares = {ware.name: ware for ware in look.rack.wares}
    for also in look.rack.also:
        pieces = tuple(also.pieces if stage >= also.stage else 0 for stage in stage_numbers(look.rack))
        ware = wares.get(also.part)
        use = Use(also.part, BESIDES, "", pieces, "bought besides", False)
        yield Asked(use, (also.part,), ware.bought.price if ware is not None else None, also.place)


def wishes(look: Look) -> Iterator[Asked]:
    """What is wanted and has no place yet."""
    for wish in look.rack.wishes:
        pieces = tuple(wish.pieces if stage >= wish.since else 0 for stage in stage_numbers(look.rack))
        use = Use(f"wish {wish.name}", WISH, "", pieces, wish.title or "wished for", False)
        yield Asked(use, (), wish.price, wish.place)
