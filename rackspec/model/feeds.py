"""What feeds what: in: busses, rows and supplies of a rack, out: each supply with all that hangs on it.

Where a rack has one source only, a row that names none is taken to hang on it, and the result says so.
"""

from __future__ import annotations

from rackspec.findings import ERROR, Finding, Place
from rackspec.language.suggest import nearest
from rackspec.model.library import Library
from rackspec.model.names import RackNames
from rackspec.model.parts import PanelPart
from rackspec.model.rack import Bus, Feed, Panel, Row


class Supplies:
    """The supplies of a rack by the name that busses and rows know them under."""

    def __init__(self, library: Library, names: RackNames, rows: tuple[Row, ...], buses: tuple[Bus, ...]) -> None:
        self.library = library
        self.names = names
        self.placed = {
            panel.name: panel
            for row in rows
            for panel in row.panels
            if panel.what == "supply" and panel.part is not None
        }
        self.unread = {panel.name for row in rows for panel in row.panels if panel.part is None or panel.part.spoiled}
        self.buses = {bus.name: bus for bus in buses}
        self.feeds: dict[str, Feed] = {}
        self.rings: set[frozenset[str]] = set()

    def of(self, name: str, place: Place) -> Feed | None:
        """The feed that a name of a bus or supply leads to, made when it is first named."""
        followed: list[str] = []
        while name in self.buses:
            if name in followed:
                ring = frozenset(followed[followed.index(name) :])
                if ring in self.rings:
                    return None
                self.rings.add(ring)
                message = f"bus '{name}' is fed from itself"
                remedy = "let one of the busses in this ring be fed from a supply"
                place = self.buses[name].place
                self.names.findings.append(
                    Finding("fed-in-a-ring", ERROR, message, place, remedy=remedy, names=(name,))
                )
                return None
            followed.append(name)
            name, place = self.buses[name].source, self.buses[name].place
        if not name:
            return None
        if name not in self.feeds:
            panel = self.placed.get(name)
            part = panel.part if panel else self._loose(name, place)
            if part is None:
                return None
            self.feeds[name] = Feed(name, part, panel, panel.place if panel else place, (), (), False)
        return self.feeds[name]

    def _loose(self, name: str, place: Place) -> PanelPart | None:
        """A supply that stands in the case but in no row: it is named by its part."""
        same = [panel for panel in self.placed.values() if panel.part is not None and panel.part.name == name]
        if same:
            return same[0].part
        if name in self.names.given and self.names.given[name][0] == "panel":
            if name in self.unread:
                return None
            message = f"'{name}' is no supply; a supply or a bus is due here"
            others = (self.names.given[name][1].labelled("placed here"),)
            remedy = "write the name of a supply or bus"
            self.names.findings.append(Finding("name-of-other-kind", ERROR, message, place, others, remedy=remedy))
            return None
        if name not in self.library.entries and nearest(name, self.buses):
            self.names.find(name, ("bus",), place)
            return None
        entry = self.library.find(name, ("supply",), place)
        return self.library.panel_part(entry) if entry else None


def make_feeds(
    library: Library, names: RackNames, rows: tuple[Row, ...], buses: tuple[Bus, ...]
) -> tuple[tuple[Feed, ...], tuple[Row, ...]]:
    """All feeds of a rack, and the rows of which it is not known what feeds them."""
    supplies = Supplies(library, names, rows, buses)
    for bus in buses:
        feed = supplies.of(bus.name, bus.place)
        if feed is not None:
            supplies.feeds[feed.name] = feed._replace(buses=(*feed.buses, bus))
    unnamed: list[Row] = []
    for row in rows:
        if not row.power:
            unnamed.append(row)
            continue
        assert row.power_place is not None
        feed = supplies.of(row.power, row.power_place)
        if feed is not None:
            supplies.feeds[feed.name] = feed._replace(rows=(*feed.rows, row))
    for name in supplies.placed:
        supplies.of(name, supplies.placed[name].place)
    if len(supplies.feeds) == 1 and unnamed:
        only = next(iter(supplies.feeds.values()))
        rows_in_order = tuple(row for row in rows if row in unnamed or row in only.rows)
        supplies.feeds[only.name] = only._replace(rows=rows_in_order, assumed=True)
        unnamed = []
    return tuple(supplies.feeds.values()), tuple(row for row in unnamed if any(_draws(panel) for panel in row.panels))


def _draws(panel: Panel) -> bool:
    """Whether a panel draws current, as far as is known."""
    return panel.what == "module" and panel.part is not None and panel.part.draws != ()
