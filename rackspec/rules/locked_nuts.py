"""Nuts that the second side locks out: in: a rack with a case, out: how many have to be in the rails by then."""

from collections.abc import Iterator
from itertools import groupby

from rackspec.findings import NOTE, WARNING, Finding
from rackspec.model.rack import Have
from rackspec.rules.nut_counts import NutCount, nut_counts
from rackspec.rules.registry import Look, NotKnown
from rackspec.rules.screws import USUAL_SCREWS


def locked_out(look: Look) -> Iterator[Finding | NotKnown]:
    """One note a row whose later panels need more nuts than the start, or one warning a nut of which too few are
    there; of a nut of which nobody wrote where it goes in, that."""
    rack = look.rack
    counts = [count for count in nut_counts(look) if count.insert.enters != "front"]
    for name, group in groupby(
        sorted(counts, key=lambda count: count.insert.name), key=lambda count: count.insert.name
    ):
        rows = list(group)
        late = [count for count in rows if count.later.both > 0]
        if not late:
            continue
        if not rows[0].insert.enters:
            if not rows[0].insert.spoiled:
                how = (
                    "look whether a nut goes in from the front once both sides are on ('enters front' or 'enters end')"
                )
                yield NotKnown(name, "where it goes into the rail", how, rows[0].insert.place)
            continue
        have = [item for item in rack.have if item.part == name]
        there = sum(item.pieces for item in have)
        if have and there < sum(count.most.both for count in rows):
            yield _too_few(look, rows, have, there)
        else:
            yield from (_for_later(look, count) for count in late)


def when(look: Look, count: NutCount) -> str:
    """The nuts of a row by the time that first needs them: ``20 from the start + 6 from 'spring' + 4 for 'echo'``."""
    parts = []
    for stage, more in count.steps():
        parts.append(f"{more} more at '{look.rack.stages[stage].name}'" if stage else f"{more} from the start")
    if count.for_wishes:
        names = ", ".join(f"'{wish.name}'" for wish in count.wishes)
        parts.append(f"{count.for_wishes} in case {names} {'come' if len(count.wishes) > 1 else 'comes'} here")
    least = "at least " if count.unknown else ""
    return f"{' + '.join(parts)} = {least}{count.most.both}"


def by_rail(count: NutCount) -> str:
    """How many go where: ``20 into the bottom rail and 20 into the top rail of row 'porch'``."""
    most = count.most
    if most.bottom == most.top:
        return f"{most.bottom} into each rail of row '{count.row.name}'"
    return f"{most.bottom} into the bottom rail and {most.top} into the top rail of row '{count.row.name}'"


def _trust(counts: list[NutCount]) -> str:
    """What the numbers rest on."""
    assumed = sum(len(count.assumed) for count in counts)
    parts = ["screws of panels as written"]
    if assumed:
        parts.append(
            f"{USUAL_SCREWS} assumed for each of {assumed} panels"
            if assumed > 1
            else f"{USUAL_SCREWS} assumed for one panel"
        )
    if any(count.for_wishes for count in counts):
        parts.append(f"{USUAL_SCREWS} assumed for each wish")
    return "; ".join(parts)


def _for_later(look: Look, count: NutCount) -> Finding:
    """The note about a row."""
    rack, later, most = look.rack, count.later.both, count.most.both
    least = "at least " if count.unknown else ""
    return Finding(
        "locked-out-later",
        NOTE,
        f"{later} of the {least}{most} nuts of row '{count.row.name}' are for later: they go in at the end of the "
        "rails, so before the second side is on",
        count.row.place,
        others=(count.insert.place.labelled("goes in at the end"),),
        sum=when(look, count),
        remedy=f"thread {by_rail(count)} before the second side goes on",
        rests_on=_trust([count]),
        names=(rack.full(count.row.name),),
    )


def _too_few(look: Look, counts: list[NutCount], have: list[Have], there: int) -> Finding:
    """The warning about a nut."""
    rack, name = look.rack, counts[0].insert.name
    total = sum(count.most.both for count in counts)
    least = "at least " if any(count.unknown for count in counts) else ""
    each = "; ".join(f"row '{count.row.name}': {when(look, count)}" for count in counts)
    return Finding(
        "locked-out-later",
        WARNING,
        f"{there} of '{name}' are there; {least}{total} have to be in the rails before the second side goes on",
        have[0].place,
        others=tuple(count.row.place.labelled(f"wants {count.most.both}") for count in counts),
        sum=f"{each}; {total} - {there} = {total - there}",
        remedy=f"get {total - there} more, and thread {', '.join(by_rail(count) for count in counts)}",
        rests_on=_trust(counts),
        names=tuple(rack.full(count.row.name) for count in counts),
    )
