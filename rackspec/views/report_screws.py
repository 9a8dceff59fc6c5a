"""Rails, inserts and screws: in: a rack, out: which rails do, why others do not, screws by panel, what to buy."""

from collections.abc import Iterator

from rackspec.physics.end_screws import WASHER
from rackspec.rules.hardware import NO_STANDARD, EndPlan, RowHardware, hardware
from rackspec.rules.sold_here import SOLD, THERE
from rackspec.views.document import Block, Heading, Paragraph, Table
from rackspec.views.report_hardware import buying
from rackspec.views.report_rails import rails, the_one, verdicts
from rackspec.views.reported import DRILL_CAUTION, Reported, called, mm


def rails_and_screws(reported: Reported) -> Iterator[Block]:
    """Rails, screws panel by panel, and what to buy for all of it."""
    look = reported.look
    if not any(row.choices for row in look.rack.rows):
        return
    yield Heading(3, "Rails, inserts and screws")
    yield Paragraph(DRILL_CAUTION)
    for row in look.rack.rows:
        found = verdicts(look, row)
        best = the_one(found)
        if best is None:
            yield Paragraph(f"Row {row.name}: no rails are named, so nothing can be said about its screws.")
            continue
        yield Heading(4, f"Screws of row {row.name}")
        yield from rails(look, found, best)
        yield from ends(best.hardware)
        yield from screws(best.hardware)
    yield from buying(reported, hardware(look))


def ends(here: RowHardware) -> Iterator[Block]:
    """The end screws of a row, where nobody wrote them, or wrote the wrong ones."""
    plan = here.ends
    if plan.wrong:
        yield Paragraph(f"End screws: {plan.wrong}. Counted here instead: {plan.text()}.")
    elif not plan.written and here.joint is not None and here.joint.thread is not None and here.joint.whole:
        under = f", each with an {plan.washer}" if plan.washer else ""
        thick = WASHER.get(here.joint.end_hole.thread)
        line = f"end-screws {plan.screws[0][0]}" + (f" washer {mm(thick)}" if thick is not None else "")
        write = f"Write them down once they are bought: '{line}'"
        if len(plan.screws) > 1:
            write = "A line 'end-screws' holds one size for both sides, so do without it here, and keep the two apart"
        shim = here.joint.shim
        behind = f", through {mm(shim.value)} of shims at each end" if shim is not None else ""
        if any(name.startswith(NO_STANDARD) for name, _, _ in plan.screws):
            yield Paragraph(
                f"End screws: nobody wrote any, and {plan.screws[0][0]} screw serves here{behind}: the ends would have "
                "to be tapped deeper, or what is in front of them be thinner."
            )
            return
        yield Paragraph(
            f"End screws: nobody wrote any. What serves{behind}: {plan.text()}{under}; chosen as {chosen_as(plan)}, or "
            "where the ends are not tapped deep enough for that, the longest that does not bottom. "
            f"{write}."
        )


def chosen_as(plan: EndPlan) -> str:
    """By what the size of end screws was chosen."""
    found = [by for by in dict.fromkeys(plan.length_by) if by in (THERE, SOLD)]
    if not found:
        return "the shortest standard size with one and a half diameters of thread (shop rule)"
    return f"{' or '.join(found)} of the sizes with one and a half diameters of thread (shop rule)"


def screws(here: RowHardware) -> Iterator[Block]:
    """The screws of a row, panel by panel."""
    if not here.lines:
        return
    rows = tuple(
        (
            called(line.panel),
            f"{line.pieces}{' assumed' if line.assumed else ''}",
            line.supplied or "not known",
            line.use,
            line.why,
        )
        for line in here.lines
    )
    yield Table(("panel", "pieces", "came with it", "use", "why"), rows)
