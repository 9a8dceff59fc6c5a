"""Parts that a rack needs without naming them: in: a look at it, out: ribbons, adapters and sheets, with their number.

Common practice, no source: a module comes with its power ribbon. So a ribbon is bought only where somebody wrote that
it is missing; where nobody wrote it, the number is "at least".
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from rackspec.findings import Place
from rackspec.language.quantity import show
from rackspec.model.case import SidePiece
from rackspec.model.known import Known, KnownMoney
from rackspec.model.rack import Feed, Panel, Rack
from rackspec.model.wares import Ware
from rackspec.physics.outlines import area
from rackspec.rules.registry import Look
from rackspec.rules.stages import stage_numbers


class RibbonNeed(NamedTuple):
    """Power ribbons of one kind: how it is called, pieces at each stage, where the number comes from, wares that would
    do, and what the first of these costs."""

    called: str
    pieces: tuple[int, ...]
    source: str
    at_least: bool
    wares: tuple[str, ...]
    price: KnownMoney | None
    place: Place


class PartNeed(NamedTuple):
    """Adapters or sheets: how they are called, how many, and the same as of a ribbon."""

    called: str
    pieces: int
    source: str
    at_least: bool
    wares: tuple[str, ...]
    price: KnownMoney | None
    place: Place

    @property
    def name(self) -> str:
        """How it is called."""
        return self.called


def price_in(wares: list[Ware]) -> KnownMoney | None:
    """What the first of some wares costs that has a price."""
    return next((ware.bought.price for ware in wares if ware.bought.price is not None), None)


def header_at_bus(rack: Rack, panel: Panel, pins: int) -> int:
    """The pins of the header that feeds a panel; those of its own where nobody wrote it."""
    row = next((row for row in rack.rows if row.name == panel.row), None)
    power = row.power if row is not None else ""
    bus = next((bus for bus in rack.buses if bus.name == power), None)
    if bus is not None and bus.header_pins is not None:
        return bus.header_pins
    fed = (feed for feed in rack.feeds if bus is None and (feed.name == power or (not power and row in feed.rows)))
    feed = next(fed, None)
    return feed.supply.header_pins if feed is not None and feed.supply.header_pins is not None else pins


def wants_ribbon(panel: Panel) -> bool:
    """Whether a panel is a module that takes a power ribbon."""
    part = panel.part
    return panel.what == "module" and part is not None and part.draws != () and (part.header is not None)


def ribbons(look: Look) -> Iterator[RibbonNeed]:
    """Power ribbons by kind: those of modules whose ribbon is missing."""
    kinds: dict[tuple[int, int], list[Panel]] = {}
    for panel in look.rack.panels():
        if wants_ribbon(panel) and panel.part is not None and panel.part.header is not None:
            pins = panel.part.header.pins
            kinds.setdefault((header_at_bus(look.rack, panel, pins), pins), []).append(panel)
    for (bus, module), panels in sorted(kinds.items()):
        missing = [panel for panel in panels if panel.part is not None and panel.part.ribbon == "missing"]
        unsaid = [panel for panel in panels if panel.part is not None and not panel.part.ribbon]
        if not missing and not unsaid:
            continue
        called = f"ribbon {bus}-pin" if bus == module else f"ribbon {bus}-pin to {module}-pin"
        wares = [
            ware
            for ware in look.rack.wares
            if ware.part is not None and ware.part.ribbon is not None and tuple(ware.part.ribbon) == (bus, module)
        ]
        parts = []
        if missing:
            parts.append(f"missing at {', '.join(panel.name for panel in missing)}")
        if unsaid:
            parts.append(f"whether it came along is not written for {len(unsaid)} of {len(panels)} modules")
        pieces = tuple(sum(panel.there(stage) for panel in missing) for stage in stage_numbers(look.rack))
        place = (missing or unsaid)[0].place
        names = tuple(ware.name for ware in wares)
        yield RibbonNeed(called, pieces, "; ".join(parts), bool(unsaid), names, price_in(wares), place)


def adapters(look: Look) -> Iterator[PartNeed]:
    """Closed adapters by voltage; several of one voltage are bought for the largest current among them."""
    by_voltage: dict[Fraction, list[tuple[Feed, Fraction]]] = {}
    for feed in look.rack.feeds:
        fed_by = feed.supply.input
        if fed_by is not None and fed_by.voltage is not None and fed_by.current is not None:
            by_voltage.setdefault(fed_by.voltage.value, []).append((feed, fed_by.current.value))
    for voltage, feeds in sorted(by_voltage.items()):
        current = max(wanted for _, wanted in feeds)
        wares = [
            ware
            for ware in look.rack.wares
            if ware.part is not None
            and ware.part.adapter is not None
            and ware.part.adapter.voltage.value == voltage
            and ware.part.adapter.current.low >= current
        ]
        called = f"adapter {show(voltage, 'voltage').lstrip('+')} {show(current, 'current')}"
        source = ", ".join(f"feeds {feed.name}" for feed, _ in feeds)
        names = tuple(ware.name for ware in wares)
        yield PartNeed(called, len(feeds), source, False, names, price_in(wares), feeds[0][0].place)


def cut_from(piece: SidePiece, alone: bool) -> int:
    """How many of a side piece are cut."""
    if piece.pieces is not None:
        return piece.pieces
    return 2 if alone and not piece.which else 1


SAW = Fraction(5)
"""mm between two pieces for the saw (common practice, no source)."""


def side_by_side(sheet: tuple[Known, Known], pieces: list[SidePiece]) -> bool:
    """Whether all pieces surely come out of one sheet: side by side, in one row, each in its upright box."""
    boxes = []
    for piece in pieces:
        backs, ups = [back.high for back, _ in piece.corners], [up.high for _, up in piece.corners]
        size = max(backs) - min(backs), max(ups) - min(ups)
        boxes += [size] * cut_from(piece, len(pieces) == 1)
    row = sum((back for back, _ in boxes), Fraction(0)) + SAW * (len(boxes) - 1), max(up for _, up in boxes)
    sides = sheet[0].low, sheet[1].low
    return any(row[0] <= long and row[1] <= wide for long, wide in (sides, sides[::-1]))


def sheets(look: Look) -> Iterator[PartNeed]:
    """Sheets of which side pieces are cut: by area, and no fewer than that; how the pieces lie on them is known only
    where all of them come out of one sheet side by side."""
    case = look.rack.case
    by_sheet: dict[str, list[SidePiece]] = {}
    for piece in case.sides if case is not None else ():
        if piece.sheet is not None and not piece.spoiled:
            by_sheet.setdefault(piece.sheet.name, []).append(piece)
    for name, pieces in sorted(by_sheet.items()):
        sheet = pieces[0].sheet
        assert sheet is not None
        number = sum(cut_from(piece, len(pieces) == 1) for piece in pieces)
        needed, unsure, how = 1, number > 1, ""
        if sheet.sides is not None and all(len(piece.corners) > 2 for piece in pieces):
            whole = sheet.sides[0].value * sheet.sides[1].value
            cut = sum(
                (
                    area([(back.value, up.value) for back, up in piece.corners]) * cut_from(piece, len(pieces) == 1)
                    for piece in pieces
                ),
                Fraction(0),
            )
            if whole > 0:
                needed = max(1, -(-(cut / whole).numerator // (cut / whole).denominator))
                beside = number > 1 and needed == 1 and side_by_side(sheet.sides, pieces)
                unsure, how = needed < number and not beside, " side by side" if beside else ""
        source = (
            f"{number} side pieces, by their area; how they lie on the sheet decides"
            if unsure
            else (f"{number} side pieces{how}" if number != 1 else "1 side piece")
        )
        yield PartNeed(name, needed, source, unsure, (), sheet.bought.price, pieces[0].place)
