"""Wares: in: the layers of anything that is bought and has no front panel, out: what an order has to know of it.

Rails, inserts, sheets and parts. What a part is, beside being bought: a power ribbon, a closed adapter, a kit of other
things.
"""

from collections.abc import Container, Mapping
from typing import NamedTuple

from rackspec.findings import Place
from rackspec.model.known import Known, known
from rackspec.model.layers import Layers
from rackspec.model.parts import Bought, make_bought, pins_in
from rackspec.model.sellers import designation


class Ribbon(NamedTuple):
    """A power ribbon: pins of its socket at the bus, and at the module."""

    bus: int
    module: int


class Adapter(NamedTuple):
    """A closed adapter: what it gives (V, mA)."""

    voltage: Known
    current: Known


class Held(NamedTuple):
    """So many of a thing (by designation) that a kit holds."""

    part: str
    pieces: int
    place: Place


class Part(NamedTuple):
    """Anything that is bought and is neither panel, rail, insert nor sheet."""

    name: str
    title: str
    place: Place
    bought: Bought
    ribbon: Ribbon | None
    adapter: Adapter | None
    holds: tuple[Held, ...]
    spoiled: bool


class Ware(NamedTuple):
    """What an order has to know of a named thing: its kind (insert, rail, sheet, part, module, supply), price, mass
    (g), how long its longest side is (mm), how many of it are there (sheets), and what a part is."""

    name: str
    kind: str
    place: Place
    bought: Bought
    length: Known | None
    there: int
    part: Part | None


def make_ribbon(layers: Layers) -> Ribbon | None:
    """The ribbon that a part is; one whose other end was not said has the same socket at both."""
    found = layers.one("ribbon")
    bus = pins_in(found[0].text("ribbon")) if found is not None else None
    if found is None or bus is None:
        return None
    return Ribbon(bus, pins_in(found[0].text("module")) or bus)


def make_adapter(layers: Layers) -> Adapter | None:
    """The adapter that a part is."""
    found = layers.one("adapter")
    if found is None:
        return None
    fact, evidence = found
    voltage, current = known(fact, "adapter", evidence), known(fact, "current", evidence)
    return Adapter(voltage, current) if voltage is not None and current is not None else None


def held_in(layers: Layers) -> tuple[Held, ...]:
    """What a kit holds."""
    found = []
    for fact, _ in layers.many("holds"):
        part, pieces = designation(fact), fact.bound.values.get("holds")
        if part and pieces is not None and pieces.data is not None:
            found.append(Held(part, int(pieces.data), fact.place("part")))
    return tuple(found)


def make_part(name: str, title: str, layers: Layers) -> Part:
    """A part out of its layers."""
    return Part(
        name=name,
        title=title,
        place=layers.place(),
        bought=make_bought(layers),
        ribbon=make_ribbon(layers),
        adapter=make_adapter(layers),
        holds=held_in(layers),
        spoiled=layers.spoiled,
    )


DEEPEST_KIT = 8
"""Kits in kits that are opened."""


def opened(wares: Mapping[str, Ware], pieces: Mapping[str, int], closed: Container[str] = ()) -> dict[str, int]:
    """So many of some things with all that is in those of them that are kits, by designation; those in ``closed`` are
    left as they are. Kits are opened level by level, each once a level, however many lines hold it."""
    found: dict[str, int] = {}
    level = dict(pieces)
    for depth in range(DEEPEST_KIT + 1):
        below: dict[str, int] = {}
        for name, many in level.items():
            found[name] = found.get(name, 0) + many
            ware = wares.get(name)
            if ware is None or ware.part is None or name in closed or depth == DEEPEST_KIT:
                continue
            for held in ware.part.holds:
                below[held.part] = below.get(held.part, 0) + held.pieces * many
        level = below
    return found
