"""The whole comparison, on one page: in: two results, out: what is otherwise, and what that comes to.

Facts are compared, not texts: comments, the order of blocks, the file that a block stands in and the way a value is
written make no difference. Which thing is which is found first; then each pair is held against each other.
"""

from __future__ import annotations

from rackspec.comparison.facts import Names, same_lines
from rackspec.comparison.figures import figures_of, lone_figures
from rackspec.comparison.found import finding_changes
from rackspec.comparison.gaps import Seen, gaps_of
from rackspec.comparison.holes import hole_changes
from rackspec.comparison.keys import numbered, stamped
from rackspec.comparison.library import part_alone, part_changes
from rackspec.comparison.order import in_order
from rackspec.comparison.racks import rack_changes
from rackspec.comparison.record import ADDED, CHANGED, REMOVED, RENAMED, Change, Comparison, RackFigures
from rackspec.comparison.renames import Calls, Renames
from rackspec.comparison.things import RACK, Matched, Thing, is_missed, library_of, match, things_of
from rackspec.comparison.touches import Uses
from rackspec.comparison.unknowns import unknowns
from rackspec.findings import Finding
from rackspec.pipeline import Result
from rackspec.rules.registry import load_rules


def compare(old: Result, new: Result, racks: tuple[str, str] | None = None) -> Comparison:
    """What the change from one result to another does.

    With ``racks`` two racks of the new result are compared (layout A or B). Raises KeyError if one is not in it.
    """
    if racks is not None:
        return _layouts(new, racks)
    matched = match(old, new)
    renames = Renames(matched.library, {})
    uses_before, uses = Uses(old), Uses(new)
    quiet = is_quiet(old, new, matched)
    changes: list[Change] = []
    figures: list[RackFigures] = []
    for one, other in matched.pairs:
        if other.kind == RACK:
            if one.name != other.name:
                changes.append(stamped(Change(RENAMED, RACK, other.name, other.name, was=one.name)))
            found = _rack(one, other, Renames(library_of(one, other, matched), renames.inside), quiet)
            changes += found[0]
            figures += found[1]
        else:
            changes += part_changes(one, other, library_of(one, other, matched), uses)
    for thing in matched.gone:
        if thing.named or is_missed(thing.name, new):
            changes.append(part_alone(REMOVED, thing, uses_before))
            figures += _alone(REMOVED, thing, not_understood(new) > 0)
    for thing in matched.new:
        if thing.named or is_missed(thing.name, old):
            changes.append(part_alone(ADDED, thing, uses))
            figures += _alone(ADDED, thing, not_understood(old) > 0)
    return Comparison(
        pair=None,
        racks=tuple(sorted(figures, key=lambda rack: rack.name)),
        changes=tuple(numbered(in_order(changes))),
        findings=tuple(finding_changes(old.findings, new.findings, renames)),
        not_understood=(not_understood(old), not_understood(new)),
        all_racks=(len(old.racks), len(new.racks)),
    )


def is_quiet(old: Result, new: Result, matched: Matched) -> bool:
    """Whether nothing but racks is otherwise, and every line was understood: then a rack of the same facts has the same
    drill points, which take longer to work out than all else."""
    if not_understood(old) or not_understood(new):
        return False
    if any(thing.kind != RACK for thing in (*matched.gone, *matched.new)):
        return False
    return all(same_lines(one.block, other.block) for one, other in matched.pairs if other.kind != RACK)


def _rack(one: Thing, other: Thing, renames: Renames, quiet: bool = False) -> tuple[list[Change], list[RackFigures]]:
    """What is otherwise in a rack, and what it comes to; ``renames`` learns what its things are called now. ``quiet``:
    nothing is otherwise around it."""
    assert one.rack is not None and other.rack is not None
    found = rack_changes(one, other, Names(renames.library))
    calls = renames.inside[one.name] = Calls(found.names)
    old, new = seen_of(one), seen_of(other)
    figures = figures_of(old, new, calls.also(found.replaced), renames.library)
    facts = unknowns(old, new, renames)
    same = quiet and not found.changes
    holes = () if same else tuple(hole_changes(old, new, calls, renames.library))
    if not (figures or any(facts) or holes):
        return found.changes, []
    rack = other.rack.rack
    action = RENAMED if one.name != other.name else CHANGED
    was = one.name if one.name != other.name else ""
    return found.changes, [
        RackFigures(
            rack.name,
            was,
            rack.title,
            rack.file.name,
            action,
            tuple(figures),
            facts.unknown,
            facts.answered,
            facts.forgotten,
            max(len(old.rack.rows), len(new.rack.rows)),
            max(len(old.rack.feeds), len(new.rack.feeds)),
            holes,
        )
    ]


def seen_of(thing: Thing) -> Seen:
    """A rack with what cannot be counted of it."""
    assert thing.rack is not None
    return Seen(thing.rack, gaps_of(thing.block, thing.rack.rack))


def _alone(action: str, thing: Thing, unsure: bool) -> list[RackFigures]:
    """What a rack comes to that is on one side only. ``unsure``: of the other side not every line was understood."""
    if thing.rack is None:
        return []
    rack = thing.rack.rack
    figures = tuple(lone_figures(seen_of(thing), action == ADDED, unsure))
    sizes = len(rack.rows), len(rack.feeds)
    return [RackFigures(rack.name, "", rack.title, rack.file.name, action, figures, (), (), (), *sizes)]


KEPT = frozenset({"fact-missing", "version-not-known"})
"""Rules of reading after which all lines are there all the same."""


def not_understood(result: Result) -> int:
    """How many lines of a side were not understood, or stand there twice, so that what they say is not compared."""
    rules = load_rules()
    return sum(
        (rules[finding.rule].subject == "reading" and finding.rule not in KEPT)
        or (finding.rule == "name-taken" and not finding.names)
        for finding in result.findings
        if finding.rule in rules
    )


def _layouts(result: Result, names: tuple[str, str]) -> Comparison:
    """Two racks of one side."""
    racks = {thing.name: thing for thing in things_of(result) if thing.kind == RACK}
    one, other = racks[names[0]], racks[names[1]]
    renames = Renames(
        Calls({one.name: other.name}), {}
    )  # no part is called otherwise, and no part has the name of a rack
    changes, figures = _rack(one, other, renames)
    old = [finding for finding in result.findings if is_about(finding, one)]
    new = [finding for finding in result.findings if is_about(finding, other)]
    return Comparison(
        pair=names,
        racks=tuple(figure._replace(action=CHANGED) for figure in figures),
        changes=tuple(numbered(in_order(changes))),
        findings=tuple(finding_changes(old, new, renames)),
        not_understood=(not_understood(result), not_understood(result)),
        all_racks=(1, 1),
    )


def is_about(finding: Finding, thing: Thing) -> bool:
    """Whether a finding is about a rack: it names it or a thing in it, or names nothing and stands in its block."""
    if finding.names:
        return any(name == thing.name or name.startswith(thing.name + "/") for name in finding.names)
    header, last = thing.block.header, thing.block.order
    if header is None or finding.place.source is not header.source or finding.place.start < header.offset:
        return False
    return bool(last) and finding.place.start <= _end(thing)


def _end(thing: Thing) -> int:
    """Where the last line of a thing's block begins and ends."""
    block = thing.block
    while block.order and block.order[-1].block is not None:
        block = block.order[-1].block
    fact = block.order[-1] if block.order else block.header
    assert fact is not None
    end = fact.source.text.find("\n", fact.offset)
    return end if end >= 0 else len(fact.source.text)
