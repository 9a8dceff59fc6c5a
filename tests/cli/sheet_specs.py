"""A small rack to draw sheets of: one row whose holes may be drilled, with labels at two stages and blanks."""

SHELF = """\
insert slot-nut {
    nut M3
    across 5.5mm
}
rail plank {
    length 84HP
    takes slot-nut
    recess 3mm stated
    end-hole M4 behind 5.4mm inward 0.25mm measured
}
module saw {
    width 14HP
    depth 30mm
    draws nothing
}
rack shelf "Shelf over the kiln" {
    revision "B" 2026-11-02
    stage later
    row low {
        rails plank with slot-nut
        seat (6mm, 14mm) measured
        behind 60mm
        at 0HP saw as osc
        at 14HP blank 6HP
        at 20HP blank 2HP
        at 60HP saw as osc-b in later
    }
    case {
        side {
            corner (0mm, 0mm)
            corner (98mm, 0mm)
            corner (98mm, 150mm)
            corner (0mm, 150mm)
        }
        abandoned left (40.2mm, 60.7mm) measured
    }
}
"""

GUESSED = SHELF.replace("inward 0.25mm measured", "inward 0.25mm guessed")
"""The thread in the end of the rails is guessed: nothing may be drilled."""

TALL = SHELF.replace(
    "    case {",
    """\
    row high {
        rails plank with slot-nut
        seat (38mm, 180mm) lean 12deg measured
    }
    case {""",
).replace("150mm)", "360mm)")
"""Two rows, the upper one leaning back: too tall for one sheet."""

BACK, BOTTOM, TOP = 11.4, 17.25, 139.25
"""mm: where the holes of SHELF go: 6 + 5.4 back; 14 + 3 + 0.25 and 14 + 125.5 - 0.25 up."""
