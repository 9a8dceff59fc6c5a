"""Faults of end screws: in: the ends of a row's rails, out: what is wrong with its screws, and how near they come.

Nothing here asks which rails a row is built with: that choice looks at these faults too (``rules/chosen.py``).
"""

from collections.abc import Iterator
from fractions import Fraction

from rackspec.findings import ERROR, SEVERITIES, WARNING, Finding, Place
from rackspec.language.bound import GUESSED
from rackspec.language.quantity import plain_number
from rackspec.model.known import Known, rests_on
from rackspec.model.seats import EndScrews
from rackspec.physics.margin import Margin
from rackspec.physics.threads import Screw, read_screw
from rackspec.rules.end_joints import BOTH, ZERO, Held, Joint, Wall, advice, held_at
from rackspec.rules.holes import mm
from rackspec.rules.registry import Look, milder, steps_for
from rackspec.rules.screws import turns


def end_faults(look: Look, joint: Joint) -> Iterator[Finding | Margin]:
    """The worst to be said of a row's end screws, and how near they come; nothing where none are written."""
    written = joint.row.standing.end_screws
    screw = read_screw(written.designation) if written is not None else None
    if written is None or screw is None:
        return
    if screw.thread != joint.end_hole.thread:
        yield _thread(look, joint, written, screw)
        return
    found: list[tuple[int, Fraction, Finding]] = []
    margins: list[Margin] = []
    for wall in joint.walls:
        held = held_at(screw, joint, wall)
        for finding in (*_bottoms(look, joint, written, screw, held), *_short(look, joint, written, screw, held)):
            amount = max(held.longest.beyond or ZERO, -held.shortest.into)
            found.append((SEVERITIES.index(finding.severity), -amount, finding))
        if held.longest.beyond is not None and joint.end_hole.deep is not None and held.shortest.into > 0:
            what = f"{joint.row.name}: end screws in their tapped depth" + _at(wall)
            inputs = _inputs(joint, written, wall)
            trust = rests_on("lengths", inputs)
            margins.append(Margin(what, held.longest.into, joint.end_hole.deep.low, "mm", trust))
    yield from sorted(margins, key=lambda margin: margin.margin)[:1]
    yield from (finding for _, _, finding in sorted(found, key=lambda one: one[:2])[:1])


def _at(wall: Wall) -> str:
    return "" if wall.side == BOTH else f", {wall.side} side"


def _inputs(joint: Joint, written: EndScrews, wall: Wall) -> list[Known]:
    washer, deep = written.washer, joint.end_hole.deep
    return [wall.thickness, *(known for known in (joint.shim, washer, deep) if known is not None)]


def _trust(joint: Joint, written: EndScrews, inputs: list[Known], more: str = "") -> str:
    bare = "" if written.washer is not None else "; no washer written, taken as none"
    alike = "; shims taken to be alike at both ends" if joint.shim is not None else ""
    return rests_on("lengths", inputs) + bare + alike + more


def _shims(joint: Joint) -> list[Place]:
    """Where the shims are written, if there are some."""
    return [joint.shim.place.labelled("half of it at each end")] if joint.shim is not None else []


def _thread(look: Look, joint: Joint, written: EndScrews, screw: Screw) -> Finding:
    rail = joint.chosen.rail
    assert rail is not None
    guessed = joint.end_hole.evidence.level == GUESSED
    return Finding(
        "end-screw-wrong",
        milder(ERROR, steps_for(True, guessed)),
        f"the end screws of row '{joint.row.name}' are {written.designation}; "
        f"the ends of '{rail.name}' are tapped {joint.end_hole.thread}",
        written.place,
        others=(joint.end_hole.place.labelled(f"the ends of '{rail.name}'"),),
        sum=f"{screw.thread} is not {joint.end_hole.thread}",
        remedy=advice(look, joint),
        rests_on=f"thread of the ends {joint.end_hole.evidence.level}",
        names=(look.rack.full(joint.row.name),),
    )


def _stack(joint: Joint, written: EndScrews, wall: Wall, high: bool, nominal: bool) -> tuple[str, Fraction]:
    """What lies before the rail, as a sum, and what it comes to (mm)."""
    parts = []
    total = ZERO
    for known, word in ((written.washer, "washer"), (wall.thickness, "side"), (joint.shim, "shims")):
        if known is not None:
            value = known.value if nominal else known.high if high else known.low
            parts.append(f"{mm(value)} {word}")
            total += value
    return " + ".join(parts), total


