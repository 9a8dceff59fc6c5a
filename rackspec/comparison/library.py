"""Changes of the library and the house: in: a named thing of each side, out: the facts in which they differ."""

from __future__ import annotations

from rackspec.comparison.blocks import Sides, differences
from rackspec.comparison.facts import Names, same_lines
from rackspec.comparison.keys import stamped
from rackspec.comparison.outlines import outline
from rackspec.comparison.record import ADDED, CHANGED, RENAMED, REORDERED, Change
from rackspec.comparison.renames import Calls
from rackspec.comparison.things import RACK, Thing
from rackspec.comparison.touches import Uses


def part_changes(old: Thing, new: Thing, library: Calls, uses: Uses) -> list[Change]:
    """What is otherwise with a part, a seller or the house; what is ``like`` it is not told again."""
    if not library.names and old.name == new.name and same_lines(old.block, new.block):
        return []
    changes = []
    if old.name != new.name:
        changes.append(stamped(Change(RENAMED, new.kind, new.name, was=old.name)))
    for found in differences(old.block, new.block, Sides(Names(library))):
        action = REORDERED if found.word.endswith(" order") else CHANGED
        word = found.word.removesuffix(" order")
        change = Change(action, new.kind, new.name, word=word, old=found.old, new=found.new, levels=found.levels)
        changes.append(stamped(change, found.was, found.now))
    touches = uses.of(new.name) if changes else ()
    return [change._replace(touches=touches) for change in changes]


def part_alone(action: str, thing: Thing, uses: Uses) -> Change:
    """A thing that is on one side only."""
    header = thing.block.header
    assert header is not None
    text = outline(header)
    rack, touches = (thing.name, ()) if thing.kind == RACK else ("", uses.of(thing.name))
    texts = ("", text) if action == ADDED else (text, "")
    return stamped(Change(action, thing.kind, thing.name, rack, old=texts[0], new=texts[1]))._replace(touches=touches)
