"""The parts of a rack as they are listed: in: a reported rack and the stages that are asked for, out: lines to show.

Rows stand on the first choice of rails that does. Each line adds up on paper: needed, less what comes along, less what
is there, at the stage at which most is lacking, is what all stages buy together.
"""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from rackspec.model.sellers import EACH, Offer
from rackspec.model.wares import Ware, opened
from rackspec.rules.hardware import Hardware, hardware
from rackspec.rules.needs import Need, needs_of
from rackspec.views.reported import Reported, stage_word


class Selling(NamedTuple):
    """A line of a seller that gives so many pieces of a need; ``kit``: what is sold, where it is another thing."""

    seller: str
    offer: Offer
    gives: int
    kit: str

    @property
    def text(self) -> str:
        """``oddments 3.60 EUR pack 100``; of a kit what it is, and how many of the thing are in it."""
        offer = self.offer
        form = "" if offer.form == EACH else f" {offer.form}" + (f" {offer.pieces}" if offer.form == "pack" else "")
        least = f" from {offer.least}" if offer.least > 1 else ""
        stock = f", {offer.stock} there" if offer.stock is not None else ""
        kit = f" for {self.kit} ({self.gives} in it)" if self.kit else ""
        guess = " guessed" if offer.price.evidence.level == "guessed" else ""
        return f"{self.seller} {offer.price.money.text}{form}{kit}{least}{guess}{stock}"


class Line(NamedTuple):
    """A need as it is listed: ``at`` is the stage that is counted, ``needed``, ``along`` and ``there`` are what holds
    then (``there``: with what stages before it bought, where one stage is asked for), ``buy`` what each stage that is
    asked for buys, and ``sold`` who sells it."""

    need: Need
    at: int
    needed: int
    along: int
    there: int
    buy: tuple[int, ...]
    sold: tuple[Selling, ...]

    @property
    def all(self) -> int:
        """What is bought in all stages that are asked for."""
        return sum(self.buy)


class Parts(NamedTuple):
    """All parts of a rack. ``only``: the one stage that is asked for (None: all of them). ``left_over``: what is there
    and not needed, with its number."""

    reported: Reported
    hardware: Hardware
    only: int | None
    lines: tuple[Line, ...]
    left_over: tuple[tuple[str, int], ...]

    @property
    def stages(self) -> tuple[int, ...]:
        """The stages that are asked for."""
        return tuple(self.reported.stages) if self.only is None else (self.only,)


def parts_of(reported: Reported, only: int | None = None, needs: Sequence[Need] | None = None) -> Parts:
    """The parts of a rack; ``needs``: those on rails that were chosen otherwise (None: on the first that do)."""
    look = reported.look
    bolted = hardware(look)
    needs = tuple(needs_of(look, bolted.rows) if needs is None else needs)
    sold = selling(reported, needs)
    lines = tuple(line_of(need, only, sold.get(need.part, ())) for need in needs)
    wanted = {part for need in needs for part in need.serves}
    there: dict[str, int] = {}
    for have in look.rack.have:
        there[have.part] = there.get(have.part, 0) + have.pieces
    kits = {ware.name for ware in look.rack.wares if ware.part is not None and ware.part.holds}  # counted by piece
    left = tuple((part, pieces) for part, pieces in sorted(there.items()) if part not in wanted | kits and pieces)
    return Parts(reported, bolted, only, lines, left)


def line_of(need: Need, only: int | None, sold: tuple[Selling, ...]) -> Line:
    """A need at the stage that is asked for, or at the one at which most of it is lacking."""
    if only is not None:
        before = sum(need.buy[:only])
        return Line(need, only, need.needed[only], need.along[only], need.there + before, (need.buy[only],), sold)
    short = [needed - along for needed, along in zip(need.needed, need.along, strict=True)]
    at = max(range(len(short)), key=lambda stage: (short[stage], need.needed[stage], -stage))
    return Line(need, at, need.needed[at], need.along[at], need.there, need.buy, sold)


def selling(reported: Reported, needs: tuple[Need, ...]) -> dict[str, tuple[Selling, ...]]:
    """By need who sells it, kits that hold it among them, in the order of sellers and of their lines."""
    rack = reported.seen.rack
    wares = {ware.name: ware for ware in rack.wares}
    serving: dict[str, list[str]] = {}
    for need in needs:
        for part in need.serves:
            serving.setdefault(part, []).append(need.part)
    found: dict[str, list[Selling]] = {}
    for seller in rack.sellers:
        for offer in seller.offers:
            for part, pieces in held_in(offer.part, offer.pieces, wares, frozenset(serving)).items():
                for need_name in serving[part]:
                    kit = "" if part == offer.part else offer.part
                    found.setdefault(need_name, []).append(Selling(seller.name, offer, pieces, kit))
    return {part: tuple(lines) for part, lines in found.items()}


def held_in(part: str, pieces: int, wares: Mapping[str, Ware], wanted: frozenset[str]) -> dict[str, int]:
    """What so many pieces of a thing are of what is wanted: the thing itself, else what is in it, where it is a kit."""
    inside = opened(wares, {part: pieces}, wanted)
    return {name: many for name, many in inside.items() if name in wanted and many}


def uses_text(line: Line) -> str:
    """Where a number comes from: ``end screw, 2 rails x 2 ends: rows upper, lower``."""
    rows: dict[tuple[str, str], list[str]] = {}
    for use in line.need.uses:
        rows.setdefault((use.kind, use.source), []).append(use.row)
    parts = []
    for (kind, source), names in rows.items():
        what = f"{kind}, " if len(line.need.kinds) > 1 else ""
        known = [name for name in names if name and f"in row {name}" not in source]
        where = f": {'rows' if len(known) > 1 else 'row'} {', '.join(known)}" if known else ""
        parts.append(f"{what}{source}{where}")
    return "; ".join(parts)


def stages_text(parts: Parts, line: Line) -> str:
    """What is bought when: ``4 at the start, 2 at lambing``."""
    bought = zip(parts.stages, line.buy, strict=True)
    return ", ".join(f"{pieces} at {stage_word(parts.reported, stage)}" for stage, pieces in bought if pieces)
