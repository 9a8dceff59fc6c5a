"""The sheet about growth: in: a rack, out: room, wishes and their places, HP a month, what would hold everything."""

from collections.abc import Iterator
from datetime import date, timedelta
from fractions import Fraction
from itertools import pairwise

from rackspec.language.quantity import plain_number, show_hp
from rackspec.language.units import HP
from rackspec.model.known import Known
from rackspec.model.parts import Rail
from rackspec.model.rack import Wish
from rackspec.physics.packing import StagedPacking, most_that_fits, pack, pack_stages
from rackspec.physics.room import whole_hp
from rackspec.rules.stages import certain, overfull_at, runs_at, runs_from, taken_at
from rackspec.views.document import Block, Heading, Paragraph, Table
from rackspec.views.report_measure import measure
from rackspec.views.report_money import money
from rackspec.views.reported import Reported, open_findings, position, stage_word
from rackspec.views.text import counted

MONTH = Fraction(1461, 48)
"""Days in a month, on average of four years."""
APART = 10_000
"""HP from one row to the next, when the runs of all rows are laid on one line."""
MOST_PIECES = 200
"""Pieces of wishes that are given a place one by one."""
MOST_ROWS = 20
"""Rows that are tried when it is said what would hold everything."""


def growth(reported: Reported) -> Iterator[Block]:
    """The whole sheet."""
    yield Heading(2, "Growth")
    yield from open_findings(reported, ("growth", "money"))
    if not reported.seen.rack.rows:
        yield Paragraph("This rack has no row yet.")
    elif any(row.length is None for row in reported.seen.rack.rows):
        yield Paragraph("The length of some row is not known yet, so nothing can be said about room.")
    else:
        yield from by_stage(reported)
        yield from places(reported)
        yield from pace(reported)
        yield from all_of_it(reported)
    yield from money(reported)
    yield from measure(reported, "growth")


def placed(reported: Reported, stage: int) -> Fraction:
    """What the panels of all rows take at a stage (mm)."""
    return sum((taken_at(row, stage).nominal for row in reported.seen.rack.rows), Fraction(0))


def wished(reported: Reported, stage: int) -> Fraction:
    """What the wishes that are due by a stage take (mm), as far as their widths are known."""
    wishes = [wish for wish in reported.seen.rack.wishes if wish.since <= stage]
    return sum((wish.width.value * wish.pieces for wish in wishes if wish.width is not None), Fraction(0))


def length(reported: Reported) -> Fraction:
    """All rows together (mm)."""
    return sum((row.length.value for row in reported.seen.rack.rows if row.length is not None), Fraction(0))


def unsure(reported: Reported, stage: int) -> bool:
    """Whether the width of a panel or wish is not known at a stage."""
    rack = reported.seen.rack
    return any(row.spoiled or taken_at(row, stage).unknown for row in rack.rows) or any(
        wish.since <= stage and wish.width is None for wish in rack.wishes
    )


def by_stage(reported: Reported) -> Iterator[Block]:
    """Taken, free and wished for at each stage."""
    rows = []
    for stage in reported.stages:
        least, most = ("at least ", "at most ") if unsure(reported, stage) else ("", "")
        runs = [end - start for row in reported.seen.rack.rows for start, end in runs_at(row, stage)]
        free = length(reported) - placed(reported, stage)
        by = reported.seen.rack.stages[stage].by
        rows.append(
            (
                stage_word(reported, stage),
                by.isoformat() if by is not None else "",
                least + show_hp(placed(reported, stage)),
                most + show_hp(free),
                most + show_hp(max(runs, default=Fraction(0))),
                least + show_hp(wished(reported, stage)),
                most + show_hp(free - wished(reported, stage)),
            )
        )
    rack_length = show_hp(length(reported))
    yield Paragraph(
        f"{counted(len(reported.seen.rack.rows), 'row')}, {rack_length} together. Blanks and gaps count as "
        "taken; wishes add up from stage to stage."
    )
    head = ("stage", "by", "taken", "free", "longest run", "wished for", "left with wishes")
    yield Table(head, tuple(rows), frozenset((2, 3, 4, 5, 6)))


