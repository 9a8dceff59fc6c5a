"""What hangs on a guess: in: a rack, out: notes about checks that pass only because a guess is taken at its word."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from rackspec.findings import NOTE, Finding, Place
from rackspec.language.bound import GUESSED
from rackspec.language.quantity import show, show_hp
from rackspec.model.known import Known, rests_on
from rackspec.physics.currents import usable
from rackspec.rules.depth import deep_panels, plug_of
from rackspec.rules.power import worst_load
from rackspec.rules.registry import Look, Seen, rule
from rackspec.rules.stages import taken_at


@rule("note", "decisions")
def guess_decides(look: Look) -> Iterator[Seen]:
    """A check passes, but only as long as a guess is right.

    *Why*: a guess may pass a width or a budget, so that planning can go on. If it were off by half, the answer would be
    another: this is what to measure first.

    *Bad*:

        module delay {
            width 12HP
            depth 40mm guessed
            draws nothing
        }
        rack tray {
            row top {
                length 84HP
                behind 45mm
                at 0HP delay
            }
        }

    *Good*:

        module delay {
            width 12HP
            depth 40mm measured "callipers"
            draws nothing
        }
        rack tray {
            row top {
                length 84HP
                behind 45mm
                at 0HP delay
            }
        }

    *Source*: that a guess may be off by 50 % is common practice, no source; ``assume guess`` of the house sets it.
    """
    share = look.house.limit("assume guess")
    yield from _widths(look, share.value, share.origin)
    yield from _depths(look, share.value, share.origin)
    yield from _currents(look, share.value, share.origin)
    if any(row.standing.end_screws is not None for row in look.rack.rows):
        yield from _ends(look, share.value, share.origin)


def _note(
    message: str, place: Place, guesses: list[Known], sum_text: str, remedy: str, rests: str, names: tuple[str, ...]
) -> Finding:
    others = tuple(guess.place.labelled("guessed") for guess in guesses[:3] if guess.place != place)
    return Finding("guess-decides", NOTE, message, place, others, sum_text, remedy, rests, names)


def _widths(look: Look, share: Fraction, origin: str) -> Iterator[Seen]:
    """Rows that hold what is in them only if guessed widths are right."""
    for row in look.rack.rows:
        length = row.length
        if length is None:
            continue
        for stage in range(len(look.rack.stages)):
            taken = taken_at(row, stage)
            guesses = [width for width in taken.widths if width.is_guess]
            guessed = sum((width.value for width in guesses), Fraction(0))
            left = length.value - taken.widest
            if left < 0 or not guesses or guessed * share / 100 <= left:
                continue
            yield _note(
                f"row '{row.name}' has {show_hp(left)} left, and {show_hp(guessed)} of its widths are guessed",
                row.place,
                guesses,
                f"{share}% of {show_hp(guessed)} is {show_hp(guessed * share / 100)}, more than {show_hp(left)}",
                "measure the panel and write its width down",
                rests_on("widths", list(taken.widths)) + f"; how far a guess may be off from {origin}",
                (look.rack.full(row.name),),
            )
            break


def _depths(look: Look, share: Fraction, origin: str) -> Iterator[Seen]:
    """Modules that clear the back only if a guessed depth, plug or room is right."""
    for _, panel, depth, room in deep_panels(look):
        plug = plug_of(look, panel)
        inputs: list[Known] = [depth, room] if plug is None else [depth, plug, room]
        worst = depth.high + (plug.high if plug else 0)
        left = room.low - worst
        written = [value for value in (depth, room) if value.evidence.level == GUESSED]
        guessed = sum((value.value for value in written), Fraction(0))
        if left < 0 or not written or guessed * share / 100 <= left:
            continue
        text = show(guessed, "length")
        yield _note(
            f"'{panel.name}' clears the back by {show(left, 'length')}, and {_guesses(depth, room)}",
            panel.place,
            written,
            f"{share}% of {text} is {show(guessed * share / 100, 'length')}, more than {show(left, 'length')}",
            "measure it with callipers and write it down ('measured')",
            rests_on("depths", inputs) + f"; how far a guess may be off from {origin}",
            (look.rack.full(panel.name),),
        )


def _guesses(depth: Known, room: Known) -> str:
    """Which of the two is a guess."""
    parts = [
        f"{what} of {show(value.value, 'length')}"
        for what, value in (("its depth", depth), ("the room", room))
        if value.evidence.level == GUESSED
    ]
    return f"{' and '.join(parts)} {'is' if len(parts) == 1 else 'are'} guessed"


def _ends(look: Look, share: Fraction, origin: str) -> Iterator[Seen]:
    """End screws that hold only if the thickness of a side piece, or another length at the ends, is guessed right."""
    from rackspec.rules.end_calls import closest_call  # racks without end screws never need it

    for row in look.rack.rows:
        call = closest_call(look, row)
        if call is None:
            continue
        guesses = [known for known, _ in call.inputs if known.evidence.level == GUESSED]
        off = sum((known.value for known in guesses), Fraction(0)) * share / 100
        if not guesses or off <= call.left:
            continue
        words = [f"{what} of {show(known.value, 'length')}" for known, what in call.inputs if known in guesses]
        told = f"{' and '.join(words)} {'is' if len(words) == 1 else 'are'} guessed"
        yield _note(
            f"the end screws of row '{row.name}' hold{call.where} with {show(call.left, 'length')} to spare, "
            f"and {told}",
            call.place,
            guesses,
            f"{share}% of {show(sum((known.value for known in guesses), Fraction(0)), 'length')} is "
            f"{show(off, 'length')}, more than {show(call.left, 'length')} until {call.then}",
            "measure it with callipers and write it down ('measured')",
            rests_on("lengths", [known for known, _ in call.inputs]) + f"; how far a guess may be off from {origin}",
            (look.rack.full(row.name),),
        )


def _currents(look: Look, share: Fraction, origin: str) -> Iterator[Seen]:
    """Supplies that carry their load only if guessed currents are right."""
    spare = look.house.limit("spare current")
    for feed in look.rack.feeds:
        if any(panel.part is not None and panel.part.spoiled for row in feed.rows for panel in row.panels):
            continue
        for give in feed.supply.gives:
            for stage in range(len(look.rack.stages)):
                load = worst_load(look, feed, give.voltage, stage)
                left = usable(give.current.low, spare.value) - load.worst
                off = load.guessed * share / 100
                if left < 0 or not load.guessed or off <= left:
                    continue
                voltage = show(give.voltage, "voltage")
                text = show(load.guessed, "current")
                yield _note(
                    (
                        f"'{feed.name}' can give {show(left, 'current')} more on {voltage}, "
                        f"and {text} of its load are guessed"
                    ),
                    feed.place,
                    [current for current in load.known if current.is_guess],
                    f"{share}% of {text} is {show(off, 'current')}, more than {show(left, 'current')}",
                    "measure what the guessed modules draw, with a meter in the supply lead",
                    rests_on("currents", [*load.known, give.current]) + f"; how far a guess may be off from {origin}",
                    (look.rack.full(feed.name),),
                )
                break