def _bottoms(look: Look, joint: Joint, written: EndScrews, screw: Screw, held: Held) -> Iterator[Finding]:
    """A screw that meets the end of the thread before its head clamps."""
    rail, deep = joint.chosen.rail, joint.end_hole.deep
    if deep is None or held.longest.beyond is None or held.longest.beyond <= 0:
        return
    assert rail is not None and held.nominal.beyond is not None
    is_nominal = held.nominal.beyond > 0
    beyond = held.nominal.beyond if is_nominal else held.longest.beyond
    stack, total = _stack(joint, written, held.wall, False, is_nominal)
    depth = deep.value if is_nominal else deep.low
    inputs = _inputs(joint, written, held.wall)
    yield Finding(
        "end-screw-wrong",
        milder(ERROR, steps_for(is_nominal, any(value.is_guess for value in inputs))),
        f"{written.designation} bottoms in the ends of '{rail.name}' before its head clamps row '{joint.row.name}'"
        f"{_at(held.wall)}{'' if is_nominal else ', at the worst'}: it is {mm(beyond)} too long, "
        "and the side stays loose",
        written.place,
        others=(
            joint.end_hole.place.labelled(f"the ends, tapped {deep.quantity.text} deep"),
            held.wall.thickness.place.labelled("the side piece"),
            *_shims(joint),
        ),
        sum=f"{stack} + {mm(depth)} of thread = {mm(total + depth)}, and {mm(screw.length)} - {mm(total + depth)} = "
        f"{mm(beyond)}",
        remedy=advice(look, joint),
        rests_on=_trust(joint, written, inputs),
        names=(look.rack.full(joint.row.name),),
    )


def _short(look: Look, joint: Joint, written: EndScrews, screw: Screw, held: Held) -> Iterator[Finding]:
    """A screw that finds too little thread; one that finds none is told even if its thread is a strange one."""
    thread, rail = joint.thread, joint.chosen.rail
    assert rail is not None
    least, good = look.house.limit("turns least"), look.house.limit("turns good")
    pitch = thread.pitch if thread is not None else Fraction(1, 10**6)  # of a strange thread: whether it finds any
    if held.shortest.engaged / pitch >= (good.value if thread is not None else 1):
        return
    nominal = held.nominal.engaged / pitch
    is_nominal = nominal < (good.value if thread is not None else 1)
    here = held.nominal if is_nominal else held.shortest
    found = here.engaged / pitch
    limit, severity = (least, ERROR) if found < least.value else (good, WARNING)
    inputs = _inputs(joint, written, held.wall)
    stack, total = _stack(joint, written, held.wall, True, is_nominal)
    at_worst = "" if is_nominal else ", at the worst"
    if here.into <= 0:
        what = "the side and the shims" if joint.shim is not None else "the side"
        message = f"{written.designation} does not reach the ends of '{rail.name}' through {what} of row "
        message += f"'{joint.row.name}'{_at(held.wall)}{at_worst}"
        sums = f"{stack} = {mm(total)}, and the screw is {mm(screw.length)} long"
    else:
        wanted = "less than 1 holds nothing" if limit is least else f"{plain_number(good.value)} are wanted"
        if limit is least and least.value != 1:
            wanted = f"less than {plain_number(least.value)} is too little"
        message = f"{written.designation} finds {turns(found)} of thread in the ends of '{rail.name}', row "
        message += f"'{joint.row.name}'{_at(held.wall)}{at_worst}; {wanted}"
        cut = f", of it in thread {mm(here.engaged)}" if here.engaged < here.into else ""
        a_turn = f", at {mm(pitch)} a turn {turns(found)}" if thread is not None else ""
        sums = f"{mm(screw.length)} - {stack.replace(' + ', ' - ')} = {mm(here.into)}{cut}{a_turn}"
    yield Finding(
        "end-screw-wrong",
        milder(severity, steps_for(is_nominal, any(value.is_guess for value in inputs))),
        message,
        written.place,
        others=(
            held.wall.thickness.place.labelled("the side piece"),
            joint.end_hole.place.labelled(f"the ends of '{rail.name}'"),
            *_shims(joint),
        ),
        sum=sums,
        remedy=advice(look, joint),
        rests_on=_trust(joint, written, inputs, f"; turns wanted from {limit.origin}"),
        names=(look.rack.full(joint.row.name),),
    )
