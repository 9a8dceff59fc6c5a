"""Steps of the assembly about rails: in: a rack with its hardware, out: inserts, first side, second side."""

from collections.abc import Iterator

from rackspec.model.rack import Panel
from rackspec.rules.nut_counts import NutCount, Pair, nuts_of, screwed_on
from rackspec.solve.hardware import Hardware, RowHardware
from rackspec.views.document import Block, Heading, Paragraph, Points, Table
from rackspec.views.reported import Reported, called, stage_word
from rackspec.views.text import counted

LOCKED = "Nothing can be added to these rails once the second side is on: count them now."


def inserts(reported: Reported, all_of_it: Hardware) -> Iterator[Block]:
    """Step 2: strips and nuts into the rails."""
    yield Heading(3, "Step 2: thread strips and nuts into the rails")
    rows: list[tuple[str, ...]] = []
    for here in all_of_it.rows:
        rows += lines_of(here)
    if not rows:
        yield Paragraph("No rails with inserts are named, so nothing can be said here.")
        return
    yield Table(("", "row", "rail", "goes in", "pieces", "from the start", "later"), tuple(rows), frozenset((4, 5, 6)))
    locked = [here.nuts for here in all_of_it.rows if here.nuts is not None and here.nuts.insert.enters != "front"]
    if locked:
        names = ", ".join(dict.fromkeys(count.row.name for count in locked))
        yield Paragraph(f"Rows with nuts that go in at the end: {names}. {LOCKED}")
        yield from (Paragraph(text) for count in locked for text in remarks(count))
        waiting = [line for count in locked for line in parked(reported, count)]
        if waiting:
            yield Paragraph(
                "A nut does not pass another one that is screwed to a panel. So the nuts for later wait in their place:"
            )
            yield Table(("row", "for", "when", "bottom", "top", "they wait"), tuple(waiting), frozenset((3, 4)))
    front = [here.row.name for here in all_of_it.rows if here.nuts is not None and here.nuts.insert.enters == "front"]
    if front:
        yield Paragraph(f"Nuts of {', '.join(front)} go in from the front: they can be added whenever a panel comes.")
    yield Points(("tape over the open ends of all rails that hold something loose",), boxes=True)


def lines_of(here: RowHardware) -> Iterator[tuple[str, ...]]:
    """What goes into the two rails of a row."""
    insert, rail = here.chosen.insert, here.chosen.rail
    name = rail.name if rail is not None else "not known"
    if insert is None:
        yield ("[ ]", here.row.name, f"both ({name})", "not known", "", "", "")
    elif here.nuts is not None:
        count = here.nuts
        least = "at least " if count.unknown else ""
        total = count.most_placed if insert.enters == "front" else count.most
        for line, most, start in (
            ("bottom", total.bottom, count.start.bottom),
            ("top", total.top, count.start.top),
        ):
            later = str(most - start) if most > start else ""
            yield ("[ ]", here.row.name, f"{line} ({name})", insert.name, f"{least}{most}", str(start), later)
    else:
        for line in ("bottom", "top"):
            yield ("[ ]", here.row.name, f"{line} ({name})", insert.name, "1", "1", "")


def remarks(count: NutCount) -> Iterator[str]:
    """What the counts of a row rest on."""
    if not count.insert.enters:
        yield (
            f"Row {count.row.name}: nobody wrote where '{count.insert.name}' goes in. Try one on a loose rail: if it "
            "does not turn in from the front, all of them go in now."
        )
    if count.for_wishes:
        names = ", ".join(wish.name for wish in count.wishes)
        yield f"Row {count.row.name}: {count.for_wishes} of its nuts are for wishes that may come here: {names}."
    if count.assumed:
        names = ", ".join(dict.fromkeys(called(panel) for panel in count.assumed))
        yield f"Row {count.row.name}: nobody wrote how many screws these have, 4 are assumed: {names}."


