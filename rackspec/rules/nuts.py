"""Sliding nuts of a row: in: a row on chosen rails, out: findings about nuts that get in each other's way."""

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

from rackspec.findings import ERROR, Finding
from rackspec.language.units import HP
from rackspec.model.rack import Panel
from rackspec.physics.bolting import HoleAt, clearance, enters
from rackspec.physics.threads import Thread
from rackspec.rules.choices import Chosen, fitting_inserts, holes_of, on_the_rails
from rackspec.rules.heights import holes_outside
from rackspec.rules.holes import mm
from rackspec.rules.registry import Look
from rackspec.rules.stages import stage_numbers


def colliding_nuts(look: Look, chosen: Chosen) -> Iterator[Finding]:
    """Sliding nuts of neighbouring holes that are wider than the holes are apart."""
    thread, insert = chosen.thread, chosen.insert
    if thread is None or insert is None or insert.form != "nut":
        return
    across = insert.across.value if insert.across is not None else thread.nut[0]
    told: set[tuple[str, str]] = set()
    for stage in stage_numbers(look.rack):
        for low in (True, False):
            holes = sorted(_line(chosen, stage, thread, low), key=lambda pair: pair[0].x)
            for (left, one), (right, other) in pairwise(holes):
                apart = right.x - left.x
                most = apart + clearance(left, thread) + clearance(right, thread)
                key = (one.name, other.name)
                if most >= across or apart <= 0 or key in told:
                    continue
                told.add(key)
                yield _collision(look, chosen, one, other, apart, most, across)


def _line(chosen: Chosen, stage: int, thread: Thread, low: bool) -> Iterator[tuple[HoleAt, Panel]]:
    """The holes along the lower or the upper rail at a stage; a hole whose height is not known counts on both."""
    for panel in on_the_rails(chosen.row):
        if not panel.there(stage) or panel.start is None or panel.part is None:
            continue
        holed = holes_of(panel, panel.start, thread)
        if holed is None or holes_outside(panel) or not all(enters(hole, thread) for hole in holed.holes):
            continue
        for number, hole in enumerate(holed.holes):
            if holed.assumed or (panel.part.face.holes[number].y.value < 64) == low:
                yield hole, panel


def _collision(
    look: Look, chosen: Chosen, one: Panel, other: Panel, apart: Fraction, most: Fraction, across: Fraction
) -> Finding:
    """The finding about two nuts."""
    assert chosen.insert is not None and chosen.thread is not None
    strips = fitting_inserts(chosen, "strip", chosen.thread.name)
    gap = -(-((across - most) / HP).numerator // ((across - most) / HP).denominator)
    who = f"'{one.name}' and '{other.name}'" if one is not other else f"'{one.name}'"
    remedy = f"use the strip '{strips[0]}' in these rails" if strips else f"leave {gap}HP between them"
    if strips and one is not other:
        remedy += f", or leave {gap}HP between them"
    return Finding(
        "nuts-collide",
        ERROR,
        f"the nuts behind {who} get in each other's way: their holes are {mm(apart)} apart, a nut is {mm(across)} wide",
        other.position,
        others=(
            one.position.labelled("its neighbour"),
            chosen.choice.place.labelled(f"on rails with '{chosen.insert.name}'"),
        ),
        sum=(
            f"{mm(apart)} apart, {mm(most)} with both screws pushed outwards; "
            f"{mm(across)} - {mm(most)} = {mm(across - most)}"
        ),
        remedy=remedy,
        rests_on="holes as written" + ("" if chosen.insert.across else "; width of the nut as in DIN 562"),
        names=(look.rack.full(other.name), look.rack.full(one.name)),
    )
