"""Tapped strips of a row: in: a row on chosen rails, out: findings on holes that stand in front of no thread."""

from collections.abc import Iterator
from fractions import Fraction
from math import ceil
from typing import NamedTuple

from rackspec.findings import ERROR, Finding
from rackspec.language.quantity import show_hp
from rackspec.language.units import HP
from rackspec.model.faces import line_of_hole
from rackspec.model.known import rests_on
from rackspec.model.parts import Insert
from rackspec.model.rack import Panel
from rackspec.model.seats import LINES
from rackspec.physics.bolting import HoleAt, Meeting, beside, clearance, enters, meet, nearest_thread, past_end
from rackspec.physics.room import whole_hp
from rackspec.physics.threads import Thread
from rackspec.rules.choices import (
    FIRST_HOLE,
    FIRST_THREAD,
    Chosen,
    Holed,
    fitting_inserts,
    holes_of,
    on_the_rails,
)
from rackspec.rules.heights import holes_outside
from rackspec.rules.holes import mm
from rackspec.rules.registry import Look, milder, steps_for
from rackspec.rules.stages import runs_from

ONE_PAIR = 4 * HP
"""mm; a panel wider than this has a second pair of holes, as far from its right edge (IEC 60297-3-101, quoted)."""
LEAVES = HP / 4
"""mm that a panel may stand beside its slot before it counts as being somewhere else: half of half an HP, our own."""
OPENED = Fraction(1, 2)
"""mm that round holes are opened to make good for threads; for more there are slots (common practice, no source)."""
EDGE_LEFT = Fraction(1)
"""mm of panel that have to stay between a filed slot and the edge (common practice, no source)."""


class Strip(NamedTuple):
    """The threads of a strip: their thread, the first one (mm from the row's 0HP), their pitch, how many there are.

    ``give``: how far (mm) a panel may leave its slot, with what the strip gives. Whether its neighbours allow that is
    worked out by ``side_by_side``; a panel whose holes want more is somewhere else than where it was put.
    """

    insert: Insert
    thread: Thread
    first: Fraction
    pitch: Fraction
    threads: int
    give: Fraction

    @property
    def last(self) -> Fraction:
        """Where its last thread is (mm)."""
        return self.first + (self.threads - 1) * self.pitch

    def nearest(self, x: Fraction) -> Fraction:
        """The thread that is nearest to ``x`` (mm)."""
        return nearest_thread(x, self.first, self.pitch, self.threads)

    def meeting(self, holes: tuple[HoleAt, ...], slack: Fraction, moved: Fraction = Fraction(0)) -> Meeting:
        """How holes meet it, if it is moved (mm, right is positive)."""
        return meet(holes, self.thread, self.first + moved, self.pitch, self.threads, slack)


class Miss(NamedTuple):
    """A panel whose holes on one rail do not meet threads; ``numbers``: which of its holes these are."""

    panel: Panel
    holed: Holed
    met: Meeting
    numbers: tuple[int, ...]


def strip_of(look: Look, chosen: Chosen) -> Strip | None:
    """The strip of a choice; None where it is none, or not known well enough."""
    thread, insert = chosen.thread, chosen.insert
    if thread is None or insert is None or insert.form != "strip" or insert.pitch is None or insert.holes is None:
        return None
    first = insert.first.value if insert.first is not None else FIRST_THREAD
    play = insert.play or look.house.limit("assume play").as_known(insert.place)
    return Strip(insert, thread, first, insert.pitch.value, insert.holes, play.value / 2 + LEAVES)


