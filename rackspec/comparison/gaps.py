"""What cannot be counted of a rack: in: a rack of a side, out: panels whose part nobody can find, and lines that were
not understood, so that no sum is taken to be whole that lacks them.

A gap is a name, or for lines a mark that stands for them: sums carry both in what they do not know.
"""

from typing import NamedTuple

from rackspec.comparison.facts import PLACING, written
from rackspec.language.bound import Block, Fact
from rackspec.model.rack import Panel, Rack, Row
from rackspec.pipeline import Inspected

LINES = "lines of "
"""What a mark of lines that were not understood begins with; no name has a space in it."""


PART, LINE, TIME = "part", "line", "when it is there"
"""Why nothing is known of a panel: its part is not found, its line is not understood, or its stage is not found."""


class Missing(NamedTuple):
    """Something that is named in a rack and cannot be counted: the panel or row that names it, its part, in which row,
    and the stage from which on it is there (None: nobody knows) and until which (None: for ever)."""

    thing: str
    part: str
    row: str
    since: int | None
    until: int | None = None
    why: str = PART

    def may_be_there(self, stage: int) -> bool:
        """Whether it is there at a stage, as far as anybody knows."""
        return self.since is None or (self.since <= stage and (self.until is None or stage < self.until))


class Gaps(NamedTuple):
    """What is missing: panels, rails with what goes into them, names of sheets of side pieces; and marks of lines that
    were not understood: by row, and those of the rack itself."""

    missing: tuple[Missing, ...] = ()
    rails: tuple[Missing, ...] = ()
    rows: tuple[tuple[str, str], ...] = ()
    whole: frozenset[str] = frozenset()
    sheets: tuple[str, ...] = ()

    def panels_of(self, row: str, stage: int) -> list[str]:
        """The panels of a row that may be there at a stage, and of which nothing is known."""
        return [one.thing for one in self.missing if one.row == row and one.may_be_there(stage)]

    def lines_of(self, row: str) -> frozenset[str]:
        """The mark of the lines of a row that were not understood."""
        return frozenset(mark for name, mark in self.rows if name == row)

    def lines(self) -> frozenset[str]:
        """All marks: of lines that may hold anything."""
        return self.whole | {mark for _, mark in self.rows}

    def things(self) -> frozenset[str]:
        """The names of panels that are placed and not known."""
        return frozenset(one.thing for one in self.missing)


NO_GAPS = Gaps()


def gaps_of(block: Block, rack: Rack) -> Gaps:
    """What cannot be counted of a rack."""
    linked = {(id(panel.place.source), panel.place.start): panel for panel in rack.panels()}
    missing: list[Missing] = []
    rails: list[Missing] = []
    rows: list[tuple[str, str]] = []
    by_place = {row.place.start: row for row in rack.rows}
    for fact in block.all("row"):
        if fact.block is None:
            continue
        inside = fact.block
        if inside.spoiled:
            rows.append((inside.name, mark_of(inside)))
        missing += [gap for line in inside.order if line.word in PLACING for gap in _missing(line, inside.name, linked)]
        rails += _rails(inside, by_place.get(inside.place().start))
    whole = {mark_of(block)} if block.spoiled else set()
    for fact in block.order:
        if fact.word in ("wish", "bus") and fact.block is not None and fact.block.spoiled:
            whole.add(mark_of(fact.block))
    return Gaps(tuple(missing), tuple(rails), tuple(rows), frozenset(whole), tuple(_sheets(block, rack)))


def mark_of(block: Block) -> str:
    """A mark of the lines of a block that were not understood: the same lines have the same mark."""
    texts = sorted(f"{fact.word} {written(fact)}" for fact in block.order if fact.bound.spoiled)
    return f"{LINES}{block.kind}: {'; '.join((*texts, *sorted(block.loose)))}"


def _missing(line: Fact, row: str, linked: dict[tuple[int, int], Panel]) -> list[Missing]:
    """A line that places something of which nothing is known."""
    key = next((key for key in ("blank", "gap", "panel") if key in line.bound.values), line.word)
    given = line.text("as")
    panel = (
        linked.get((id(line.source), line.place("as" if given else key).start)) if key in line.bound.values else None
    )
    if panel is not None:
        if panel.what != "module" or panel.part is not None:
            return []
        return [Missing(given or line.text(key), line.text(key), row, panel.since, panel.until)]
    part = "" if key in ("blank", "gap") else line.text(key)
    name = given or part or f"{LINES}{row}: {line.word} {written(line)}"
    return [Missing(name, part, row, None, why=LINE if line.bound.spoiled else TIME)]


def _rails(block: Block, row: Row | None) -> list[Missing]:
    """Rails and inserts of the first choice of a row that nobody can find."""
    facts = block.all("rails")
    if not facts or row is None or not row.choices:
        return []
    choice = row.choices[0]
    pairs = ((facts[0].text("rails"), choice.rail), (facts[0].text("with"), choice.insert))
    return [Missing(block.name, name, block.name, 0) for name, found in pairs if name and found is None]


def _sheets(block: Block, rack: Rack) -> list[str]:
    """Sheets that side pieces are to be cut from and that nobody can find."""
    found = {side.sheet.name for side in (rack.case.sides if rack.case is not None else ()) if side.sheet is not None}
    cases = [fact.block for fact in block.all("case") if fact.block is not None]
    sides = [fact.block for case in cases for fact in case.all("side") if fact.block is not None]
    names = [fact.text("from") for side in sides for fact in side.all("from")]
    return [name for name in dict.fromkeys(names) if name and name not in found]


class Seen(NamedTuple):
    """A rack as it was inspected, and its gaps."""

    inspected: Inspected
    gaps: Gaps

    @property
    def rack(self) -> Rack:
        """The linked rack."""
        return self.inspected.rack
