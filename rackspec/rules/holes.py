"""Holes for screws: in: a row on chosen rails, out: findings on holes that the screws do not go through."""

from collections.abc import Iterator
from fractions import Fraction

from rackspec.findings import ERROR, Finding
from rackspec.language.quantity import show
from rackspec.model.known import rests_on
from rackspec.physics.threads import THREADS
from rackspec.rules.choices import Chosen, fitting_inserts, screwed_panels
from rackspec.rules.registry import Look, milder, steps_for


def mm(value: Fraction) -> str:
    """A length in millimetres."""
    return show(value, "length")


def too_small_holes(look: Look, chosen: Chosen) -> Iterator[Finding]:
    """Holes that the screws of the chosen insert do not go through."""
    thread = chosen.thread
    if thread is None or chosen.insert is None:
        return
    for panel in screwed_panels(chosen.row):
        assert panel.part is not None
        small = [hole for hole in panel.part.face.holes if hole.width.value < thread.largest]
        if not small:
            continue
        hole = small[0]
        lacking = thread.largest - hole.width.value
        smaller = [name for name, other in THREADS.items() if other.largest <= hole.width.value]
        others = [name for size in reversed(smaller) for name in fitting_inserts(chosen, "", size)]
        remedy = f"open the holes to {mm(thread.clearance[0])} (deburr, and mind the coating)"
        if others:
            remedy += f", or use '{others[0]}' in these rails"
        many = f" in {len(small)} of its holes" if len(small) > 1 else ""
        yield Finding(
            "screw-misses-hole",
            milder(ERROR, steps_for(True, hole.width.is_guess)),
            f"an {thread.name} screw does not go through '{panel.name}'{many}: the hole is {mm(hole.width.value)} wide",
            panel.place,
            others=(
                hole.width.place.labelled("the hole"),
                chosen.choice.place.labelled(f"on rails with '{chosen.insert.name}', {thread.name}"),
            ),
            sum=f"{mm(thread.largest)} screw - {mm(hole.width.value)} hole = {mm(lacking)}",
            remedy=remedy,
            rests_on=rests_on("hole", [hole.width]) + "; screw at its largest by ISO 965-1 (6g)",
            names=(look.rack.full(panel.name), look.rack.full(chosen.row.name)),
        )
