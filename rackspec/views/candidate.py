"""Trials as text: in: what came of trying a part in racks, out: calm lines, the verdict first."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from rackspec.findings import WARNING, Finding
from rackspec.language.quantity import show, show_hp
from rackspec.model.known import PRACTICE
from rackspec.model.parts import PanelPart
from rackspec.rules.money import sum_text
from rackspec.rules.registry import load_rules
from rackspec.solve.candidate import FILE
from rackspec.solve.left_over import depth_left, power_left
from rackspec.solve.spots import longest_run
from rackspec.solve.trial import Attempt, Trial
from rackspec.views.candidate_answers import answers
from rackspec.views.candidate_rows import from_stage, holes_unknown, row_answers
from rackspec.views.text import LABEL, Painter, counted, plain, visible


def facts_of(part: PanelPart) -> str:
    """What is known of a part, in one line."""
    words: list[str] = []
    for word, value in (("width", part.width), ("depth", part.depth), ("plug", part.plug)):
        if value is not None:
            guess = ", guessed" if value.evidence.level == "guessed" else ""
            words.append(f"{word} {value.quantity.text}{guess}")
        elif word != "plug":
            words.append(f"{word} not known")
    if part.draws is None and part.kind == "module":
        words.append("current not known")
    elif part.draws == ():
        words.append("draws nothing")
    words += [f"{draw.current.quantity.text} on {show(draw.voltage, 'voltage')}" for draw in part.draws or ()]
    words += [f"gives {give.current.quantity.text} on {show(give.voltage, 'voltage')}" for give in part.gives]
    if part.header is not None:
        keyed = {True: "keyed", False: "unkeyed", None: "keyed or not is not known"}[part.header.keyed]
        words.append(f"header {part.header.pins}-pin, {keyed}")
    if part.screws is not None:
        words.append(f"{part.screws.pieces} of {part.screws.designation}")
    price = part.bought.price
    words.append(sum_text(price.money.value, price.money.currency) if price is not None else "price not known")
    return "; ".join(words)


def conditions(trial: Trial) -> list[str]:
    """What has to be so for the part to be taken: what hangs on a guess, and what is not known."""
    best = trial.best
    found: list[str] = []
    if best.instead_of:
        found.append(f"it comes in the place of the wish '{best.instead_of}'")
    if best.panel is None:
        return found
    if trial.part.width is None:
        found.append(f"it is at most {show_hp(widest_run(trial)[0])} wide, the longest free run")
    elif best.spot is None:
        found.append("the length of the row is known and enough")
    found += depth_conditions(trial)
    found += power_conditions(trial)
    if any(item.fact == "its power header" for item in best.not_known):
        found.append("its power header fits the ones there are")
    if best.spot is not None and holes_unknown(trial, best.panel.row):
        found.append("its holes stand in front of threads")
    found += guess_conditions(trial, best)
    return found


def depth_conditions(trial: Trial) -> Iterator[str]:
    """What its depth, or the room behind the row, has to be."""
    panel = trial.best.panel
    assert panel is not None and panel.part is not None
    left = depth_left(trial.best.rack, trial.house, panel)
    if left.room is None:
        yield f"there is room enough behind row '{left.row.name}', which nobody measured"
    elif panel.what == "module" and (left.depth is None or left.depth.evidence.level == PRACTICE):
        plug = left.plug.high if left.plug is not None else Fraction(0)
        yield f"it is at most {show(left.room.low - plug, 'length')} deep"


def power_conditions(trial: Trial) -> Iterator[str]:
    """What it may draw where that is not known, or what has to be known of the feed."""
    panel = trial.best.panel
    assert panel is not None and panel.part is not None
    if panel.what != "module" or panel.part.draws == ():
        return
    lines = power_left(trial.best.rack, trial.house, panel)
    if not lines:
        yield f"something that is known feeds row '{panel.row}'"
        return
    stated = {draw.voltage for draw in panel.part.draws or ()}
    for line in lines:
        banded = f"assume draws {show(line.voltage, 'voltage')}" in trial.house.limits
        if line.rated is not None and line.voltage not in stated and (banded or panel.part.draws is None):
            may = max(line.usable - line.load.nominal, Fraction(0))
            least = "less than " if line.load.at_least and len(line.load.unknown) > 1 else "at most "
            yield f"it draws {least}{show(may, 'current')} on {show(line.voltage, 'voltage')}"


def guess_conditions(trial: Trial, best: Attempt) -> Iterator[str]:
    """Findings that are as mild as they are only because of a guess, or because only the worst case is bad."""
    rules = load_rules()
    part = trial.part
    depth_told = part.depth is None
    for finding in best.new:
        if finding.waiver is not None or finding.severity == "error":
            continue
        milder = finding.rule in rules and rules[finding.rule].severity == "error"
        if finding.rule in ("no-room-behind", "no-room-for-plug") and depth_told:
            continue
        if finding.rule == "guess-decides":
            yield f"the guess holds: {finding.message}"
        elif milder:
            yield f"a guess turns out better than this: {finding.message}"


def reason(trial: Trial) -> str:
    """Why it cannot be taken."""
    best = trial.best
    if not trial.rack.rows:
        return "this rack has no row"
    width = trial.part.width
    lengths_known = all(row.length is not None for row in trial.rack.rows)
    if width is not None and best.spot is None and best.panel is not None and lengths_known:
        longest, row = widest_run(trial)
        there = f"the longest is {show_hp(longest)}, in row '{row}'" if longest else "nothing is free"
        return f"no row has a free run of {show_hp(width.value)}; {there}"
    return best.errors[0].message


def widest_run(trial: Trial) -> tuple[Fraction, str]:
    """The longest free run of all rows when everything that is planned is in (mm), and its row."""
    last = len(trial.rack.stages) - 1
    runs = [(longest_run(trial.rack, row, last), row.name) for row in trial.rack.rows]
    return max(runs, key=lambda run: run[0])


def place_of(trial: Trial) -> str:
    """Where it goes, as the verdict says it."""
    best = trial.best
    if best.panel is None:
        return "it stands in the case, and in no row"
    if best.panel.start is None:
        return f"where it goes in row '{best.panel.row}' cannot be said yet"
    when = f", {from_stage(trial.rack, best.stage)}" if best.stage else ""
    return f"start it at {show_hp(best.panel.start)} in row '{best.panel.row}'{when}"


def verdict(trial: Trial) -> str:
    """The first line: yes, yes with the conditions below it, or no."""
    if not trial.takes:
        return f"no: {reason(trial)}"
    warnings = trial.best.count(WARNING)
    place = place_of(trial) + (f" ({counted(warnings, 'warning')}, below)" if warnings else "")
    return f"yes, with conditions: {place}" if conditions(trial) else f"yes: {place}"


def told(findings: list[Finding]) -> Iterator[str]:
    """Findings as lines: what it is, and the remedy."""
    for finding in findings:
        accepted = " (waived)" if finding.waiver is not None else ""
        yield f"{finding.message} ({finding.severity}, {finding.rule}){accepted}"
        if finding.remedy and not accepted:
            yield f"  remedy: {finding.remedy}"


def unknown_lines(trial: Trial) -> Iterator[str]:
    """What is not known because of it, and of what else where it is not its own."""
    own = trial.rack.full(trial.best.panel.name) if trial.best.panel is not None else ""
    for item in trial.best.not_known:
        of = "" if item.thing == own else f"'{item.thing.removeprefix(trial.rack.name + '/')}', "
        yield f"{of}{item.fact}: {item.how}"


def to_take(trial: Trial) -> Iterator[str]:
    """What to write to take it."""
    best, part = trial.best, trial.part
    if not trial.takes or best.panel is None or best.panel.start is None or best.spot is None:
        return
    called = f" as {best.panel.name}" if best.panel.name != part.name else ""
    stage = f" in {trial.rack.stages[best.stage].name}" if best.stage else ""
    yield f"write in row '{best.panel.row}':  at {show_hp(best.panel.start)} {part.name}{called}{stage}"
    if part_is_typed(part):
        yield f"and its facts as a block of their own:  {part.kind} {part.name} {{ … }}"
    if best.instead_of:
        yield f"and take one off the wish '{best.instead_of}'"


def part_is_typed(part: PanelPart) -> bool:
    """Whether its facts stand in no file."""
    return part.place.source.name == FILE


def trial_lines(trial: Trial, paint: Painter = plain) -> Iterator[str]:
    """What came of one rack."""
    rack, best = trial.rack, trial.best
    title = f'  "{visible(rack.title)}"' if rack.title else ""
    yield paint("heading", f"rack {rack.name}{title}") + f"   {visible(rack.file.name)}"
    yield "    " + paint("heading" if trial.takes else "error", visible(verdict(trial)))
    lines: list[tuple[str, str]] = []
    if trial.takes:
        lines += [("if", text) for text in conditions(trial)]
    lines += [("against", text) for text in told(list(best.errors))]
    lines += row_answers(trial)
    lines += answers(trial)
    lines += [("mind", text) for text in told([finding for finding in best.new if finding not in best.errors])]
    lines += [("not known", text) for text in unknown_lines(trial)]
    if rack.spoiled or trial.errors_before:
        before = f"it has {counted(trial.errors_before, 'error')} without it"
        text = "some of its lines were not understood" if rack.spoiled else before
        lines.append(("before", f"{text}; see 'rackspec inspect'"))
    lines += [("to take it", text) for text in to_take(trial)]
    shown = ""
    for label, text in lines:
        column = f"{'' if label == shown else label:<{LABEL + 2}}"
        yield f"    {paint('label', column)}{visible(text)}".rstrip()
        shown = label


def candidate_lines(part: PanelPart, trials: tuple[Trial, ...], paint: Painter = plain) -> Iterator[str]:
    """The part, and what came of each rack."""
    title = f'  "{visible(part.title)}"' if part.title else ""
    where = "as typed" if part_is_typed(part) else visible(part.place.source.name)
    yield paint("heading", f"{part.kind} {part.name}{title}") + f"   {where}"
    yield f"    {visible(facts_of(part))}"
    for trial in trials:
        yield ""
        yield from trial_lines(trial, paint)


__all__ = ["candidate_lines", "trial_lines", "verdict"]
