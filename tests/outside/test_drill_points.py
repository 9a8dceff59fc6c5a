"""Seats and leans go in; the points must be where two other ways of turning a row have them, and sines libm's.

Ways: multiplication of complex numbers, and right-angled triangles with whole-numbered sides turned with ``decimal``.
Clearance holes for end screws: ISO 273, medium. Hole distance of 3U: IEC 60297-3-101 as quoted, 122.5 mm (A10).
"""

from __future__ import annotations

import cmath
import math
from decimal import Decimal, localcontext
from fractions import Fraction
from random import Random

import pytest

from rackspec.physics.angles import cosine, pi, sine
from rackspec.physics.drilling import Sitting, spot
from rackspec.physics.interval import root
from rackspec.rules.drill_points import DrillPoint, drill_points
from rackspec.rules.registry import Look
from tests.rules.checking import look_at

CLOSE = 1e-6
"""mm; as near as a drill point is promised to be."""


def spec(seat: str, end_hole: str = "M4 behind 5.2mm inward 0mm deep 12mm", row: str = "", modules: str = "") -> str:
    """A rack with a row in a case."""
    return (
        f"rail tideline {{\nlength 84HP\nend-hole {end_hole}\n}}\n{modules}"
        f"rack tray {{\nrow top {{\nrails tideline\n{seat}\n{row}\n}}\ncase {{\ninside 84HP plus 1mm\n}}\n}}\n"
    )


def points(text: str) -> dict[tuple[str, str], DrillPoint]:
    """The drill points of a spec by side and rail."""
    (seen,) = look_at(text).racks
    found = drill_points(Look(seen.rack, seen.house, {}))
    return {(point.side, point.line): point for point in found}


@pytest.mark.parametrize("seed", range(60))
def test_points_by_complex_numbers(seed: int) -> None:
    """A row that leans by t is multiplied with e^(-it): (z + iy) e^(-it) is back + i up."""
    chance = Random(seed)
    back, up, behind, y = (chance.randrange(0, 4000) / 10 for _ in range(4))
    lean, inward = chance.randrange(0, 890) / 10, chance.randrange(-20, 30) / 10
    text = spec(f"seat ({back}mm, {up}mm) lean {lean}deg", f"M4 behind {behind}mm inward {inward}mm deep 12mm")
    found = points(text)
    assert set(found) == {(side, line) for side in ("left", "right") for line in ("bottom", "top")}
    for (_, line), point in found.items():
        y = 3 + inward if line == "bottom" else 3 + 122.5 - inward
        turned = complex(back, up) + complex(behind, y) * cmath.exp(-1j * math.radians(lean))
        assert float(point.back) == pytest.approx(turned.real, abs=CLOSE)
        assert float(point.up) == pytest.approx(turned.imag, abs=CLOSE)


@pytest.mark.parametrize("sides", [(3, 4, 5), (5, 12, 13), (8, 15, 17), (20, 21, 29), (7, 24, 25), (33, 56, 65)])
def test_points_by_right_angled_triangles(sides: tuple[int, int, int]) -> None:
    """Along a lean with sine a/c and cosine b/c, y goes y a/c back and y b/c up; z goes z b/c back and z a/c down."""
    a, b, c = sides
    lean = Fraction(math.degrees(math.asin(a / c)))
    y, z = Fraction("125.5"), Fraction("5.4")
    where = spot(Sitting(Fraction(10), Fraction(20), lean), y, z)
    with localcontext() as context:
        context.prec = 40
        share, rest = Decimal(a) / c, Decimal(b) / c
        back = 10 + Decimal("125.5") * share + Decimal("5.4") * rest
        up = 20 + Decimal("125.5") * rest - Decimal("5.4") * share
    assert float(where.back.middle) == pytest.approx(float(back), abs=CLOSE)
    assert float(where.up.middle) == pytest.approx(float(up), abs=CLOSE)


