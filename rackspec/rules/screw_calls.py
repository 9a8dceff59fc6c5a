"""How near the screws of a row's panels come to bottoming or to too little thread: in: a row, out: the closest call."""

from collections.abc import Iterator
from typing import NamedTuple

from rackspec.model.known import Known, rests_on
from rackspec.model.rack import Panel
from rackspec.physics.margin import Margin
from rackspec.physics.threads import Screw, Thread
from rackspec.rules.choices import Chosen, screwed_panels
from rackspec.rules.registry import Look
from rackspec.rules.screws import Stack, screw_of, stack_of


class _Held(NamedTuple):
    """A panel with its screw, the thread that it finds, and what it goes through."""

    panel: Panel
    screw: Screw
    thread: Thread
    stack: Stack


def closest_screw(look: Look, chosen: Chosen) -> Margin | None:
    """The closest call among the screws of a row, at the worst; None where nothing is known of any, or one is wrong."""
    calls = [call for held in _held(look, chosen) for call in _calls(look, chosen, held)]
    closest = min(calls, key=lambda margin: margin.margin, default=None)
    return closest if closest is not None and closest.margin >= 0 else None


def _held(look: Look, chosen: Chosen) -> Iterator[_Held]:
    """The panels whose screws can be held against what is behind them."""
    for panel in screwed_panels(chosen.row):
        screw, stack = screw_of(chosen, panel), stack_of(look, chosen, panel)
        if screw is None or stack is None or chosen.thread is None or screw.thread != chosen.thread.name:
            continue
        yield _Held(panel, screw, chosen.thread, stack)


def _calls(look: Look, chosen: Chosen, held: _Held) -> Iterator[Margin]:
    """How far a screw reaches of the room there is, and how much thread it has to find of what it reaches (mm)."""
    panel, stack, length = held.panel, held.stack, held.screw.length
    row = look.rack.full(chosen.row.name)
    if stack.room is not None:
        trust = _trust([stack.panel, stack.room])
        yield Margin(
            f"{row}: screws of {panel.name} in the room behind", length - stack.panel.low, stack.room.low, "mm", trust
        )
    wanted = min(stack.good * held.thread.pitch, stack.tapped.low)
    into = length - stack.panel.high - stack.recess.high
    trust = _trust([stack.panel, stack.recess, stack.tapped])
    yield Margin(f"{row}: thread that the screws of {panel.name} need", wanted, into, "mm", trust)


def _trust(values: list[Known]) -> str:
    return rests_on("lengths", values)
