"""Rails and the panels between them: in: a row, out: how its panels get onto its rails, nominally and at the worst."""

from fractions import Fraction
from typing import NamedTuple

from rackspec.model.known import PRACTICE, Known
from rackspec.model.rack import Row
from rackspec.rules.choices import Chosen
from rackspec.rules.chosen import chosen_one
from rackspec.rules.heights import holes_outside, misfit
from rackspec.rules.misread import miswritten
from rackspec.rules.registry import Look
from rackspec.rules.stages import stage_numbers
from rackspec.rules.standing_panels import (
    NEVER,
    PUSHED,
    StandingPanel,
    Verdict,
    slack_of_inserts,
    standing_panels,
    verdict,
)
from rackspec.rules.thread_lines import DRILLED, ThreadLines, exactly, thread_lines


class Spacing(NamedTuple):
    """How the panels of a row get onto its rails: nominally, and at the worst; ``slack``: play of the inserts (mm).

    ``panels`` are those whose own holes are not to blame, at the stage that is the worst.
    """

    chosen: Chosen
    lines: ThreadLines
    panels: tuple[StandingPanel, ...]
    slack: Known
    nominal: Verdict
    worst: Verdict

    @property
    def at_worst(self) -> bool:
        """Whether only the worst case needs so much."""
        return self.nominal.step < self.worst.step

    @property
    def counted_slack(self) -> Fraction:
        """The play that was counted (mm)."""
        return self.slack.low if self.at_worst else self.slack.value

    @property
    def counted(self) -> Verdict:
        """The verdict that is told."""
        return self.worst if self.at_worst else self.nominal

    @property
    def counted_lines(self) -> ThreadLines:
        """The distances that this verdict is about, exactly."""
        return self.lines._replace(left=exactly(self.counted.left), right=exactly(self.counted.right))


def spacing_of(look: Look, row: Row) -> Spacing | None:
    """How the panels of a row get onto its rails; None where nothing is known that could be wrong."""
    remembered: dict[int, Spacing | None] = look.memory.setdefault("spacing", {})
    if id(row) not in remembered:
        remembered[id(row)] = _spacing(look, row)
    return remembered[id(row)]


def _spacing(look: Look, row: Row) -> Spacing | None:
    if row.spoiled or not row.choices:
        return None
    standing = row.standing
    known = standing.apart is not None or bool(standing.drilled)
    if not known and not any(panel.part is not None and panel.part.face.holes for panel in row.panels):
        return None
    chosen = chosen_one(look, row)
    if chosen is None or chosen.rail is None or chosen.rail.spoiled:
        return None
    lines, slack = thread_lines(chosen), slack_of_inserts(look, chosen)
    give = look.house.limit("give rails").value
    fit = [
        one
        for one in standing_panels(look, chosen, lines)
        if one.panel is None or not (holes_outside(one.panel) or misfit(look, chosen, one.panel))
    ]
    found: list[Spacing] = []
    for stage in stage_numbers(look.rack):
        here = tuple(one for one in fit if one.there(stage))
        if not here or any(here == other.panels for other in found):
            continue
        nominal = verdict(list(here), lines.left, lines.right, slack.value, give)
        worst = verdict(list(here), lines.left, lines.right, slack.low, give, worst=True)
        found.append(Spacing(chosen, lines, here, slack, nominal, worst))
    return max(found, key=lambda one: (one.nominal.step, one.worst.step), default=None)


def is_told(look: Look, spacing: Spacing | None) -> bool:
    """Whether ``rails-misspaced`` has something to say of a row."""
    if spacing is None or spacing.worst.step < PUSHED or hangs_on_play(spacing):
        return False
    if spacing.lines.origin == DRILLED and miswritten(look, spacing.chosen.row):
        return False  # hole-off-mark says that they are elsewhere than they are written
    return spacing.lines.is_known or spacing.worst.step == NEVER


def hangs_on_play(spacing: Spacing) -> bool:
    """Whether a little pushing is needed only if the inserts have less play than is common, and nobody measured it."""
    return spacing.at_worst and spacing.worst.step == PUSHED and spacing.slack.evidence.level == PRACTICE
