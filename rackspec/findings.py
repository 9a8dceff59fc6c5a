"""What every stage hands on: a place in a text, and a finding about it.

In: nothing of ours. Out: the records that language, model, rules and views share. Offsets count code points from the
start of the text; lines and columns are made only where something is shown (``rackspec/views``).
"""

from typing import NamedTuple

ERROR, WARNING, NOTE = "error", "warning", "note"
SEVERITIES = (ERROR, WARNING, NOTE)
"""From the worst to the mildest."""


class Source:
    """One text that was read: the name it is shown under and its characters. Compared by identity, never changed."""

    __slots__ = ("name", "text")

    def __init__(self, name: str, text: str) -> None:
        self.name = name
        self.text = text

    def __repr__(self) -> str:
        return f"Source({self.name!r})"


class Place(NamedTuple):
    """A span of a text, from ``start`` up to ``end`` (code points), and what is to be seen there."""

    source: Source
    start: int
    end: int
    label: str = ""

    def labelled(self, label: str) -> "Place":
        """The same span with another label."""
        return self._replace(label=label)


class Edit(NamedTuple):
    """A change of text that an editor may offer: put ``text`` in the place of the span."""

    place: Place
    text: str


class Waiver(NamedTuple):
    """Why a finding is accepted, and until when (ISO date, or empty for ever)."""

    reason: str
    until: str


class Finding(NamedTuple):
    """One cause that a builder would meet with a screwdriver, a saw, a meter or a purse.

    ``message`` stands alone, with its values; ``sum`` proves it, ``remedy`` is one step, ``rests_on`` says how far the
    values can be trusted. ``names`` are the full names of the things concerned (``rack/thing``): with the rule they are
    the finding's identity, and what a waiver is held against.
    """

    rule: str
    severity: str
    message: str
    place: Place
    others: tuple[Place, ...] = ()
    sum: str = ""
    remedy: str = ""
    rests_on: str = ""
    names: tuple[str, ...] = ()
    edit: Edit | None = None
    waiver: Waiver | None = None


def in_order(findings: list[Finding]) -> list[Finding]:
    """Findings by file, place and rule; the same finding said twice is kept once."""
    seen: dict[tuple[str, int, str, str], Finding] = {}
    for finding in findings:
        key = (finding.place.source.name, finding.place.start, finding.rule, finding.message)
        seen.setdefault(key, finding)
    return [seen[key] for key in sorted(seen)]
