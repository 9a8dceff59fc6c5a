"""The linked rack: in: nothing but values, out: frozen records of rows, panels, stages, wishes and what feeds them.

Lengths in mm from the row's 0HP. Stages are numbered: 0 is the start, 1 the first ``stage`` of the rack, and so on.
"""

from datetime import date
from fractions import Fraction
from typing import NamedTuple

from rackspec.findings import Place, Source
from rackspec.language.quantity import Money
from rackspec.model.case import Case
from rackspec.model.known import Known, KnownMoney
from rackspec.model.parts import Draw, Insert, PanelPart, Rail
from rackspec.model.seats import NOWHERE, Standing
from rackspec.model.sellers import Seller
from rackspec.model.wares import Ware


class Stage(NamedTuple):
    """A time at which the rack is another one. Number 0 is the start."""

    number: int
    name: str
    title: str
    by: date | None
    budget: Money | None
    place: Place


class RailChoice(NamedTuple):
    """A pair of rails that would do for a row, with the insert that goes into them (None: not said or not known), and
    all inserts that the rail takes."""

    rail: Rail | None
    insert: Insert | None
    takes: tuple[Insert, ...]
    place: Place


class Panel(NamedTuple):
    """A placed thing. ``what`` is module, supply, blank or gap; ``start`` its left edge (None: not known).
    ``follows``: its place hangs on the panel above it (``next``, ``instead``).

    It is there from stage ``since`` on and until before stage ``until`` (None: for ever).
    """

    name: str
    what: str
    part: PanelPart | None
    start: Fraction | None
    width: Known | None
    since: int
    until: int | None
    place: Place
    position: Place
    row: str
    follows: bool = False

    def there(self, stage: int) -> bool:
        """Whether it is in the rack at a stage."""
        return self.since <= stage and (self.until is None or stage < self.until)

    @property
    def takes_room(self) -> bool:
        """Whether it stands in the row; a gap only keeps room free."""
        return self.what != "gap"


class Row(NamedTuple):
    """A row: the rails that would do, its length, the free depth behind, what feeds it, its panels, and where it stands
    in its case.

    ``length`` is that of the first choice of rails that is long enough for all that is planned, else of the longest
    one; without rails it is the length that was stated.
    """

    name: str
    title: str
    place: Place
    choices: tuple[RailChoice, ...]
    length: Known | None
    behind: Known | None
    screws: str
    screws_place: Place | None
    power: str
    power_place: Place | None
    panels: tuple[Panel, ...]
    spoiled: bool
    standing: Standing = NOWHERE

    def at(self, stage: int) -> tuple[Panel, ...]:
        """The panels that are there at a stage."""
        return tuple(panel for panel in self.panels if panel.there(stage))


class Wish(NamedTuple):
    """Something wanted that has no place yet."""

    name: str
    title: str
    place: Place
    since: int
    pieces: int
    width: Known | None
    depth: Known | None
    draws: tuple[Draw, ...] | None
    price: KnownMoney | None
    spoiled: bool


class Bus(NamedTuple):
    """A board or cable with power headers; ``source`` is the name of what feeds it."""

    name: str
    title: str
    place: Place
    source: str
    headers: int | None
    header_pins: int | None
    spoiled: bool


class Feed(NamedTuple):
    """A supply, and everything that hangs on it: the busses and rows it feeds."""

    name: str
    supply: PanelPart
    panel: Panel | None
    place: Place
    buses: tuple[Bus, ...]
    rows: tuple[Row, ...]
    assumed: bool


class WaiverLine(NamedTuple):
    """A waiver as written: the rule, the name of the thing (empty: the whole rack), the reason, the last day."""

    rule: str
    on: str
    reason: str
    until: date | None
    place: Place


class Later(NamedTuple):
    """A line that is parsed and linked, and that no rule looks at yet."""

    word: str
    place: Place


class Have(NamedTuple):
    """So many of a thing, by designation, that are there already."""

    part: str
    pieces: int
    place: Place


class Also(NamedTuple):
    """So many of a thing, by designation, that are bought besides, for a stage."""

    part: str
    pieces: int
    stage: int
    place: Place


class Purse(NamedTuple):
    """Money that moves beside the prices, for a stage; ``seller``: where it is spent in any case, or nothing."""

    money: KnownMoney
    stage: int
    seller: str = ""


class Rack(NamedTuple):
    """A rack with everything in it. ``spoiled``: some of its lines were not understood.

    ``sellers``: those that its file may name. ``wares``: what is known of the things that these sell, and of those that
    the rack names beside its rows.
    """

    name: str
    title: str
    place: Place
    file: Source
    revision: str
    budget: KnownMoney | None
    have: tuple[Have, ...]
    stages: tuple[Stage, ...]
    rows: tuple[Row, ...]
    wishes: tuple[Wish, ...]
    buses: tuple[Bus, ...]
    feeds: tuple[Feed, ...]
    unfed: tuple[Row, ...]
    waivers: tuple[WaiverLine, ...]
    notes: tuple[str, ...]
    later: tuple[Later, ...]
    spoiled: bool
    case: Case | None = None
    also: tuple[Also, ...] = ()
    spent: tuple[Purse, ...] = ()
    gifts: tuple[Purse, ...] = ()
    anyway: tuple[Purse, ...] = ()
    sellers: tuple[Seller, ...] = ()
    wares: tuple[Ware, ...] = ()

    def full(self, thing: str) -> str:
        """The full name of a thing in it."""
        return f"{self.name}/{thing}"

    def stage_name(self, number: int) -> str:
        """How a stage is called in a sentence: ``from the start`` or ``from stage later``."""
        return f"at stage '{self.stages[number].name}'" if number else "from the start"

    def panels(self) -> tuple[Panel, ...]:
        """All panels of all rows."""
        return tuple(panel for row in self.rows for panel in row.panels)
