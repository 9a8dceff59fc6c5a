"""Steps of the assembly about rails: in: a rack with its hardware, out: inserts, first side, second side."""

from collections.abc import Iterator

from rackspec.language.quantity import show_hp
from rackspec.language.units import HP
from rackspec.model.known import Known
from rackspec.model.rack import Panel, Wish
from rackspec.rules.hardware import NO_STANDARD, Hardware, RowHardware
from rackspec.rules.nut_counts import NutCount, Pair, nuts_of, screwed_on, wishes_in
from rackspec.rules.screws import USUAL_SCREWS
from rackspec.rules.stages import runs_at
from rackspec.views.document import Block, Heading, Paragraph, Points, Table
from rackspec.views.reported import Reported, called, hp_span, mm, mm_span, stage_word
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
        waiting = [line for count in locked for line in (*parked(reported, count), *parked_for_wishes(reported, count))]
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


def parked_for_wishes(reported: Reported, count: NutCount) -> Iterator[tuple[str, ...]]:
    """Where the nuts of wishes wait: in free runs that are wide enough, the widest wish first; so many as there are."""
    row, most, placed = count.row, count.most, count.most_placed
    left = Pair(most.bottom - placed.bottom, most.top - placed.top)
    first = [panel for panel in screwed_on(row) if panel.there(0) and panel.start is not None]
    half = USUAL_SCREWS // 2
    for wish, coming in coming_wishes(reported, count):
        free = [[start, end, start] for start, end in runs_at(row, wish.since)]
        width = wish.width.high if wish.width is not None else HP
        spots: dict[str, int] = {}
        for _ in range(coming):
            run = next((run for run in free if run[1] - run[0] >= width), None)
            where = f"nowhere: no free run is {show_hp(width)} wide; they wait where you can reach them"
            if run is not None:
                before = max((one for one in first if (one.start or 0) <= run[0]), key=start_of, default=None)
                behind = min((one for one in first if (one.start or 0) > run[0]), key=start_of, default=None)
                where = f"in the free run {hp_span(run[2], run[1])}, {between(before, behind)}"
                run[0] += width
            spots[where] = spots.get(where, 0) + 1
        for where, many in spots.items():
            here = Pair(min(half * many, left.bottom), min(half * many, left.top))
            left = Pair(left.bottom - here.bottom, left.top - here.top)
            if here.both:
                when = stage_word(reported, wish.since)
                yield (row.name, f"wish {wish.name}", when, str(here.bottom), str(here.top), where)


def coming_wishes(reported: Reported, count: NutCount) -> list[tuple[Wish, int]]:
    """The wishes of a row, and how many of each may come into it at most, the widest first."""
    found = []
    for wish in count.wishes:
        each = [wishes_in(reported.look, count.row, stage) for stage in range(len(count.placed))]
        found.append((wish, max(sum(other.name == wish.name for other in here) for here in each)))
    return sorted(found, key=lambda pair: (-(pair[0].width.high if pair[0].width is not None else HP), pair[0].name))


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
    if case is not None and case.shims is not None and case.shims.high:
        points.append(f"put the shims in: {shims_text(case.shims)}")
    yield Points(tuple(points), boxes=True)
    rows = tuple(
        ("[ ]", here.row.name, side_screws(here, "left"), here.ends.washer_text or "none", ends_note(here))
        for here in all_of_it.rows
    )
    if rows:
        yield Paragraph("Screw each rail on, finger-tight only: it has to be able to move a little.")
        yield Table(("", "row", "screws, this side", "under each head", ""), rows)


def shims_text(shims: Known) -> str:
    """How thick they are at one end, and why: ``2mm between each rail and this side (half of …)``."""
    half = mm_span(shims.low / 2, shims.high / 2) if shims.low != shims.high else mm(shims.value / 2)
    return (
        f"{half} between each rail and this side (half of the {shims.quantity.text} that are written; alike at both "
        "ends, because the lengths of the end screws rest on it)"
    )


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
    if any(name.startswith(NO_STANDARD) for name, _, _ in here.ends.screws):
        return "nobody wrote any, and no standard length serves"
    if here.joint is not None and here.joint.thread is not None and here.joint.whole:
        return "nobody wrote any; this size serves"
    return "nobody wrote any, and not enough is known to say which"


def second_side(reported: Reported, all_of_it: Hardware) -> Iterator[Block]:
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
    shims = reported.seen.rack.case.shims if reported.seen.rack.case is not None else None
    if shims is not None and shims.high:
        points.append(f"put the shims in at this end too: {shims_text(shims)}")
    points += [
        f"row {here.row.name}: {side_screws(here, 'right')}, finger-tight"
        + (f", each with an {here.ends.washer_text}" if here.ends.washer else "")
        for here in all_of_it.rows
    ]
    rails = 2 * len(all_of_it.rows)
    points.append(
        f"stand it up: it carries {counted(rails, 'rail')} now; all end screws are still loose enough to give"
    )
    yield Points(tuple(points), boxes=True)