def missed_threads(look: Look, chosen: Chosen) -> Iterator[Finding]:
    """Holes that meet no thread of the chosen strip."""
    strip = strip_of(look, chosen)
    if strip is None:
        return
    misses: list[Miss] = []
    held = 0
    for panel in on_the_rails(chosen.row):
        assert panel.start is not None
        holed = holes_of(panel, panel.start, strip.thread)
        if holed is None or holes_outside(panel) or not all(enters(hole, strip.thread) for hole in holed.holes):
            continue
        past = [x for x in places_of(panel, holed) if past_end(x, strip.first, strip.pitch, strip.threads)]
        if past:
            yield _past(look, chosen, strip, panel, holed, past)
            continue
        held += 1
        found = [
            Miss(panel, part, strip.meeting(part.holes, part.slack + strip.give), numbers)
            for part, numbers in by_line(panel, holed)
        ]
        misses += [miss for miss in found if miss.met.shift is None][:1]
    off = common_cause(strip, misses) if len(misses) == held > 1 else Fraction(0)
    if off:
        yield _whole_row(look, chosen, strip, misses, off)
        return
    for miss in misses:
        yield _miss(look, chosen, strip, miss)


def by_line(panel: Panel, holed: Holed) -> Iterator[tuple[Holed, tuple[int, ...]]]:
    """The holes of a panel on either rail, with their numbers: each rail has a strip of its own."""
    if holed.assumed or panel.part is None:
        yield holed, (0,)
        return
    holes = panel.part.face.holes
    for line in LINES:
        numbers = tuple(number for number, hole in enumerate(holes) if line_of_hole(panel.part.face, hole) == line)
        if numbers:
            yield (
                holed._replace(
                    holes=tuple(holed.holes[number] for number in numbers),
                    values=tuple(holed.values[number] for number in numbers),
                ),
                numbers,
            )


def places_of(panel: Panel, holed: Holed) -> list[Fraction]:
    """Where holes of a panel are (mm), with the second one of a wide panel where nobody wrote them down."""
    places = [hole.x for hole in holed.holes]
    if holed.assumed and panel.width is not None and panel.start is not None and panel.width.value > ONE_PAIR:
        places.append(panel.start + panel.width.value - FIRST_HOLE)
    return places


def _guessed(strip: Strip, holed: Holed) -> bool:
    first = strip.insert.first
    return holed.assumed or any(value.is_guess for value in holed.values) or (first is not None and first.is_guess)


def _trust(strip: Strip, holed: Holed) -> str:
    return rests_on("holes", list(holed.values)) + ("" if strip.insert.first else "; strip taken to lie on the grid")


def _past(look: Look, chosen: Chosen, strip: Strip, panel: Panel, holed: Holed, past: list[Fraction]) -> Finding:
    """The finding about holes beyond the ends of a strip."""
    assert panel.part is not None
    behind = past[-1] > strip.last
    if behind:
        end, where = f"'{strip.insert.name}' ends at {mm(strip.last)}", strip.last
    else:
        end, where = f"'{strip.insert.name}' begins at {mm(strip.first)}", strip.first
    furthest = max(past) if behind else min(past)
    holes = f"{len(past)} holes of '{panel.name}' are" if len(past) > 1 else f"a hole of '{panel.name}' is"
    nuts = fitting_inserts(chosen, "nut", strip.thread.name)
    written = panel.part.face.holes if not holed.assumed else ()
    places = [hole for number, hole in enumerate(written) if holed.holes[number].x in past]
    assumed = ", assumed to lie on the grid" if holed.assumed else ""
    steps = f"{mm(strip.first)} + {strip.threads - 1} x {mm(strip.pitch)} = {mm(strip.last)}, and " if behind else ""
    return Finding(
        "hole-misses-thread",
        milder(ERROR, steps_for(True, _guessed(strip, holed))),
        f"{end}, {holes} at {', '.join(mm(x) for x in sorted(set(past)))}{assumed}",
        panel.position,
        others=(
            *(hole.place.labelled("beyond the strip") for hole in places),
            strip.insert.place.labelled("the strip"),
            chosen.choice.place.labelled("the rails"),
        ),
        sum=f"{steps}{mm(max(furthest, where))} - {mm(min(furthest, where))} = {mm(abs(furthest - where))}",
        remedy="use a longer strip, or sliding nuts" + (f" '{nuts[0]}' in these rails" if nuts else ""),
        rests_on=_trust(strip, holed),
        names=(look.rack.full(panel.name), look.rack.full(chosen.row.name)),
    )


