"""Sheets of material: in: the layers of a sheet, out: what is known of it."""

from typing import NamedTuple

from rackspec.findings import Place
from rackspec.model.known import Known
from rackspec.model.layers import Layers
from rackspec.model.parts import Bought, count_in, make_bought


class Sheet(NamedTuple):
    """A sheet: its name, its thickness and both sides of one (mm), how many are there (None: not said), what one
    costs and weighs."""

    name: str
    place: Place
    thickness: Known | None
    spoiled: bool
    sides: tuple[Known, Known] | None
    there: int | None
    bought: Bought


def make_sheet(name: str, layers: Layers) -> Sheet:
    """A sheet out of its layers."""
    long, wide = layers.quantity("size"), layers.quantity("size", "x")
    return Sheet(
        name,
        layers.place(),
        layers.quantity("thickness"),
        layers.spoiled,
        (long, wide) if long is not None and wide is not None else None,
        count_in(layers, "count"),
        make_bought(layers),
    )
