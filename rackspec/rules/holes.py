"""Holes and threads of a row: in: a row on chosen rails, out: findings on holes without thread and colliding nuts."""

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

from rackspec.findings import ERROR, Finding
from rackspec.language.quantity import show, show_hp
from rackspec.language.units import HP
from rackspec.model.known import rests_on
from rackspec.model.rack import Panel
from rackspec.physics.bolting import HoleAt, clearance, enters, meet, nearest_thread
from rackspec.physics.room import whole_hp
from rackspec.physics.threads import THREADS, Thread
from rackspec.rules.choices import FIRST_THREAD, Chosen, Holed, fitting_inserts, holes_of, screwed_panels
from rackspec.rules.registry import Look, milder, steps_for
from rackspec.rules.stages import runs_from, stage_numbers


def mm(value: Fraction) -> str:
    """A length in millimetres."""
    return show(value, "length")


def too_small_holes(look: Look, chosen: Chosen) -> Iterator[Finding]:
    """Holes that the screws of the chosen insert do not go through."""
    thread = chosen.thread
    if thread is None or chosen.insert is None:
        return
    for panel in screwed_panels(chosen.row):
        assert panel.part is not None
        small = [hole for hole in panel.part.face.holes if hole.width.value < thread.largest]
        if not small:
            continue
        hole = small[0]
        lacking = thread.largest - hole.width.value
        smaller = [name for name, other in THREADS.items() if other.largest <= hole.width.value]
        others = [name for size in reversed(smaller) for name in fitting_inserts(chosen, "", size)]
        remedy = f"open the holes to {mm(thread.clearance[0])} (deburr, and mind the coating)"
        if others:
            remedy += f", or use '{others[0]}' in these rails"
        many = f" in {len(small)} of its holes" if len(small) > 1 else ""
        yield Finding(
            "screw-misses-hole",
            milder(ERROR, steps_for(True, hole.width.is_guess)),
            f"an {thread.name} screw does not go through '{panel.name}'{many}: the hole is {mm(hole.width.value)} wide",
            panel.place,
            others=(
                hole.width.place.labelled("the hole"),
                chosen.choice.place.labelled(f"on rails with '{chosen.insert.name}', {thread.name}"),
            ),
            sum=f"{mm(thread.largest)} screw - {mm(hole.width.value)} hole = {mm(lacking)}",
            remedy=remedy,
            rests_on=rests_on("hole", [hole.width]) + "; screw at its largest by ISO 965-1 (6g)",
            names=(look.rack.full(panel.name), look.rack.full(chosen.row.name)),
        )


def missed_threads(look: Look, chosen: Chosen) -> Iterator[Finding]:
    """Holes that meet no thread of the chosen strip."""
    thread, insert = chosen.thread, chosen.insert
    if thread is None or insert is None or insert.form != "strip" or insert.pitch is None or insert.holes is None:
        return
    first = insert.first.value if insert.first is not None else FIRST_THREAD
    for panel in screwed_panels(chosen.row):
        assert panel.start is not None
        holed = holes_of(panel, panel.start, thread)
        if holed is None or not all(enters(hole, thread) for hole in holed.holes):
            continue
        met = meet(holed.holes, thread, first, insert.pitch.value, insert.holes, holed.slack)
        if met.shift is not None:
            continue
        play = insert.play.value / 2 if insert.play is not None else Fraction(0)
        with_play = meet(holed.holes, thread, first, insert.pitch.value, insert.holes, holed.slack + play)
        room = clearance(met.worst, thread) + holed.slack
        off = abs(met.off)
        side = "right" if met.off > 0 else "left"
        where = nearest_thread(met.worst.x, first, insert.pitch.value, insert.holes)
        assumed = (
            f", with its first hole assumed {mm(met.worst.x - panel.start)} from its edge on the grid"
            if holed.assumed
            else ""
        )
        yield Finding(
            "hole-misses-thread",
            milder(ERROR, steps_for(True, holed.assumed or any(value.is_guess for value in holed.values))),
            f"a hole of '{panel.name}' is {mm(off)} to the {side} of the nearest thread of '{insert.name}'{assumed}",
            panel.position,
            others=(
                *(
                    (panel.part.face.holes[0].place.labelled("its holes"),)
                    if panel.part and panel.part.face.holes
                    else ()
                ),
                chosen.choice.place.labelled("the rails"),
            ),
            sum=(
                f"hole at {mm(met.worst.x)}, thread at {mm(where)}: {mm(off)} apart; the play of hole and panel allows "
                f"{mm(room)}"
            ),
            remedy=_meeting_remedy(look, chosen, panel, holed, thread, with_play.shift is not None),
            rests_on=rests_on("holes", list(holed.values))
            + ("" if insert.first else "; strip taken to lie on the grid"),
            names=(look.rack.full(panel.name), look.rack.full(chosen.row.name)),
        )


def _meeting_remedy(look: Look, chosen: Chosen, panel: Panel, holed: Holed, thread: Thread, play_helps: bool) -> str:
    """Where the panel would meet threads, or what else would hold it."""
    if play_helps:
        return "push the strip along before tightening; then every panel of the row must take that shift"
    place = meeting_place(look, chosen, panel, holed, thread)
    nuts = fitting_inserts(chosen, "nut", thread.name)
    ways = []
    if place is not None:
        ways.append(f"start it at {show_hp(place)}")
    if nuts:
        ways.append(f"use sliding nuts '{nuts[0]}' in these rails")
    worst = holed.holes[0]
    ways.append(f"file its holes to slots (now {mm(worst.width)} wide)" if not ways else "")
    return ", or ".join(way for way in ways if way)


def meeting_place(look: Look, chosen: Chosen, panel: Panel, holed: Holed, thread: Thread) -> Fraction | None:
    """The nearest position, in half HP, at which the panel is free and all its holes meet threads."""
    insert = chosen.insert
    assert insert is not None and insert.pitch is not None and insert.holes is not None
    assert panel.start is not None and panel.width is not None
    first = insert.first.value if insert.first is not None else FIRST_THREAD
    last = len(look.rack.stages) - 1 if panel.until is None else panel.until - 1
    best: Fraction | None = None
    for run in runs_from(chosen.row, panel.since, last, panel):
        low, high = whole_hp(run)
        for half in range(2 * low, 2 * high + 1):
            place = half * HP / 2
            if place + panel.width.value > run[1]:
                break
            moved = tuple(HoleAt(hole.x - panel.start + place, hole.width, hole.length) for hole in holed.holes)
            if meet(moved, thread, first, insert.pitch.value, insert.holes, holed.slack).shift is None:
                continue
            if best is None or abs(place - panel.start) < abs(best - panel.start):
                best = place
    return best


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
    for panel in screwed_panels(chosen.row):
        if not panel.there(stage) or panel.start is None or panel.part is None:
            continue
        holed = holes_of(panel, panel.start, thread)
        if holed is None or not all(enters(hole, thread) for hole in holed.holes):
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
