"""Rows over time: in: a rack, out: for each stage what stands in a row, how much is taken and which runs are free."""

from fractions import Fraction
from typing import NamedTuple

from rackspec.model.known import Known
from rackspec.model.rack import Panel, Rack, Row
from rackspec.physics.room import Span, free_runs


class Taken(NamedTuple):
    """What a row holds at a stage, in mm: nominal and widest sum, the widths it rests on, panels of unknown width."""

    nominal: Fraction
    widest: Fraction
    widths: tuple[Known, ...]
    unknown: tuple[Panel, ...]


def taken_at(row: Row, stage: int) -> Taken:
    """What a row holds at a stage; gaps count, because the room is meant to stay free."""
    panels = row.at(stage)
    widths = tuple(panel.width for panel in panels if panel.width is not None)
    nominal = sum((width.value for width in widths), Fraction(0))
    widest = sum((width.high for width in widths), Fraction(0))
    return Taken(nominal, widest, widths, tuple(panel for panel in panels if panel.width is None))


def stage_numbers(rack: Rack) -> range:
    """The numbers of all stages."""
    return range(len(rack.stages))


def overfull_at(row: Row, stage: int, widest: bool = False) -> bool:
    """Whether the sum of widths alone, nominal or at their widest, is more than the row: then no moving helps."""
    length, taken = row.length, taken_at(row, stage)
    return length is not None and (taken.widest if widest else taken.nominal) > length.value


def spans_at(row: Row, stage: int) -> list[Span]:
    """The spans (mm) that are taken at a stage; panels of unknown place or width are left out."""
    return [
        (panel.start, panel.start + panel.width.value)
        for panel in row.at(stage)
        if panel.start is not None and panel.width is not None
    ]


def runs_at(row: Row, stage: int) -> list[Span]:
    """The free runs of a row at a stage (mm)."""
    length = row.length
    return free_runs(length.value, spans_at(row, stage)) if length is not None else []


def runs_from(row: Row, first: int, last: int, *without: Panel, widest: bool = False) -> list[Span]:
    """The runs (mm) that are surely free at every stage from ``first`` to ``last``, as if ``without`` were not there.

    ``widest``: beside panels that are as wide as they may be. A panel of unknown width is taken to reach to the end
    of the row; with one of unknown place nothing is sure.
    """
    length = row.length
    if length is None:
        return []
    taken = []
    for panel in row.panels:
        if any(panel is other for other in without) or not any(panel.there(stage) for stage in range(first, last + 1)):
            continue
        if panel.start is None:
            return []  # it may stand anywhere
        end = length.value
        if panel.width is not None:
            end = panel.start + (panel.width.high if widest else panel.width.value)
        taken.append((panel.start, end))
    return free_runs(length.value, taken) if not row.spoiled else []


def certain(row: Row, stage: int) -> bool:
    """Whether every panel of the row at a stage has a known width and place."""
    return not row.spoiled and all(panel.start is not None and panel.width is not None for panel in row.at(stage))
