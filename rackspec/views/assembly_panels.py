"""Steps of the assembly about panels: in: a rack with its hardware, out: setting the rails, boards, panels, stages."""

from collections.abc import Iterator

from rackspec.language.quantity import show_hp
from rackspec.model.rack import Panel, Row
from rackspec.rules.hardware import Hardware, RowHardware
from rackspec.rules.panel_screws import NOT_KNOWN, ScrewLine
from rackspec.views.document import Block, Heading, Paragraph, Points, Table
from rackspec.views.reported import Reported, called, hp_span, stage_word
from rackspec.views.text import counted


def line_of(here: RowHardware, panel: Panel) -> ScrewLine | None:
    """The screws of a panel."""
    return next((line for line in here.lines if line.panel is panel), None)


def screws_text(here: RowHardware | None, panel: Panel) -> str:
    """``4 M3x6``, with a doubt where there is one."""
    line = line_of(here, panel) if here is not None else None
    if line is None:
        return "not known"
    use = f"{line.pieces} {line.use}" if line.use != NOT_KNOWN else f"{line.pieces}, thread not known"
    return use + (" (number assumed)" if line.assumed else "")


def of_row(all_of_it: Hardware, row: Row) -> RowHardware | None:
    """The hardware of a row; None where it names no rails."""
    return next((here for here in all_of_it.rows if here.row is row), None)


def in_order(row: Row, stage: int) -> list[Panel]:
    """The panels that stand in a row at a stage, from left to right; those of unknown place last."""
    standing = [panel for panel in row.at(stage) if panel.takes_room]
    return sorted(standing, key=lambda panel: (panel.start is None, panel.start or 0))


def first_ends(reported: Reported, all_of_it: Hardware) -> Iterator[Block]:
    """Step 5: a panel at both ends of each row sets how far the rails are apart; then the end screws are tightened."""
    yield Heading(3, "Step 5: set the rails with a panel at both ends, then tighten")
    yield Paragraph(
        "No ribbon is plugged in yet. A panel at either end sets the rails to the right distance while they can still "
        "move; the end screws are tightened with both in place."
    )
    points = []
    for row in reported.seen.rack.rows:
        panels = [panel for panel in in_order(row, 0) if panel.start is not None]
        here = of_row(all_of_it, row)
        if len(panels) < 2:
            points.append(f"row {row.name}: any two panels or blanks that are at hand, one at each end")
            continue
        first, last = panels[0], panels[-1]
        points.append(
            f"row {row.name}: {called(first)} at the left, {screws_text(here, first)}; {called(last)} at the right, "
            f"{screws_text(here, last)}; just so tight that they hold"
        )
    points += [
        "every screw of these panels turns in by hand, without force; where one does not, look for the reason first",
        (
            "tighten the end screws crosswise, a quarter turn at a time, by hand: wood gives way and aluminium strips "
            "long before a driver stops"
        ),
        "put the rack on a flat table: it does not rock, and both panels still go in and out",
    ]
    yield Points(tuple(points), boxes=True)


def boards(reported: Reported) -> Iterator[Block]:
    """Steps 6 and 7: what feeds the rack, and the first power-up before any module hangs on it."""
    rack = reported.seen.rack
    yield Heading(3, "Step 6: supplies and busses")
    points = ["every adapter is unplugged, and stays so until the next step says otherwise"]
    for feed in rack.feeds:
        where = (
            f"in row {feed.panel.row}, {place_of(feed.panel)}" if feed.panel is not None else "in no row: in the case"
        )
        mains = feed.supply.input is not None and feed.supply.input.kind == "mains"
        who = "; it has mains inside: put in and connected by somebody licensed, under the local code" if mains else ""
        points.append(f"supply {feed.name}, {where}{who}")
        points += [
            f"bus {bus.name}, from {bus.source}" + (f", {counted(bus.headers, 'header')}" if bus.headers else "")
            for bus in feed.buses
        ]
    if not rack.feeds:
        points.append("no supply is known in this rack")
    points.append("nothing conductive touches a board: spacers below it, no loose screw or nut behind the rails")
    yield Points(tuple(points), boxes=True)
    yield Heading(3, "Step 7: first power-up, before the modules")
    yield Paragraph(
        "Polarity and voltages are looked at now, while there is nothing that could be destroyed. Then one module "
        "after the other is plugged in, by that sheet; a module is screwed on for good when it has passed there."
    )
    yield Points((f"rackspec report {rack.file.name} --rack {rack.name} --about first-power-up",), boxes=True)


