"""Panels against the standard: in: a placed panel, out: a finding about what is not as the standard has it."""

from collections.abc import Iterator
from fractions import Fraction

from rackspec.findings import NOTE, Finding
from rackspec.language.units import HP
from rackspec.model.rack import Panel
from rackspec.rules.choices import DEDUCTION
from rackspec.rules.holes import mm
from rackspec.rules.registry import Look

LOWEST, HIGHEST = Fraction("128.3"), Fraction("128.6")
"""mm; the heights that are taken for a 3U panel. Published are 128.4, 128.5 and 128.55 (IEC 60297-3-101, quoted)."""
APART = Fraction("122.5")
"""mm between the lower and the upper fixing holes of a 3U panel (IEC 60297-3-101, quoted by two public files)."""
APART_SLACK = Fraction("0.2")
"""mm that holes may be off before it is said: twice the clearance of M3 in 3.2 mm."""


def off_standard(look: Look, panel: Panel) -> Iterator[Finding]:
    """What is not as the standard has it; one finding for a panel."""
    assert panel.part is not None and panel.width is not None
    face = panel.part.face
    said: list[str] = []
    sums: list[str] = []
    places = []
    if face.width is not None and face.width.value > panel.width.value - DEDUCTION:
        over = face.width.value - (panel.width.value - DEDUCTION)
        said.append(f"{mm(over)} wider than the standard")
        sums.append(
            f"{mm(panel.width.value)} - {mm(DEDUCTION)} = {mm(panel.width.value - DEDUCTION)}, "
            f"it has {mm(face.width.value)}"
        )
        places.append(face.width.place.labelled("how wide it really is"))
    if face.height is not None and not LOWEST <= face.height.value <= HIGHEST:
        said.append(f"{mm(face.height.value)} high")
        sums.append(f"3U panels are {mm(LOWEST)} to {mm(HIGHEST)} high")
        places.append(face.height.place.labelled("its height"))
    heights = sorted({hole.y.value for hole in face.holes})
    if len(heights) > 1 and heights[-1] - heights[0] > APART / 2:
        apart = heights[-1] - heights[0]
        if abs(apart - APART) > APART_SLACK:
            said.append(f"drilled with its holes {mm(apart)} apart")
            sums.append(f"{mm(heights[-1])} - {mm(heights[0])} = {mm(apart)}, the standard has {mm(APART)}")
            places.append(face.holes[0].place.labelled("its holes"))
    if not said:
        return
    whole = panel.width.value / HP
    remedy = "leave it room, and try it on the rails before its neighbours are bought"
    if whole.denominator != 1:
        remedy = "write its width in whole HP"
    yield Finding(
        "panel-off-standard",
        NOTE,
        f"'{panel.name}' is {' and '.join(said)}",
        panel.place,
        others=tuple(places),
        sum="; ".join(sums),
        remedy=remedy,
        rests_on="its panel as written; IEC 60297-3-101 as quoted in public files",
        names=(look.rack.full(panel.name),),
    )
