"""Panels between their rails: in: a row on chosen rails, out: how each stands, and what has to be pushed for it.

Three steps: without help, with the play of the inserts across the rails, with the rails pushed in their end holes. What
no step helps is told by ``rails-misspaced`` if it is the rails, by ``hole-misses-thread`` if it is a panel.
"""

from fractions import Fraction
from typing import NamedTuple

from rackspec.language.quantity import show
from rackspec.model.known import Known
from rackspec.model.rack import Panel
from rackspec.physics.pushing import Ask, Push, smallest_push
from rackspec.physics.standing import Height, Upright, Window, least_off, window
from rackspec.physics.threads import THREADS, Thread
from rackspec.rules.choices import FIRST_HOLE, Chosen, on_the_rails
from rackspec.rules.registry import Look
from rackspec.rules.thread_lines import APART, HEIGHT, Apart, ThreadLines, thread_lines

ALONE, PLAY, PUSHED, NEVER = 1, 2, 3, 4
"""How a panel gets onto its rails: without help, with the inserts' play, with the rails pushed, not at all."""
STEPS = {
    ALONE: "without help",
    PLAY: "with the play of the inserts",
    PUSHED: "with the rails pushed in their end holes",
    NEVER: "not at all",
}
OTHER_HEIGHT = Fraction(5)
"""mm off the height of 3U from where on a panel is none, and nothing is said of its holes' heights."""
SECOND_PAIR = Fraction("20.32")
"""mm; a panel wider than 4 HP has a second pair of holes, as far from its right edge (IEC 60297-3-101, quoted)."""


class StandingPanel(NamedTuple):
    """A panel (None: any standard one) on its rails: its holes in height, the distance of its own upper and lower holes
    (mm), its place as shares of the row's length (leftmost and rightmost hole), the step it needs and the sum of it.

    ``assumed``: nobody wrote its holes down.
    """

    panel: Panel | None
    upright: Upright
    holes_apart: Fraction
    shares: tuple[Fraction, ...]
    assumed: bool
    step: int
    sum: str

    @property
    def name(self) -> str:
        """How it is called."""
        return f"'{self.panel.name}'" if self.panel is not None else "a standard panel"

    def there(self, stage: int) -> bool:
        """Whether it is there at a stage; a standard one may always come."""
        return self.panel is None or self.panel.there(stage)


class Verdict(NamedTuple):
    """How the panels of a row get onto its rails: the step, the push (None: none that straight rails could give, or
    none is needed), the distances of the rails that were counted (mm), and whether others that are as likely ask for
    a push to the other side."""

    step: int
    push: Push | None
    left: Fraction
    right: Fraction
    either: bool = False


def heights_on_panel(height: Fraction) -> tuple[Fraction, Fraction]:
    """How high the threads stand above the lower edge of a panel in its place (mm)."""
    return (height - APART) / 2, (height + APART) / 2


def thread_of(chosen: Chosen) -> Thread:
    """The thread of a row's inserts; M3, the usual one, where nobody chose any."""
    return chosen.thread or THREADS["M3"]


def slack_of_inserts(look: Look, chosen: Chosen) -> Known:
    """The whole travel of a row's inserts across their rails (mm): as written, else a band."""
    insert = chosen.insert
    if insert is not None and insert.slack is not None:
        return insert.slack
    kind = "nut" if insert is not None and insert.form == "nut" else "strip"
    place = insert.place if insert is not None else chosen.choice.place
    return look.house.limit(f"assume {kind}-slack").as_known(place)


def upright_of(chosen: Chosen, panel: Panel | None) -> Upright | None:
    """A panel's holes in height; None where it is none of 3U, or no screw of the row goes through its holes."""
    thread, lip = thread_of(chosen), chosen.rail.lip if chosen.rail is not None else None
    face = panel.part.face if panel is not None and panel.part is not None else None
    height = face.height.value if face is not None and face.height is not None else HEIGHT
    if abs(height - HEIGHT) > OTHER_HEIGHT:
        return None
    outside = lip.outside.value if lip is not None else None
    strip = chosen.insert is not None and chosen.insert.form == "strip"
    if face is None or not face.holes:
        play = (thread.clearance[0] - thread.largest) / 2
        low, high = heights_on_panel(height)
        return Upright(((low, play),), ((high, play),), height, outside, strip)
    bottom: list[Height] = []
    top: list[Height] = []
    for hole in face.holes:
        play = (hole.width.value - thread.largest) / 2  # a slot gives sideways only
        if play >= 0:
            (top if hole.y.value > height / 2 else bottom).append((hole.y.value, play))
    return Upright(tuple(bottom), tuple(top), height, outside, strip) if bottom or top else None


