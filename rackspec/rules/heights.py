"""Heights of holes: in: a row on chosen rails, out: findings on holes outside of their panel or beside both rails.

Only what is the panel's own fault is told here; rails that are too near or too far are told by ``rails-misspaced``.
"""

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from rackspec.findings import ERROR, Finding, Place
from rackspec.model.faces import Face, Hole
from rackspec.model.known import Known, rests_on
from rackspec.model.rack import Panel
from rackspec.physics.standing import Upright, window
from rackspec.rules.choices import Chosen, on_the_rails, practice, screwed_panels
from rackspec.rules.holes import mm
from rackspec.rules.registry import Look, milder, steps_for
from rackspec.rules.standing_panels import (
    OTHER_HEIGHT,
    heights_on_panel,
    length_of,
    shares_of,
    slack_of_inserts,
    thread_of,
    upright_of,
)
from rackspec.rules.thread_lines import APART as APART
from rackspec.rules.thread_lines import HEIGHT as HEIGHT
from rackspec.rules.thread_lines import ThreadLines, thread_lines

LOWEST, HIGHEST = Fraction("128.3"), Fraction("128.6")
"""mm; the heights that are taken for a 3U panel. Published are 128.4, 128.5 and 128.55 (IEC 60297-3-101, quoted)."""
BETWEEN_ROWS = (Fraction("133.35") - HEIGHT) / 2
"""mm that a panel may stand too high or too low and still leave its neighbours' room: 3U are 133.35 mm (EIA-310)."""


class Misfit(NamedTuple):
    """Why holes meet no rails, in words, with its sum and remedy, the values that say so, and their places.

    ``pushing``: whether it counts how far rails can be pushed; ``sure``: whether no tolerance helps.
    """

    message: str
    sum: str
    remedy: str
    values: tuple[Known, ...]
    places: tuple[Place, ...]
    pushing: bool = False
    sure: bool = False


def lines_of(face: Face) -> tuple[Fraction, Fraction] | None:
    """How high the threads stand above the lower edge of a panel in its place (mm); None where it is none of 3U."""
    height = face.height.value if face.height is not None else HEIGHT
    return heights_on_panel(height) if abs(height - HEIGHT) <= OTHER_HEIGHT else None


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


REDRILL = "redrill (deburr, and keep clear of what is behind)"


def misfit(look: Look, chosen: Chosen, panel: Panel) -> Misfit | None:
    """Why no height of a panel brings all its holes before two rails, neither these nor any that are as they should be.

    Rails may be pushed as far as they give, inserts as far as they are sure to travel.
    """
    upright = upright_of(chosen, panel)
    if upright is None or panel.part is None or not panel.part.face.holes:
        return None
    travel = slack_of_inserts(look, chosen)
    slack = travel.low
    asks = window(upright, slack)
    if asks.lacking > 0:
        found = _same_rail(chosen, panel, upright, slack)
        return found._replace(sure=found.sure and window(upright, travel.value).lacking > 0)
    give, lines = look.house.limit("give rails").value, thread_lines(chosen)
    if abs(asks.beyond(APART)) > give and all(
        abs(asks.beyond(apart)) > give for apart in ends_of(chosen, panel, lines)
    ):
        between = upright.lip is not None and upright.height - 2 * upright.lip == asks.least
        if between and asks.beyond(APART) < 0:
            return _between_lips(panel, upright, -asks.beyond(APART))
        return _apart(panel, lines.at(shares_of(panel, length_of(chosen))[0]) if lines.is_known else APART)
    return _too_high(chosen, panel)


def ends_of(chosen: Chosen, panel: Panel, lines: ThreadLines) -> list[Fraction]:
    """How far the thread lines are apart at the outer holes of a panel (mm)."""
    return [lines.at(share) for share in shares_of(panel, length_of(chosen))]


def _allowed(chosen: Chosen, hole: Hole, line: Fraction) -> tuple[Fraction, Fraction]:
    """From where to where a hole lets its panel be (mm), if its thread is ``line`` above where its edge should be."""
    play = (hole.width.value - thread_of(chosen).largest) / 2
    return line - hole.y.value - play, line - hole.y.value + play


def _entered(chosen: Chosen, face: Face) -> list[Hole]:
    return [hole for hole in face.holes if hole.width.value >= thread_of(chosen).largest]


