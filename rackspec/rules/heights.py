"""Heights of holes: in: a row on chosen rails, out: findings on holes outside of their panel or beside both rails."""

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from rackspec.findings import ERROR, Finding
from rackspec.model.faces import Face, Hole
from rackspec.model.known import rests_on
from rackspec.model.rack import Panel
from rackspec.physics.threads import Thread
from rackspec.rules.choices import Chosen, on_the_rails, practice, screwed_panels
from rackspec.rules.holes import mm
from rackspec.rules.registry import Look, milder, steps_for

LOWEST, HIGHEST = Fraction("128.3"), Fraction("128.6")
"""mm; the heights that are taken for a 3U panel. Published are 128.4, 128.5 and 128.55 (IEC 60297-3-101, quoted)."""
HEIGHT = Fraction("128.5")
"""mm; the height of a panel of which nobody wrote it."""
APART = Fraction("122.5")
"""mm between the lower and the upper fixing holes of a 3U panel (IEC 60297-3-101, quoted by two public files)."""
RAILS_GIVE = Fraction(1)
"""mm that two rails can be pushed apart or together in their end holes (common practice, no source)."""
BETWEEN_ROWS = (Fraction("133.35") - HEIGHT) / 2
"""mm that a panel may stand too high or too low and still leave its neighbours' room: 3U are 133.35 mm (EIA-310)."""
OTHER_HEIGHT = Fraction(5)
"""mm off the height of 3U from where on a panel is none, and nothing is said of its holes' heights."""


class Misfit(NamedTuple):
    """Why holes meet no rails, in words, with its sum and remedy, and the places of the holes."""

    message: str
    sum: str
    remedy: str
    holes: tuple[Hole, ...]


def lines_of(face: Face) -> tuple[Fraction, Fraction] | None:
    """How high the threads stand above the lower edge of a panel in its place (mm); None where it is none of 3U."""
    height = face.height.value if face.height is not None else HEIGHT
    if abs(height - HEIGHT) > OTHER_HEIGHT:
        return None
    return (height - APART) / 2, (height + APART) / 2


def holes_outside(panel: Panel) -> list[Hole]:
    """The holes of a panel whose middle is not on it: what was written of them cannot be."""
    if panel.part is None or panel.width is None:
        return []
    face = panel.part.face
    right = face.width.value if face.width is not None else panel.width.value
    top = face.height.value if face.height is not None else HIGHEST
    return [hole for hole in face.holes if not (0 <= hole.x.value <= right and 0 <= hole.y.value <= top)]


def outside_holes(look: Look, chosen: Chosen) -> Iterator[Finding]:
    """Holes outside of their panel."""
    for panel in screwed_panels(chosen.row):
        outside = holes_outside(panel)
        if not outside:
            continue
        assert panel.part is not None and panel.width is not None
        face, hole = panel.part.face, outside[0]
        size = face.width or panel.width
        sums = f"{mm(hole.x.value)} from the left, and the panel is {mm(size.value)} wide"
        if 0 <= hole.x.value <= size.value:
            size = face.height or practice(HIGHEST, panel)
            sums = f"{mm(hole.y.value)} from below, and the panel is {mm(size.value)} high"
        values = [hole.x, size]
        many = f"{len(outside)} holes of '{panel.name}' lie" if len(outside) > 1 else f"a hole of '{panel.name}' lies"
        yield Finding(
            "hole-misses-thread",
            milder(ERROR, steps_for(True, any(value.is_guess for value in values))),
            f"{many} outside of {'their' if len(outside) > 1 else 'its'} panel",
            panel.place,
            others=tuple(other.place.labelled("outside") for other in outside),
            sum=f"the hole is {sums}",
            remedy="measure it from the left and the lower edge of the panel, seen from the front",
            rests_on=rests_on("hole and panel", values),
            names=(look.rack.full(panel.name), look.rack.full(chosen.row.name)),
        )


def misfit(panel: Panel, thread: Thread) -> Misfit | None:
    """Why no height of a panel brings all its holes before the two rails, even if those are pushed a little.

    Each hole allows the shifts from line - y - c to line - y + c; the panel needs one shift that all holes allow.
    """
    assert panel.part is not None
    face = panel.part.face
    lines = lines_of(face)
    holes = [hole for hole in face.holes if hole.width.value >= thread.largest]
    if lines is None or not holes:
        return None
    middle = (lines[0] + lines[1]) / 2
    least: tuple[Fraction, Hole] | None = None
    most: tuple[Fraction, Hole] | None = None
    for hole in holes:
        off = lines[hole.y.value > middle] - hole.y.value
        play = (hole.width.value - thread.largest) / 2  # a slot gives sideways only
        if least is None or off - play > least[0]:
            least = off - play, hole
        if most is None or off + play < most[0]:
            most = off + play, hole
    assert least is not None and most is not None
    if least[0] - most[0] > RAILS_GIVE:
        return _apart(panel, middle, least[1], most[1])
    needed = min(max(Fraction(0), least[0]), most[0])
    if abs(needed) <= BETWEEN_ROWS:
        return None
    hole = least[1]
    return Misfit(
        f"a hole of '{panel.name}' is {mm(hole.y.value)} above its lower edge, the threads stand at {mm(lines[0])} "
        f"and {mm(lines[1])}",
        f"the panel would have to stand {mm(abs(needed))} {'higher' if needed > 0 else 'lower'} than others; "
        f"{mm(BETWEEN_ROWS)} are free",
        "measure it again from the lower edge, or redrill (deburr, and keep clear of what is behind)",
        (hole,),
    )


def _apart(panel: Panel, middle: Fraction, low: Hole, high: Hole) -> Misfit:
    """Two holes that want the panel higher (``low``) and lower (``high``) at once."""
    apart = abs(low.y.value - high.y.value)
    remedy = "redrill (deburr, and keep clear of what is behind)"
    if (low.y.value > middle) == (high.y.value > middle):
        return Misfit(
            f"two holes of '{panel.name}' for the same rail are {mm(apart)} apart in height",
            f"{mm(max(low.y.value, high.y.value))} - {mm(min(low.y.value, high.y.value))} = {mm(apart)}",
            f"measure them again from the lower edge, or {remedy}",
            (low, high),
        )
    upper, lower = max(low.y.value, high.y.value), min(low.y.value, high.y.value)
    side = "upwards" if apart < APART else "downwards"
    return Misfit(
        f"the holes of '{panel.name}' are {mm(apart)} apart, the threads {mm(APART)}",
        f"{mm(upper)} - {mm(lower)} = {mm(apart)}, and {mm(max(apart, APART))} - {mm(min(apart, APART))} = "
        f"{mm(abs(apart - APART))}",
        f"slot the upper ones {mm(abs(apart - APART))} {side}, or {remedy}",
        (low, high),
    )


def missed_heights(look: Look, chosen: Chosen) -> Iterator[Finding]:
    """Panels whose holes are too far from the rails in height."""
    if chosen.thread is None:
        return
    for panel in on_the_rails(chosen.row):
        if holes_outside(panel):
            continue
        found = misfit(panel, chosen.thread)
        if found is None:
            continue
        values = [hole.y for hole in found.holes]
        yield Finding(
            "hole-misses-thread",
            milder(ERROR, steps_for(False, any(value.is_guess for value in values))),
            found.message,
            panel.place,
            others=tuple(hole.place.labelled("the hole") for hole in found.holes),
            sum=found.sum,
            remedy=found.remedy,
            rests_on=rests_on("holes", values) + "; heights of 3U as quoted from IEC 60297-3-101",
            names=(look.rack.full(panel.name), look.rack.full(chosen.row.name)),
        )
