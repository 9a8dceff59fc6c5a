"""A row of panels on its rails: in: panels, strips, nuts, ends (mm), out: what limits them, as limits between places.

Places are the left edge of each panel on both lines, the shift of each strip, each nut, and the rails. On both
lines a screw stands off the middle of its hole by no more than its clearance; neighbours do not overlap; the outer
panels stay between the ends; nuts have width and stay in their channel; the two edges of one panel differ by no more
than it may turn. All of these are differences of two places. Which thread each hole stands before is given.
"""

from collections.abc import Hashable, Iterator
from math import lcm
from typing import NamedTuple

from rackspec.physics.differences import Exact, Hub, Limit, Place, Size
from rackspec.physics.row import LINES, NutLine, RowPanel, RowProblem, StripLine, Threads


class RowLimits(NamedTuple):
    """The limits of a row in whole parts of a millimetre, of which there are ``parts``."""

    limits: tuple[Limit, ...]
    sizes: dict[Hashable, Size]
    hubs: tuple[Hub, ...]
    start: dict[Place, Exact]
    parts: int


class What(NamedTuple):
    """What a limit of a row is about: its kind, its line, numbers of panel, hole and thread."""

    kind: str
    line: str = ""
    panel: int | None = None
    hole: int | None = None
    thread: int | None = None


RAILS: Place = "rails"


def panel_of(place: Place) -> int | None:
    """The number of the panel that a place belongs to: an edge of it, or a nut of its own."""
    match place:
        case ("edge", _, int(number)) | ("nut", int(number), _):
            return number
    return None