@pytest.mark.parametrize(
    ("lean", "back", "up"),
    [("0deg", "11.2", "17"), ("90deg", "9", "8.8"), ("30deg", None, None)],
)
def test_points_that_need_no_sine(lean: str, back: str | None, up: str | None) -> None:
    """Upright and lying rows have exact points: seat (6, 14), hole 5.2 behind and 3 up; 30 degrees halve what is up."""
    found = points(spec(f"seat (6mm, 14mm) lean {lean}"))["left", "bottom"]
    if back is not None and up is not None:
        assert (found.back, found.up) == (Fraction(back), Fraction(up))
    else:
        half = 6 + Fraction(3, 2) + Fraction("5.2") * root(Fraction(3, 4)).middle
        assert abs(found.back - half) < Fraction(1, 10**9)


@pytest.mark.parametrize("seed", range(10))
def test_sines_and_cosines_against_libm(seed: int) -> None:
    """Both ends of an interval enclose what libm says, to its own error, and are less than 1e-9 apart."""
    chance = Random(seed)
    for _ in range(50):
        degrees = Fraction(chance.randrange(-7200, 7200), 20)
        for ours, theirs in ((sine, math.sin), (cosine, math.cos)):
            found, said = ours(degrees), theirs(math.radians(float(degrees)))
            assert float(found.high - found.low) < 1e-9
            assert float(found.low) - 1e-12 <= said <= float(found.high) + 1e-12
    assert pi().low < Fraction("3.14159265358979323847")
    assert pi().high > Fraction("3.14159265358979323846")


def test_roots_enclose_what_decimal_says() -> None:
    chance = Random(3)
    for _ in range(200):
        value = Fraction(chance.randrange(1, 10**9), chance.randrange(1, 10**4))
        found = root(value)
        with localcontext() as context:
            context.prec = 50
            said = (Decimal(value.numerator) / value.denominator).sqrt()
        assert found.low <= Fraction(said) + Fraction(1, 10**30)
        assert Fraction(said) - Fraction(1, 10**30) <= found.high
        assert found.high - found.low < Fraction(1, 10**9)
    assert root(Fraction(9, 4)) == (Fraction(3, 2), Fraction(3, 2))


def test_holes_are_as_far_apart_as_panels_need() -> None:
    """A10: 122.5 mm between thread lines, whatever the lean; end holes are twice their 'inward' nearer."""
    for lean in ("0deg", "7deg", "15deg", "42deg"):
        found = points(spec(f"seat (6mm, 14mm) lean {lean}", "M5 behind 6.5mm inward 0.5mm deep 14mm"))
        lower, upper = found["left", "bottom"], found["left", "top"]
        apart = root((upper.back - lower.back) ** 2 + (upper.up - lower.up) ** 2)
        assert abs(apart.middle - Fraction("121.5")) < Fraction(1, 10**6)


@pytest.mark.parametrize(("thread", "diameter"), [("M3", "3.4"), ("M4", "4.5"), ("M5", "5.5")])
def test_diameters(thread: str, diameter: str) -> None:
    """ISO 273, medium: 3.4, 4.5 and 5.5 mm for M3, M4 and M5 (B2)."""
    found = points(spec("seat (6mm, 14mm)", f"{thread} behind 5mm inward 0mm"))
    assert {point.diameter for point in found.values()} == {Fraction(diameter)}


def test_setback_adds_the_thickness_of_a_panel() -> None:
    """From the face to the back of a panel is its thickness, straight behind it: 4 + 2 = 6, and 4 + 1.6 = 5.6 mm."""
    plain = points(spec("seat (6mm, 14mm)"))["left", "top"]
    by_face = points(spec("seat setback 4mm up 14mm"))["left", "top"]
    assert (by_face.back, by_face.up) == (plain.back, plain.up)
    module = "module thin {\nwidth 8HP\nthickness 1.6mm\ndraws nothing\n}\n"
    thin = points(spec("seat setback 4mm up 14mm", row="at 0HP thin", modules=module))["left", "top"]
    assert plain.back - thin.back == Fraction("0.4")
