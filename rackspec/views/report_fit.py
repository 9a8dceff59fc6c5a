"""The sheet about fit: in: a rack, out: rows under a ruler, panels, free runs, depth, screws, what to measure."""

from collections.abc import Iterator
from fractions import Fraction

from rackspec.language.quantity import show_hp
from rackspec.model.rack import Row
from rackspec.rules.depth import deep_panels, plug_of
from rackspec.rules.stages import runs_at, taken_at
from rackspec.views.document import Block, Drawing, Heading, Paragraph, Table
from rackspec.views.report_measure import measure
from rackspec.views.report_screws import rails_and_screws
from rackspec.views.reported import (
    Reported,
    called,
    how_known,
    hp_span,
    mm,
    mm_span,
    open_findings,
    origin,
    stage_word,
    there_word,
    with_part,
)
from rackspec.views.ruler import drawing, legend


def fit(reported: Reported) -> Iterator[Block]:
    """The whole sheet."""
    yield Heading(2, "Fit")
    yield Paragraph(
        "Positions are counted from the row's 0HP, depths from the seat (the back of the panels). 1HP is 5.08mm."
    )
    yield from open_findings(reported, ("fit", "bolting", "depth", "case"))
    rack = reported.seen.rack
    if not rack.rows:
        yield Paragraph("This rack has no row yet.")
    for row in rack.rows:
        yield Heading(3, f"Row {row.name}" + (f": {row.title}" if row.title else ""))
        yield from rulers(reported, row)
        yield from panels(reported, row)
        yield from free(reported, row)
        yield from depths(reported, row)
    yield from rails_and_screws(reported)
    yield from measure(reported, "fit")


def changes(reported: Reported, row: Row) -> list[int]:
    """The stages at which a row is another one than before, the start included."""
    return [stage for stage in reported.stages if stage == 0 or row.at(stage) != row.at(stage - 1)]


def rulers(reported: Reported, row: Row) -> Iterator[Block]:
    """The row under its ruler, at the start and wherever it changes."""
    if row.length is None:
        yield Paragraph("The length of this row is not known yet, so nothing is drawn.")
        return
    least = "at least " if taken_at(row, 0).unknown or row.spoiled else ""
    taken = taken_at(row, 0).nominal
    yield Paragraph(
        f"{show_hp(row.length.value)} = {mm(row.length.value)} long ({origin(row.length)}); from the start "
        f"{least}{show_hp(taken)} taken. A dot is free, = is a blank, : is kept free."
    )
    letters: dict[str, str] = {}
    lines: list[str] = []
    for stage in changes(reported, row):
        drawn = drawing(row, stage, letters)
        if drawn:
            when = f"from {stage_word(reported, stage)}" if len(reported.stages) > 1 else ""
            lines += ([""] if lines else []) + ([when] if when else []) + drawn
    if lines:
        yield Drawing(tuple(lines))
    if letters:
        yield Paragraph(legend(letters))


def panels(reported: Reported, row: Row) -> Iterator[Block]:
    """All panels of the row in order of their positions."""
    if not row.panels:
        yield Paragraph("Nothing stands in this row yet.")
        return
    ordered = sorted(row.panels, key=lambda panel: (panel.start is None, panel.start or 0, panel.since))
    rows = []
    for panel in ordered:
        where, where_mm, wide = "not known", "", "not known"
        if panel.start is not None:
            end = panel.start + panel.width.value if panel.width is not None else None
            where = hp_span(panel.start, end) if end is not None else f"{show_hp(panel.start)}.."
            where_mm = mm_span(panel.start, end) if end is not None else mm(panel.start)
        if panel.width is not None:
            wide = show_hp(panel.width.value) + (" guessed" if panel.width.is_guess else "")
        part = panel.part
        depth = how_known(part.depth) if part is not None and part.depth is not None else "not known" if part else "-"
        there = there_word(reported, panel.since, panel.until)
        rows.append((where, where_mm, wide, with_part(panel), there, depth))
    yield Table(("position", "in mm", "wide", "panel", "there", "depth"), tuple(rows))


def free(reported: Reported, row: Row) -> Iterator[Block]:
    """The free runs of the row at each stage."""
    if row.length is None:
        return
    rows = []
    for stage in changes(reported, row):
        runs = runs_at(row, stage)
        word = f"from {stage_word(reported, stage)}"
        unsure = bool(taken_at(row, stage).unknown) or row.spoiled
        most = "at most " if unsure else ""
        rows += [
            (word, hp_span(start, end), most + show_hp(end - start), mm_span(start, end), most + mm(end - start))
            for start, end in runs
        ]
        if not runs:
            rows.append((word, "none", "0HP", "", ""))
    yield Paragraph("Free runs:")
    yield Table(("when", "position", "free", "from..to in mm", "length in mm"), tuple(rows))


def depths(reported: Reported, row: Row) -> Iterator[Block]:
    """How deep the row is from place to place, the deepest first, against the room behind it."""
    look = reported.look
    spare = look.house.limit("spare depth")
    here = []
    if row.behind is None:
        yield Paragraph("The room behind this row is not known yet: no depth can be held against it.")
        return
    for other, panel, depth, room in deep_panels(look):
        if other is not row or panel.start is None:
            continue
        plug = plug_of(look, panel)
        nominal = depth.value + (plug.value if plug is not None else 0)
        worst = depth.high + (plug.high if plug is not None else 0)
        end = panel.start + (panel.width.value if panel.width is not None else Fraction(0))
        here.append((worst, panel, depth, plug, nominal, room.low - worst, end))
    if not here:
        return
    here.sort(key=lambda item: (-item[0], item[1].start or 0))
    worst, panel, depth, plug, _, left, end = here[0]
    assert panel.start is not None
    parts = [f"its depth of {how_known(depth)}"] + ([f"a plug of {how_known(plug)}"] if plug is not None else [])
    lacking = f"{mm(left)} are left" if left >= 0 else f"{mm(-left)} are lacking"
    yield Paragraph(
        f"Behind the row there are {row.behind.quantity.text} ({origin(row.behind)}); the house wants "
        f"{mm(spare.value)} of it to stay free ({spare.origin}). It is deepest at {hp_span(panel.start, end)}, "
        f"behind '{called(panel)}': at the worst {mm(worst)}, by {' and '.join(parts)}; {lacking}."
    )
    rows = tuple(
        (
            hp_span(panel.start or Fraction(0), end),
            called(panel),
            how_known(depth),
            how_known(plug) if plug is not None else "none",
            mm(nominal),
            mm(worst),
            mm(left),
        )
        for worst, panel, depth, plug, nominal, left, end in here
    )
    head = ("position", "panel", "depth", "plug", "together", "at the worst", "left, worst")
    yield Table(head, rows, frozenset((4, 5, 6)))
