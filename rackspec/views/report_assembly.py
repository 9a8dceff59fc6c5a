"""The sheet about assembly: in: a rack, out: the order in which it is put together, with counts and boxes to tick."""

from collections.abc import Iterator

from rackspec.model.case import LEFT, SIDES
from rackspec.model.seats import LINES
from rackspec.physics.threads import THREADS
from rackspec.rules.drill_points import DrillPoint, drill_points
from rackspec.rules.hardware import Hardware, hardware
from rackspec.rules.registry import NotKnown
from rackspec.views.assembly_panels import boards, first_ends, later, rows_of_panels
from rackspec.views.assembly_rails import first_side, inserts, second_side
from rackspec.views.document import Block, Heading, Paragraph, Points, Table
from rackspec.views.report_measure import CALLIPERS, sheet_of
from rackspec.views.reported import Reported, mm, open_findings, place_text, unsettled

CAUTIONS = (
    (
        "Drilling and sawing: clamp the piece, wear glasses, no gloves and no loose sleeves at the drill, small drill "
        "first. Follow the tool's instructions and local rules."
    ),
    (
        "Lifting and hanging: a full rack is heavier than it looks; lift it with two. What holds it in a wall or above "
        "people is chosen and put in by somebody licensed or trained for it, under the local code."
    ),
    (
        "Mains is work for people licensed for it, under the local code. Nothing on this sheet is done on the mains "
        "side of an adapter or supply, and nothing is plugged in before the step that says so."
    ),
    "Glue, dust and finish: follow what stands on the tin, with air; let it dry before anything is screwed on it.",
    "A ribbon plugged in the wrong way round destroys modules: look at the stripe at both ends, every time.",
)
SUBJECTS = ("fit", "bolting", "depth", "case")
LEFT_OUT = ("depth", "width", "room behind the row")
"""Facts that the sheet about fit asks for, and without which the case can be built all the same."""


def assembly(reported: Reported) -> Iterator[Block]:
    """The whole sheet."""
    rack = reported.seen.rack
    yield Heading(2, "Assembly")
    yield Paragraph(
        "Read it to the end before you begin, and tick as you go. Counts are worked out from what is written down; "
        "where your parts are others, they are right and this sheet is not."
    )
    yield Points(CAUTIONS)
    yield from open_findings(reported, SUBJECTS)
    if unsettled(reported, SUBJECTS):
        yield Paragraph(
            "DO NOT DRILL OR SCREW before the errors above are settled: with them this will not go together."
        )
    if not rack.rows:
        yield Paragraph("This rack has no row yet: there is nothing to put together.")
        return
    look = reported.look  # one for all: what holds on which rails is worked out once
    all_of_it, points = hardware(look), drill_points(look)
    yield from before(reported, all_of_it, points)
    yield from sides(reported, points)
    yield from inserts(reported, all_of_it)
    yield from first_side(reported, all_of_it)
    yield from second_side(reported, all_of_it)
    yield from first_ends(reported, all_of_it)
    yield from boards(reported)
    yield from rows_of_panels(reported, all_of_it)
    yield from later(reported, all_of_it)


def before(reported: Reported, all_of_it: Hardware, points: tuple[DrillPoint, ...]) -> Iterator[Block]:
    """Tools, hardware to lay out, and what has to be measured first."""
    yield Heading(3, "Before you start")
    if reported.seen.rack.spoiled:
        yield Paragraph("A line of this rack was not understood: panels may be missing here. Mend it first.")
    yield Points(tuple(tools(all_of_it, points)), boxes=True)
    rows = []
    for item in all_of_it.items:
        now = sum(use.pieces[0] for use in item.uses)
        if now:
            least = "at least " if item.at_least else ""
            for_what = ", ".join(dict.fromkeys(use.kind for use in item.uses))
            rows.append((f"[ ] {least}{now}", item.part, for_what, str(item.there)))
    if rows:
        yield Paragraph(
            "Lay out what the start needs. Nuts that go in at the end of a rail are counted for all stages. What is "
            "to be bought, and where each number comes from: 'report --about fit'."
        )
        yield Table(("pieces", "part", "for", "have"), tuple(rows), frozenset((3,)))
    if all_of_it.bare:
        names = ", ".join(row.name for row in all_of_it.bare)
        yield Paragraph(f"No rails are named for {names}: what these are put together with is not on this sheet.")
    missing = [item for item in reported.seen.not_known if stops(reported, item)]
    if missing:
        yield Paragraph("Stop here until this is known; without it something below cannot be said:")
        told = tuple(
            (
                item.thing.removeprefix(reported.seen.rack.name + "/"),
                item.fact,
                CALLIPERS.get(item.fact, item.how),
                place_text(reported, item.place),
            )
            for item in missing
        )
        yield Table(("of", "what", "how", "belongs to"), told)


