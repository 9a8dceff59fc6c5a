"""Who draws from a feed, and when: in: a rack and a feed, out: its consumers at a stage, and the stage that matters."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from rackspec.model.known import Known
from rackspec.model.parts import Draw
from rackspec.model.rack import Feed, Panel
from rackspec.physics.currents import Consumer, Load, load_on
from rackspec.rules.registry import Look


def fed_panels(feed: Feed, stage: int) -> list[Panel]:
    """The modules in the rows of a feed at a stage; a module whose part is not known is left out."""
    return [panel for row in feed.rows for panel in row.at(stage) if panel.what == "module" and panel.part is not None]


def by_voltage(draws: tuple[Draw, ...] | None) -> dict[Fraction, Known] | None:
    """Draws as a table."""
    return None if draws is None else {draw.voltage: draw.current for draw in draws}


def consumers_at(look: Look, feed: Feed, stage: int) -> list[Consumer]:
    """Everything that draws from a feed at a stage; wishes count where the rack has this feed only."""
    consumers = []
    for panel in fed_panels(feed, stage):
        assert panel.part is not None
        width = panel.width.value if panel.width is not None else None
        if panel.part.draws is None and panel.part.spoiled:
            continue
        consumers.append(Consumer(panel.name, by_voltage(panel.part.draws), width, 1))
    # any supply may be the one that feeds these: what they draw from it is not known, and not nothing either
    unfed = (panel for row in look.rack.unfed for panel in row.at(stage) if panel.what == "module")
    consumers += [
        Consumer(panel.name, None, None, 1)
        for panel in unfed
        if panel.part is not None and panel.part.draws != () and not panel.part.spoiled
    ]
    if len(look.rack.feeds) == 1:
        for wish in look.rack.wishes:
            if wish.since <= stage and not (wish.draws is None and wish.spoiled):
                width = wish.width.value if wish.width is not None else None
                consumers.append(Consumer(wish.name, by_voltage(wish.draws), width, wish.pieces))
    return consumers


def load_at(look: Look, feed: Feed, stage: int, voltage: Fraction) -> Load:
    """What is drawn from a feed on one voltage (V) at a stage; several rules ask, and it is summed up once."""
    key = f"load {feed.name} {stage} {voltage}"
    load = look.memory.get(key)
    if load is None:
        load = look.memory[key] = load_on(voltage, consumers_at(look, feed, stage), look.house)
    assert isinstance(load, Load)
    return load


def worst_stage(
    look: Look, feed: Feed, voltage: Fraction, broken: Callable[[Load], tuple[bool, bool]]
) -> tuple[Load, int, bool] | None:
    """The first stage at which nominal values break a limit, else the first at which the worst case does.

    ``broken`` says for a load whether its nominal and whether its worst sum breaks the limit. Gives the load, the
    number of the stage, and whether it is the nominal sum.
    """
    mild: tuple[Load, int, bool] | None = None
    for stage in range(len(look.rack.stages)):
        load = load_at(look, feed, stage, voltage)
        nominal, worst = broken(load)
        if nominal:
            return load, stage, True
        if worst and mild is None:
            mild = (load, stage, False)
    return mild
