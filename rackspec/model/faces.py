"""Front panels as they really are: in: the layers of a part, out: its size, thickness and holes, as far as known.

Lengths in mm; holes are counted from the left and bottom edges of the panel, seen from the front.
"""

from fractions import Fraction
from typing import NamedTuple

from rackspec.findings import Place
from rackspec.language.bound import Evidence, Fact
from rackspec.language.quantity import Quantity
from rackspec.model.known import Known, known
from rackspec.model.layers import Layers
from rackspec.model.seats import BOTTOM, TOP


class Hole(NamedTuple):
    """A hole for a screw: its centre, its width, and its length sideways (the width again where it is round)."""

    x: Known
    y: Known
    width: Known
    length: Known
    place: Place

    @property
    def is_slot(self) -> bool:
        """Whether it is longer than wide."""
        return self.length.value > self.width.value


class Face(NamedTuple):
    """A panel: how wide it really is, its thickness, its height, and its holes (empty: nobody wrote any down)."""

    width: Known | None
    thickness: Known | None
    height: Known | None
    holes: tuple[Hole, ...]


MIDDLE = Fraction("64.25")
"""mm; the middle of a 3U panel of 128.5 mm, for a panel of which nobody wrote its height."""


def line_of_hole(face: Face, hole: Hole) -> str:
    """Which rail a hole is for: the one that is on its half of the panel."""
    middle = face.height.value / 2 if face.height is not None else MIDDLE
    return BOTTOM if hole.y.value < middle else TOP


def make_hole(fact: Fact, word: str, evidence: Evidence) -> Hole | None:
    """A round hole or a slot; None where it was not understood."""
    width = known(fact, word, evidence)
    length = known(fact, "x", evidence) if word == "slot" else width
    point = fact.bound.values.get("at")
    if width is None or length is None or point is None or not isinstance(point.data, tuple):
        return None
    place = fact.place("at")
    x, y = (Known(part, evidence, place) for part in point.data if isinstance(part, Quantity))
    return Hole(
        x, y, min(width, length, key=lambda side: side.value), max(width, length, key=lambda side: side.value), place
    )


def make_face(layers: Layers) -> Face:
    """The panel of a part."""
    holes = [
        hole
        for word in ("hole", "slot")
        for fact, evidence in layers.many(word)
        if (hole := make_hole(fact, word, evidence)) is not None
    ]
    return Face(
        width=layers.quantity("face"),
        thickness=layers.quantity("thickness"),
        height=layers.quantity("height"),
        holes=tuple(sorted(holes, key=lambda hole: (hole.x.value, hole.y.value))),
    )
