"""Holes that are elsewhere than they are written: in: a row with its holes as drilled, out: which these are, and why.

Nothing else that follows from where they are written is told of them: who mends the line, or turns the piece, is done.
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction

from rackspec.model.case import SIDES
from rackspec.model.rack import Row
from rackspec.physics.off_marks import misfit_squared
from rackspec.rules.causes import Cause, Off, best_cause, offs_of, turned_numbers
from rackspec.rules.chosen import chosen_one
from rackspec.rules.drill_points import stand_of
from rackspec.rules.registry import Look


def misread(look: Look, row: Row) -> dict[tuple[str, str], Cause]:
    """The drilled holes of a row (side, line) that a slip in writing explains, or a piece turned round."""
    remembered: dict[str, dict[tuple[str, str], Cause]] = look.memory.setdefault("misread", {})
    if row.name not in remembered:
        remembered[row.name] = dict(_misread(look, row)) if row.standing.drilled else {}
    return remembered[row.name]


def miswritten(look: Look, row: Row) -> bool:
    """Whether some hole of a row may well be elsewhere than it is written."""
    return any(cause.miswritten for cause in misread(look, row).values())


def _misread(look: Look, row: Row) -> Iterator[tuple[tuple[str, str], Cause]]:
    chosen = chosen_one(look, row) if row.choices and not row.spoiled else None
    stand = stand_of(look, chosen) if chosen is not None else None
    if stand is None:
        return
    give = look.house.limit("give drilling").value
    for side in SIDES:
        here = [off for off in offs_of(stand) if off.hole.side == side]
        wrong = [off for off in here if off.squared > give**2]
        if len(wrong) == 1 and len(here) > 1:
            cause = numbers_exchanged(wrong, give)
        else:
            cause = best_cause(look, stand, here, give) if wrong else None
        if cause is not None and (cause.enough or cause.miswritten):
            yield from (((off.hole.side, off.hole.line), cause) for off in wrong)


def numbers_exchanged(offs: Sequence[Off], give: Fraction) -> Cause | None:
    """Back and up exchanged, if that explains some holes."""
    cause = turned_numbers(offs)
    return cause if misfit_squared([off.point for off in offs], cause.expected) <= give**2 else None
