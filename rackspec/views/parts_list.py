"""The parts list of a rack as text: in: its parts, out: blocks: what it takes and why so many, what to buy, remarks."""

from collections.abc import Iterator

from rackspec.findings import ERROR
from rackspec.model.known import KnownMoney
from rackspec.rules.hardware import KINDS as BOLTED
from rackspec.rules.needs import (
    ADAPTER,
    BESIDES,
    BLANK,
    MODULE,
    RIBBON,
    SHEET,
    SUPPLY,
    WISH,
)
from rackspec.rules.shop import UNSETTLED
from rackspec.views.document import GAP, Block, Heading, Paragraph, Points, Table
from rackspec.views.parts_record import Line, Parts, stages_text, uses_text
from rackspec.views.report_hardware import jars
from rackspec.views.reported import Reported, stage_word
from rackspec.views.text import counted

GROUPS = (
    ("Panels", (MODULE, SUPPLY, BLANK)),
    ("Rails, nuts and screws", BOLTED),
    ("Power", (RIBBON, ADAPTER)),
    ("Case", (SHEET,)),
    ("Besides", (BESIDES, WISH)),
)
"""Headings of a list, and the kinds of needs below each."""
ROOM_FOR_STAGES = 46
"""Columns of a line of text that stages may take with a column each."""


def parts_list(parts: Parts) -> Iterator[Block]:
    """The whole list of a rack."""
    reported, rack = parts.reported, parts.reported.seen.rack
    yield Heading(1, f"Parts of rack {rack.name}" + (f": {rack.title}" if rack.title else ""))
    yield Paragraph(opening(parts))
    for text in (*unsettled(reported), *on_which_rails(parts)):
        yield Paragraph(text)
    if not parts.lines:
        yield Paragraph("Nothing is needed: this rack names neither rails nor panels yet.")
        return
    yield Heading(2, "What it takes")
    yield Paragraph(how_to_read(parts))
    for title, kinds in GROUPS:
        lines = [line for line in parts.lines if line.need.kinds[0] in kinds and concerns(parts, line)]
        if lines:
            yield Heading(3, title)
            yield taken(parts, lines)
    yield Heading(2, "What to buy")
    lines = [line for line in parts.lines if line.all]
    if lines:
        yield bought(parts, lines)
    else:
        yield Paragraph("Nothing: everything that is known to be needed is there.")
    told = tuple(remarks(parts))
    if told:
        yield Heading(2, "Before you order")
        yield Points(told)


def opening(parts: Parts) -> str:
    """Of what the list is made."""
    rack, only = parts.reported.seen.rack, parts.only
    revision = f"Revision {rack.revision}. " if rack.revision else ""
    stages = len(rack.stages) - 1
    which = f"From the start and {counted(stages, 'stage')}. " if only is None and stages else ""
    if only is not None:
        which = f"Only what {stage_word(parts.reported, only)} needs. "
    return f"{revision}{which}Made from {rack.file.name}. 'At least' means that something is not known."


def unsettled(reported: Reported) -> Iterator[str]:
    """What has to be mended before anybody orders by this list."""
    errors = [finding for finding in reported.findings if finding.severity == ERROR and finding.waiver is None]
    if errors:
        more = f" (and {len(errors) - 1} more)" if len(errors) > 1 else ""
        yield f"Settle this before you order: {errors[0].message}{more}. 'rackspec inspect' says all of it."


def on_which_rails(parts: Parts) -> Iterator[str]:
    """On which rails rows are counted that name several."""
    for here in parts.hardware.rows:
        if len(here.row.choices) > 1:
            rail, insert = here.chosen.rail, here.chosen.insert
            rails = rail.name if rail is not None else "rails that are not known"
            within = f" with {insert.name}" if insert is not None else ""
            does = "the first that does" if not any(fault.severity == ERROR for fault in here.faults) else "the first"
            yield (
                f"Row {here.row.name} is counted on {rails}{within}, {does} of its {len(here.row.choices)} choices; "
                "'rackspec order' chooses by what the whole order costs."
            )


def how_to_read(parts: Parts) -> str:
    """What the columns are."""
    if parts.only is not None:
        before = " and what was bought for the stages before" if parts.only else ""
        return (
            "To buy is what is needed then, less what comes along with the panels that are in the rack then, less what "
            f"is there already{before}."
        )
    at = ", at the stage at which most is lacking" if len(parts.reported.stages) > 1 else ""
    return f"To buy is what is needed{at}, less what comes along with panels, less what is there already."


def concerns(parts: Parts, line: Line) -> bool:
    """Whether a line has to do with the stage that is asked for: what comes later, or is out by then, has not."""
    return parts.only is None or line.needed > 0 or line.need.at_least


