"""What ``rails-misspaced`` says: in: a rack, out: findings and margins on the distance of the rails of each row."""

from collections.abc import Iterator
from fractions import Fraction

from rackspec.findings import ERROR, NOTE, Finding
from rackspec.model.known import PRACTICE
from rackspec.model.rack import Row
from rackspec.model.seats import BOTTOM, LINES, TOP
from rackspec.physics.margin import Margin
from rackspec.physics.standing import window
from rackspec.rules.causes import offs_of
from rackspec.rules.choices import Chosen
from rackspec.rules.drill_points import stand_of
from rackspec.rules.rails_apart import Spacing, hangs_on_play, is_told, spacing_of
from rackspec.rules.registry import Look, NotKnown, Seen, milder, steps_for
from rackspec.rules.standing_panels import (
    NEVER,
    StandingPanel,
    near,
    needed,
    room_of,
    sum_of,
)
from rackspec.rules.thread_lines import APART, DRILLED, lines_as_drilled
from rackspec.rules.ways_out import apart_ways, mm, up_to_tenths


def misspaced_rows(look: Look) -> Iterator[Seen]:
    """What is to be said of the distance of the rails, row by row."""
    for row in look.rack.rows:
        spacing = spacing_of(look, row)
        if spacing is None:
            continue
        told = list(_told(look, row, spacing))
        yield from told
        if not told:
            yield from contradiction(look, row, spacing)
            yield from _play(spacing)
            yield from _margin(look, row, spacing)


def _play(spacing: Spacing) -> Iterator[NotKnown]:
    """The play of the inserts, where it decides."""
    insert = spacing.chosen.insert
    if insert is not None and hangs_on_play(spacing) and spacing.lines.is_known:
        how = "push it down and up in its rail, and measure how far it goes in all ('slack 0.3mm')"
        yield NotKnown(insert.name, "how far it travels across the rail", how, insert.place)


def _margin(look: Look, row: Row, spacing: Spacing) -> Iterator[Margin]:
    """How close a call the distance of the rails is, for the panel that is closest."""
    lines = spacing.lines
    if not lines.is_known:
        return
    calls = []
    for one in spacing.panels:
        limit = room_of(one.upright) + spacing.slack.low
        off = max(
            abs(left + (right - left) * share - one.holes_apart)
            for share in one.shares
            for left in lines.left.ends()
            for right in lines.right.ends()
        )
        calls.append((limit - off, off, limit))
    left, off, limit = min(calls)
    if left < 0:
        return  # it hangs on a play that nobody measured, or on the ends of a tolerance
    what = f"{look.rack.full(row.name)}: rails off from the holes of its panels"
    yield Margin(what, off, limit, "mm", f"{lines.trust()}; {play_in_words(spacing)}")


def _told(look: Look, row: Row, spacing: Spacing) -> Iterator[Finding]:
    """The finding about a row whose rails have to be pushed, or cannot be pushed far enough."""
    if not is_told(spacing):
        return
    lines, slack, found = spacing.lines, spacing.counted_slack, spacing.counted
    give = look.house.limit("give rails")
    lacks = [(needed(one, lines, slack), one) for one in spacing.panels]
    lack, worst = max(lacks, key=lambda pair: abs(pair[0]))
    if not lack and found.push is None:
        return  # only the ends of a tolerance contradict each other
    many = sum(1 for off, one in lacks if off and one is not worst)
    who = worst.name + (f" and {many} other{'s' if many > 1 else ''}" if many else "")
    guessed = any(value.is_guess for value in lines.values)
    never = found.step == NEVER
    nominal = not spacing.at_worst and lines.is_known
    severity = milder(ERROR, (0 if never else 1) + steps_for(nominal, guessed))
    places = [*lines.places]
    place = places.pop(0) if places else spacing.chosen.choice.place
    if worst.panel is not None:
        places.append(worst.panel.position.labelled("the panel that wants most"))
    worst_text = ", at the worst" if spacing.at_worst else ""
    yield Finding(
        "rails-misspaced",
        severity,
        _message(row, spacing, lack, worst, who, never) + slip(look, spacing) + worst_text,
        place,
        others=tuple(places),
        sum=_sum(spacing, worst, lack, slack, give.value),
        remedy=_remedy(look, row, spacing, never),
        rests_on=_trust(spacing, f"{near(give.value)}, from {give.origin}"),
        names=(look.rack.full(row.name), *((look.rack.full(worst.panel.name),) if worst.panel is not None else ())),
    )


def lips_decide(worst: StandingPanel, lack: Fraction, slack: Fraction) -> bool:
    """Whether it is the height of a panel between the lips that asks for more, and not its holes."""
    lip = worst.upright.lip
    return lip is not None and lack > 0 and window(worst.upright, slack).least == worst.upright.height - 2 * lip


