"""Rails side by side: in: a row and its choices of rails, out: for each whether it does, and what it asks for."""

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from rackspec.findings import ERROR, Finding
from rackspec.language.quantity import show_hp
from rackspec.model.rack import Row
from rackspec.physics.threads import read_screw
from rackspec.rules.choices import Chosen, chosen_of
from rackspec.rules.chosen import faults_at_ends, too_short
from rackspec.rules.hardware import NUT, PANEL_SCREW, STRIP, Item, RowHardware, items_of, row_hardware, uses_of
from rackspec.rules.panel_screws import held_turns, stack_behind
from rackspec.rules.registry import Look
from rackspec.rules.screws import turns
from rackspec.rules.side_by_side import least_room
from rackspec.views.document import Block, Paragraph, Table
from rackspec.views.reported import called, mm
from rackspec.views.text import counted


class Verdict(NamedTuple):
    """A choice of rails with its hardware, and the first reason why it does not do (empty: it does)."""

    hardware: RowHardware
    reason: str

    @property
    def chosen(self) -> Chosen:
        """The choice itself."""
        return self.hardware.chosen


def row_margin(look: Look, chosen: Chosen) -> str:
    """How much the panels of a row leave sideways on a choice of rails, in words; empty where that is not known."""
    found = least_room(look, chosen)
    if found is None:
        return ""
    return f"{mm(found.room)} left by {found.who}" if found.room is not None else "nothing is near"


def verdicts(look: Look, row: Row) -> list[Verdict]:
    """All choices of rails of a row, in the order they are written."""
    found = []
    for choice in row.choices:
        here = row_hardware(look, chosen_of(row, choice))
        faults = [*here.faults, *faults_at_ends(look, here.chosen)]
        errors = [fault for fault in faults if fault.severity == ERROR]
        rail = here.chosen.rail
        reason = errors[0].message if errors else ""
        if rail is None:
            reason = "nobody has written these rails down"
        elif too_short(here.chosen) and rail.length is not None and row.length is not None:
            reason = f"{show_hp(rail.length.value)} long, and the row needs {show_hp(row.length.value)}"
        found.append(Verdict(here, reason))
    return found


def the_one(found: list[Verdict]) -> Verdict | None:
    """The first choice that does, else the first one."""
    return next((verdict for verdict in found if not verdict.reason), found[0] if found else None)


def rails(look: Look, found: list[Verdict], best: Verdict) -> Iterator[Block]:
    """The choices of a row side by side; one alone in a sentence."""
    columns = [facts(look, verdict, verdict is best, len(found)) for verdict in found]
    if len(found) == 1:
        yield Paragraph(alone(found[0], columns[0]))
        return
    heads: list[str] = []
    for number, verdict in enumerate(found):
        name = name_of(verdict)
        heads.append(name if name not in heads else f"{name} ({number + 1})")
    rows = tuple((label, *(column[label] for column in columns)) for label in columns[0])
    yield Table(("", *heads), rows)


def name_of(verdict: Verdict) -> str:
    """A choice as it is written: ``tideline-84 with strip-m3-84``."""
    rail, insert = verdict.chosen.rail, verdict.chosen.insert
    name = rail.name if rail is not None else "not known"
    return name + (f" with {insert.name}" if insert is not None else "")


def alone(verdict: Verdict, column: dict[str, str]) -> str:
    """A row's only choice in a sentence."""
    parts = [f"{label}: {text}" for label, text in column.items() if label != "does it?" and text not in ("", "-")]
    told = (
        "they do" + column["does it?"].removeprefix("yes") if not verdict.reason else "they do not: " + verdict.reason
    )
    return f"Rails {name_of(verdict)}: {told}. In short: {'; '.join(parts)}."


def facts(look: Look, verdict: Verdict, is_best: bool, choices: int) -> dict[str, str]:
    """What there is to compare, by the name of its line."""
    here = verdict.hardware
    uses = uses_of(look, here)
    items = items_of(look, uses, [here])
    rail = verdict.chosen.rail
    return {
        "does it?": does_it(verdict, faults_at_ends(look, here.chosen), is_best, choices),
        "length": show_hp(rail.length.value) if rail is not None and rail.length is not None else "not known",
        "closest sideways": (not verdict.reason and row_margin(look, verdict.chosen)) or "-",
        "least thread": fewest_turns(look, here),
        "panel screws": listed([item for item in items if PANEL_SCREW in item.kinds], False),
        "of these to buy": listed([item for item in items if PANEL_SCREW in item.kinds], True),
        "supplied, left over": left_over(here),
        "nuts, strips": listed([item for item in items if NUT in item.kinds or STRIP in item.kinds], False),
        "end screws": here.ends.text(),
    }


def does_it(verdict: Verdict, ends: list[Finding], is_best: bool, choices: int) -> str:
    """Whether a choice does, or why not; and what is said about it and its end screws in milder words."""
    here = verdict.hardware
    if verdict.reason:
        return f"{'none does; this one: ' if is_best and choices > 1 else 'no: '}{verdict.reason}"
    text = "yes" + ("" if choices == 1 else ": taken, the first that does" if is_best else ", it would do too")
    if here.chosen.insert is None:
        text += ", as far as is known"
    mild = [fault for fault in (*here.faults, *ends) if fault.severity != ERROR]
    if mild:
        text += f"; {counted(len(mild), 'milder finding')}, first: {mild[0].message}"
    return text


def fewest_turns(look: Look, here: RowHardware) -> str:
    """The least thread that a panel's screw finds, at the worst, with the screws that are to be used."""
    least: tuple[Fraction, str] | None = None
    for line in here.lines:
        screw, stack = read_screw(line.use), stack_behind(here.chosen, line.panel, look)
        held = held_turns(here.chosen, stack, screw) if screw is not None and stack is not None else None
        if held is not None and (least is None or held < least[0]):
            least = held, f"{line.use} behind '{called(line.panel)}'"
    return f"{turns(least[0])}, {least[1]}" if least is not None else "not known"


def listed(items: list[Item], to_buy: bool) -> str:
    """Parts with their numbers: ``30 M3x6, 4 M3x8``."""
    parts = []
    for item in items:
        pieces = (
            item.to_buy if to_buy else max(sum(use.pieces[stage] for use in item.uses) for stage in stages_of(item))
        )
        if pieces or not to_buy:
            parts.append(f"{'at least ' if item.at_least else ''}{pieces} {item.part}")
    return ", ".join(parts) or ("none" if to_buy else "-")


def stages_of(item: Item) -> range:
    """The numbers of all stages that an item has numbers for."""
    return range(len(item.uses[0].pieces))


def left_over(here: RowHardware) -> str:
    """How many of the screws that come with a row's panels cannot be used in it."""
    supplied = [line for line in here.lines if line.supplied not in ("", "none")]
    if not supplied:
        return "none come along"
    return f"{sum(line.pieces for line in supplied if line.wasted)} of {sum(line.pieces for line in supplied)}"
