"""Ends of rails in a case: in: a row on its rails, out: what an end screw goes through and into, and which serves.

The left and the right side piece may be of different sheets; a row has one size of end screw for both. Shims between
rails and sides lie in the way of the screws: half of them at each end. A gap without shims takes nothing away, because
the screws pull the sides in.
"""

from fractions import Fraction
from typing import NamedTuple

from rackspec.language.quantity import plain_number
from rackspec.model.case import SIDES
from rackspec.model.known import Known
from rackspec.model.parts import EndHole
from rackspec.model.rack import Row
from rackspec.physics.end_screws import A_ROW, ENOUGH, WASHER, EndHold, Ends, Through, end_hold, serving_end_screws
from rackspec.physics.threads import THREADS, Screw, Thread
from rackspec.rules.choices import Chosen
from rackspec.rules.registry import Look
from rackspec.rules.sold_here import THERE, chosen_length

ZERO = Fraction(0)
BOTH = "both sides"
LONGEST = "the longest standard length that does not bottom"


class Wall(NamedTuple):
    """A side piece that end screws go through: which one (``left``, ``right``, BOTH), and how thick it is (mm)."""

    side: str
    thickness: Known


class Joint(NamedTuple):
    """The ends of a row's rails: the thread in them, the side pieces in front of them whose thickness is known, and the
    shims between (at each end, mm; None: there are none)."""

    row: Row
    chosen: Chosen
    end_hole: EndHole
    walls: tuple[Wall, ...]
    shim: Known | None = None

    @property
    def thread(self) -> Thread | None:
        """The thread in the ends, if it is one that we know."""
        return THREADS.get(self.end_hole.thread)

    @property
    def whole(self) -> bool:
        """Whether both side pieces are known."""
        return sum(len(SIDES) if wall.side == BOTH else 1 for wall in self.walls) == len(SIDES)


class Held(NamedTuple):
    """A screw at one side piece, nominal and at the end that hurts: too short, or too long."""

    wall: Wall
    nominal: EndHold
    shortest: EndHold
    longest: EndHold


def walls_of(look: Look) -> tuple[Wall, ...]:
    """The side pieces whose thickness is known; one for both where they are alike."""
    case = look.rack.case
    found = []
    for side in SIDES if case is not None else ():
        piece = case.side(side) if case is not None else None
        if piece is not None and piece.sheet is not None and piece.sheet.thickness is not None:
            found.append(Wall(side, piece.sheet.thickness))
    if len(found) == len(SIDES) and len({wall.thickness.quantity[1:4] for wall in found}) == 1:
        return (Wall(BOTH, found[0].thickness),)
    return tuple(found)


def joint_of(look: Look, chosen: Chosen) -> Joint | None:
    """The ends of a row's rails; None where nothing is known of the thread in them."""
    if chosen.rail is None or chosen.rail.end_hole is None:
        return None
    return Joint(chosen.row, chosen, chosen.rail.end_hole, walls_of(look), shim_of(look))


def shim_of(look: Look) -> Known | None:
    """How thick the shims are at each end of a rail (mm): half of those of the case; None where there are none."""
    shims = look.rack.case.shims if look.rack.case is not None else None
    if shims is None or not shims.high:
        return None
    whole = shims.quantity
    half = whole._replace(value=whole.value / 2, low=whole.low / 2, high=whole.high / 2, text=f"half of {whole.text}")
    return shims._replace(quantity=half)


def through(joint: Joint, walls: tuple[Wall, ...], washer: Ends) -> Through:
    """What one size of screw goes through at some side pieces: shims count with them."""
    low = min(wall.thickness.low for wall in walls) + (joint.shim.low if joint.shim is not None else ZERO)
    high = max(wall.thickness.high for wall in walls) + (joint.shim.high if joint.shim is not None else ZERO)
    deep = joint.end_hole.deep
    return Through(Ends(low, high), washer, deep.low if deep is not None else None)


def washer_of(joint: Joint) -> Ends:
    """What lies under the heads (mm): as written; nothing where screws are written without; else one by ISO 7089."""
    written = joint.row.standing.end_screws
    if written is None:
        # how thin such a washer may be, no source here says: for a screw that bottoms none is counted
        return Ends(ZERO, WASHER.get(joint.end_hole.thread, ZERO))
    return Ends(written.washer.low, written.washer.high) if written.washer is not None else Ends(ZERO, ZERO)