def length_of(chosen: Chosen) -> Fraction | None:
    """The length of a row's rails (mm)."""
    length = chosen.rail.length if chosen.rail is not None and chosen.rail.length is not None else chosen.row.length
    return length.value if length is not None and length.value > 0 else None


def shares_of(panel: Panel, length: Fraction | None) -> tuple[Fraction, ...]:
    """Where the leftmost and the rightmost hole of a panel are, as shares of the row's length."""
    assert panel.part is not None and panel.start is not None and panel.width is not None
    if length is None:
        return (Fraction(0),)
    face = panel.part.face
    if face.holes:
        edge = panel.start + ((panel.width.value - face.width.value) / 2 if face.width is not None else 0)
        places = [edge + hole.x.value for hole in face.holes]
    else:
        places = [panel.start + FIRST_HOLE]
        if panel.width.value > SECOND_PAIR:
            places.append(panel.start + panel.width.value - FIRST_HOLE)
    return tuple(dict.fromkeys(place / length for place in (min(places), max(places))))


def holes_apart(upright: Upright) -> Fraction:
    """The distance of a panel's upper holes from its lower ones (mm), outermost ones; the standard's with one row."""
    if not upright.bottom or not upright.top:
        return APART
    return max(y for y, _ in upright.top) - min(y for y, _ in upright.bottom)


def standing_panels(look: Look, chosen: Chosen, lines: ThreadLines | None = None) -> tuple[StandingPanel, ...]:
    """How the panels of a row stand on its rails. Where there is none yet, a standard one stands at either end."""
    lines = lines or thread_lines(chosen)
    length, slack = length_of(chosen), slack_of_inserts(look, chosen)
    give = look.house.limit("give rails").value
    found = []
    for panel in on_the_rails(chosen.row):
        upright = upright_of(chosen, panel)
        if upright is None:
            continue
        assumed = panel.part is None or not panel.part.face.holes
        shares = shares_of(panel, length)
        found.append(_standing(panel, upright, shares, assumed, lines, slack, give))
    if not found:
        standard = upright_of(chosen, None)
        assert standard is not None
        both = (Fraction(0), Fraction(1))
        found.append(_standing(None, standard, both, True, lines, slack, give))
    return tuple(found)


def _standing(
    panel: Panel | None,
    upright: Upright,
    shares: tuple[Fraction, ...],
    assumed: bool,
    lines: ThreadLines,
    slack: Known,
    give: Fraction,
) -> StandingPanel:
    """One panel with the step it needs, if it were alone in its row."""
    alone = StandingPanel(panel, upright, holes_apart(upright), shares, assumed, ALONE, "")
    step = verdict([alone], lines.left, lines.right, slack.value, give).step
    return alone._replace(step=step, sum=sum_of(alone, lines, slack.value, give))


def worst_share(standing: StandingPanel, lines: ThreadLines) -> Fraction:
    """At which of its holes a panel is furthest from what the rails give."""
    asks = window(standing.upright, Fraction(0))
    return max(standing.shares, key=lambda share: abs(lines.at(share) - _middle(asks, standing)))


def _middle(asks: Window, standing: StandingPanel) -> Fraction:
    if asks.least is not None and asks.most is not None:
        return (asks.least + asks.most) / 2
    return standing.holes_apart


def needed(standing: StandingPanel, lines: ThreadLines, slack: Fraction) -> Fraction:
    """How much further apart (negative: nearer) the rails would have to be for a panel where it stands (mm)."""
    asks = window(standing.upright, slack)
    beyond = [asks.beyond(lines.at(share)) for share in standing.shares]
    return -max(beyond, key=abs)