def thread_choices(problem: RowProblem, number: int, line: str, parts: int) -> tuple[tuple[int, ...], ...]:
    """Which threads the holes of a panel may stand before on a line with a strip, the nearest first.

    A hole nearer to the middle between two threads than to either may take both; the other holes go along.
    ``parts``: of a millimetre (``parts_of``).
    """
    strip, panel = problem.line(line), problem.panels[number]
    assert isinstance(strip, StripLine)
    first, pitch = whole(strip.first.nominal, parts), whole(strip.pitch.nominal, parts)
    left = _left(panel, parts) - first
    places = [left + whole(hole.offset.nominal, parts) for hole in panel.holes if hole.line == line]

    def nearest(moved: int) -> tuple[int, ...]:
        return tuple(min(max((2 * (at + moved) + pitch) // (2 * pitch), 0), strip.threads - 1) for at in places)

    found = [nearest(0)]
    for place in places:
        thread = (2 * place + pitch) // (2 * pitch)
        off = place - thread * pitch
        if 4 * abs(off) > pitch:
            for wanted in (thread, thread + (1 if off > 0 else -1)):
                if 0 <= wanted < strip.threads:
                    choice = nearest(wanted * pitch - place)
                    if choice not in found:
                        found.append(choice)
    return tuple(found)


def row_limits(problem: RowProblem, threads: Threads) -> RowLimits:
    """What limits the places of a row whose holes stand before these threads.

    From the right end to the left, which is how one panel pushes the next: a search for rings then needs few turns.
    """
    parts = parts_of(problem)
    return RowLimits(
        tuple(_limits(problem, threads, parts)),
        dict(_sizes(problem, parts)),
        tuple(_hubs(problem)),
        dict(_meant(problem, parts)),
        parts,
    )


def whole(length: Exact, parts: int) -> int:
    """A length (mm) in parts of a millimetre, of which there are enough for it to be whole."""
    return length.numerator * (parts // length.denominator)


def _left(panel: RowPanel, parts: int) -> int:
    """Where the left edge of a panel is meant to be: in the middle of its slot."""
    return whole(panel.start, parts) + (whole(panel.width, parts) - whole(panel.face.nominal, parts)) // 2


def parts_of(problem: RowProblem) -> int:
    """Into how many parts a millimetre is cut, so that all lengths and their halves are whole."""
    lengths: list[Exact] = [problem.ends.length, problem.ends.beyond]
    for panel in problem.panels:
        lengths += [panel.start, panel.width, *panel.face, panel.turn or 0]
        for hole in panel.holes:
            lengths += [*hole.offset, hole.room]
    for line in (problem.bottom, problem.top):
        if isinstance(line, StripLine):
            lengths += [*line.first, *line.pitch, line.play]
        elif line is not None:
            lengths += line.across
    return 2 * lcm(*{length.denominator for length in lengths})


def _sizes(problem: RowProblem, parts: int) -> Iterator[tuple[Hashable, Size]]:
    """The sizes of a row by name; of a nut its half, which is what stands at either side of its screw."""

    def size(given: Size, of: int = parts) -> Size:
        return Size(whole(given.nominal, of), whole(given.low, of), whole(given.high, of))

    for number, panel in enumerate(problem.panels):
        yield ("face", number), size(panel.face)
        for hole_number, hole in enumerate(panel.holes):
            yield ("hole", number, hole_number), size(hole.offset)
    for name in LINES:
        line = problem.line(name)
        if isinstance(line, StripLine):
            yield ("first", name), size(line.first)
            yield ("pitch", name), size(line.pitch)
        elif line is not None:
            yield ("half nut", name), size(line.across, parts // 2)


def _meant(problem: RowProblem, parts: int) -> Iterator[tuple[Place, Exact]]:
    """Where everything is meant to be."""
    left = [_left(panel, parts) for panel in problem.panels]
    yield RAILS, 0
    for name in LINES:
        line = problem.line(name)
        if isinstance(line, StripLine):
            yield ("strip", name), whole(line.first.nominal, parts)
        for number, panel in enumerate(problem.panels):
            yield ("edge", name, number), left[number]
            for hole_number, hole in enumerate(panel.holes):
                if hole.line == name and isinstance(line, NutLine):
                    yield ("nut", number, hole_number), left[number] + whole(hole.offset.nominal, parts)


def _hubs(problem: RowProblem) -> Iterator[Hub]:
    """The places one of which every ring passes.

    Without strips and rails all limits lead to the left, but for those of one panel and its own nuts.
    """
    strips = [("strip", name) for name in LINES if isinstance(problem.line(name), StripLine)]
    for place in strips:
        yield Hub(place, tuple(strips[strips.index(place) + 1 :]))
    yield Hub(RAILS)
    for number, panel in enumerate(problem.panels):
        nuts = [
            (hole.line, ("nut", number, hole_number))
            for hole_number, hole in enumerate(panel.holes)
            if isinstance(problem.line(hole.line), NutLine)
        ]
        own = frozenset([place for _, place in nuts] + [("edge", name, number) for name in LINES])
        for name in LINES:
            if sum(line == name for line, _ in nuts) > 1:
                yield Hub(("edge", name, number), (), own)


def _limits(problem: RowProblem, threads: Threads, parts: int) -> Iterator[Limit]:
    length, beyond = whole(problem.ends.length, parts), whole(problem.ends.beyond, parts)
    last = len(problem.panels) - 1
    nuts = {name: nuts_in_order(problem, name) for name in LINES}
    for name in LINES:
        line = problem.line(name)
        if isinstance(line, StripLine):
            yield from _strip(name, whole(line.play, parts) // 2)
        elif nuts[name]:
            half = ("half nut", name)
            yield Limit(RAILS, nuts[name][-1], length, ((half, -1),), None, What("channel", name))
    for number in range(last, -1, -1):
        panel = problem.panels[number]
        for name in LINES:
            edge = ("edge", name, number)
            face: tuple[Hashable, ...] = ("face", number)
            if number == last:
                yield Limit(RAILS, edge, length + beyond, ((face, -1),), None, What("right end", name, number))
            else:
                beside = ("edge", name, number + 1)
                yield Limit(beside, edge, 0, ((face, -1),), None, What("panel", name, number))
        yield from _holes(problem, number, threads[number], parts)
        if panel.turn is not None:
            turn, pair = whole(panel.turn, parts), ("turn", number)
            bottom, top = (("edge", name, number) for name in LINES)
            yield Limit(bottom, top, turn, (), pair, What("turn", "", number))
            yield Limit(top, bottom, turn, (), pair, What("turn", "", number))
        for name in LINES:
            for at in range(len(nuts[name]) - 1, 0, -1):
                place = nuts[name][at]
                if place[1] == number:
                    yield Limit(place, nuts[name][at - 1], 0, ((("half nut", name), -2),), None, What("nuts", name))
    for name in LINES:
        if problem.panels:
            yield Limit(("edge", name, 0), RAILS, beyond, (), None, What("left end", name, 0))
        if nuts[name]:
            yield Limit(nuts[name][0], RAILS, 0, ((("half nut", name), -1),), None, What("channel", name))


def nuts_in_order(problem: RowProblem, name: str) -> list[tuple[str, int, int]]:
    """The nuts of a line from left to right: as their panels stand, and in one panel as its holes do."""
    if not isinstance(problem.line(name), NutLine):
        return []
    return [
        ("nut", number, hole_number)
        for number, panel in enumerate(problem.panels)
        for hole_number, hole in sorted(enumerate(panel.holes), key=lambda pair: pair[1].offset.nominal)
        if hole.line == name
    ]


def _strip(name: str, half_play: int) -> Iterator[Limit]:
    """A strip within its travel."""
    first, strip = ("first", name), ("strip", name)
    yield Limit(RAILS, strip, half_play, ((first, 1),), first, What("strip", name))
    yield Limit(strip, RAILS, half_play, ((first, -1),), first, What("strip", name))


def _holes(problem: RowProblem, number: int, threads: tuple[int | None, ...], parts: int) -> Iterator[Limit]:
    """The screws of a panel in its holes."""
    for hole_number, hole in enumerate(problem.panels[number].holes):
        line, edge = problem.line(hole.line), ("edge", hole.line, number)
        if line is None:
            continue
        size, room = ("hole", number, hole_number), whole(hole.room, parts)
        thread = threads[hole_number]
        pitched: tuple[tuple[Hashable, int], ...] = ((("pitch", hole.line), thread),) if thread else ()
        behind: Place = ("strip", hole.line) if thread is not None else ("nut", number, hole_number)
        about = What("screw", hole.line, number, hole_number, thread)
        yield Limit(behind, edge, room, ((size, -1), *pitched), size, about)
        pitched = tuple((name, -times) for name, times in pitched)
        yield Limit(edge, behind, room, ((size, 1), *pitched), size, about)
