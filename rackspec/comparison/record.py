"""What a comparison says: in: nothing, out: the records that comparing makes and that views show.

Values are exact: lengths in mm, currents in mA, sums in their currency. ``old`` and ``new`` are the two sides; what is
only on one of them is None, or an empty text, on the other.
"""

from fractions import Fraction
from typing import NamedTuple

from rackspec.comparison.hole_record import HoleChange
from rackspec.findings import Finding

ADDED, REMOVED, RENAMED, CHANGED = "added", "removed", "renamed", "changed"
MOVED, SHIFTED, SWAPPED, REPLACED, REORDERED, PINNED = (
    "moved",
    "shifted",
    "swapped",
    "replaced",
    "reordered",
    "pinned",
)
ACTIONS = (ADDED, REMOVED, RENAMED, CHANGED, MOVED, SHIFTED, SWAPPED, REPLACED, REORDERED, PINNED)
"""What can have happened. ``shifted``: panels whose place hangs on what stands before them. ``pinned``: panels whose
place is written down on one side and hangs on the panel above on the other, without moving."""

NEW, GONE, OTHERWISE = "new", "gone", "changed"
"""What can have become of a finding. ``changed``: another severity, or waived on one side only."""

ROOM, POWER, PRICE, MARGIN = "room", "power", "price", "margin"
"""Kinds of figures."""


class Spot(NamedTuple):
    """Where a panel is: ``what`` (module, supply, blank, gap) of which ``part``, in which row, from which mm on (None:
    not known), how wide it is in mm (None: not known), from which stage on and until which (empty: the start, for
    ever), and the word that places it (at, next, instead)."""

    what: str
    part: str
    row: str
    start: Fraction | None
    width: Fraction | None
    since: str
    until: str
    word: str


class Detail(NamedTuple):
    """A value of a part, as written on each side."""

    word: str
    old: str
    new: str


class Change(NamedTuple):
    """One thing that is otherwise on the new side.

    ``kind`` and ``name`` say what it is about: the full name on the new side, or on the old one if it is gone there;
    ``was`` is its old full name where that is another. ``rack`` is the rack it stands in (empty: the library or the
    house). ``word`` is the fact that changed (blocks within blocks: ``side corner``), ``old`` and ``new`` are what is
    written there, and ``levels`` how well it is known on each side, where that is not the same.

    Panels have the places ``before`` and ``after``; ``names`` are all that a change of several is about, ``shift`` how
    far they move in their row (mm, to the right), ``behind`` what stands in front of them, and ``because`` the part
    whose width makes them move, with how much wider it is; ``unbroken`` if nothing else stands between them.
    ``details`` is in what a new part differs, ``touches`` which things of racks a change of the library reaches.
    ``fingerprint`` is a key that the same change always has.
    """

    action: str
    kind: str
    name: str
    rack: str = ""
    was: str = ""
    word: str = ""
    old: str = ""
    new: str = ""
    before: Spot | None = None
    after: Spot | None = None
    names: tuple[str, ...] = ()
    shift: Fraction | None = None
    behind: str = ""
    because: tuple[str, Fraction] | None = None
    unbroken: bool = False
    details: tuple[Detail, ...] = ()
    touches: tuple[str, ...] = ()
    levels: tuple[str, str] = ("", "")
    fingerprint: str = ""


class Figure(NamedTuple):
    """A number of a rack that is another on the new side.

    ``about`` is the full name of the row, supply or panel (or the rack), ``what`` the number (``free``, ``spare on
    +12V``, ``depth``, ``price``), ``stage`` the stage (empty: the start), and ``last`` whether that is the last one.
    ``bound`` is ``at least`` or ``at most`` for each side, where something in it is not known. ``more_is_better`` says
    which way is good (None: neither). ``sure``: the sides can be held against each other; they cannot where something
    that was unknown is known now, or is known no longer. ``lost``: something in it is not known on the new side that
    was known, or was not in it, on the old one; ``gained``: the other way round.
    """

    kind: str
    rack: str
    about: str
    what: str
    stage: str
    last: bool
    unit: str
    old: Fraction | None
    new: Fraction | None
    bound: tuple[str, str] = ("", "")
    more_is_better: bool | None = None
    sure: bool = True
    lost: bool = False
    gained: bool = False

    @property
    def step(self) -> Fraction | None:
        """How much more it is on the new side; None where a side has none, or where nobody can say."""
        return None if self.old is None or self.new is None or not self.sure else self.new - self.old

    @property
    def is_bad(self) -> bool:
        """Whether it is worse, or not known as well as it was though more of it would be better or worse."""
        return self.better is False or (self.lost and self.better is None and self.more_is_better is not None)

    @property
    def better(self) -> bool | None:
        """Whether this is for the better; None where nobody can say."""
        step = self.step
        if not step or self.more_is_better is None:
            return None
        return (step > 0) == self.more_is_better


class Unknown(NamedTuple):
    """A fact that a check needs: of which thing (full name), and which fact."""

    thing: str
    fact: str


class RackFigures(NamedTuple):
    """What a rack comes to: its name on the new side (else the old one), what it was called, its title and file, what
    became of it (added, removed, renamed, changed), the numbers that are others, facts that are not known on the new
    side (``unknown``), those of them that were known on the old one (``forgotten``), and facts of which it is the other
    way round (``answered``). ``rows`` and ``supplies``: how many it has, on the side that has more. ``holes``: rows
    whose drill points are others; of a rack that is on one side only they are left out."""

    name: str
    was: str
    title: str
    file: str
    action: str
    figures: tuple[Figure, ...]
    unknown: tuple[Unknown, ...]
    answered: tuple[Unknown, ...]
    forgotten: tuple[Unknown, ...] = ()
    rows: int = 1
    supplies: int = 1
    holes: tuple[HoleChange, ...] = ()


class FindingChange(NamedTuple):
    """What became of a finding. ``rack`` is the rack it is about, empty where it is about none."""

    status: str
    old: Finding | None
    new: Finding | None
    rack: str
    fingerprint: str

    @property
    def shown(self) -> Finding:
        """The finding as it is on the new side, or as it was."""
        finding = self.new or self.old
        assert finding is not None
        return finding


class Comparison(NamedTuple):
    """What a change does. ``pair``: two racks of one side were compared (layout A or B), not two sides.

    ``racks`` are the racks whose numbers are others, ``changes`` everything that is otherwise, ``findings`` those that
    are new, gone or count otherwise. ``not_understood`` is how many lines of each side were not understood: what they
    say is not compared. ``all_racks`` is how many racks each side has.
    """

    pair: tuple[str, str] | None
    racks: tuple[RackFigures, ...]
    changes: tuple[Change, ...]
    findings: tuple[FindingChange, ...]
    not_understood: tuple[int, int]
    all_racks: tuple[int, int]

    @property
    def is_empty(self) -> bool:
        """Whether there is no difference at all."""
        return not (self.racks or self.changes or self.findings)

    def of_status(self, status: str) -> tuple[FindingChange, ...]:
        """The findings of which that became."""
        return tuple(change for change in self.findings if change.status == status)

    def concerned(self) -> tuple[str, ...]:
        """The racks that anything is otherwise in, in order."""
        names = {rack.name for rack in self.racks} | {change.rack for change in self.changes}
        names |= {finding.rack for finding in self.findings}
        names |= {name.partition("/")[0] for change in self.changes for name in change.touches}
        return tuple(sorted(names - {""}))