def sum_of(standing: StandingPanel, lines: ThreadLines, slack: Fraction, give: Fraction, at_the_end: str = "") -> str:
    """The sum for one panel: what its holes and its screws allow, what the inserts add, what has to be pushed.

    ``at_the_end``: what that is at the end of the rails, where it is not the same.
    """
    apart, holes = lines.at(worst_share(standing, lines)), standing.holes_apart
    off = abs(apart - holes)
    room = room_of(standing.upright)
    parts = f"{near(max(apart, holes))} - {near(min(apart, holes))} = {near(off)}"
    if off <= room:
        return f"{parts}; the screws have {near(room)} of room in their holes"
    text = f"{parts}; room of the screws {near(room)} + play of the inserts {near(slack)} = {near(room + slack)}"
    rest = abs(needed(standing, lines, slack))
    if rest:
        text += f"; {near(rest)} are left to push{at_the_end}, and rails give {near(give)}"
    return text


def room_of(upright: Upright) -> Fraction:
    """How far a distance may be off for a panel's screws alone (mm): the room in one lower and one upper hole."""
    sides = [min(play for _, play in holes) for holes in (upright.bottom, upright.top) if holes]
    return sum(sides, Fraction(0)) * (2 if len(sides) == 1 else 1)


def near(value: Fraction) -> str:
    """A length in millimetres for a sum: exact if it has four places, else rounded to a hundredth and marked."""
    if (value * 10_000).denominator == 1:
        sign = "-" if value < 0 else ""
        digits = f"{abs(value) * 10_000 // 1:05d}"
        return f"{sign}{digits[:-4]}.{digits[-4:]}".rstrip("0").rstrip(".") + "mm"
    return "~" + show(Fraction(round(value * 100), 100), "length")


def verdict(
    panels: list[StandingPanel], left: Apart, right: Apart, slack: Fraction, give: Fraction, worst: bool = False
) -> Verdict:
    """How panels get onto their rails, all together; ``worst``: wherever between its ends each distance is."""
    ends = [(left.value, right.value)]
    if worst:
        ends = [(one, other) for one in sorted(set(left.ends())) for other in sorted(set(right.ends()))]
    found = [_verdict(panels, *pair, slack, give) for pair in ends]
    bad = max(found, key=_badness)
    return bad._replace(either=len({_is_apart(one) for one in found if one.push is not None}) > 1)


def _badness(found: Verdict) -> tuple[int, Fraction, Fraction]:
    return found.step, found.push.most if found.push is not None else Fraction(0), found.left + found.right


def _is_apart(found: Verdict) -> bool:
    """Whether rails have to be pushed apart, seen at the end that is pushed most."""
    return found.push is not None and max(found.push.left, found.push.right, key=abs) > 0


def _verdict(panels: list[StandingPanel], left: Fraction, right: Fraction, slack: Fraction, give: Fraction) -> Verdict:
    """The same with rails whose distance is known exactly."""
    for step, help_of in ((ALONE, Fraction(0)), (PLAY, slack)):
        asks = asks_of(panels, help_of)
        agreed = all(window(one.upright, help_of).lacking <= 0 for one in panels)
        if agreed and all(ask.takes(left + (right - left) * ask.share) for ask in asks):
            return Verdict(step, None, left, right)
    push = smallest_push(asks, left, right, give) if agreed else None
    return Verdict(PUSHED if push is not None and push.most <= give else NEVER, push, left, right)


def asks_of(panels: list[StandingPanel], slack: Fraction) -> list[Ask]:
    """What panels ask of the distance of the rails at their places, each once."""
    found: dict[Ask, None] = {}
    for standing in panels:
        asks = window(standing.upright, slack)
        found.update((Ask(share, asks.least, asks.most), None) for share in standing.shares)
    return list(found)


def height_off(look: Look, chosen: Chosen, panel: Panel) -> Fraction:
    """How far some screw of a panel stands too high or too low in its hole at the least (mm).

    After all play of the inserts is used up, at the lower end of what it may be; before any rail is pushed. 0 where
    nothing is known of the panel's holes in height.
    """
    upright = upright_of(chosen, panel)
    if upright is None:
        return Fraction(0)
    lines, slack = thread_lines(chosen), slack_of_inserts(look, chosen).low
    heights = [y for y, _ in (*upright.bottom, *upright.top)]
    found = []
    for share in shares_of(panel, length_of(chosen)):
        for left in lines.left.ends():
            for right in lines.right.ends():
                apart = left + (right - left) * share
                at = [Fraction(0)] * len(upright.bottom) + [apart] * len(upright.top)
                found.append(least_off(at, heights, slack, upright.strip))
    return max(found)
