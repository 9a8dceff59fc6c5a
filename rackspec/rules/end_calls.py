"""How near end screws come to not holding: in: a row that has some, out: what is left, and what that rests on."""

from fractions import Fraction
from typing import NamedTuple

from rackspec.findings import Place
from rackspec.model.known import Known
from rackspec.model.rack import Row
from rackspec.physics.threads import read_screw
from rackspec.rules.chosen import chosen_one, faults_at_ends
from rackspec.rules.end_joints import BOTH, Joint, Wall, held_at, joint_of
from rackspec.rules.registry import Look


class Call(NamedTuple):
    """What the screws of a row have left (mm) at the side piece where it is least (``where``: in words, empty for
    both), until what happens (``then``), what that rests on, each with its name, and where the screws are written."""

    left: Fraction
    then: str
    where: str
    inputs: tuple[tuple[Known, str], ...]
    place: Place


def closest_call(look: Look, row: Row) -> Call | None:
    """How near the end screws of a row are to a finding; None where there is one, or where it cannot be said."""
    written = row.standing.end_screws
    chosen = chosen_one(look, row) if written is not None else None
    joint = joint_of(look, chosen) if chosen is not None else None
    if written is None or chosen is None or joint is None or faults_at_ends(look, chosen):
        return None
    calls = []
    for wall in joint.walls:
        inputs = _inputs(joint, wall)
        where = "" if wall.side == BOTH else f" at the {wall.side} side"
        calls += [Call(left, then, where, inputs, written.place) for left, then in _lefts(look, joint, wall)]
    guessed = [call for call in calls if any(known.is_guess for known, _ in call.inputs)]
    return min(guessed, key=lambda call: call.left, default=None)


def _lefts(look: Look, joint: Joint, wall: Wall) -> list[tuple[Fraction, str]]:
    """How much less far, and how much further, the screws may go in at a side piece (mm)."""
    written = joint.row.standing.end_screws
    screw = read_screw(written.designation) if written is not None else None
    if screw is None or joint.thread is None:
        return []
    held = held_at(screw, joint, wall)
    good = look.house.limit("turns good").value
    found = [(held.shortest.into - good * joint.thread.pitch, "they find too little thread")]
    if held.longest.beyond is not None:
        found.append((-held.longest.beyond, "they bottom"))
    return found


def _inputs(joint: Joint, wall: Wall) -> tuple[tuple[Known, str], ...]:
    """What it rests on, with names."""
    written = joint.row.standing.end_screws
    named = (
        (written.washer if written is not None else None, "the washer"),
        (wall.thickness, "the thickness" if wall.side == BOTH else f"the thickness of the {wall.side} side piece"),
        (joint.shim, "the shims at each end"),
        (joint.end_hole.deep, "the depth of the thread"),
    )
    return tuple((known, what) for known, what in named if known is not None)
