"""What ``rails-misspaced`` says: in: a rack, out: findings and margins on the distance of the rails of each row."""

from collections.abc import Iterator
from fractions import Fraction

from rackspec.findings import ERROR, NOTE, Finding, Place
from rackspec.language.bound import GUESSED
from rackspec.model.known import PRACTICE, Known
from rackspec.model.rack import Row
from rackspec.physics.margin import Margin
from rackspec.physics.pushing import Push
from rackspec.physics.standing import window
from rackspec.rules.causes import offs_of
from rackspec.rules.drill_points import stand_of
from rackspec.rules.misspaced_ways import ways_apart
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
from rackspec.rules.thread_lines import APART, DRILLED, ThreadLines, how_known, lines_as_drilled
from rackspec.rules.ways_out import mm, up_to_tenths


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


def heights_of(standing: StandingPanel) -> list[Known]:
    """How high the holes of a panel are, as far as it is written."""
    part = standing.panel.part if standing.panel is not None else None
    return [hole.y for hole in part.face.holes] if part is not None else []


def slack_is_guessed(spacing: Spacing) -> bool:
    """Whether somebody guessed the inserts' play. (A band that nobody wrote is counted at both its ends.)"""
    return spacing.slack.evidence.level == GUESSED


def _told(look: Look, row: Row, spacing: Spacing) -> Iterator[Finding]:
    """The finding about a row whose rails have to be pushed, or cannot be pushed far enough."""
    if not is_told(look, spacing):
        return
    lines, slack, found = spacing.counted_lines, spacing.counted_slack, spacing.counted
    give = look.house.limit("give rails")
    lacks = [(needed(one, lines, slack), one) for one in spacing.panels]
    lack, worst = max(lacks, key=lambda pair: abs(pair[0]))
    if not lack and found.push is None:
        return  # only the ends of a tolerance contradict each other
    many = sum(1 for off, one in lacks if off and one is not worst)
    who = worst.name + (f" and {many} other{'s' if many > 1 else ''}" if many else "")
    guessed = any(value.is_guess for value in [*lines.values, *heights_of(worst)])
    guessed |= slack_is_guessed(spacing)
    never = found.step == NEVER
    nominal = not spacing.at_worst and lines.is_known
    severity = milder(ERROR, (0 if never else 1) + steps_for(nominal, guessed))
    places = _worst_first(look, spacing)
    place = places.pop(0) if places else spacing.chosen.choice.place
    if worst.panel is not None:
        places.append(worst.panel.position.labelled("the panel that wants most"))
    worst_text = ", at the worst" if spacing.at_worst else ""
    others = contradictory(look, row, spacing)
    if others is not None and row.standing.apart is not None:
        worst_text += f"; but its drilled holes say {near(furthest(others, row.standing.apart.value))}"
        places += others.places
    yield Finding(
        "rails-misspaced",
        severity,
        _message(row, spacing, lack, worst, who, never) + slip(look, spacing) + worst_text,
        place,
        others=tuple(places),
        sum=_toleranced(spacing, worst) + _sum(spacing, worst, lack, slack, give.value),
        remedy=_remedy(look, row, spacing, never),
        rests_on=_trust(spacing, f"{near(give.value)}, from {give.origin}"),
        names=(look.rack.full(row.name), *((look.rack.full(worst.panel.name),) if worst.panel is not None else ())),
    )


def _worst_first(look: Look, spacing: Spacing) -> list[Place]:
    """Where the distances were written: of drilled holes the one that is furthest off its mark first, or the end that
    is furthest off."""
    places = list(spacing.lines.places)
    stand = stand_of(look, spacing.chosen)
    if spacing.lines.origin != DRILLED:
        return places
    if stand is not None:
        off = {off.hole.place.start: off.squared for off in offs_of(stand)}
        return sorted(places, key=lambda place: -off[place.start])
    ends = {"drilled left": spacing.counted.left, "drilled right": spacing.counted.right}
    return sorted(places, key=lambda place: -abs(ends[place.label] - APART))


def _toleranced(spacing: Spacing, worst: StandingPanel) -> str:
    """The start of a sum about a distance at an end of its tolerance."""
    share = _worst_share(spacing, worst)
    nominal, counted = spacing.lines.at(share), spacing.counted_lines.at(share)
    if nominal == counted:
        return ""
    sign = "+" if counted > nominal else "-"
    return f"{near(nominal)} {sign} {near(abs(counted - nominal))} = {near(counted)}, and "


def lips_decide(worst: StandingPanel, lack: Fraction, slack: Fraction) -> bool:
    """Whether it is the height of a panel between the lips that asks for more, and not its holes."""
    lip = worst.upright.lip
    return lip is not None and lack > 0 and window(worst.upright, slack).least == worst.upright.height - 2 * lip


def _message(row: Row, spacing: Spacing, lack: Fraction, worst: StandingPanel, who: str, never: bool) -> str:
    """What is wrong, in one line that stands alone."""
    push = spacing.counted.push
    if push is None:
        return f"no distance of the rails of row '{row.name}' serves all its panels: not with straight rails"
    apart = spacing.counted_lines.at(_worst_share(spacing, worst))
    if lips_decide(worst, lack, spacing.counted_slack):
        inner = apart + 2 * (worst.upright.lip or 0)
        why = f"{near(inner)} are between their lips, and it is {near(worst.upright.height)} high"
    else:
        why = f"their thread lines are {near(apart)} apart, its holes {near(worst.holes_apart)}"
    either = spacing.at_worst and spacing.counted.either
    if never:
        too = "near to each other" if lack > 0 else "far apart"
        too += " or too far apart" * (either and lack > 0) + " or too near to each other" * (either and lack < 0)
        return f"the rails of row '{row.name}' are too {too} for {who}: {why}"
    way = "apart or together" if either else "apart" if lack > 0 else "together"
    way += f" at the {end_pushed(push)}" if end_pushed(push) and not either else ""
    return f"the rails of row '{row.name}' have to be pushed {near(push.most)} {way} for {who}: {why}"