def _message(row: Row, spacing: Spacing, lack: Fraction, worst: StandingPanel, who: str, never: bool) -> str:
    """What is wrong, in one line that stands alone."""
    push = spacing.counted.push
    if push is None:
        return f"no distance of the rails of row '{row.name}' serves all its panels: not with straight rails"
    apart = spacing.lines.at(_worst_share(spacing, worst))
    if lips_decide(worst, lack, spacing.counted_slack):
        inner = apart + 2 * (worst.upright.lip or 0)
        why = f"{near(inner)} are between their lips, and it is {near(worst.upright.height)} high"
    else:
        why = f"their thread lines are {near(apart)} apart, its holes {near(worst.holes_apart)}"
    if never:
        too = "near to each other" if lack > 0 else "far apart"
        return f"the rails of row '{row.name}' are too {too} for {who}: {why}"
    way = "apart" if lack > 0 else "together"
    return f"the rails of row '{row.name}' have to be pushed {near(push.most)} {way} for {who}: {why}"


def _worst_share(spacing: Spacing, worst: StandingPanel) -> Fraction:
    asks = window(worst.upright, spacing.counted_slack)
    return max(worst.shares, key=lambda share: abs(asks.beyond(spacing.lines.at(share))))


def _sum(spacing: Spacing, worst: StandingPanel, lack: Fraction, slack: Fraction, give: Fraction) -> str:
    if lips_decide(worst, lack, slack):
        lip, apart = worst.upright.lip or Fraction(0), spacing.lines.at(_worst_share(spacing, worst))
        return (
            f"{near(apart)} + 2 x {near(lip)} = {near(apart + 2 * lip)}, and {near(worst.upright.height)} - "
            f"{near(apart + 2 * lip)} = {near(worst.upright.height - apart - 2 * lip)}; rails give {near(give)}"
        )
    return sum_of(worst, spacing.lines, slack, give)


def _remedy(look: Look, row: Row, spacing: Spacing, never: bool) -> str:
    """Which way to push and how far, or what to do where pushing is not enough."""
    push = spacing.counted.push
    if push is None:
        return "file the holes of the panels that want the rails nearest and furthest to slots, upwards"
    if not never:
        way = push_in_words(push.left, push.right)
        return f"with the end screws loose put the first panels in, push the rails {way}, and only then tighten them"
    return apart_ways(look, row, spacing.chosen, push, line_to_move(look, spacing.chosen))


def line_to_move(look: Look, chosen: Chosen) -> str:
    """Which rail is the one to move: the one that is further off its marks, else the upper one."""
    stand = stand_of(look, chosen)
    if stand is None:
        return TOP
    off = {line: [abs(one.y) for one in offs_of(stand) if one.hole.line == line] for line in LINES}
    return BOTTOM if sum(off[BOTTOM], Fraction(0)) > sum(off[TOP], Fraction(0)) else TOP


def slip(look: Look, spacing: Spacing) -> str:
    """The slip that a distance by drilled holes looks like; empty where it looks like none."""
    lines, rail = spacing.lines, spacing.chosen.rail
    inward = rail.end_hole.inward.value if rail is not None and rail.end_hole is not None else Fraction(0)
    if lines.origin != DRILLED or not inward:
        return ""
    give = look.house.limit("give drilling").value
    by = f"{near(abs(inward))} from thread line to end hole"
    slips = ((2 * inward, f"the {by} had been left out"), (4 * inward, f"the {by} had been measured the other way"))
    ends = [end.value - APART for end in (lines.left, lines.right)]
    found = [(max(abs(end - off) for end in ends), text) for off, text in slips]
    off, text = min(found)
    return f", as if {text}" if off <= give else ""


def push_in_words(left: Fraction, right: Fraction) -> str:
    """``0.3mm apart``, or how far at either end."""
    if left == right:
        return _one_way(left)
    ends = [f"{_one_way(end)} at the {name}" for name, end in (("left", left), ("right", right)) if end]
    return " and ".join(ends)


def _one_way(value: Fraction) -> str:
    return f"{mm(up_to_tenths(abs(value)))} {'apart' if value > 0 else 'together'}"


def _trust(spacing: Spacing, origin: str) -> str:
    """What a verdict rests on, with the limits that decide."""
    return f"{spacing.lines.trust()}; {play_in_words(spacing)}; how far rails give, {origin}"


def play_in_words(spacing: Spacing) -> str:
    """Where the play of the inserts comes from."""
    slack = spacing.slack
    level = f"{slack.quantity.text} from {slack.evidence.text}" if slack.evidence.level == PRACTICE else ""
    return f"play of the inserts {level or slack.evidence.level}"


def contradiction(look: Look, row: Row, spacing: Spacing) -> Iterator[Finding]:
    """Thread lines that were measured, and holes that were drilled, and both cannot be."""
    measured, drilled = row.standing.apart, lines_as_drilled(spacing.chosen)
    if measured is None or drilled is None:
        return
    give = look.house.limit("give drilling")
    off, end = max((abs(end.value - measured.value), end.value) for end in (drilled.left, drilled.right))
    if off <= 2 * give.value:
        return
    yield Finding(
        "rails-misspaced",
        NOTE,
        f"the thread lines of row '{row.name}' were measured {near(measured.value)} apart, its drilled holes say "
        f"{near(end)}",
        measured.place,
        others=drilled.places,
        sum=f"{near(max(end, measured.value))} - {near(min(end, measured.value))} = {near(off)}",
        remedy="measure both again, the threads from middle to middle and the holes in the side pieces; 'apart' counts",
        rests_on=f"{drilled.trust()}; twice what a hole may be off, {near(2 * give.value)}, from {give.origin}",
        names=(look.rack.full(row.name),),
    )
