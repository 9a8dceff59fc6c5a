"""Nuts of a row: in: a row on its rails, out: how many each rail needs, from the start, at each stage, for wishes.

A nut of a panel that goes out serves the next one: what counts is the most at once on each rail. A screw whose hole
nobody wrote down counts half a panel's on each rail, an odd one on both, so that no rail comes out short.
"""

from collections.abc import Iterator
from typing import NamedTuple

from rackspec.language.units import HP
from rackspec.model.parts import Insert
from rackspec.model.rack import Panel, Row, Wish
from rackspec.rules.choices import Chosen
from rackspec.rules.chosen import chosen_one
from rackspec.rules.registry import Look
from rackspec.rules.screws import USUAL_SCREWS, pieces_of
from rackspec.rules.stages import runs_at, stage_numbers

MIDDLE = 64
"""mm; a hole below it belongs to the bottom rail (a panel is 128.5 mm high)."""


class Pair(NamedTuple):
    """So many on the bottom rail, so many on the top rail."""

    bottom: int
    top: int

    @property
    def both(self) -> int:
        """On both rails together."""
        return self.bottom + self.top

    def plus(self, other: "Pair") -> "Pair":
        """Both together, rail by rail."""
        return Pair(self.bottom + other.bottom, self.top + other.top)

    def at_least(self, other: "Pair") -> "Pair":
        """The most on each rail."""
        return Pair(max(self.bottom, other.bottom), max(self.top, other.top))


NONE = Pair(0, 0)


class NutCount(NamedTuple):
    """The nuts of a row. ``placed`` and ``wished`` have a pair for each stage: for its panels, and for wishes that may
    come into it by then. ``wishes``: those. ``assumed``: panels whose number of screws nobody wrote. ``unknown``:
    panels of which nothing is known, not counted, so that every number is an "at least"."""

    row: Row
    chosen: Chosen
    insert: Insert
    placed: tuple[Pair, ...]
    wished: tuple[Pair, ...]
    wishes: tuple[Wish, ...]
    assumed: tuple[Panel, ...]
    unknown: bool

    @property
    def start(self) -> Pair:
        """What the start needs."""
        return self.placed[0]

    @property
    def most(self) -> Pair:
        """What is needed at most at once, rail by rail, over all stages and with wishes."""
        most = NONE
        for placed, wished in zip(self.placed, self.wished, strict=True):
            most = most.at_least(placed.plus(wished))
        return most

    @property
    def most_placed(self) -> Pair:
        """The same for panels that have a place, without wishes."""
        most = NONE
        for placed in self.placed:
            most = most.at_least(placed)
        return most

    @property
    def later(self) -> Pair:
        """What is needed beyond the start."""
        return Pair(self.most.bottom - self.start.bottom, self.most.top - self.start.top)

    def steps(self) -> Iterator[tuple[int, int]]:
        """At which stages panels need more nuts than ever before, and how many more, the start first."""
        most = NONE
        for stage, placed in enumerate(self.placed):
            more = most.at_least(placed).both - most.both
            if more or not stage:
                yield stage, more
            most = most.at_least(placed)

    @property
    def for_wishes(self) -> int:
        """What wishes need beyond all panels."""
        return self.most.both - self.most_placed.both


def screwed_on(row: Row) -> Iterator[Panel]:
    """The panels of a row that are put on with screws: those of which the part is known, and blanks."""
    for panel in row.panels:
        if panel.takes_room and (panel.part is not None or panel.what == "blank"):
            yield panel


def is_assumed(panel: Panel) -> bool:
    """Whether nobody wrote how many screws a panel has."""
    return panel.part is None or (panel.part.screws is None and not panel.part.face.holes)


def nuts_of(panel: Panel) -> Pair:
    """How many nuts a panel takes on each rail."""
    pieces = pieces_of(panel)
    holes = panel.part.face.holes if panel.part is not None else ()
    if len(holes) == pieces:
        bottom = sum(hole.y.value < MIDDLE for hole in holes)
        return Pair(bottom, pieces - bottom)
    half = -(-pieces // 2)
    return Pair(half, half)


def wishes_in(look: Look, row: Row, stage: int) -> list[Wish]:
    """The wishes that may come into a row by a stage, each as often as it may: the narrowest first, as many as the free
    room could take. One of unknown width is taken to be 1HP wide, because it may be."""
    runs = runs_at(row, stage)
    longest = max((end - start for start, end in runs), default=0 * HP)
    left = sum((end - start for start, end in runs), 0 * HP)
    waiting = [
        (wish.width.low if wish.width is not None else HP, wish)
        for wish in look.rack.wishes
        if 0 <= wish.since <= stage
        for _ in range(min(wish.pieces, 200))
    ]
    found = []
    for width, wish in sorted(waiting, key=lambda pair: (pair[0], pair[1].name)):
        if width <= longest and width <= left:
            left -= width
            found.append(wish)
    return found


def nut_count(look: Look, chosen: Chosen) -> NutCount | None:
    """The nuts of a row; None where its screws do not go into nuts."""
    row, insert = chosen.row, chosen.insert
    if insert is None or insert.form != "nut":
        return None
    panels = list(screwed_on(row))
    placed, wished = [], []
    wishes: dict[str, Wish] = {}
    half = USUAL_SCREWS // 2
    for stage in stage_numbers(look.rack):
        pair = NONE
        for panel in panels:
            if panel.there(stage):
                pair = pair.plus(nuts_of(panel))
        coming = wishes_in(look, row, stage)
        wishes.update({wish.name: wish for wish in coming})
        placed.append(pair)
        wished.append(Pair(half * len(coming), half * len(coming)))
    unknown = row.spoiled or any(
        panel.takes_room and panel.part is None and panel.what != "blank" for panel in row.panels
    )
    assumed = tuple(panel for panel in panels if is_assumed(panel))
    return NutCount(
        row,
        chosen,
        insert,
        tuple(placed),
        tuple(wished),
        tuple(wishes.values()),
        assumed,
        unknown or row.length is None,
    )


def nut_counts(look: Look) -> list[NutCount]:
    """The nuts of all rows that have some, each on the first choice of rails that does."""
    found = []
    for row in look.rack.rows:
        chosen = chosen_one(look, row) if row.choices else None
        counted = nut_count(look, chosen) if chosen is not None else None
        if counted is not None:
            found.append(counted)
    return found
