"""What a rack is bolted together with: in: its hardware, out: what to buy, and what becomes of supplied screws."""

from collections.abc import Iterator

from rackspec.rules.hardware import NUT, Hardware, Item
from rackspec.rules.nut_counts import screwed_on
from rackspec.views.document import Block, Heading, Paragraph, Table
from rackspec.views.reported import Reported, stage_word


def buying(reported: Reported, all_of_it: Hardware) -> Iterator[Block]:
    """The whole list, with where its numbers come from."""
    yield Heading(4, "What to buy for it")
    yield Paragraph(
        "Everything that the rack is bolted together with, at the stage at which most of it has to be bought: "
        "needed, less what comes along with the panels that are there then, less what is there already."
    )
    if all_of_it.items:
        rows = tuple(item_row(reported, item) for item in all_of_it.items)
        yield Table(
            ("part", "needed", "along", "have", "to buy", "where the number comes from"), rows, frozenset((2, 3, 4))
        )
    for text in remarks(reported, all_of_it):
        yield Paragraph(text)
    yield from supplied(all_of_it)


def item_row(reported: Reported, item: Item) -> tuple[str, ...]:
    """A line of the list."""
    least = "at least " if item.at_least else ""
    when = f" at {stage_word(reported, item.stage)}" if item.stage else ""
    return (
        item.part,
        f"{least}{item.needed}{when}",
        "" if item.along is None else str(item.along),
        str(item.there),
        f"{least}{item.to_buy}",
        sources(item),
    )


def sources(item: Item) -> str:
    """Where a number comes from: ``end screw, 2 rails x 2 ends: rows upper, lower``."""
    rows: dict[tuple[str, str], list[str]] = {}
    for use in item.uses:
        rows.setdefault((use.kind, use.source), []).append(use.row)
    parts = []
    for (kind, source), names in rows.items():
        what = f"{kind}, " if len(item.kinds) > 1 else ""
        parts.append(f"{what}{source}: {'rows' if len(names) > 1 else 'row'} {', '.join(names)}")
    return "; ".join(parts)


def remarks(reported: Reported, all_of_it: Hardware) -> Iterator[str]:
    """What the list does not say by itself."""
    rack = reported.seen.rack
    if all_of_it.bare:
        names = ", ".join(row.name for row in all_of_it.bare)
        yield f"Not in this list: {names}, of which no rails are named."
    if any(NUT in item.kinds for item in all_of_it.items):
        yield (
            "Nuts are counted for all stages together, the most at once on each rail: those that enter at the end of a "
            "rail go in before the second side piece. A few more cost little."
        )
    if rack.wishes:
        yield (
            "Nuts for wishes are counted in every row into which they may come; their screws are not in this list, "
            "because a wish has no row yet."
        )
    twice = sorted(jars(reported))
    if twice:
        yield (
            f"Of {', '.join(twice)} some came with modules that are there already: if they lie in the same jar, they "
            "are counted twice here, under 'along' and under 'have'. Count the jar again before you order."
        )


def jars(reported: Reported) -> set[str]:
    """Designations of screws that are there, and that also came with modules that are there."""
    rack = reported.seen.rack
    there = {item.part for item in rack.have if item.pieces}
    return {
        panel.part.screws.designation
        for row in rack.rows
        for panel in screwed_on(row)
        if panel.part is not None and panel.part.screws is not None and panel.part.name in there
        if panel.part.screws.designation in there
    }


def supplied(all_of_it: Hardware) -> Iterator[Block]:
    """What becomes of the screws that come with panels."""
    rows = []
    for one in all_of_it.supplied:
        why = [f"{many} in row {row}: {reason}" for row, reason, many in one.why]
        spare = one.left - sum(many for _, _, many in one.why)
        if spare > 0:
            why.append(f"{spare} spare, when panels go out")
        elif spare < 0:
            why.append(f"{-spare} of them serve elsewhere in this rack")
        rows.append((one.part, str(one.pieces), str(one.used), str(one.left), "; ".join(why) or "all of them are used"))
    if rows:
        yield Paragraph("Screws that come with panels, over all stages; left over is what cannot be used in this rack:")
        yield Table(("screws", "come", "used", "left over", "why"), tuple(rows), frozenset((1, 2, 3)))