def whole(width: Known) -> int:
    """The whole HP that a width takes at its widest."""
    steps = width.high / HP
    return max(1, -(-steps.numerator // steps.denominator))


def packing(reported: Reported, wishes: list[Wish]) -> StagedPacking:
    """A place for every piece of every wish, in HP with the rows laid APART on one line."""
    last = reported.stages[-1]
    stages: list[list[tuple[int, int]]] = []
    for stage in reported.stages:
        spans: list[tuple[int, int]] = []
        for number, row in enumerate(reported.seen.rack.rows):
            for run in runs_from(row, stage, last):
                start, end = whole_hp(run)
                if end > start:
                    spans.append((number * APART + start, number * APART + end))
        stages.append(spans)
    items = [(whole(wish.width), wish.since) for wish in wishes for _ in range(wish.pieces) if wish.width is not None]
    return pack_stages(stages, items)


def places(reported: Reported) -> Iterator[Block]:
    """A possible place for each wish."""
    rack = reported.seen.rack
    wishes = [wish for wish in rack.wishes if wish.width is not None and wish.pieces > 0]
    if not wishes:
        return
    sure = all(certain(row, stage) and not overfull_at(row, stage) for row in rack.rows for stage in reported.stages)
    if (
        not sure
        or sum(wish.pieces for wish in wishes) > MOST_PIECES
        or any(row.length and row.length.value >= APART * HP for row in rack.rows)
    ):
        yield Paragraph(
            "No places are proposed for wishes: what stands in the rows is not all known, or there is too much of it."
        )
        return
    found = packing(reported, wishes)
    if found.verdict == "impossible":
        yield from left_out(reported, wishes)
        return
    if found.verdict != "fits":
        yield Paragraph("Whether all wishes find a place was not decided: the search was given up.")
        return
    starts = list(found.starts)
    rows = []
    for wish in wishes:
        assert wish.width is not None
        for number in range(wish.pieces):
            place = starts.pop(0)
            name = f"{wish.name} {number + 1} of {wish.pieces}" if wish.pieces > 1 else wish.name
            how = "" if not wish.width.is_guess else " guessed"
            width = show_hp(wish.width.value) + how
            rows.append(
                (
                    name,
                    f"from {stage_word(reported, wish.since)}",
                    width,
                    rack.rows[place // APART].name,
                    position(place % APART * HP),
                )
            )
    yield Paragraph("A place for every wish; others may do as well. Depth and power are not looked at here.")
    yield Table(("wish", "when", "wide", "row", "possible at"), tuple(rows))


def left_out(reported: Reported, wishes: list[Wish]) -> Iterator[Block]:
    """What finds no place, if as much as possible does at the last stage."""
    last = reported.stages[-1]
    spans = [whole_hp(run) for row in reported.seen.rack.rows for run in runs_from(row, last, last)]
    owners = [wish for wish in wishes for _ in range(wish.pieces)]
    widths = [whole(wish.width) for wish in owners if wish.width is not None]
    found = most_that_fits([max(0, end - start) for start, end in spans], widths)
    names: dict[str, int] = {}
    for index in found.left_out:
        names[owners[index].name] = names.get(owners[index].name, 0) + widths[index]
    listed = ", ".join(f"{name} ({hp}HP)" for name, hp in names.items())
    tail = f" If as much as possible is to stand at the last stage, these stay out: {listed}." if listed else ""
    yield Paragraph(f"The wishes do not all find a place in the free runs, however they are laid out.{tail}")


def dated(reported: Reported) -> list[tuple[date, Fraction, str]]:
    """The dates that are known with what is taken then, wishes included (mm)."""
    found: list[tuple[date, Fraction, str]] = []
    for stage in reported.stages:
        day = reported.seen.rack.stages[stage].by if stage else reported.day
        if day is not None and (not found or day > found[-1][0]):
            found.append((day, placed(reported, stage) + wished(reported, stage), stage_word(reported, stage)))
    return found


def hp_a_month(each: Fraction) -> str:
    """A pace (mm a month)."""
    return f"{plain_number(each / HP, 2).lstrip('~')}HP a month"


def pace(reported: Reported) -> Iterator[Block]:
    """HP a month between dated stages, and when the rack is full at that pace."""
    steps = dated(reported)
    if len(steps) < 2:
        missing = (
            "two stages with a day ('by 2027-03-01')"
            if reported.day is None
            else "a later stage with a day ('by 2027-03-01')"
        )
        yield Paragraph(f"How fast it grows is not known: that takes {missing}, or a day to start from (--on).")
        return
    rows = []
    for (day, before, name), (next_day, after, next_name) in pairwise(steps):
        months = (next_day - day).days / MONTH
        each = (after - before) / HP / months
        rows.append(
            (
                f"{name} ({day.isoformat()}) to {next_name} ({next_day.isoformat()})",
                plain_number(months, 1).lstrip("~"),
                f"{plain_number((after - before) / HP, 2)}HP",
                f"{plain_number(each, 2).lstrip('~')}HP",
            )
        )
    yield Paragraph("How fast it grows, wishes included:")
    yield Table(("from - to", "months", "more", "a month"), tuple(rows), frozenset((1, 2, 3)))
    first, last = steps[0], steps[-1]
    months = (last[0] - first[0]).days / MONTH
    each = (last[1] - first[1]) / months
    left = length(reported) - last[1]
    if left < 0:
        yield Paragraph(f"By {last[0].isoformat()} it is to hold {show_hp(-left)} more than there is.")
    elif each <= 0:
        yield Paragraph(f"It does not grow between these days; {show_hp(left)} are left at the last of them.")
    elif left == 0:
        yield Paragraph(f"It is full on {last[0].isoformat()}; over all of it {hp_a_month(each)} came in.")
    else:
        until = left / each
        when = ""
        if until < 1200 and last[0].year < 9000:
            full = last[0] + timedelta(days=int(until * MONTH))
            when = f", about {full.year}-{full.month:02d}"
        yield Paragraph(
            f"Over all of it {hp_a_month(each)}. Left on {last[0].isoformat()}: {show_hp(left)}, which is full "
            f"{plain_number(until, 1).lstrip('~')} months later{when}, if it goes on so."
        )


def all_of_it(reported: Reported) -> Iterator[Block]:
    """What would hold everything that is placed and wished for, with rails that are known."""
    stage = max(reported.stages, key=lambda number: placed(reported, number) + wished(reported, number))
    panels = [panel.width for row in reported.seen.rack.rows for panel in row.at(stage) if panel.width is not None]
    wishes = [wish for wish in reported.seen.rack.wishes if wish.since <= stage and wish.width is not None]
    items = [whole(width) for width in panels]
    for wish in wishes:
        assert wish.width is not None
        items += [whole(wish.width)] * min(wish.pieces, MOST_PIECES)
    if not items:
        return
    least = "at least " if unsure(reported, stage) else ""
    yield Paragraph(
        f"All in one row, the most that is there at one time ({stage_word(reported, stage)}, wishes included) "
        f"needs {least}{sum(items)}HP. With rails that are written down here, built anew:"
    )
    rows = []
    for rail in sorted(reported.rails, key=lambda rail: -(rail.length.value if rail.length is not None else 0)):
        if rail.length is None:
            continue
        rows.append(row_of_rails(rail, rail.length, items))
    if rows:
        yield Table(("rails", "long", "rows needed", "left then"), tuple(rows), frozenset((2, 3)))
    else:
        yield Paragraph("No rails with a length are written down here.")


def row_of_rails(rail: Rail, rail_length: Known, items: list[int]) -> tuple[str, str, str, str]:
    """How many rows of a rail hold widths in whole HP."""
    steps = rail_length.value / HP
    hp = steps.numerator // steps.denominator
    if hp < max(items):
        return (rail.name, show_hp(rail_length.value), "none", f"{max(items)}HP is too wide for it")
    number = max(1, -(-sum(items) // hp))
    while number <= MOST_ROWS:
        verdict = pack([hp] * number, items).verdict
        if verdict == "fits":
            return (rail.name, show_hp(rail_length.value), str(number), f"{hp * number - sum(items)}HP")
        if verdict == "undecided":
            return (rail.name, show_hp(rail_length.value), f"{number} or more", "not decided")
        number += 1
    return (rail.name, show_hp(rail_length.value), f"over {MOST_ROWS}", "")
