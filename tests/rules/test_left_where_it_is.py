"""A row that was drilled elsewhere and may stay there: the seat that is asked for ends the finding."""

from __future__ import annotations

import random
import re

from tests.rules.checking import told

SPEC = """rail tideline {{
    length    84HP
    end-hole  M4 behind 5.4mm inward 0mm deep 12mm
}}
rack tray {{
    row top {{
        rails     tideline
        seat      {seat}
{drilled}    }}
    case {{
        inside    84HP
    }}
}}
"""
MARKS = {"bottom": (33.4, 23.0), "top": (33.4, 145.5)}
"""mm; for a seat at (28, 20): 28 + 5.4 back, and 20 + 3 and 20 + 125.5 up."""


def drilled(chance: random.Random) -> str:
    """Four holes, all shifted by the same and then each off by up to 0.5 mm, to a hundredth."""
    back, up = (round(chance.uniform(-4, 4), 2) for _ in range(2))
    lines = ""
    for side in ("left", "right"):
        for line, (there, high) in MARKS.items():
            off = [round(chance.uniform(-0.35, 0.35), 2) for _ in range(2)]
            lines += f"        drilled {side} {line} ({there + back + off[0]:.2f}mm, {high + up + off[1]:.2f}mm)\n"
    return lines


def test_the_seat_that_is_asked_for_ends_the_finding() -> None:
    """It is written in tenths of a millimetre; where that is too coarse it is not asked for."""
    asked = 0
    for seed in range(150):
        holes = drilled(random.Random(seed))
        for finding in told(SPEC.format(seat="(28mm, 20mm)", drilled=holes), "hole-off-mark"):
            seat = re.search(r"leave it and write 'seat (\([^']*\))'", finding.remedy)
            if seat is None:
                continue
            asked += 1
            assert told(SPEC.format(seat=seat[1], drilled=holes), "hole-off-mark") == [], seed
    assert asked > 20