def common_cause(strip: Strip, misses: list[Miss]) -> Fraction:
    """How far the threads stand to the right of where all panels want them (mm); 0 where that is not the one cause."""
    starts = [miss.panel.start for miss in misses if miss.panel.start is not None]
    found = {beside(strip.first - FIRST_THREAD - start, strip.pitch) for start in starts}
    if len(found) != 1:
        return Fraction(0)
    off = found.pop()
    met = all(strip.meeting(miss.holed.holes, miss.holed.slack, -off).shift is not None for miss in misses)
    return off if met else Fraction(0)


def _whole_row(look: Look, chosen: Chosen, strip: Strip, misses: list[Miss], off: Fraction) -> Finding:
    """The finding about a strip, or about panels, that are all beside by the same."""
    row, insert = chosen.row, strip.insert
    side = "left" if off > 0 else "right"
    push = f"push the strip {mm(abs(off))} to the {side}"
    if insert.play is not None and insert.play.value / 2 < abs(off):
        nuts = fitting_inserts(chosen, "nut", strip.thread.name)
        push = f"use sliding nuts '{nuts[0]}' in these rails" if nuts else "use sliding nuts"
    if insert.first is not None and beside(strip.first - FIRST_THREAD, strip.pitch) == off:
        message = f"the threads of row '{row.name}' stand {mm(abs(off))} beside the grid"
        remedy = f"measure 'first' of '{insert.name}' again, or {push}"
        sums = f"first thread at {mm(strip.first)}; on the grid it is at {mm(strip.first - off)}"
        places = [insert.first.place.labelled("its first thread")]
    else:
        message = f"all panels of row '{row.name}' stand {mm(abs(off))} beside the threads of '{insert.name}'"
        remedy = f"start them at whole HP, or {push}"
        hole = misses[0].holed.holes[misses[0].met.worst]
        sums = f"hole of '{misses[0].panel.name}' at {mm(hole.x)}, thread at {mm(strip.nearest(hole.x))}"
        places = [misses[0].panel.position.labelled("the first of them")]
    return Finding(
        "hole-misses-thread",
        milder(ERROR, steps_for(True, all(_guessed(strip, miss.holed) for miss in misses))),
        f"{message}: none of its {len(misses)} panels meets them",
        chosen.choice.place,
        others=tuple(places),
        sum=sums,
        remedy=remedy,
        rests_on=rests_on("holes", [value for miss in misses for value in miss.holed.values]),
        names=(look.rack.full(row.name),),
    )


def _miss(look: Look, chosen: Chosen, strip: Strip, miss: Miss) -> Finding:
    """The finding about one panel."""
    panel, holed, met, numbers = miss
    assert panel.part is not None and panel.start is not None
    worst = holed.holes[met.worst]
    room, off = clearance(worst, strip.thread) + holed.slack + strip.give, abs(met.off)
    where = strip.nearest(worst.x)
    cited = [] if holed.assumed else [panel.part.face.holes[numbers[met.worst]]]
    if off <= room:
        message = f"the holes of '{panel.name}' do not all meet threads of '{strip.insert.name}' at once"
        sums = _pair(strip, holed, met)
        cited = [panel.part.face.holes[numbers[number]] for number in met.pair]
    else:
        assumed = (
            f", with its first hole assumed {mm(worst.x - panel.start)} from its edge on the grid"
            if holed.assumed
            else ""
        )
        message = (
            f"a hole of '{panel.name}' is {mm(off)} to the {'right' if met.off > 0 else 'left'} of the nearest thread "
            f"of '{strip.insert.name}'{assumed}"
        )
        sums = (
            f"hole at {mm(worst.x)}, thread at {mm(where)}: {mm(off)} apart; "
            f"hole, strip and a panel in its slot give {mm(room)} at most"
        )
    return Finding(
        "hole-misses-thread",
        milder(ERROR, steps_for(True, _guessed(strip, holed))),
        message,
        panel.position,
        others=(*(hole.place.labelled("the hole") for hole in cited), chosen.choice.place.labelled("the rails")),
        sum=sums,
        remedy=_remedy(look, chosen, strip, miss),
        rests_on=_trust(strip, holed),
        names=(look.rack.full(panel.name), look.rack.full(chosen.row.name)),
    )