def all_serving(look: Look, joint: Joint, walls: tuple[Wall, ...] = ()) -> tuple[int, ...]:
    """The standard lengths that serve at some side pieces (all, if none are given), the shortest first."""
    walls = walls or joint.walls
    if joint.thread is None or not walls:
        return ()
    good = look.house.limit("turns good").value
    return serving_end_screws(joint.thread, through(joint, walls, washer_of(joint)), good)


def serving(look: Look, joint: Joint, walls: tuple[Wall, ...] = ()) -> int | None:
    """The shortest standard length that serves at some side pieces (all, if none are given); None: there is none."""
    return next(iter(all_serving(look, joint, walls)), None)


def to_take(look: Look, joint: Joint, walls: tuple[Wall, ...] = ()) -> tuple[str, str]:
    """The end screw to take at some side pieces (all, if none are given), and by what its length was chosen; both empty
    where none serves. Where nobody wrote how deep the ends are tapped, no longer one is taken than has to be."""
    lengths = all_serving(look, joint, walls)
    if not lengths:
        return "", ""
    good = lengths if joint.end_hole.deep is not None else lengths[:1]

    def does(screw: Screw) -> bool:
        return screw.thread == joint.end_hole.thread and screw.length in good

    screw, by = chosen_length(look, joint.end_hole.thread, lengths[0], does, True)
    return screw, LONGEST if by != THERE and not holds_well(joint, lengths[0], walls) else by


def advice(look: Look, joint: Joint) -> str:
    """Which end screws to use, as a remedy."""
    thread = joint.end_hole.thread
    if joint.thread is None:
        return f"use {A_ROW} {thread} screws; which length, a {thread} screw turned in by hand tells"
    if not joint.walls:
        return f"use {A_ROW} {thread} screws; which length shows when the side pieces are known"
    length = serving(look, joint)
    sure = "" if joint.end_hole.deep is not None else "; measure how deep the ends are tapped before you buy"
    if length is not None:
        return f"use {A_ROW} {thread}x{length}, {which_length(joint, length)}{sure}"
    apart = [(wall, serving(look, joint, (wall,))) for wall in joint.walls]
    if len(apart) > 1 and all(one is not None for _, one in apart):
        each = " and ".join(f"2 {thread}x{one} at the {wall.side}" for wall, one in apart)
        return f"use {each}, and leave 'end-screws' out: it holds one size for both sides"
    thinner = "side pieces or shims" if joint.shim is not None else "side pieces"
    return f"no standard {thread} screw serves here: tap the ends deeper, or take thinner {thinner}"


def holds_well(joint: Joint, length: int, walls: tuple[Wall, ...] = ()) -> bool:
    """Whether a screw finds ENOUGH thread at some side pieces (all, if none are given), at the ends that hurt."""
    assert joint.thread is not None
    there = through(joint, walls or joint.walls, washer_of(joint))
    held = end_hold(Fraction(length), there.side.high, there.washer.high, there.deep)
    return held.diameters(joint.thread) >= ENOUGH


def which_length(joint: Joint, length: int) -> str:
    """By what a length was chosen: for ENOUGH thread, else for as much as there is room for."""
    if holds_well(joint, length):
        return f"the shortest standard length that holds well ({plain_number(ENOUGH)} diameters of thread)"
    return LONGEST


def held_at(screw: Screw, joint: Joint, wall: Wall) -> Held:
    """How a screw sits at a side piece."""
    washer, deep = joint.row.standing.end_screws, joint.end_hole.deep
    known = washer.washer if washer is not None else None
    middle, ends = known.value if known is not None else ZERO, washer_of(joint)
    thick = wall.thickness
    value, low, high = thick.value, thick.low, thick.high
    if joint.shim is not None:
        value, low, high = value + joint.shim.value, low + joint.shim.low, high + joint.shim.high
    return Held(
        wall,
        end_hold(screw.length, value, middle, deep.value if deep is not None else None),
        end_hold(screw.length, high, ends.high, deep.low if deep is not None else None),
        end_hold(screw.length, low, ends.low, deep.low if deep is not None else None),
    )
