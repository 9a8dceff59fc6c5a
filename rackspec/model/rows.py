"""Rows: in: the block of a row, out: the row with its panels at their places.

``next`` starts at the first whole HP behind the panel above by its width in the library, whatever its stage, so that
measuring a specimen moves nothing. ``instead`` stands where the panel above stands, at another time.
"""

from fractions import Fraction
from typing import NamedTuple

from rackspec.findings import ERROR, Edit, Finding
from rackspec.language.bound import Block, Evidence, Fact
from rackspec.language.units import HP
from rackspec.model.known import Known, known
from rackspec.model.layers import Layers, basis_of
from rackspec.model.library import Library
from rackspec.model.names import RackNames
from rackspec.model.parts import PanelPart
from rackspec.model.rack import Panel, RailChoice, Row
from rackspec.model.seats import make_standing

PLACING = ("at", "next", "instead")
UNKNOWN_STAGE = -1
"""The number of a stage that is named and not known."""


class Above(NamedTuple):
    """The panel above in the text: where it starts, and the first whole HP behind it (None: not known)."""

    start: Fraction | None
    behind: Fraction | None


def whole_hp_behind(end: Fraction) -> Fraction:
    """The first whole HP at or behind a position (mm)."""
    steps = end / HP
    return -(-steps.numerator // steps.denominator) * HP


def make_choice(fact: Fact, word: str, library: Library) -> RailChoice:
    """A pair of rails and its insert."""
    name, insert_name = fact.text(word), fact.text("with")
    entry = library.find(name, ("rail",), fact.place(word)) if name else None
    rail = library.rail(entry) if entry else None
    insert_entry = library.find(insert_name, ("insert",), fact.place("with")) if insert_name else None
    insert = library.insert(insert_entry) if insert_entry else None
    takes = []
    for taken, _ in rail.takes if rail is not None else ():
        known_insert = library.entries.get(taken)
        if known_insert is not None and known_insert.kind == "insert":
            takes.append(library.insert(known_insert))
    return RailChoice(rail, insert, tuple(takes), fact.place(word))


def needed_length(panels: tuple[Panel, ...]) -> Fraction:
    """How much length panels need over all stages (mm): their widths at any one time, and where the last one ends."""
    need = Fraction(0)
    for stage in sorted({panel.since for panel in panels}):
        widths = [panel.width.value for panel in panels if panel.there(stage) and panel.width is not None]
        need = max(need, sum(widths, Fraction(0)))
    for panel in panels:
        if panel.start is not None and panel.width is not None:
            need = max(need, panel.start + panel.width.value)
    return need


def long_enough(lengths: list[Known], need: Fraction, unknown: bool = False) -> Known | None:
    """The length a row is held against: the first choice of rails that is long enough, else the longest.

    ``unknown``: of some choice the length is not known; it may be the one that would do, so nothing is held against
    another.
    """
    for length in lengths:
        if length.value >= need:
            return length
    if unknown:
        return None
    return max(lengths, key=lambda length: length.value) if lengths else None


class RowBuilder:
    """Places the panels of one row."""

    def __init__(self, library: Library, names: RackNames, stages: dict[str, int], abouts: dict[str, Block]) -> None:
        self.library = library
        self.names = names
        self.stages = stages
        self.abouts = abouts

    def build(self, block: Block) -> Row:
        """The row of a block."""
        choices = [make_choice(fact, word, self.library) for word in ("rails", "or") for fact in block.all(word)]
        layers = Layers((block,))
        panels = tuple(self._panels(block))
        stated = layers.quantity("length")
        lengths = [
            choice.rail.length for choice in choices if choice.rail is not None and choice.rail.length is not None
        ]
        power, screws = block.all("power"), block.all("screws")
        return Row(
            name=block.name,
            title=block.header.text("text") if block.header else "",
            place=block.place(),
            choices=tuple(choices),
            length=long_enough(
                lengths or ([stated] if stated is not None else []),
                needed_length(panels),
                len(lengths) < len(choices),
            ),
            behind=layers.quantity("behind"),
            screws=screws[0].text("screws") if screws else "",
            screws_place=screws[0].place("screws") if screws else None,
            power=power[0].text("from") if power else "",
            power_place=power[0].place("from") if power else None,
            panels=panels,
            spoiled=block.spoiled,
            standing=make_standing(block, layers),
        )

    def _panels(self, block: Block) -> list[Panel]:
        panels: list[Panel] = []
        above: Above | None = Above(Fraction(0), Fraction(0))
        first = True
        basis = basis_of(block)
        lines = sorted((fact for word in PLACING for fact in block.all(word)), key=lambda fact: fact.offset)
        broken = block.spoiled  # a line that was not understood may have been a panel: what follows it is not known
        for fact in lines:
            assert fact.bound.statement is not None and above is not None
            word = fact.bound.statement.word
            start = self._start(word, fact, above, first, broken, basis)
            panel, library_width = self._panel(word, fact, start, block.name, basis)
            behind = whole_hp_behind(start + library_width) if start is not None and library_width is not None else None
            if word == "instead" and behind is not None and above.behind is not None:
                behind = max(behind, above.behind)
            above = Above(start, behind)
            first = False
            if panel is not None:
                panels.append(panel)
        return panels

    def _start(
        self, word: str, fact: Fact, above: Above, first: bool, broken: bool, basis: Evidence
    ) -> Fraction | None:
        """Where a panel starts (mm), None where that is not known."""
        if word == "at":
            position = known(fact, "at", basis)
            return position.value if position else None
        if word == "instead":
            if first:
                message = "'instead' has no panel above it in this row that it could stand in for"
                remedy = "put the panel it replaces on the line above"
                self.names.findings.append(Finding("nothing-above", ERROR, message, fact.place(""), remedy=remedy))
                return None
            return above.start
        return None if broken else above.behind

    def _panel(
        self, word: str, fact: Fact, start: Fraction | None, row: str, basis: Evidence
    ) -> tuple[Panel | None, Fraction | None]:
        """The panel of a line, and its width in the library (mm).

        A panel of which it is not known when it is there is left out: whatever was said of it could be wrong.
        """
        since, until = self._stage(fact, "in"), self._stage(fact, "until")
        unsure = fact.bound.spoiled or UNKNOWN_STAGE in (since, until)
        since = since or 0
        position = fact.place("at" if word == "at" else "")
        for what in ("blank", "gap"):
            if what in fact.bound.values:
                width = known(fact, what, basis)
                name = fact.text("as")
                place = fact.place("as" if name else what)
                if name:
                    self.names.give(name, "panel", place)
                panel = Panel(name, what, None, start, width, since, until, place, position, row, word != "at")
                return None if unsure else panel, width.value if width else None
        key = "panel" if "panel" in fact.bound.values else word
        value = fact.bound.values.get(key)
        if value is None or value.kind != "name":
            return None, None
        part_name = value.text
        name = fact.text("as") or part_name
        place = fact.place("as" if fact.text("as") else key)
        if not fact.text("as") and name in self.names.given:
            free = self.names.free(name)
            edit = Edit(place, f"{part_name} as {free}")
            remedy = f"call this one by a name of its own: {part_name} as {free}"
            self.names.give(name, "panel", place, remedy, edit)
        else:
            self.names.give(name, "panel", place)
        entry = self.library.find(part_name, ("module", "supply"), fact.place(key))
        if entry is None:
            return None if unsure else Panel(
                name, "module", None, start, None, since, until, place, position, row, word != "at"
            ), None
        part = self.library.panel_part(entry)
        library_width = part.width.value if part.width else None
        about = self.abouts.get(name)
        if about is not None:
            part = self._about(part, about)
        panel = Panel(name, entry.kind, part, start, part.width, since, until, place, position, row, word != "at")
        return None if unsure else panel, library_width

    def _about(self, part: PanelPart, about: Block) -> PanelPart:
        """What is known of this specimen: the part's layers with the nearer one in front."""
        from rackspec.model.parts import make_panel_part

        specimen = make_panel_part(part.kind, part.name, part.title, part.layers.over(about))
        return specimen._replace(place=part.place)

    def _stage(self, fact: Fact, key: str) -> int | None:
        """The number of the stage that a line names, None where it names none."""
        name = fact.text(key)
        if not name:
            return None
        if name in self.stages:
            return self.stages[name]
        self.names.find(name, ("stage",), fact.place(key))
        return UNKNOWN_STAGE
