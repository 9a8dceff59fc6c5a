"""Sheets of material: in: the layers of a sheet, out: what is known of it."""

from typing import NamedTuple

from rackspec.findings import Place
from rackspec.model.known import Known
from rackspec.model.layers import Layers


class Sheet(NamedTuple):
    """A sheet: its name and its thickness (mm)."""

    name: str
    place: Place
    thickness: Known | None
    spoiled: bool


def make_sheet(name: str, layers: Layers) -> Sheet:
    """A sheet out of its layers."""
    return Sheet(name, layers.place(), layers.quantity("thickness"), layers.spoiled)