def _same_rail(chosen: Chosen, panel: Panel, upright: Upright, slack: Fraction) -> Misfit:
    """Two holes for the same rail that contradict each other, or one whose panel would have to stand on the lip."""
    assert panel.part is not None
    middle = upright.height / 2
    for upper in (False, True):
        holes = [hole for hole in _entered(chosen, panel.part.face) if (hole.y.value > middle) == upper]
        if not holes:
            continue
        low = max(holes, key=lambda hole: _allowed(chosen, hole, Fraction(0))[0])
        high = min(holes, key=lambda hole: _allowed(chosen, hole, Fraction(0))[1])
        travel = Fraction(0) if upright.strip else slack
        if _allowed(chosen, low, Fraction(0))[0] - travel > _allowed(chosen, high, Fraction(0))[1]:
            ends = sorted((low.y.value, high.y.value))
            return Misfit(
                f"two holes of '{panel.name}' for the same rail are {mm(ends[1] - ends[0])} apart in height",
                f"{mm(ends[1])} - {mm(ends[0])} = {mm(ends[1] - ends[0])}",
                f"measure them again from the lower edge, or {REDRILL}",
                (low.y, high.y),
                (low.place.labelled("the hole"), high.place.labelled("the hole")),
            )
        edge = upright.height if upper else Fraction(0)
        lip = chosen.rail.lip if chosen.rail is not None else None
        room, away, hole = max(
            (
                abs(edge - hole.y.value) - (hole.width.value - thread_of(chosen).largest) / 2 - slack / 2,
                abs(edge - hole.y.value),
                hole,
            )
            for hole in holes
        )
        if lip is not None and room > lip.outside.value:
            return Misfit(
                f"'{panel.name}' would stand on the lip of its rail: a hole is {mm(away)} from its "
                f"{'upper' if upper else 'lower'} edge",
                f"{mm(away)} less the room of the screw is {mm(room)}; the lip is {mm(lip.outside.value)} from the "
                "thread line",
                f"file {mm(room - lip.outside.value)} off that edge, or {REDRILL}",
                (hole.y, lip.outside),
                (hole.place.labelled("the hole"), lip.place.labelled("the lip")),
                sure=True,  # the lip goes wherever its rail is pushed
            )
    raise AssertionError("a lack has a cause")


def _between_lips(panel: Panel, upright: Upright, over: Fraction) -> Misfit:
    """A panel that is higher than the room between the lips of rails that its holes would fit."""
    assert panel.part is not None and upright.lip is not None
    face = panel.part.face
    room = upright.height - over
    values = [face.height] if face.height is not None else []
    return Misfit(
        f"'{panel.name}' is {mm(upright.height)} high, and the lips leave it {mm(room)}",
        f"{mm(upright.height)} - {mm(room)} = {mm(over)}; the lips are {mm(upright.lip)} outside of the thread lines",
        f"file {mm(over)} off its upper edge, or put it on rails without lips",
        tuple(values) or (face.holes[0].y,),
        (values[0].place.labelled("its height"),) if values else (face.holes[0].place.labelled("its holes"),),
        pushing=True,
    )


def _too_high(chosen: Chosen, panel: Panel) -> Misfit | None:
    """A panel that would have to stand too high or too low for the rows beside it."""
    assert panel.part is not None
    lines, holes = lines_of(panel.part.face), _entered(chosen, panel.part.face)
    if lines is None or not holes:
        return None
    middle = (lines[0] + lines[1]) / 2
    allowed = [(_allowed(chosen, hole, lines[hole.y.value > middle]), hole) for hole in holes]
    least, hole = max(allowed, key=lambda pair: pair[0][0])
    most = min(pair[0][1] for pair in allowed)
    needs = min(max(Fraction(0), least[0]), most)
    if abs(needs) <= BETWEEN_ROWS:
        return None
    return Misfit(
        f"a hole of '{panel.name}' is {mm(hole.y.value)} above its lower edge, the threads stand at {mm(lines[0])} "
        f"and {mm(lines[1])}",
        f"the panel would have to stand {mm(abs(needs))} {'higher' if needs > 0 else 'lower'} than others; "
        f"{mm(BETWEEN_ROWS)} are free",
        f"measure it again from the lower edge, or {REDRILL}",
        (hole.y,),
        (hole.place.labelled("the hole"),),
    )


def _apart(panel: Panel, threads: Fraction) -> Misfit:
    """A panel whose lower and upper holes are too near to each other, or too far apart."""
    assert panel.part is not None
    holes = panel.part.face.holes
    upper, lower = max(holes, key=lambda hole: hole.y.value), min(holes, key=lambda hole: hole.y.value)
    apart = upper.y.value - lower.y.value
    side = "upwards" if apart < threads else "downwards"
    return Misfit(
        f"the holes of '{panel.name}' are {mm(apart)} apart, the threads {mm(threads)}",
        f"{mm(upper.y.value)} - {mm(lower.y.value)} = {mm(apart)}, and {mm(max(apart, threads))} - "
        f"{mm(min(apart, threads))} = {mm(abs(apart - threads))}",
        f"slot the upper ones {mm(abs(apart - threads))} {side}, or {REDRILL}",
        (lower.y, upper.y),
        (lower.place.labelled("the hole"), upper.place.labelled("the hole")),
        pushing=True,
    )


def missed_heights(look: Look, chosen: Chosen) -> Iterator[Finding]:
    """Panels whose holes are too far from the rails in height."""
    if chosen.thread is None:
        return
    for panel in on_the_rails(chosen.row):
        found = None if holes_outside(panel) else misfit(look, chosen, panel)
        if found is None:
            continue
        values = list(found.values)
        give = look.house.limit("give rails")
        trust = f"{rests_on('holes', values)}; heights of 3U as quoted from IEC 60297-3-101"
        yield Finding(
            "hole-misses-thread",
            milder(ERROR, steps_for(found.sure, any(value.is_guess for value in values))),
            found.message,
            panel.place,
            others=found.places,
            sum=found.sum,
            remedy=found.remedy,
            rests_on=trust + (f"; rails give {mm(give.value)} by {give.origin}" if found.pushing else ""),
            names=(look.rack.full(panel.name), look.rack.full(chosen.row.name)),
        )
