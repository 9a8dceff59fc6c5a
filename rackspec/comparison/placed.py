"""Panels of two racks: in: the rows of a rack of each side, out: which panel is which, and where each stands.

A panel is known by its name in the rack. One of another name that is of the same part was renamed; one of another part
that stands in the same place has replaced what was there.
"""

from __future__ import annotations

from collections.abc import Hashable
from fractions import Fraction
from typing import NamedTuple

from rackspec.comparison.facts import PLACING, Names, Said, said
from rackspec.comparison.pairs import pair_up
from rackspec.comparison.record import Spot
from rackspec.language.bound import Block, Fact
from rackspec.language.quantity import Quantity, show_hp
from rackspec.model.rack import Panel, Rack
from rackspec.model.rows import whole_hp_behind


class Placed(NamedTuple):
    """A line that places a panel, in the words of the new side.

    ``name`` is what the panel is called there (empty: a blank without a name), ``own`` what it is called on its own
    side. ``spot`` is where it is, with the names of its own side, ``new_spot`` with those of the new one. ``number``
    counts the lines of a row, ``says`` is the whole line, and ``panel`` what was linked from it, if anything was.
    """

    fact: Fact
    name: str
    own: str
    spot: Spot
    new_spot: Spot
    number: int
    says: Said
    panel: Panel | None

    @property
    def start(self) -> Fraction | None:
        """Where it begins (mm)."""
        return self.spot.start

    @property
    def end(self) -> Fraction | None:
        """The first whole HP behind it (mm)."""
        start, width = self.spot.start, self.spot.width
        return whole_hp_behind(start + width) if start is not None and width is not None else None

    @property
    def follows(self) -> bool:
        """Whether its place hangs on what stands before it."""
        return self.spot.word != "at"


def placed_in(block: Block, rack: Rack, names: Names) -> list[Placed]:
    """All placing lines of a rack, row by row, as ``names`` has them on the new side."""
    linked = {(id(panel.place.source), panel.place.start): panel for panel in rack.panels()}
    found: list[Placed] = []
    for row in block.all("row"):
        if row.block is None:
            continue
        lines = sorted((fact for fact in row.block.order if fact.word in PLACING), key=lambda fact: fact.offset)
        found += [_placed(fact, row.block.name, number, names, linked) for number, fact in enumerate(lines)]
    return found


def _placed(fact: Fact, row: str, number: int, names: Names, linked: dict[tuple[int, int], Panel]) -> Placed:
    """What a line places."""
    key = next((key for key in ("blank", "gap", "panel") if key in fact.bound.values), fact.word)
    what = key if key in ("blank", "gap") else ""
    part = "" if what else fact.text(key)
    given = fact.text("as")
    place = fact.place("as" if given else key)
    panel = linked.get((id(fact.source), place.start))
    value = fact.bound.values.get(key) if what else None
    width = value.data.value if value is not None and isinstance(value.data, Quantity) else None
    if panel is not None and panel.width is not None:
        width = panel.width.value
    spot = Spot(
        what=what or (panel.what if panel is not None else "module"),
        part=part,
        row=row,
        start=panel.start if panel is not None else None,
        width=width,
        since=fact.text("in"),
        until=fact.text("until"),
        word=fact.word,
    )
    new_part = names.library.of(part)
    new_spot = spot._replace(
        part=new_part,
        row=names.inside.get(row, row),
        since=names.of(spot.since, ("stage",)) if spot.since else "",
        until=names.of(spot.until, ("stage",)) if spot.until else "",
    )
    return Placed(fact, given or new_part, given or part, spot, new_spot, number, said(fact, names, None, "as"), panel)


class PlacedPairs(NamedTuple):
    """Panels of both sides. ``same`` are the same panel, ``replaced`` stand in the place of another one."""

    same: list[tuple[Placed, Placed]]
    replaced: list[tuple[Placed, Placed]]
    gone: list[Placed]
    new: list[Placed]


def match_placed(old: list[Placed], new: list[Placed]) -> PlacedPairs:
    """Which panel is which."""
    same, left, left_new = pair_up(old, new, by_name, here_of_part, in_row_of_part, of_part)
    plain, left, left_new = pair_up(left, left_new, plain_here, plain_in_row, plain_of_place, plain_of_time)
    replaced, left, left_new = pair_up(left, left_new, here)
    return PlacedPairs(same + plain, replaced, left, left_new)


def by_name(placed: Placed) -> Hashable | None:
    """The same name."""
    return placed.name or None


def here_of_part(placed: Placed) -> Hashable | None:
    """The same part, in the same place at the same time."""
    return (placed.new_spot._replace(word="", width=None)) if placed.spot.part else None


def in_row_of_part(placed: Placed) -> Hashable | None:
    """The same part, in the same row."""
    return (placed.new_spot.part, placed.new_spot.row) if placed.spot.part else None


def of_part(placed: Placed) -> Hashable | None:
    """The same part, anywhere."""
    return placed.new_spot.part or None


def plain_here(placed: Placed) -> Hashable | None:
    """A blank or gap without a name that is as it was."""
    return None if placed.name else (placed.new_spot._replace(word=""))


def plain_in_row(placed: Placed) -> Hashable | None:
    """A blank or gap as wide, in the same row at the same time."""
    return None if placed.name else (placed.new_spot._replace(word="", start=None))


def plain_of_place(placed: Placed) -> Hashable | None:
    """A blank or gap of another width, in the same place at the same time."""
    return None if placed.name or placed.start is None else (placed.new_spot._replace(word="", width=None))


def plain_of_time(placed: Placed) -> Hashable | None:
    """A blank or gap in the same row at the same time."""
    return None if placed.name else (placed.new_spot._replace(word="", width=None, start=None))


def here(placed: Placed) -> Hashable | None:
    """Anything in the same place at the same time."""
    spot = placed.new_spot
    return None if spot.start is None else (spot.row, spot.start, spot.since, spot.until)


def kind_of(placed: Placed) -> str:
    """Panel, or blank, or gap."""
    return placed.spot.what if placed.spot.what in ("blank", "gap") else "panel"


def width_text(spot: Spot) -> str:
    """How wide something is, in HP."""
    return show_hp(spot.width) if spot.width is not None else "not known"


def label(placed: Placed, rack: str) -> str:
    """The full name of a panel; of a blank without a name, what it is."""
    return f"{rack}/{placed.own}" if placed.own else f"{placed.spot.what} {width_text(placed.spot)}"