def place_of(panel: Panel) -> str:
    """Where a panel stands: ``4HP..18HP``."""
    if panel.start is None:
        return "place not known"
    if panel.width is None:
        return f"from {show_hp(panel.start)}"
    return hp_span(panel.start, panel.start + panel.width.value)


def rows_of_panels(reported: Reported, all_of_it: Hardware) -> Iterator[Block]:
    """Step 8: all panels of the start, row by row from left to right."""
    yield Heading(3, "Step 8: panels, row by row, from left to right")
    yield Paragraph(
        "Put all screws of a panel in loosely, then tighten them by hand. A panel that has to be forced is in front of "
        "no thread, or its neighbour is too wide: take it out and look. What is in from step 5 has its line here too."
    )
    rack = reported.seen.rack
    if any(row.length is not None for row in rack.rows):
        command = f"rackspec template {rack.file.name} --rack {rack.name} --sheet labels --to {rack.name}-labels.pdf"
        yield Points((f"if you like, labels to lay along the rails, with every place on them: {command}",), boxes=True)
    for row in rack.rows:
        yield Heading(4, f"Row {row.name}")
        panels = in_order(row, 0)
        here = of_row(all_of_it, row)
        if not panels:
            yield Paragraph("Nothing stands in this row from the start.")
            continue
        yield Table(("", "position", "panel", "screws"), tuple(panel_row(here, panel) for panel in panels))
    wishes = [wish.name for wish in rack.wishes if wish.since == 0]
    if wishes:
        yield Paragraph(f"Wished for from the start, without a place yet: {', '.join(wishes)}.")


def panel_row(here: RowHardware | None, panel: Panel) -> tuple[str, ...]:
    """A panel to be screwed on."""
    return ("[ ]", place_of(panel), called(panel), screws_text(here, panel))


def later(reported: Reported, all_of_it: Hardware) -> Iterator[Block]:
    """Step 9: what goes out and what comes in at each later stage."""
    rack = reported.seen.rack
    stages = [stage for stage in reported.stages if stage]
    if not stages:
        return
    yield Heading(3, "Step 9: later stages")
    yield Paragraph(
        "Before each: adapters out, wait until the lamps of the supply are dark. Afterwards each new module is plugged "
        "in by its line on the sheet for the first power-up. The side pieces stay on."
    )
    for stage in stages:
        by = rack.stages[stage].by
        yield Heading(4, f"Stage {stage_word(reported, stage)}" + (f", by {by.isoformat()}" if by is not None else ""))
        rows: list[tuple[str, ...]] = []
        for row in rack.rows:
            here = of_row(all_of_it, row)
            rows += [
                ("[ ]", "out", row.name, place_of(panel), called(panel), "keep its screws")
                for panel in in_order(row, stage - 1)
                if not panel.there(stage)
            ]
            rows += [
                ("[ ]", "in", row.name, place_of(panel), called(panel), screws_text(here, panel))
                for panel in in_order(row, stage)
                if panel.since == stage
            ]
        if rows:
            yield Table(("", "", "row", "position", "panel", "screws"), tuple(rows))
            yield from laid_out(all_of_it, stage)
        else:
            yield Paragraph("No panel changes.")
        wishes = [wish.name for wish in rack.wishes if wish.since == stage]
        if wishes:
            yield Paragraph(f"Wished for from then on, without a place yet: {', '.join(wishes)}.")


def laid_out(all_of_it: Hardware, stage: int) -> Iterator[Block]:
    """What has to lie on the bench for a stage: screws, and nuts that go in from the front."""
    screws: dict[str, int] = {}
    nuts: dict[str, int] = {}
    for here in all_of_it.rows:
        for line in here.lines:
            if line.panel.since == stage:
                screws[line.use] = screws.get(line.use, 0) + line.pieces
        if here.nuts is not None and here.nuts.insert.enters == "front":
            more = here.nuts.placed[stage].both - here.nuts.placed[stage - 1].both
            if more > 0:
                nuts[here.nuts.insert.name] = nuts.get(here.nuts.insert.name, 0) + more
    if screws:
        parts = [f"{pieces} {name}" for name, pieces in sorted(screws.items())]
        parts += [f"{pieces} {name} more, from the front" for name, pieces in sorted(nuts.items())]
        yield Paragraph(f"Lay out for it: {', '.join(parts)}.")
