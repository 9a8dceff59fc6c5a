"""A part put into a rack: in: a rack, a row, a part and a place, out: the rack as linking would give it."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from rackspec.model.known import Known
from rackspec.model.names import RackNames
from rackspec.model.parts import PanelPart
from rackspec.model.rack import Feed, Panel, Rack, Row
from rackspec.model.rows import long_enough, needed_length


def free_name(rack: Rack, part: PanelPart) -> str:
    """What a part can be called in a rack: its own name, or one like ``osc-b`` where that is taken."""
    names = RackNames(rack.name, frozenset())
    for kind, things in (("row", rack.rows), ("panel", rack.panels()), ("wish", rack.wishes), ("bus", rack.buses)):
        names.given.update({thing.name: (kind, thing.place) for thing in things})
    names.given.update({stage.name: ("stage", stage.place) for stage in rack.stages if stage.name})
    return names.free(part.name) if part.name in names.given else part.name


def lengths_of(row: Row) -> list[Known]:
    """The lengths of a row's choices of rails."""
    return [choice.rail.length for choice in row.choices if choice.rail is not None and choice.rail.length is not None]


def with_panel(rack: Rack, row: Row, part: PanelPart, stage: int, start: Fraction | None) -> tuple[Rack, Panel]:
    """The rack with the part in a row from a stage on, its left edge at ``start`` mm (None: nowhere in particular)."""
    name = free_name(rack, part)
    panel = Panel(name, part.kind, part, start, part.width, stage, None, part.place, part.place, row.name)
    panels = (*row.panels, panel)
    lengths = lengths_of(row)
    longer = row._replace(panels=panels, length=long_enough(lengths, needed_length(panels)) if lengths else row.length)

    def exchanged(rows: tuple[Row, ...]) -> tuple[Row, ...]:
        return tuple(longer if other is row else other for other in rows)

    feeds = tuple(feed._replace(rows=exchanged(feed.rows)) for feed in rack.feeds)
    unfed = exchanged(rack.unfed)
    if part.kind == "supply":
        feeds, unfed = with_feed(exchanged(rack.rows), feeds, unfed, Feed(name, part, panel, part.place, (), (), False))
    elif part.draws != () and not any(longer is other for feed in feeds for other in feed.rows) and longer not in unfed:
        unfed = (*unfed, longer)
    return rack._replace(rows=exchanged(rack.rows), feeds=feeds, unfed=unfed), panel


def with_loose_supply(rack: Rack, part: PanelPart) -> Rack:
    """The rack with a supply that stands in the case and in no row."""
    new = Feed(free_name(rack, part), part, None, part.place, (), (), False)
    feeds, unfed = with_feed(rack.rows, rack.feeds, rack.unfed, new)
    return rack._replace(feeds=feeds, unfed=unfed)


def draws(panel: Panel) -> bool:
    """Whether a panel draws current, as far as is known."""
    return panel.what == "module" and panel.part is not None and panel.part.draws != ()


def with_feed(
    rows: tuple[Row, ...], feeds: tuple[Feed, ...], unfed: tuple[Row, ...], new: Feed
) -> tuple[tuple[Feed, ...], tuple[Row, ...]]:
    """Feeds with one more. Only where it is the only one do rows that name no feed hang on it."""
    if not feeds:
        return (new._replace(rows=tuple(row for row in rows if not row.power), assumed=True),), ()
    loose: list[Row] = []
    kept: list[Feed] = []
    for feed in feeds:
        loose += [row for row in feed.rows if not row.power]
        kept.append(feed._replace(rows=tuple(row for row in feed.rows if row.power), assumed=False))
    drawing = [row for row in loose if any(draws(panel) for panel in row.panels)]
    return (*kept, new), (*unfed, *(row for row in drawing if row not in unfed))


def without_wish(rack: Rack, name: str) -> Rack:
    """The rack with one piece less of a wish."""
    wishes = (wish._replace(pieces=wish.pieces - 1) if wish.name == name else wish for wish in rack.wishes)
    return rack._replace(wishes=tuple(wish for wish in wishes if wish.pieces > 0))


def longest_first(row: Row) -> Iterator[Row]:
    """The row as it is, then with its longest choice of rails where that is longer."""
    yield row
    longest = max(lengths_of(row), key=lambda length: length.value, default=None)
    if longest is not None and row.length is not None and longest.value > row.length.value:
        yield row._replace(length=longest)