def stops(reported: Reported, item: NotKnown) -> bool:
    """Whether a fact that nobody knows stops the assembly."""
    return sheet_of(reported, item) == "fit" and item.fact not in LEFT_OUT


def tools(all_of_it: Hardware, points: tuple[DrillPoint, ...]) -> Iterator[str]:
    """What has to lie on the bench."""
    names = {item.part.partition("x")[0].partition(",")[0] for item in all_of_it.items}
    drivers = ", ".join(name for name in THREADS if name in names)
    yield "clamps, glasses, centre punch, square, steel rule, callipers, pencil"
    drills = sorted({(point.diameter, point.thread) for point in points})
    each = ", ".join(f"{mm(diameter)} for {thread}" for diameter, thread in drills)
    yield "drills: 2mm to start with" + (f", then {each}" if each else ", then what the end screws need; not known yet")
    yield f"screwdrivers that fit the heads of the screws ({drivers or 'threads not known yet'}), turned by hand"
    if all_of_it.items:
        yield "tape over the open ends of the rails, so that nothing slides out while they are turned over"
    yield "a meter, for the first power-up"


def sides(reported: Reported, points: tuple[DrillPoint, ...]) -> Iterator[Block]:
    """Step 1: mark and drill the side pieces."""
    rack = reported.seen.rack
    yield Heading(3, "Step 1: mark and drill the side pieces")
    if rack.case is None:
        yield Paragraph(
            "No case is written down, so no sheet to drill by can be drawn. Write 'case' with its side pieces, and the "
            "'seat' of each row, or drill by what comes with the rails."
        )
        return
    drilled = [row for row in rack.rows if all(row.standing.hole(side, line) for side in SIDES for line in LINES)]
    known = {point.row for point in points}
    unknown = [row.name for row in rack.rows if row.name not in known and row not in drilled]
    if drilled:
        names = ", ".join(row.name for row in drilled)
        yield Paragraph(f"Drilled already, as written: {names}. Try an end screw in every hole before you go on.")
    if unknown:
        yield Paragraph(
            f"Not known yet where the holes go: {', '.join(unknown)}. It takes the seat of the row and the thread in "
            "the ends of its rails; leave these rows undrilled."
        )
    if unsettled(reported, SUBJECTS):
        yield Paragraph("Not before the errors above are settled: no sheet to drill by is named here until then.")
        return
    to_drill = [point for point in points if all(row.name != point.row for row in drilled)]
    if to_drill:
        yield from drilling(reported, to_drill)


def drilling(reported: Reported, points: list[DrillPoint]) -> Iterator[Block]:
    """How to drill what is not drilled yet; not by a guess."""
    rack = reported.seen.rack
    doubts = list(dict.fromkeys(why for point in points for why in point.because))
    if doubts:
        yield Paragraph("DO NOT DRILL YET, because something is not measured:")
        yield Points(tuple(doubts))
        return
    by_size: dict[str, int] = {}
    for point in points:
        if point.side == LEFT:
            size = f"{mm(point.diameter)} for {point.thread}"
            by_size[size] = by_size.get(size, 0) + 1
    sizes = ", ".join(f"{pieces} of {size}" for size, pieces in by_size.items())
    command = f"rackspec template {rack.file.name} --rack {rack.name} --to {rack.name}.pdf"
    yield Points(
        (
            f"print the sheets at 100 %: {command}   (or .svg, which needs no extra)",
            "measure the 100 mm bars on each sheet, across and up; where they are off, print again",
            "lay the sheet on with its front and lower edges flush; the left and the right piece are mirror images",
            f"punch and drill each side piece: {sizes} (clearance holes, ISO 273 medium)",
            "clean the edges of the holes; hold both pieces together, outer faces outwards: all holes line up",
        ),
        boxes=True,
    )
