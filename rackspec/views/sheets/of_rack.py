"""Which sheets a rack gives: in: a look at it and what is wanted, out: pages and drawings, or what is missing."""

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from rackspec.language.units import HP
from rackspec.model.rack import Row
from rackspec.physics.threads import THREADS
from rackspec.rules.chosen import chosen_one
from rackspec.rules.drill_points import DrillPoint, abandoned_points, drill_points, is_no_outline, side_outline
from rackspec.rules.registry import Look
from rackspec.views.sheets.blanks import Blank, blank_piece
from rackspec.views.sheets.drawing import Flat
from rackspec.views.sheets.drill import SIDES, Hole, side_piece
from rackspec.views.sheets.flats import flat
from rackspec.views.sheets.furniture import Leaf
from rackspec.views.sheets.labels import Lane, Named, Strip, label_flats, label_pages
from rackspec.views.sheets.piece import Piece
from rackspec.views.sheets.tiles import pages

DOCUMENTS = {"drill": "drill template", "blank": "drill template", "labels": "labels"}
"""Kinds of sheets, and what a title block calls them."""
LONGEST_ROW = 2_000
"""HP; no labels are drawn for a longer row."""
LARGEST = 3_000
"""mm from the lower front corner; nothing is drawn beyond."""
NEARBY = 30
"""mm around the places of a row."""
WIDEST_BLANK = 500
"""HP; no wider blank is drawn."""


class Wanted(NamedTuple):
    """What is asked for: a row and a side (empty: all), seen from inside or not; width (HP) and thread of blanks.

    ``sound``: every line that was read was understood.
    """

    row: str = ""
    side: str = ""
    mirrored: bool = False
    hp: Fraction | None = None
    thread: str = ""
    sound: bool = True


class Made(NamedTuple):
    """Pages for paper, drawings for a machine, why nothing may be drilled by some of them, and what is not on them."""

    leaves: tuple[Leaf, ...]
    flats: tuple[Flat, ...]
    held: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()


class Missing(Exception):
    """What has to be known first, and where to write it."""


def rows_of(look: Look, wanted: Wanted) -> list[Row]:
    """The rows that are asked for."""
    return [row for row in look.rack.rows if wanted.row in ("", row.name)]


def from_pieces(pieces: list[Piece]) -> Made:
    """Pieces on pages and without."""
    held: dict[str, list[str]] = {}
    for piece in pieces:
        for reason in piece.hold:
            held.setdefault(reason, []).append(piece.title.partition(",")[0])
    return Made(
        tuple(leaf for piece in pieces for leaf in pages(piece)),
        tuple(flat(piece) for piece in pieces),
        tuple(f"{reason} ({', '.join(titles)})" for reason, titles in held.items()),
    )


def drill(look: Look, wanted: Wanted) -> Made:
    """The side pieces. Raises Missing where no point is known."""
    rack = look.rack
    rows = rows_of(look, wanted)
    named = {row.name for row in rows}
    points = [point for point in drill_points(look) if point.row in named]
    there = {point.row for point in points}
    out = tuple(row.name for row in rows if row.name not in there)
    missing = tuple(dict.fromkeys(what_is_missing(look, [row for row in rows if row.name in out])))
    if not points:
        raise Missing("no place to drill is known: " + "; ".join(missing))
    if not wanted.sound:
        doubt = "a line of the files was not understood; 'rackspec inspect' says which"
        points = [point._replace(because=(doubt, *point.because)) for point in points]
    far = [abs(value) for point in points for value in (point.back, point.up)]
    far += [abs(value) for side in SIDES for hole in holes_there(look, side) for value in (hole.back, hole.up)]
    if max(far) > LARGEST:
        raise Missing(f"a hole is more than {LARGEST}mm from the lower front corner: no side piece is so large")
    pieces = []
    for side in SIDES:
        here = [point for point in points if point.side == side]
        if is_no_outline(rack, side):
            here = [
                point._replace(because=(*point.because, "the corners of the piece enclose nothing")) for point in here
            ]
        if wanted.side in ("", side) and here:
            pieces.append(
                side_piece(
                    side,
                    here,
                    side_outline(rack, side),
                    holes_for(look, side, here, wanted),
                    wanted.mirrored,
                    look.house.limit("give drilling").value,
                )
            )
    told = f"Not on this sheet, because it is not known where they go: {', '.join(out)}."
    made = from_pieces([piece._replace(notes=(told,)) for piece in pieces] if out else pieces)
    return made._replace(left_out=missing)


