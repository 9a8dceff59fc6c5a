"""Screws into the ends of rails: in: a rack, out: what is wrong with them, how near they come, what is not known."""

from collections.abc import Iterator

from rackspec.findings import Finding
from rackspec.model.case import SIDES, SidePiece
from rackspec.physics.margin import Margin
from rackspec.rules.choices import Chosen
from rackspec.rules.chosen import chosen_one
from rackspec.rules.end_faults import end_faults
from rackspec.rules.end_joints import joint_of
from rackspec.rules.registry import Look, NotKnown


def wrong_end_screws(look: Look) -> Iterator[Finding | Margin | NotKnown]:
    """What is wrong with end screws, one finding a row; how near they come; and what is not known about them."""
    for row in look.rack.rows:
        if not row.choices or (look.rack.case is None and row.standing.end_screws is None):
            continue
        chosen = chosen_one(look, row)
        if chosen is None:
            continue
        yield from not_known(look, chosen)
        joint = joint_of(look, chosen)
        if joint is not None:
            yield from end_faults(look, joint)


def not_known(look: Look, chosen: Chosen) -> Iterator[NotKnown]:
    """What has to be known before an end screw can be chosen."""
    rack, row, rail, case = look.rack, chosen.row, chosen.rail, look.rack.case
    if row.spoiled or rack.spoiled or (case is not None and case.spoiled):
        return
    if case is None:
        how = "write the case down with the sheet of its side pieces ('case', in it 'side' with 'from SHEET')"
        yield NotKnown(rack.full(row.name), "what its end screws go through", how, row.place)
    else:
        for side in SIDES:
            yield from _not_known_side(look, side, case.side(side))
    if rail is not None and rail.end_hole is not None and rail.end_hole.deep is None and not rail.spoiled:
        how = (
            "turn a screw in by hand until it stops, mark it at the rail's end, and measure how far it went in "
            f"('end-hole {rail.end_hole.thread} behind … inward … deep 12mm')"
        )
        yield NotKnown(rail.name, "how deep its ends are tapped", how, rail.end_hole.place)


def _not_known_side(look: Look, side: str, piece: SidePiece | None) -> Iterator[NotKnown]:
    case = look.rack.case
    assert case is not None
    if piece is None:
        how = f"write it down ('side {side}', with 'from SHEET'), or one for both ('side')"
        yield NotKnown(look.rack.name, f"the {side} side piece", how, case.place)
    elif piece.sheet is None and not piece.spoiled:
        how = "name the sheet they are cut from ('from SHEET')"
        yield NotKnown(look.rack.name, "the sheet of its side pieces", how, piece.place)
    elif piece.sheet is not None and piece.sheet.thickness is None and not piece.sheet.spoiled:
        how = "measure with callipers at several places ('thickness 12mm', or 'thickness 11.6mm..12.3mm')"
        yield NotKnown(piece.sheet.name, "thickness", how, piece.sheet.place)
