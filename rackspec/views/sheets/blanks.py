"""Blank panels: in: widths in HP and the thread of what they are screwed to, out: a piece for each.

Width n x 5.08 - 0.30 mm; holes centred in the second HP, which is 7.47 mm from the edge, 122.5 mm apart: IEC
60297-3-101 as an open-hardware crate document quotes it. Height 128.5 mm is the common rounding; its holes are 3.0 mm
from the edges. Holes are fine clearance holes of ISO 273. A second column of holes, above 4 HP, is of the
same document. A blank of less than 2 HP has its holes in its middle: common practice, no source.
"""

from fractions import Fraction
from typing import NamedTuple

from rackspec.language.units import HP
from rackspec.physics.threads import THREADS
from rackspec.rules.choices import DEDUCTION, FIRST_HOLE
from rackspec.rules.strips import ONE_PAIR
from rackspec.views.sheets.drawing import CUT, MEDIUM, rectangle
from rackspec.views.sheets.lettering import decimal
from rackspec.views.sheets.piece import Edge, Piece, Target

HEIGHT = Fraction("128.5")
APART = Fraction("122.5")
BESIDE = 46.0
"""mm beside a narrow blank for what is said of its holes."""
ROOMY = 164 - 2 * BESIDE
"""mm; a wider blank has room for that itself."""
USUAL = ("M2.5", "M3")
"""Threads that a panel is screwed to where nobody says which (common practice, no source)."""


class Blank(NamedTuple):
    """A width (HP) and the thread behind it (empty: not known)."""

    hp: Fraction
    thread: str


def holes(hp: Fraction) -> list[Fraction]:
    """How far its holes are from its left edge (mm)."""
    wide = hp * HP - DEDUCTION
    first = wide / 2 if hp < 2 else FIRST_HOLE - DEDUCTION / 2
    return [first, wide - first] if hp * HP > ONE_PAIR else [first]


def blank_piece(blank: Blank) -> Piece:
    """A blank panel, seen from the front."""
    wide = blank.hp * HP - DEDUCTION
    threads = [blank.thread] if blank.thread in THREADS else list(USUAL)
    sized = [f"{decimal(THREADS[name].clearance[0], 1)} for {name}" for name in threads]
    sizes = tuple(float(THREADS[name].clearance[0]) for name in threads)
    edge = (HEIGHT - APART) / 2
    roomy = wide <= ROOMY
    targets: list[Target] = []
    for x in holes(blank.hp):
        left = x <= wide / 2 and len(holes(blank.hp)) > 1
        for up, other in ((edge, "top"), (HEIGHT - edge, "bottom")):
            label = [
                f"{len(targets) + 1}  {sized[0]}",
                *(f"or {each}" for each in sized[1:]),
                f"left {decimal(x, 2)}, up {decimal(up, 2)}",
                f"{decimal(APART, 2)} to the {other} one",
            ]
            if x > wide / 2:
                label.insert(-1, f"right {decimal(wide - x, 2)}")
            targets.append(Target((float(x), float(up)), sizes, tuple(label), out=-1 if left == roomy else 1))
    hp = decimal(blank.hp, 0) if blank.hp.denominator == 1 else decimal(blank.hp, 2)
    hold: tuple[str, ...] = ()
    if blank.thread not in THREADS:
        said = f"'{blank.thread}' is no thread that is known here" if blank.thread else "no insert says which thread"
        hold = (f"{said}: {' or '.join(sized)}; write 'with' an insert behind 'rails' of the row, or give --thread",)
    w, h = float(wide), float(HEIGHT)
    return Piece(
        f"Blank panel of {hp}HP, seen from the front",
        f"blank-{hp}HP" + (f"-{blank.thread}" if blank.thread else ""),
        (rectangle(CUT, (0.0, 0.0, w, h), MEDIUM),),
        (
            Edge((0.0, 0.0), (0.0, h), f"LEFT EDGE, {decimal(HEIGHT, 2)}", (-1.0, 0.0), layer=CUT),
            Edge((0.0, 0.0), (w, 0.0), f"BOTTOM EDGE, {decimal(wide, 2)}", (0.0, -1.0), layer=CUT),
        ),
        tuple(targets),
        (-BESIDE, -9.0, w + BESIDE, h + 9.0) if roomy else (-9.0, -9.0, w + 9.0, h + 9.0),
        1,
        hold,
        (f"{decimal(wide, 2)} wide, {decimal(HEIGHT, 2)} high.",),
    )
