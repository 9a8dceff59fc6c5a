"""Panels against the standard: in: a placed panel, out: findings about what is not as the standard has it."""

from collections.abc import Iterator
from fractions import Fraction
from math import ceil

from rackspec.findings import ERROR, NOTE, Finding
from rackspec.language.quantity import show_hp
from rackspec.language.units import HP
from rackspec.model.known import rests_on
from rackspec.model.rack import Panel, Row
from rackspec.rules.choices import DEDUCTION, chosen_of
from rackspec.rules.heights import APART, HIGHEST, LOWEST, holes_outside, lines_of, misfit
from rackspec.rules.holes import mm
from rackspec.rules.registry import Look, milder, steps_for
from rackspec.rules.stages import overfull_at, stage_numbers

SLACK = Fraction("0.2")
"""mm that holes may be off before it is said: about twice the clearance of M3 in 3.2 mm."""


def off_standard(look: Look, row: Row, panel: Panel, broad: bool) -> Iterator[Finding]:
    """What is not as the standard has it; one finding for a panel. ``broad``: its width is told as an error already."""
    assert panel.part is not None and panel.width is not None
    face = panel.part.face
    said: list[str] = []
    sums: list[str] = []
    places = []
    if face.width is not None and face.width.value > panel.width.value - DEDUCTION and not broad:
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
    if not holes_outside(panel) and not told_already(look, row, panel):
        text, sum_text = heights_off(panel)
        if text:
            said.append(text)
            sums.append(sum_text)
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


def told_already(look: Look, row: Row, panel: Panel) -> bool:
    """Whether ``hole-misses-thread`` speaks of the heights of a panel's holes."""
    chosen = [chosen_of(row, choice) for choice in row.choices]
    return panel.start is not None and any(misfit(look, one, panel) for one in chosen if one.thread is not None)


def heights_off(panel: Panel) -> tuple[str, str]:
    """What is odd about the heights of a panel's holes, and its sum; empty where nothing is."""
    assert panel.part is not None
    face = panel.part.face
    lines = lines_of(face)
    heights = sorted({hole.y.value for hole in face.holes})
    if lines is None or not heights:
        return "", ""
    apart = heights[-1] - heights[0]
    if apart > APART / 2 and abs(apart - APART) > SLACK:
        text = f"drilled with its holes {mm(apart)} apart"
        return text, f"{mm(heights[-1])} - {mm(heights[0])} = {mm(apart)}, the standard has {mm(APART)}"
    if face.height is not None and not LOWEST <= face.height.value <= HIGHEST:
        return "", ""  # which of its edges is off nobody knows
    for height in heights:
        if min(abs(height - line) for line in lines) > SLACK:
            sum_text = f"the standard has them at {mm(lines[0])} and {mm(lines[1])}"
            return f"drilled with a hole {mm(height)} above its lower edge", sum_text
    return "", ""


def too_broad(look: Look, row: Row) -> Iterator[Finding]:
    """Panels that are wider than their HP, with no room for that beside them: a neighbour, or the end of the rails."""
    told: set[int] = set()
    for stage in stage_numbers(look.rack):
        if overfull_at(row, stage):
            continue  # that is the cause
        for panel in row.at(stage):
            if id(panel) in told or panel.part is None or panel.part.spoiled or panel.part.face.width is None:
                continue
            if panel.start is None or panel.width is None:
                continue
            over = panel.part.face.width.value - panel.width.value
            room, beside = room_beside(row, panel, stage)
            if over > DEDUCTION and 0 <= room < (over - DEDUCTION) / 2:
                told.add(id(panel))
                yield _too_broad(look, panel, beside)


def room_beside(row: Row, panel: Panel, stage: int) -> tuple[Fraction, Panel | None]:
    """The smaller room (mm) to either side of a panel at a stage, and the neighbour there (None: the rails end)."""
    assert panel.start is not None and panel.width is not None
    end = panel.start + panel.width.value
    found: list[tuple[Fraction, Panel | None]] = [(panel.start, None)]
    if row.length is not None:
        found.append((row.length.value - end, None))
    for other in row.at(stage):
        if other is panel or not other.takes_room or other.start is None or other.width is None:
            continue
        left = panel.start - other.start - other.width.value
        found.append((max(left, other.start - end), other))
    return min(found, key=lambda pair: pair[0])


def _too_broad(look: Look, panel: Panel, beside: Panel | None) -> Finding:
    """The finding about a panel that is too wide for its place."""
    assert panel.part is not None and panel.part.face.width is not None and panel.width is not None
    face, width = panel.part.face.width, panel.width
    where = "the end of the rails" if beside is None else f"'{beside.name}'" if beside.name else f"a {beside.what}"
    places = [face.place.labelled("how wide it really is")]
    if beside is not None:
        places.append(beside.position.labelled("right beside it"))
    return Finding(
        "modules-overlap",
        milder(ERROR, steps_for(True, face.is_guess or width.is_guess)),
        f"'{panel.name}' is wider than its {show_hp(width.value)} and stands right beside {where}",
        panel.position,
        others=tuple(places),
        sum=f"{mm(face.value)} - {mm(width.value)} = {mm(face.value - width.value)}",
        remedy=f"give it {ceil((face.value + DEDUCTION) / HP)}HP",
        rests_on=rests_on("widths", [face, width]),
        names=(look.rack.full(panel.name), *((look.rack.full(beside.name or beside.row),) if beside else ())),
    )
