"""Changes of a rack: in: a rack of each side, out: what is otherwise in it, and how its things are called now."""

from __future__ import annotations

from typing import NamedTuple

from rackspec.comparison.blocks import Difference, Sides, differences, heads, lines_of, order_of
from rackspec.comparison.facts import PLACING, Names, said, same_lines, subject, written
from rackspec.comparison.insides import Insides, Pairs, match_insides
from rackspec.comparison.keys import stamped
from rackspec.comparison.outlines import outline
from rackspec.comparison.pairs import pair_up
from rackspec.comparison.panels import Where, panel_changes
from rackspec.comparison.placed import match_placed, placed_in
from rackspec.comparison.record import ADDED, CHANGED, REMOVED, RENAMED, REORDERED, Change
from rackspec.comparison.things import Thing
from rackspec.language.bound import Block, Fact

TOLD_APART = frozenset({"stage", "row", "about", "wish", "bus", "case", "waive"})
"""Words of a rack that are told as things of their own."""


class RackChanges(NamedTuple):
    """What is otherwise in a rack; how the new side calls what the old one has (names in the rack); and what stands in
    the place of what was replaced."""

    changes: list[Change]
    names: dict[str, str]
    replaced: dict[str, str]


def rack_changes(old: Thing, new: Thing, library: Names) -> RackChanges:
    """Hold two racks against each other. ``library`` is how parts are called on the new side."""
    assert old.rack is not None and new.rack is not None
    if old.name == new.name and not library.library.names and _is_same(old, new):
        return RackChanges([], {}, {})
    sides = Sides(library._replace(rack=old.name), Names(rack=new.name))
    insides = match_insides(old.block, new.block, sides)
    sides = insides.sides
    where = Where(old.name, new.name)
    ours = placed_in(old.block, old.rack.rack, sides.old)
    theirs = placed_in(new.block, new.rack.rack, sides.new)
    pairs = match_placed(ours, theirs)
    known = [*sides.old.inside.items(), *((one.own, other.own) for one, other in pairs.same if one.own)]
    known += [(name, name) for name in boxes_of(old.block) & boxes_of(new.block)]
    names = one_to_one(known)
    after = {name: name for name in names.values()}
    sides = Sides(sides.old._replace(inside=names), sides.new._replace(inside=after))
    found = differences(old.block, new.block, sides, TOLD_APART)
    changes = [change_of("rack", new.name, where, difference) for difference in found]
    changes += _stages(old.block, new.block, insides, sides, where)
    changes += _blocks("row", insides.rows, sides, where, PLACING)
    changes += panel_changes(pairs, where, theirs)
    changes += _blocks("wish", insides.wishes, sides, where)
    changes += _blocks("bus", insides.buses, sides, where)
    changes += _abouts(old.block, new.block, sides, where)
    changes += _case(old.block, new.block, sides, where)
    changes += _waivers(old.block, new.block, sides, where)
    replaced = one_to_one([(one.own, other.own) for one, other in pairs.replaced if one.own and other.own])
    return RackChanges(changes, names, replaced)


def one_to_one(pairs: list[tuple[str, str]]) -> dict[str, str]:
    """Names by names. Where a name was given twice, which is a slip, the pair that is nearest to no change counts."""
    names: dict[str, str] = {}
    taken: set[str] = set()
    for one, other in sorted(pairs, key=lambda pair: (pair[0] != pair[1], sorted(pair))):
        if one not in names and other not in taken:
            names[one] = other
            taken.add(other)
    return names


def boxes_of(block: Block) -> set[str]:
    """The names of the boxes in the case of a rack."""
    cases = [fact.block for fact in block.all("case") if fact.block is not None]
    return {fact.text("box") for case in cases for fact in case.all("box")}


def _is_same(old: Thing, new: Thing) -> bool:
    """Whether two racks hold the same lines and every panel stands where it stood."""
    assert old.rack is not None and new.rack is not None
    if not same_lines(old.block, new.block):
        return False
    ours, theirs = old.rack.rack.panels(), new.rack.rack.panels()
    return [panel.start for panel in ours] == [panel.start for panel in theirs]


def change_of(kind: str, name: str, where: Where, found: Difference) -> Change:
    """A fact that is otherwise."""
    action = REORDERED if found.word.endswith(" order") else CHANGED
    word = found.word.removesuffix(" order")
    change = Change(action, kind, name, where.new, word=word, old=found.old, new=found.new, levels=found.levels)
    return stamped(change, found.was, found.now)