def holes_for(look: Look, side: str, points: list[DrillPoint], wanted: Wanted) -> tuple[Hole, ...]:
    """The holes to show: all of a side piece, or where one row is asked for those near its own places."""
    holes = tuple(holes_there(look, side))
    if not wanted.row:
        return holes
    backs, ups = [point.back for point in points], [point.up for point in points]
    return tuple(
        hole
        for hole in holes
        if min(backs) - NEARBY <= hole.back <= max(backs) + NEARBY and min(ups) - NEARBY <= hole.up <= max(ups) + NEARBY
    )


def holes_there(look: Look, side: str) -> Iterator[Hole]:
    """The holes that a side piece has already: abandoned ones, and those of rails."""
    for back, up in abandoned_points(look.rack, side):
        yield Hole(back, up, "old hole")
    for row in look.rack.rows:
        for hole in row.standing.drilled:
            if hole.side == side:
                yield Hole(hole.back.value, hole.up.value, f"drilled: {row.name}, {hole.line}", (row.name, hole.line))


def what_is_missing(look: Look, rows: list[Row]) -> Iterator[str]:
    """What nobody has written that a drill point follows from, and where it goes."""
    if not look.rack.rows:
        yield f"rack '{look.rack.name}' has no row"
    for row in rows:
        chosen = chosen_one(look, row)
        rail = chosen.rail if chosen is not None else None
        if rail is None:
            yield f"write 'rails NAME' into row '{row.name}'"
        elif rail.end_hole is None and rail.spoiled:
            yield f"a line of rail '{rail.name}' was not understood; 'rackspec inspect' says which"
        elif rail.end_hole is None:
            yield f"write 'end-hole M4 behind … inward …' into rail '{rail.name}', as measured at its end"
        elif rail.end_hole.thread not in THREADS:
            yield f"'{rail.end_hole.thread}' in the end hole of rail '{rail.name}' is no thread that is known here"
        if row.standing.seat is None:
            yield f"write 'seat (BACK, UP)' into row '{row.name}', from the lower front corner of the side piece"
        if rail is not None and rail.end_hole is not None and row.standing.seat is not None:
            yield f"where row '{row.name}' sits is not known well enough"


def blank(look: Look, wanted: Wanted) -> Made:
    """The blanks of a rack, each width and thread once, or the one that is asked for. Raises Missing."""
    rows = rows_of(look, wanted)
    if wanted.hp is not None:
        behind = {thread_of(look, row, wanted) for row in rows}
        found = [Blank(wanted.hp, wanted.thread or (behind.pop() if len(behind) == 1 else ""))]
    else:
        found = [
            Blank(panel.width.value / HP, thread_of(look, row, wanted))
            for row in rows
            for panel in row.panels
            if panel.what == "blank" and panel.width is not None and panel.width.value > HP / 2
        ]
    if not found:
        raise Missing("no blank stands in these rows: write 'at 0HP blank 6HP' into one, or give --width 6HP")
    different = [each for each in sorted(set(found)) if each.hp <= WIDEST_BLANK]
    if not different:
        raise Missing(f"no blank of more than {WIDEST_BLANK}HP is drawn")
    out = (f"a blank of more than {WIDEST_BLANK}HP",) if len(different) < len(set(found)) else ()
    return from_pieces([blank_piece(each) for each in different])._replace(left_out=out)


def thread_of(look: Look, row: Row, wanted: Wanted) -> str:
    """The thread behind the panels of a row; empty where no insert says it."""
    chosen = chosen_one(look, row)
    insert = chosen.insert if chosen is not None else None
    return wanted.thread or (insert.thread if insert is not None else "")


def labels(look: Look, wanted: Wanted) -> Made:
    """The strips along the rails. Raises Missing where no row has a length."""
    rows = rows_of(look, wanted)
    strips = tuple(
        Strip(row.name, row.length.value, tuple(lanes(look, row)))
        for row in rows
        if row.length is not None and HP <= row.length.value <= LONGEST_ROW * HP
    )
    if not strips:
        raise Missing(f"no row has a length from 1HP to {LONGEST_ROW}HP: write 'rails' or 'length' into it")
    drawn = {strip.name for strip in strips}
    out = [f"row '{row.name}', because its length is not known" for row in rows if row.name not in drawn]
    out += [
        f"'{panel.name or panel.what}' in row '{row.name}', because its place or width is not known"
        for row in rows
        if row.name in drawn
        for panel in row.panels
        if panel.start is None or panel.width is None
    ]
    return Made(label_pages(strips), label_flats(strips), left_out=tuple(out))


def lanes(look: Look, row: Row) -> Iterator[Lane]:
    """The panels from the start, and what comes at each later stage."""
    for stage in look.rack.stages:
        panels = tuple(
            Named(panel.start, panel.width.value, panel.name or panel.what)
            for panel in row.panels
            if panel.since == stage.number and panel.start is not None and panel.width is not None
        )
        if panels or stage.number == 0:
            yield Lane(f"from stage {stage.name}" if stage.number else "the start", panels)
