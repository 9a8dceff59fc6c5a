"""Changes of panels: in: which panel of a rack is which, out: what was added, removed, renamed, replaced, put to
another time, or written otherwise; what moved is looked at in ``moves``."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from rackspec.comparison.facts import written
from rackspec.comparison.keys import stamped
from rackspec.comparison.moves import Move, moves_of
from rackspec.comparison.placed import Placed, PlacedPairs, kind_of, label, width_text
from rackspec.comparison.record import ADDED, CHANGED, PINNED, REMOVED, RENAMED, REPLACED, Change, Detail, Spot
from rackspec.language.quantity import show
from rackspec.model.parts import PanelPart


class Where(NamedTuple):
    """The names of a rack on the two sides."""

    old: str
    new: str

    def was(self, placed: Placed) -> str:
        """The full name of a panel of the old side; of a blank without a name, that of its row."""
        return f"{self.old}/{placed.own or placed.spot.row}"

    def now(self, placed: Placed) -> str:
        """The full name of a panel of the new side; of a blank without a name, that of its row."""
        return f"{self.new}/{placed.own or placed.spot.row}"


def panel_changes(pairs: PlacedPairs, where: Where, new: list[Placed]) -> list[Change]:
    """Everything that is otherwise with the panels of a rack. ``new`` are all panels of the new side."""
    changes: list[Change] = []
    touched: set[int] = set()
    pinned: dict[tuple[str, str, str], list[tuple[Placed, Placed]]] = {}
    moving = [Move(old, other) for old, other in pairs.same if is_moving(old, other)]
    moved, alone = moves_of(moving, pairs.same, new, where.new)
    touched.update(id(move.new) for move in moving)
    changes += moved
    for old, other in pairs.same:
        own = [*_own_changes(old, other, where)]
        changes += own
        if old.follows != other.follows and id(other) not in alone:
            pinned.setdefault((other.spot.row, old.spot.word, other.spot.word), []).append((old, other))
        elif not own and id(other) not in touched and old.says != other.says:
            changes.append(_written_otherwise(old, other, where))
    changes += [_pinned(row, words, group, where) for (row, *words), group in sorted(pinned.items())]
    changes += [_replaced(old, other, where) for old, other in pairs.replaced]
    changes += [_alone(REMOVED, placed, where.was(placed), where) for placed in pairs.gone]
    changes += [_alone(ADDED, placed, where.now(placed), where) for placed in pairs.new]
    return changes


def is_moving(old: Placed, new: Placed) -> bool:
    """Whether a panel is in another row or starts elsewhere."""
    return old.new_spot.row != new.spot.row or old.start != new.start


def _own_changes(old: Placed, new: Placed, where: Where) -> Iterable[Change]:
    """What is otherwise with a panel besides its place."""
    base = Change(CHANGED, kind_of(new), where.now(new), where.new, before=old.spot, after=new.spot)
    if old.name != new.name:
        yield stamped(base._replace(action=RENAMED, was=where.was(old)))
    if (old.new_spot.part or old.spot.what) != (new.spot.part or new.spot.what):
        yield _replaced(old, new, where)
    elif kind_of(new) != "panel" and old.spot.width != new.spot.width:
        yield stamped(base._replace(word="width", old=width_text(old.spot), new=width_text(new.spot)))
    if (old.new_spot.since, old.new_spot.until) != (new.new_spot.since, new.new_spot.until):
        yield stamped(base._replace(word="stage", old=when(old.spot), new=when(new.spot)))
    if {old.spot.word, new.spot.word} == {"next", "instead"}:
        yield stamped(base._replace(word="place", old=old.spot.word, new=new.spot.word))


def when(spot: Spot) -> str:
    """From which stage on and until which a panel is there, in words."""
    parts = [f"in {spot.since}"] if spot.since else []
    if spot.until:
        parts.append(f"until {spot.until}")
    return " ".join(parts) or "from the start"


def _written_otherwise(old: Placed, new: Placed, where: Where) -> Change:
    """A line that says something else, though the panel is as it was (such as how exactly its place is known)."""
    change = Change(CHANGED, kind_of(new), where.now(new), where.new, word=new.spot.word)
    change = change._replace(old=written(old.fact), new=written(new.fact), before=old.spot, after=new.spot)
    return stamped(change, old.says, new.says)


def _pinned(row: str, words: list[str], group: list[tuple[Placed, Placed]], where: Where) -> Change:
    """Panels of a row whose places are written down, or are no longer."""
    return stamped(
        Change(
            PINNED,
            "row",
            f"{where.new}/{row}",
            where.new,
            old=words[0],
            new=words[1],
            before=group[0][0].spot,
            after=group[0][1].spot,
            names=tuple(label(new, where.new) for _, new in group),
        )
    )


def _replaced(old: Placed, new: Placed, where: Where) -> Change:
    """Another part in the same place, or under the same name."""
    was, now = where.was(old), where.now(new)
    same = old.name == new.name or (not old.name and not new.name)
    details = differing(old.panel.part if old.panel else None, new.panel.part if new.panel else None)
    if old.spot.width != new.spot.width and not ("panel" == kind_of(old) == kind_of(new)):
        details = (Detail("width", width_text(old.spot), width_text(new.spot)),)
    return stamped(
        Change(
            REPLACED,
            "panel",
            now,
            where.new,
            was="" if same else was,
            old=part_text(old.spot),
            new=part_text(new.spot),
            before=old.spot,
            after=new.spot,
            details=details,
        )
    )


def part_text(spot: Spot) -> str:
    """What stands somewhere: its part, or a blank or gap with its width."""
    return spot.part or f"{spot.what} {width_text(spot)}"


def _alone(action: str, placed: Placed, name: str, where: Where) -> Change:
    """A panel that is on one side only."""
    spots = (placed.spot, None) if action == REMOVED else (None, placed.spot)
    return stamped(Change(action, kind_of(placed), name, where.new, before=spots[0], after=spots[1]))


ORDER = ("width", "depth", "plug", "draws", "gives", "price")
"""The values of a part in the order in which they are told."""


def differing(old: PanelPart | None, new: PanelPart | None) -> tuple[Detail, ...]:
    """In what two parts differ, of what matters most; nothing where one side has no part, or none that is found."""
    if old is None or new is None:
        return ()
    ours, theirs = facts_of(old), facts_of(new)
    words = sorted({*ours, *theirs}, key=lambda word: (ORDER.index(word.partition(" ")[0]), word))
    sides = [(ours.get(word, _left_out(old, word)), theirs.get(word, _left_out(new, word))) for word in words]
    found = [Detail(word, one[0], other[0]) for word, (one, other) in zip(words, sides, strict=True)]
    exact = [(one[1], other[1]) for one, other in sides]
    return tuple(detail for detail, (one, other) in zip(found, exact, strict=True) if one != other)


PRACTICE_KNOWS = ("+12V", "-12V")
"""Voltages of which a module that leaves them out is not known to draw nothing."""


def _left_out(part: PanelPart, word: str) -> tuple[str, object]:
    """What a value comes to that a part leaves out: none, where it says the others of its kind; else nobody knows."""
    if part.spoiled:
        return "", None
    kind, _, voltage = word.partition(" on ")
    is_none = bool(part.gives) if kind == "gives" else bool(part.draws) and voltage not in PRACTICE_KNOWS
    return ("none", None) if voltage and is_none else ("", None)


def facts_of(part: PanelPart) -> dict[str, tuple[str, object]]:
    """Width, depth, currents and price of a part: as written, and exactly."""
    facts: dict[str, tuple[str, object]] = {}
    for word, known in (("width", part.width), ("depth", part.depth), ("plug", part.plug)):
        if known is not None:
            facts[word] = (known.quantity.text, (known.low, known.value, known.high))
    for word, given in (("draws", part.draws or ()), ("gives", part.gives)):
        for draw in given:
            current = draw.current
            on = show(draw.voltage, "voltage")
            facts[f"{word} on {on}"] = (current.quantity.text, (current.low, current.value, current.high))
    if part.draws == ():
        facts["draws"] = ("nothing", 0)
    if part.bought.price is not None:
        money = part.bought.price.money
        facts["price"] = (money.text, (money.value, money.currency))
    return facts
