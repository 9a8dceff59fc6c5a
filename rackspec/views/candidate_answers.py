"""What a trial says of power, screws and money: in: a trial, out: labelled lines."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from rackspec.language.quantity import plain_number, show
from rackspec.model.house import House
from rackspec.model.rack import Rack
from rackspec.rules.headers import CAUTION
from rackspec.rules.money import sum_text
from rackspec.solve.left_over import (
    HeadersLeft,
    MoneyLeft,
    PowerLeft,
    ScrewsLeft,
    headers_left,
    money_left,
    power_left,
    screws_left,
)
from rackspec.solve.trial import Attempt, Trial

Lines = Iterator[tuple[str, str]]


def answers(trial: Trial) -> Lines:
    """Everything that is said of the rack as a whole."""
    attempts = trial.by_row or ((trial.best,) if trial.best.panel is not None else ())
    yield from power_lines(trial, attempts)
    yield from header_lines(trial, attempts)
    yield from screw_lines(trial)
    yield from (("money", text) for text in money_lines(trial))


def milliamps(value: Fraction) -> str:
    """A current."""
    return show(value, "current")


def power_lines(trial: Trial, attempts: tuple[Attempt, ...]) -> Lines:
    """Each voltage of each feed that it could hang on."""
    part = trial.part
    if part.kind == "module" and part.draws == ():
        yield "power", "it draws nothing"
        return
    told: set[str] = set()
    for attempt in attempts:
        assert attempt.panel is not None
        lines = power_left(attempt.rack, trial.house, attempt.panel)
        if not lines:
            yield "power", f"row '{attempt.panel.row}': not known, because nothing that is known feeds it"
        for line in lines:
            key = f"{line.feed.name} {line.voltage}"
            if key not in told:
                told.add(key)
                yield "power", power_text(line, attempt.rack, trial.house)


def power_text(line: PowerLeft, rack: Rack, house: House) -> str:
    """What is left of a voltage."""
    voltage = show(line.voltage, "voltage")
    head = f"'{line.feed.name}' {voltage}:"
    least = "at least " if line.load.at_least else ""
    worst = f" ({milliamps(line.load.worst)} at the worst)" if line.load.worst != line.load.nominal else ""
    if line.rated is None:
        known = "does not give it" if line.feed.supply.gives else "what it gives is not known"
        return f"{head} {least}{milliamps(line.load.nominal)} drawn{worst}; {known}"
    spare = house.limit("spare current")
    when = f" {rack.stage_name(line.stage)}" if line.stage else ""
    text = f"{head} {least}{milliamps(line.load.nominal)}{worst} of {milliamps(line.rated.value)}{when}, "
    rest, under = line.rated.value - line.load.nominal, line.usable - line.load.nominal
    if rest < 0:
        return f"{text}{milliamps(-rest)} too much"
    text += f"{'at most ' if least else ''}{milliamps(rest)} left, "
    measured = f"{milliamps(under)} of it beyond" if under >= 0 else f"{milliamps(-under)} short of"
    return f"{text}{measured} the {spare.quantity.text} to stay spare ({spare.origin})"


def header_lines(trial: Trial, attempts: tuple[Attempt, ...]) -> Lines:
    """Power headers."""
    part = trial.part
    if part.kind != "module" or part.draws == ():
        return
    told: set[str] = set()
    for attempt in attempts:
        assert attempt.panel is not None
        for left in headers_left(attempt.rack, attempt.panel):
            if left.feed.name not in told:
                told.add(left.feed.name)
                yield "headers", header_text(left)
    if part.header is None:
        yield "headers", f"its own is not known; {CAUTION}"
    else:
        keyed = {True: "keyed", False: "not keyed", None: "of which nobody says that it is keyed"}[part.header.keyed]
        caution = "" if part.header.keyed else f"; {CAUTION}"
        yield "headers", f"its own has {part.header.pins} pins and is {keyed}{caution}"


def header_text(left: HeadersLeft) -> str:
    """How many headers are left."""
    pins = f" of {left.pins} pins" if left.pins is not None else ""
    where = f"bus '{left.feed.buses[0].name}'" if len(left.feed.buses) == 1 else f"'{left.feed.name}'"
    if left.have is None:
        return f"{where}: not known, because nobody counted them"
    most = left.taken + left.maybe
    taken = f"{left.taken}" if not left.maybe else f"{left.taken} to {most}"
    rest = left.have - most
    after = f"{rest} left" if rest >= 0 else f"{-rest} missing"
    return f"{where}: {taken} of {left.have}{pins} taken with it, {after}"


def screw_lines(trial: Trial) -> Lines:
    """Screws, row by row; rows with the same answer are told together."""
    told: dict[str, list[str]] = {}
    for attempt in trial.by_row:
        if attempt.panel is not None:
            text = screw_text(screws_left(attempt.rack, trial.house, attempt.panel))
            told.setdefault(text, []).append(f"'{attempt.panel.row}'")
    for text, rows in told.items():
        yield "screws", f"{'row' if len(rows) == 1 else 'rows'} {' and '.join(rows)}: {text}"


def screw_text(left: ScrewsLeft) -> str:
    """Which screws to use."""
    whose = "the screws of the row" if left.of_row else "the supplied ones"
    called = f"{whose}, {left.pieces} of {left.screw.thread}x{plain_number(left.screw.length)}," if left.screw else ""
    if left.lacking and left.serves is not False:
        return f"not known, because {left.lacking} {'are' if left.lacking.startswith('the rails') else 'is'} not"
    thread = left.chosen.thread.name if left.chosen is not None and left.chosen.thread is not None else ""
    if left.serves:
        return f"{called} serve"
    if left.length is not None:
        use = f"use {left.pieces} of {thread}x{left.length}, the shortest standard length that serves"
    else:
        open_ended = f"use {thread} screws; which length is not known"
        use = open_ended if left.lacking else f"no standard {thread} screw serves"
    return f"{called} do not serve; {use}" if called else f"none are said to come with it; {use}"


def money_lines(trial: Trial) -> Iterator[str]:
    """Its price, and what is left of each budget."""
    price = trial.part.bought.price
    text = "its price is not known"
    if price is not None:
        text = f"it costs {sum_text(price.money.value, price.money.currency)}"
        text += " (guessed)" if price.evidence.level == "guessed" else ""
    before = {left.stage: left for left in money_left(trial.rack, trial.house)}
    lefts = money_left(trial.best.rack, trial.house)
    if not lefts:
        yield f"{text}; this rack has no budget"
        return
    yield text
    for left in lefts:
        yield money_text(left, before[left.stage], trial.rack)


def money_text(left: MoneyLeft, before: MoneyLeft, rack: Rack) -> str:
    """What is left of a budget."""
    least, most = ("at least ", "at most ") if left.least else ("", "")

    def money(value: Fraction, rest: bool = False) -> str:
        return sum_text(value, left.currency, rest)

    rest = left.budget - left.total
    after = f"{most}{money(rest, True)} left" if rest >= 0 else f"{money(-rest)} too much"
    was = "" if before.total == left.total else f" ({money(before.total)} without it)"
    return f"{rack.stage_name(left.stage)}: {least}{money(left.total)}{was} of {money(left.budget, True)}, {after}"
