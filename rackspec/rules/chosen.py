"""Rows on their rails: in: a rack, out: what keeps its panels from holding, on the first choice of rails that does."""

from collections.abc import Iterator

from rackspec.findings import ERROR, Finding
from rackspec.model.rack import Row
from rackspec.physics.margin import Margin
from rackspec.rules.choices import Chosen, chosen_of, errors_in, unknown_of
from rackspec.rules.heights import missed_heights, outside_holes
from rackspec.rules.holes import too_small_holes
from rackspec.rules.registry import Look, Seen
from rackspec.rules.screw_calls import closest_screw
from rackspec.rules.screws import lengths, wrong_threads
from rackspec.rules.side_by_side import crowded, sideways
from rackspec.rules.strips import missed_threads


def rejected(look: Look, chosen: Chosen) -> Iterator[Finding]:
    """An insert that the rail does not take."""
    rail, insert = chosen.rail, chosen.insert
    if rail is None or insert is None or not rail.takes or insert.name in {name for name, _ in rail.takes}:
        return
    names = [f"'{name}'" for name, _ in rail.takes]
    yield Finding(
        "rail-rejects-insert",
        ERROR,
        f"rail '{rail.name}' does not take '{insert.name}'",
        chosen.choice.place,
        others=(rail.takes[0][1].labelled("what it takes"),),
        remedy=f"use {' or '.join(names)} with these rails, or other rails",
        rests_on="what the rail says it takes",
        names=(look.rack.full(chosen.row.name),),
    )


def faults_of(look: Look, chosen: Chosen) -> list[Finding]:
    """Everything that keeps the panels of a row from holding on one choice; worked out once."""
    memory = look.memory.setdefault("faults of", {})
    key = chosen.choice.place
    if key not in memory:
        memory[key] = _faults_of(look, chosen)
    found: list[Finding] = memory[key]
    return found


def _faults_of(look: Look, chosen: Chosen) -> list[Finding]:
    found = list(rejected(look, chosen))
    if found:
        return found  # the other sums would be about an insert that is not there
    for look_at in (outside_holes, too_small_holes, missed_threads, missed_heights):
        found += look_at(look, chosen)
    found += crowded(look, chosen)
    for look_at in (wrong_threads, lengths):
        found += look_at(look, chosen)
    return found


def margin_of(look: Look, chosen: Chosen) -> Margin | None:
    """How near the panels of a row are to not going in side by side, on a choice on which they do."""
    if any(finding.rule == "rail-rejects-insert" for finding in faults_of(look, chosen)):
        return None
    return next(sideways(look, chosen), None)


def too_short(chosen: Chosen) -> bool:
    """Whether a pair of rails is shorter than the row has to be."""
    length = chosen.rail.length if chosen.rail is not None else None
    return length is not None and chosen.row.length is not None and length.value < chosen.row.length.value


def faults_at_ends(look: Look, chosen: Chosen) -> list[Finding]:
    """What is wrong with the end screws of a row on one choice; ``end-screw-wrong`` tells it of the one it is built
    with."""
    if chosen.row.standing.end_screws is None:
        return []
    from rackspec.rules.end_faults import end_faults  # rows without end screws never need it
    from rackspec.rules.end_joints import joint_of

    joint = joint_of(look, chosen)
    return [seen for seen in end_faults(look, joint) if isinstance(seen, Finding)] if joint is not None else []


def panels_hold(look: Look, chosen: Chosen) -> bool:
    """Whether the panels of a row hold on a choice: it is long enough, and nothing about them is an error."""
    return not too_short(chosen) and not errors_in(faults_of(look, chosen))


def does(look: Look, chosen: Chosen) -> bool:
    """Whether a row can be built with a choice: its panels hold on the rails, and its end screws hold the rails."""
    return panels_hold(look, chosen) and not errors_in(faults_at_ends(look, chosen))


def chosen_one(look: Look, row: Row) -> Chosen | None:
    """The first choice of rails that does for a row, else its first one; None where it names none."""
    first: Chosen | None = None
    for choice in row.choices:
        chosen = chosen_of(row, choice)
        first = first or chosen
        if len(row.choices) == 1 or does(look, chosen):
            return chosen
    return first


def faults_of_rows(look: Look) -> list[Seen]:
    """The faults of all rows, and how near they are to one. A row whose every choice has faults is told those of the
    first."""
    found: list[Seen] = []
    for row in look.rack.rows:
        chosen = chosen_one(look, row)
        if chosen is None:
            continue
        found += [*faults_of(look, chosen), *unknown_of(look, chosen)]
        if panels_hold(look, chosen):
            found += [call for call in (margin_of(look, chosen), closest_screw(look, chosen)) if call is not None]
    return found