def end_pushed(push: Push) -> str:
    """At which end rails have to be pushed most; empty where it is the same at both."""
    if push.left == push.right:
        return ""
    return "left" if abs(push.left) > abs(push.right) else "right" if abs(push.right) > abs(push.left) else ""


def _worst_share(spacing: Spacing, worst: StandingPanel) -> Fraction:
    asks = window(worst.upright, spacing.counted_slack)
    return max(worst.shares, key=lambda share: abs(asks.beyond(spacing.counted_lines.at(share))))


def _sum(spacing: Spacing, worst: StandingPanel, lack: Fraction, slack: Fraction, give: Fraction) -> str:
    if lips_decide(worst, lack, slack):
        lip, apart = worst.upright.lip or Fraction(0), spacing.counted_lines.at(_worst_share(spacing, worst))
        return (
            f"{near(apart)} + 2 x {near(lip)} = {near(apart + 2 * lip)}, and {near(worst.upright.height)} - "
            f"{near(apart + 2 * lip)} = {near(worst.upright.height - apart - 2 * lip)}; rails give {near(give)}"
        )
    push, at_the_end = spacing.counted.push, ""
    if push is not None and end_pushed(push) and push.most != abs(lack):
        at_the_end = f" there, {near(push.most)} at the {end_pushed(push)} end"
    return sum_of(worst, spacing.counted_lines, slack, give, at_the_end)


def _remedy(look: Look, row: Row, spacing: Spacing, never: bool) -> str:
    """Which way to push and how far, or what to do where pushing is not enough."""
    push = spacing.counted.push
    if push is None:
        return "file the holes of the panels that want the rails nearest and furthest to slots, upwards"
    if not never:
        way = push_in_words(push.left, push.right)
        if spacing.at_worst and spacing.counted.either:
            way = f"until these go on, {mm(up_to_tenths(push.most))} apart or together at most"
        return f"with the end screws loose put the first panels in, push the rails {way}, and only then tighten them"
    if contradictory(look, row, spacing) is not None:
        return (
            "measure 'apart' again, from thread to thread, and the drilled holes, before anything is filed or drilled: "
            "they contradict each other"
        )
    if spacing.at_worst and spacing.counted.either and not row.standing.drilled:
        return "measure 'apart' again, closer, from thread to thread: what it may be reaches too far to both sides"
    return ways_apart(look, row, spacing)


def slip(look: Look, spacing: Spacing) -> str:
    """The slip that a distance by drilled holes looks like; empty where it looks like none."""
    lines, rail = spacing.lines, spacing.chosen.rail
    inward = rail.end_hole.inward.value if rail is not None and rail.end_hole is not None else Fraction(0)
    if lines.origin != DRILLED or not inward:
        return ""
    give = look.house.limit("give drilling").value
    by = f"{near(abs(inward))} from thread line to end hole"
    twice, four = (f"{times} x {near(abs(inward))} = {near(times * abs(inward))}" for times in (2, 4))
    slips = (
        (2 * inward, f"the {by} had been left out at both rails, {twice}"),
        (4 * inward, f"the {by} had been measured the other way at both rails, {four}"),
    )
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


def contradictory(look: Look, row: Row, spacing: Spacing) -> ThreadLines | None:
    """The distances by drilled holes, where ``apart`` contradicts them: off by more than two drilled holes may be."""
    written, drilled = row.standing.apart, lines_as_drilled(spacing.chosen)
    if written is None or drilled is None:
        return None
    off = max(abs(end.value - written.value) for end in (drilled.left, drilled.right))
    return drilled if off > 2 * look.house.limit("give drilling").value else None


def furthest(drilled: ThreadLines, written: Fraction) -> Fraction:
    """The distance by drilled holes that is furthest from what is written (mm)."""
    return max(drilled.left.value, drilled.right.value, key=lambda end: abs(end - written))


def contradiction(look: Look, row: Row, spacing: Spacing) -> Iterator[Finding]:
    """Thread lines that were measured, and holes that were drilled, and both cannot be; panels go on by what counts."""
    written, drilled = row.standing.apart, contradictory(look, row, spacing)
    if written is None or drilled is None:
        return
    give = look.house.limit("give drilling")
    end = furthest(drilled, written.value)
    said = "were measured" if how_known(written) == "measured" else "are written as"
    yield Finding(
        "rails-misspaced",
        NOTE,
        f"the thread lines of row '{row.name}' {said} {near(written.value)} apart, its drilled holes say {near(end)}",
        written.place,
        others=drilled.places,
        sum=f"{near(max(end, written.value))} - {near(min(end, written.value))} = {near(abs(end - written.value))}",
        remedy="measure both again, the threads from middle to middle and the holes in the side pieces; 'apart' counts",
        rests_on=f"{drilled.trust()}; twice what a hole may be off, {near(2 * give.value)}, from {give.origin}",
        names=(look.rack.full(row.name),),
    )