def _pair(strip: Strip, holed: Holed, met: Meeting) -> str:
    """Why two holes of a panel do not both meet threads: how far apart they are, and the threads."""
    left, right = sorted((holed.holes[number] for number in met.pair), key=lambda hole: hole.x)
    apart, threads = right.x - left.x, strip.nearest(right.x) - strip.nearest(left.x)
    play = clearance(left, strip.thread) + clearance(right, strip.thread)
    off = abs(apart - threads)
    return (
        f"{mm(apart)} from hole to hole, {mm(threads)} from thread to thread, {mm(off)} off; "
        f"both holes give {mm(play)}, {mm(off)} - {mm(play)} = {mm(off - play)}"
    )


def _remedy(look: Look, chosen: Chosen, strip: Strip, miss: Miss) -> str:
    """Where the panel would meet threads, or what else would hold it."""
    panel, holed = miss.panel, miss.holed
    place = meeting_place(look, chosen, strip, panel, holed)
    nuts = fitting_inserts(chosen, "nut", strip.thread.name)
    ways = [text] if (text := _wider(strip, miss)) else []
    if place is not None:
        ways.append(f"start it at {show_hp(place)}")
    if nuts:
        ways.append(f"use sliding nuts '{nuts[0]}' in these rails")
    return ", or ".join(ways) or ("measure where its holes are" if holed.assumed else slots(strip, panel, holed))


def _wider(strip: Strip, miss: Miss) -> str:
    """To which diameter two holes that contradict each other have to be opened; nothing where that is too much."""
    holed, met = miss.holed, miss.met
    left, right = (holed.holes[number] for number in met.pair)
    play = clearance(left, strip.thread) + clearance(right, strip.thread)
    off = abs(abs(right.x - left.x) - abs(strip.nearest(right.x) - strip.nearest(left.x)))
    opening = Fraction(ceil((max(left.length, right.length) + off - play) * 10), 10)
    if not 0 < off - play <= OPENED or left.length != left.width or right.length != right.width:
        return ""
    return f"open its holes to {mm(opening)} (deburr, and mind the coating)"


def slots(strip: Strip, panel: Panel, holed: Holed) -> str:
    """The slots (mm) through which all threads can be reached, if the panel is wide enough for them."""
    assert panel.part is not None and panel.width is not None
    off = max(abs(hole.x - strip.nearest(hole.x)) for hole in holed.holes)
    length = Fraction(ceil(2 * (strip.thread.largest + 2 * off)), 2)
    right = (panel.part.face.width or panel.width).value
    middles = [hole.x.value for hole in panel.part.face.holes]
    if min(min(middle, right - middle) for middle in middles) - length / 2 < EDGE_LEFT:
        return "use sliding nuts: slots long enough for this strip would reach the edge of its panel"
    width = min(hole.width for hole in holed.holes)
    return f"file its holes to slots of {mm(width)} x {mm(length)} (deburr, and mind the coating)"


def meeting_place(look: Look, chosen: Chosen, strip: Strip, panel: Panel, holed: Holed) -> Fraction | None:
    """The nearest position, in half HP, at which the panel is free and all its holes meet threads."""
    assert panel.start is not None and panel.width is not None
    last = len(look.rack.stages) - 1 if panel.until is None else panel.until - 1
    best: Fraction | None = None
    for run in runs_from(chosen.row, panel.since, last, panel):
        low, high = whole_hp(run)
        for half in range(2 * low, 2 * high + 1):
            place = half * HP / 2
            if place + panel.width.value > run[1]:
                break
            moved = tuple(HoleAt(hole.x - panel.start + place, hole.width, hole.length) for hole in holed.holes)
            if strip.meeting(moved, holed.slack).shift is None:
                continue
            if best is None or abs(place - panel.start) < abs(best - panel.start):
                best = place
    return best