def _stages(old: Block, new: Block, insides: Insides, sides: Sides, where: Where) -> list[Change]:
    """Stages: their facts, and their order."""
    changes: list[Change] = []
    others = frozenset(fact.word for block in (old, new) for fact in block.order) - {"stage"}
    ours = {id(line.fact): line for line in lines_of(old, sides.old, others)}
    theirs = {id(line.fact): line for line in lines_of(new, sides.new, others)}
    for one, other in insides.stages:
        changes += _named("stage", one, other, where)
        if one is not None and other is not None:
            name = f"{where.new}/{other.text('stage')}"
            changes += [change_of("stage", name, where, found) for found in heads(one, other, sides)]
    both = [(ours[id(one)], theirs[id(other)]) for one, other in insides.stages if one and other]
    return changes + [change_of("rack", where.new, where, found) for found in order_of(both, "stage")]


def _named(word: str, one: Fact | None, other: Fact | None, where: Where) -> list[Change]:
    """A thing of a rack that is on one side only, or has another name."""
    if other is None:
        assert one is not None
        was = f"{where.old}/{one.text(word)}"
        return [stamped(Change(REMOVED, word, was, where.new, old=outline(one)))]
    now = f"{where.new}/{other.text(word)}"
    if one is None:
        return [stamped(Change(ADDED, word, now, where.new, new=outline(other)))]
    if one.text(word) != other.text(word):
        return [stamped(Change(RENAMED, word, now, where.new, was=f"{where.old}/{one.text(word)}"))]
    return []


def _blocks(word: str, pairs: Pairs, sides: Sides, where: Where, without: frozenset[str] = frozenset()) -> list[Change]:
    """Blocks of a rack: rows, wishes, busses."""
    changes: list[Change] = []
    for one, other in pairs:
        changes += _named(word, one, other, where)
        if one is not None and other is not None:
            name = f"{where.new}/{other.text(word)}"
            found = differences(one.block, other.block, sides, without)
            changes += [change_of(word, name, where, difference) for difference in found]
    return changes


def _abouts(old: Block, new: Block, sides: Sides, where: Where) -> list[Change]:
    """What is said of single specimens: told as facts of the panel."""

    def target(item: tuple[Fact, Names]) -> str:
        return item[1].of(item[0].text("about"), ("placed",))

    def name(item: tuple[Fact, Names]) -> str:
        return item[0].text("about").removeprefix(item[1].rack + "/")

    pairs, left, left_new = pair_up(
        [(fact, sides.old) for fact in old.all("about")], [(fact, sides.new) for fact in new.all("about")], target, name
    )
    both: Pairs = [(one, other) for (one, _), (other, _) in pairs]
    both += [*((fact, None) for fact, _ in left), *((None, fact) for fact, _ in left_new)]
    changes: list[Change] = []
    for one, other in both:
        fact = other or one
        assert fact is not None
        side, rack = (sides.new, where.new) if other is not None else (sides.old, where.old)
        full = f"{rack}/{name((fact, side))}"
        found = differences(one.block if one else None, other.block if other else None, sides)
        changes += [change_of("about", full, where, difference) for difference in found]
        if not found and (one is None or other is None):
            changes.append(stamped(Change(REMOVED if other is None else ADDED, "about", full, where.new)))
    return changes


def _case(old: Block, new: Block, sides: Sides, where: Where) -> list[Change]:
    """The case of a rack."""
    one, other = next(iter(old.all("case")), None), next(iter(new.all("case")), None)
    if one is None and other is None:
        return []
    if one is None or other is None:
        action = REMOVED if other is None else ADDED
        texts = ["" if fact is None else outline(fact) or "a case" for fact in (one, other)]
        return [stamped(Change(action, "case", where.new, where.new, old=texts[0], new=texts[1]))]
    found = differences(one.block, other.block, sides)
    return [change_of("case", where.new, where, difference) for difference in found]


def _waivers(old: Block, new: Block, sides: Sides, where: Where) -> list[Change]:
    """What is accepted: each waiver by its rule and what it is held on."""
    pairs, gone, added = pair_up(
        [(fact, sides.old) for fact in old.all("waive")],
        [(fact, sides.new) for fact in new.all("waive")],
        lambda item: said(item[0], item[1]),
        lambda item: subject(item[0], item[1]),
        lambda item: (item[0].text("waive"), item[0].text("on").removeprefix(item[1].rack + "/")),
    )
    changes = []
    for (one, _), (other, _) in pairs:
        says = said(one, sides.old), said(other, sides.new)
        if says[0] != says[1]:
            change = _waiver(CHANGED, other, where.new, where)
            changes.append(stamped(change._replace(old=written(one), new=written(other)), *says))
    for fact, _ in gone:
        changes.append(stamped(_waiver(REMOVED, fact, where.old, where)._replace(old=written(fact))))
    for fact, _ in added:
        changes.append(stamped(_waiver(ADDED, fact, where.new, where)._replace(new=written(fact))))
    return changes


def _waiver(action: str, fact: Fact, rack: str, where: Where) -> Change:
    """A change of a waiver; its name is that of the thing it is held on."""
    on = fact.text("on").removeprefix(rack + "/")
    name = f"{rack}/{on}" if on and on != rack else rack
    return Change(action, "waiver", name, where.new, word=fact.text("waive"))