def parked(reported: Reported, count: NutCount) -> Iterator[tuple[str, ...]]:
    """Where the nuts of later panels wait, between which panels of the start; not where a panel only changes places."""
    row = count.row
    first = [panel for panel in screwed_on(row) if panel.there(0) and panel.start is not None]
    for panel in screwed_on(row):
        if panel.since == 0 or panel.start is None:
            continue
        gone = [
            other for other in first if other.until is not None and other.until <= panel.since and over(other, panel)
        ]
        freed = Pair(0, 0)
        for other in gone:
            freed = freed.plus(nuts_of(other))
        wanted = nuts_of(panel)
        bottom, top = max(0, wanted.bottom - freed.bottom), max(0, wanted.top - freed.top)
        if not bottom and not top:
            continue
        left = max((other for other in first if (other.start or 0) < panel.start), key=start_of, default=None)
        right = min((other for other in first if (other.start or 0) > panel.start), key=start_of, default=None)
        where = f"at {called(gone[0])}, whose place it takes" if gone else between(left, right)
        yield (row.name, called(panel), stage_word(reported, panel.since), str(bottom), str(top), where)


def start_of(panel: Panel) -> tuple[object, str]:
    """By what panels are ordered from left to right."""
    return panel.start, panel.name


def over(one: Panel, other: Panel) -> bool:
    """Whether two panels share room in their row."""
    if one.start is None or other.start is None or one.width is None or other.width is None:
        return one.start == other.start
    return one.start < other.start + other.width.value and other.start < one.start + one.width.value


def between(left: Panel | None, right: Panel | None) -> str:
    """A place between two panels of the start."""
    if left is None:
        return f"left of {called(right)}" if right is not None else "anywhere"
    return f"between {called(left)} and {called(right)}" if right is not None else f"right of {called(left)}"


def first_side(reported: Reported, all_of_it: Hardware) -> Iterator[Block]:
    """Step 3: one side piece, all rails, end screws finger-tight."""
    yield Heading(3, "Step 3: first side")
    points = [
        "lay the left side piece flat on something soft, its inner face up",
        (
            "the face of a rail on which the panels lie points to the front edge; the upper rail is the mirror image "
            "of the lower one: a lip, where there is one, is on the side away from the middle of the row"
        ),
    ]
    case = reported.seen.rack.case
    if case is not None and case.shims is not None:
        points.append(
            f"shims: {case.shims.quantity.text} for both ends together, half of it between rail and side here"
        )
    yield Points(tuple(points), boxes=True)
    rows = tuple(
        ("[ ]", here.row.name, side_screws(here, "left"), here.ends.washer or "none", ends_note(here))
        for here in all_of_it.rows
    )
    if rows:
        yield Paragraph("Screw each rail on, finger-tight only: it has to be able to move a little.")
        yield Table(("", "row", "screws, this side", "under each head", ""), rows)


def side_screws(here: RowHardware, side: str) -> str:
    """The end screws of a row at one side."""
    for name, _, of_side in here.ends.screws:
        if of_side in ("", side):
            return f"2 {name}"
    return "not known"


def ends_note(here: RowHardware) -> str:
    """Where the size of the end screws comes from."""
    if here.ends.wrong:
        return f"not those that are written: {here.ends.wrong}"
    if here.ends.written:
        return "as written"
    if here.joint is not None and here.joint.thread is not None and here.joint.whole:
        return "nobody wrote any; this size serves"
    return "nobody wrote any, and not enough is known to say which"


def second_side(all_of_it: Hardware) -> Iterator[Block]:
    """Step 4: the second side piece, after a last count."""
    yield Heading(3, "Step 4: second side")
    points = []
    for here in all_of_it.rows:
        if here.nuts is None or here.nuts.insert.enters == "front":
            continue
        most = here.nuts.most
        least = "at least " if here.nuts.unknown else ""
        points.append(
            f"STOP and count row {here.row.name}: {least}{most.bottom} nuts in the bottom rail, {least}{most.top} in "
            "the top rail; nothing can be added here once this side is on"
        )
    points += ["take the tape off; hold the second side on, with a helper or against a wall"]
    points += [
        f"row {here.row.name}: {side_screws(here, 'right')}, finger-tight"
        + (f", each with an {here.ends.washer}" if here.ends.washer else "")
        for here in all_of_it.rows
    ]
    rails = 2 * len(all_of_it.rows)
    points.append(
        f"stand it up: it carries {counted(rails, 'rail')} now; all end screws are still loose enough to give"
    )
    yield Points(tuple(points), boxes=True)