def taken(parts: Parts, lines: list[Line]) -> Table:
    """What is needed, and where the numbers come from."""
    head = ("thing", "needed", "along", "there", "to buy", "where the number comes from")
    rows = []
    for line in lines:
        least = "at least " if line.need.at_least else ""
        when = f" at {stage_word(parts.reported, line.at)}" if line.at and parts.only is None else ""
        along = str(line.along) if any(line.need.along) else ""
        rows.append(
            (line.need.part, f"{least}{line.needed}{when}", along, str(line.there), str(line.all), uses_text(line))
        )
    return Table(head, tuple(rows), frozenset((2, 3, 4)))


def bought(parts: Parts, lines: list[Line]) -> Table:
    """What each stage buys, what is written about its price, and who sells it."""
    names = [stage_word(parts.reported, stage) for stage in parts.stages]
    tail = ("price written", "sold by")
    rest = [(price_text(line.need.price), sold_text(line)) for line in lines]
    rows: tuple[tuple[str, ...], ...]
    if len(names) == 1:
        rows = tuple((line.need.part, str(line.all), *more) for line, more in zip(lines, rest, strict=True))
        return Table(("thing", "to buy", *tail), rows, frozenset((1,)))
    if sum(len(name.removeprefix("the ")) + GAP for name in names) > ROOM_FOR_STAGES:
        rows = tuple(
            (line.need.part, str(line.all), stages_text(parts, line), *more)
            for line, more in zip(lines, rest, strict=True)
        )
        return Table(("thing", "all", "when", *tail), rows, frozenset((1,)))
    rows = tuple(
        (line.need.part, *(str(pieces or "") for pieces in line.buy), str(line.all), *more)
        for line, more in zip(lines, rest, strict=True)
    )
    head = ("thing", *(name.removeprefix("the ") for name in names), "all", *tail)
    return Table(head, rows, frozenset(range(1, len(names) + 2)))


def price_text(price: KnownMoney | None) -> str:
    """A price as it is written where the thing is described."""
    if price is None:
        return ""
    return price.money.text + (" guessed" if price.evidence.level == "guessed" else "")


def sold_text(line: Line) -> str:
    """Who sells a thing."""
    if line.sold:
        return "; ".join(selling.text for selling in line.sold)
    if line.need.made:
        return "nobody here; it can be made"
    return "" if WISH in line.need.kinds else "nobody here"


def remarks(parts: Parts) -> Iterator[str]:
    """What the numbers do not say by themselves."""
    rack, lines = parts.reported.seen.rack, parts.lines
    kinds = {kind for line in lines for kind in line.need.kinds}
    open_ones = [line.need.part for line in lines if any(word in line.need.part for word in UNSETTLED)]
    if open_ones:
        yield (
            f"Cannot be ordered yet: {', '.join(open_ones)}. Which one it is shows when what it goes through and into "
            "is measured; 'rackspec inspect' says what is not known yet."
        )
    if parts.hardware.bare:
        yield f"Rows that name no rails have none in this list: {', '.join(row.name for row in parts.hardware.bare)}."
    if any(line.need.at_least and RIBBON in line.need.kinds for line in lines):
        yield (
            "Ribbons are counted where somebody wrote 'ribbon missing'. Common practice, no source: a module comes "
            "with its ribbon. Look into the boxes, and write 'ribbon along' or 'ribbon missing'."
        )
    blanks = [line for line in lines if BLANK in line.need.kinds and line.all]
    if blanks:
        yield "Blanks can be made at the bench: 'rackspec template --sheet blank' draws them."
    if SHEET in kinds:
        yield "Sheets are counted by area; how the pieces lie on them, and the saw's cut, is yours to see."
    if WISH in kinds:
        yield (
            "A wish is no part yet: it is listed with what it may cost. Nuts that go in at the end of the rails are "
            "counted for it in every row into which it may come; nuts that go in from the front, and its screws, in "
            "none."
        )
    twice = sorted(jars(parts.reported))
    if twice:
        yield (
            f"Of {', '.join(twice)} some came with modules that are there already: if they lie in the same jar, they "
            "are counted twice here, under 'along' and under 'there'. Count the jar again."
        )
    if any(ADAPTER in line.need.kinds for line in lines):
        yield "Adapters are closed ones, bought ready to plug in; nothing in this list is to be wired to the mains."
    if not rack.sellers:
        yield "No seller is known here: a block 'seller' says who sells what; 'rackspec order' then adds it up."
    if parts.left_over:
        left = ", ".join(f"{pieces} of {part}" for part, pieces in parts.left_over)
        yield f"There already and not needed in this rack: {left}."
