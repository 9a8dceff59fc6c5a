"""What a trial says of rows: in: a trial, out: labelled lines about free runs, wishes, holes and depth."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction

from rackspec.language.quantity import show, show_hp
from rackspec.language.units import HP
from rackspec.model.known import PRACTICE
from rackspec.model.rack import Panel, Rack, Row
from rackspec.physics.bolting import enters
from rackspec.rules.choices import Chosen, holes_of
from rackspec.rules.registry import Look
from rackspec.solve.left_over import DepthLeft, choice_of, depth_left
from rackspec.solve.placing import with_panel
from rackspec.solve.spots import FITS, IMPOSSIBLE, UNDECIDED, in_pieces, longest_run, meets
from rackspec.solve.trial import Trial

Lines = Iterator[tuple[str, str]]
MOST_RANGES = 6


def starts_text(starts: Iterable[Fraction]) -> str:
    """Starts (mm) as ranges in HP: ``14HP to 22HP, or 60HP``."""
    ranges: list[list[Fraction]] = []
    for start in sorted(starts):
        if ranges and start - ranges[-1][1] == HP:
            ranges[-1][1] = start
        else:
            ranges.append([start, start])
    words = [show_hp(first) if first == last else f"{show_hp(first)} to {show_hp(last)}" for first, last in ranges]
    if len(words) > MOST_RANGES:
        words = [*words[:MOST_RANGES], f"{len(words) - MOST_RANGES} more"]
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + f" or {words[-1]}"


def from_stage(rack: Rack, stage: int) -> str:
    """``from the start``, or ``from stage 'later' on``."""
    return f"from stage '{rack.stages[stage].name}' on" if stage else "from the start"


def row_answers(trial: Trial) -> Lines:
    """Everything that is said row by row."""
    for row in trial.rack.rows:
        yield from (("fits", text) for text in fit_lines(trial, row))
    if text := wish_text(trial):
        yield "wishes", text
    yield from (("holes", text) for text in hole_lines(trial))
    yield from (("depth", text) for text in depth_lines(trial))


def fit_lines(trial: Trial, row: Row) -> Iterator[str]:
    """Where it fits in a row."""
    name = f"row '{row.name}'"
    if row.length is None:
        yield f"{name}: not known, because the length of the row is not"
        return
    last = len(trial.rack.stages) - 1
    longest, pieces = longest_run(trial.rack, row, last), in_pieces(row, last)
    if trial.part.width is None:
        if trial.best.panel is not None:
            yield f"{name}: not known; the longest free run is {show_hp(longest)}"
        return
    spots = [spot for spot in trial.spots if spot.row is row]
    for spot in spots:
        when = from_stage(trial.rack, spot.stage)
        rails = f" on rails '{spot.rails}'" if spot.rails else ""
        free = f"{show_hp(spot.run[0])} to {show_hp(spot.run[1])} is free {when}{rails}"
        good = spot.good
        text = f"{name}: {free}; it can start at {starts_text(good)}" if good else f"{name}: {free}"
        if spot.missing:
            text += f"; at {starts_text(spot.missing)} a hole stands in front of no thread"
        if spot.crowding:
            text += f"; at {starts_text(spot.crowding)} it takes the place of a wish"
        yield text
    if not spots:
        text = f"{name}: no free run of {show_hp(trial.part.width.value)}"
        text += f"; the longest is {show_hp(longest)}" if longest else "; nothing is free"
        if pieces > longest:
            more = ", enough if panels are moved together" if pieces >= trial.part.width.value else ""
            text += f", and {show_hp(pieces)} are free in pieces{more}"
        yield text
    if any(panel.width is None or panel.start is None for panel in row.panels) or row.spoiled:
        yield f"{name}: the place of some of its panels is not known, so less may be free"


def wish_text(trial: Trial) -> str:
    """Whether the wishes keep their places."""
    if trial.wishes == IMPOSSIBLE:
        return "not all of them find a place even without it"
    if trial.wishes == UNDECIDED:
        return "whether all of them find a place was not decided: the search was given up"
    if trial.wishes != FITS or not trial.spots:
        return ""
    if trial.best.instead_of:
        return f"all others still find a place if it stands for '{trial.best.instead_of}'"
    doubtful = [start for spot in trial.spots for start in spot.doubtful]
    if doubtful:
        return f"whether all of them find a place was not decided for {len(doubtful)} of the starts"
    if any(spot.crowding for spot in trial.spots):
        if not any(spot.good for spot in trial.spots):
            return "not all of them find a place any more, wherever it goes, by exact packing"
        return "all of them still find a place at the starts named first, by exact packing"
    return "all of them still find a place wherever it goes, by exact packing"


def hole_lines(trial: Trial) -> Iterator[str]:
    """Whether its holes meet threads."""
    for attempt in trial.by_row:
        panel = attempt.panel
        if panel is None or panel.start is None:
            continue
        look = Look(attempt.rack, trial.house, {})
        row = next(row for row in attempt.rack.rows if panel in row.panels)
        chosen = choice_of(look, row)
        name = f"row '{row.name}'"
        if chosen is None:
            yield f"{name}: not known, because it has no rails yet"
            continue
        if chosen.rail is None or chosen.insert is None:
            yield f"{name}: not known, because what the screws go into is not"
            continue
        on = f"{name} on '{chosen.rail.name}' with '{chosen.insert.name}'"
        yield f"{on}: {hole_text(trial, chosen, row, panel)}"


def holes_unknown(trial: Trial, row: str) -> bool:
    """Whether its holes matter in a row, and nobody wrote them down."""
    return any(text.startswith(f"row '{row}'") and "wrote its holes" in text for text in hole_lines(trial))


def hole_text(trial: Trial, chosen: Chosen, row: Row, panel: Panel) -> str:
    """Whether its holes meet the threads of one choice of rails, and at which starts."""
    assert chosen.insert is not None and panel.start is not None
    holed = holes_of(panel, panel.start, chosen.thread) if chosen.thread is not None else None
    if holed is not None and chosen.thread is not None and not all(enters(hole, chosen.thread) for hole in holed.holes):
        return f"{chosen.thread.name} screws do not go through its holes"
    if chosen.insert.form == "nut":
        return "the nuts slide to where its holes are"
    if holed is None:
        return "not known, because nobody wrote its holes down"
    starts = [start for spot in trial.spots if spot.row.name == row.name for start in spot.starts]
    met = [start for start in starts if meets(chosen, panel, start)]
    assumed = ", taken to lie on the grid," if holed.assumed else ""
    if not met:
        unknown = meets(chosen, panel, panel.start) is None
        return "not known, because the strip is not" if unknown else f"at no start do its holes{assumed} meet threads"
    where = "every start named above" if len(met) == len(starts) else starts_text(met)
    return f"its holes{assumed} meet threads at {where}"


def rows_for_depth(trial: Trial) -> Iterator[DepthLeft]:
    """The part behind each row, wherever it would stand there."""
    told = {attempt.panel.row: attempt for attempt in trial.by_row if attempt.panel is not None}
    for row in trial.rack.rows:
        if row.name in told:
            panel, rack = told[row.name].panel, told[row.name].rack
        else:
            rack, panel = with_panel(trial.rack, row, trial.part, 0, None)
        if panel is not None:
            yield depth_left(rack, trial.house, panel)


def depth_lines(trial: Trial) -> Iterator[str]:
    """The depth with its plug in each row."""
    if trial.best.panel is None:
        return
    spare = trial.house.limit("spare depth")
    for left in rows_for_depth(trial):
        yield f"row '{left.row.name}': {depth_text(left, spare.value, spare.origin)}"


def mm(value: Fraction) -> str:
    """A length in millimetres."""
    return show(value, "length")


def depth_text(left: DepthLeft, spare: Fraction, origin: str) -> str:
    """What is left behind a part, or missing."""
    unknown = left.depth is None or left.depth.evidence.level == PRACTICE
    plug = ""
    if left.plug is not None:
        assumed = f" ({left.plug.evidence.text})" if left.plug.evidence.level == PRACTICE else ""
        plug = f" + plug {left.plug.quantity.text}{assumed}"
    if unknown:
        if left.room is None:
            return "not known: neither its depth nor the room behind the row"
        if left.depth is None:
            return f"not known; {mm(left.room.low)} are there"
        return (
            f"not known; taken as {left.depth.quantity.text} ({left.depth.evidence.text}){plug} it needs "
            f"{mm(left.worst)} at the bad end, {compared(left.worst, left.room.low)}"
        )
    assert left.depth is not None
    need = f"{left.depth.quantity.text}{plug}"
    if left.room is None:
        return f"not known: it needs {mm(left.worst)} ({need}), and nobody measured the room behind the row"
    total = f"{need} is {mm(left.nominal)}" if plug else need
    text = f"{total} of {mm(left.room.value)}, {compared(left.nominal, left.room.value)}"
    if left.worst != left.nominal or left.room.low != left.room.value:
        text += f"; at the bad end {compared(left.worst, left.room.low)}"
    if spare and left.room.value >= left.nominal:
        text += f" ({mm(spare)} to stay free: {origin})"
    return text


def compared(need: Fraction, have: Fraction) -> str:
    """``18mm left`` or ``3mm missing``."""
    return f"{mm(have - need)} left" if need <= have else f"{mm(need - have)} missing"
