"""The case around the rows: in: a rack, out: findings about its inside width and the holes in its side pieces.

What is worked out is imported where there is a case, or a hole: most racks never need it.
"""

from collections.abc import Iterator

from rackspec.rules.registry import Look, Seen, rule


@rule("error", "case")
def case_too_narrow(look: Look) -> Iterator[Seen]:
    """Rails are longer than the room between the sides of their case.

    *Why*: the second side does not go on: it stands off by what is missing, and the end screws do not reach. Rails are
    cut exactly to their HP; plywood is rarely as thick as it is called, and what is too much comes off the inside.

    *Bad*:

        rail tideline {
            length 84HP
            end-hole M4 behind 5.2mm inward 0mm deep 12mm
        }
        rack tray {
            row top {
                rails tideline
            }
            case {
                inside 84HP minus 0.5mm
            }
        }

    *Good*:

        rail tideline {
            length 84HP
            end-hole M4 behind 5.2mm inward 0mm deep 12mm
        }
        rack tray {
            row top {
                rails tideline
            }
            case {
                inside 84HP plus 1mm
            }
        }

    *Source*: arithmetic; 1 HP is 5.08 mm (IEC 60297-3-101).
    """
    if look.rack.case is None:
        return
    from rackspec.rules.inside_width import missing_width, too_narrow

    yield from missing_width(look)
    yield from too_narrow(look)


@rule("warning", "case")
def case_too_wide(look: Look) -> Iterator[Seen]:
    """Between the rails and the sides of their case is more room than end screws may pull shut.

    *Why*: a screw that has to pull the sides in bends them, and its few turns of thread in the end of the rail strip.
    Card or washers fill the gap.

    *Bad*:

        rail tideline {
            length 84HP
            end-hole M4 behind 5.2mm inward 0mm deep 12mm
        }
        rack tray {
            row top {
                rails tideline
            }
            case {
                inside 84HP plus 4mm
            }
        }

    *Good*:

        rail tideline {
            length 84HP
            end-hole M4 behind 5.2mm inward 0mm deep 12mm
        }
        rack tray {
            row top {
                rails tideline
            }
            case {
                inside 84HP plus 4mm
                shims 3.5mm
            }
        }

    *Source*: how much sides give is common practice, no source; `give sides` of the house sets it, 2 mm without a
    house.
    """
    if look.rack.case is None:
        return
    from rackspec.rules.inside_width import too_wide

    yield from too_wide(look)


@rule("error", "case")
def rows_collide(look: Look) -> Iterator[Seen]:
    """Two rows are in the same place of the section of their case.

    *Why*: panels, lips and ends of rails cannot be where others are. A seat that was copied and not changed, or moved
    away from an old hole, shows only when the second row does not go in.

    *Bad*:

        rail tideline {
            length 84HP
            end-hole M4 behind 5.2mm inward 0mm deep 12mm
        }
        rack tray {
            row low {
                rails tideline
                seat (6mm, 14mm)
            }
            row high {
                rails tideline
                seat (6mm, 130mm)
            }
            case {
                inside 84HP plus 1mm
            }
        }

    *Good*:

        rail tideline {
            length 84HP
            end-hole M4 behind 5.2mm inward 0mm deep 12mm
        }
        rack tray {
            row low {
                rails tideline
                seat (6mm, 14mm)
            }
            row high {
                rails tideline
                seat (6mm, 147.35mm)
            }
            case {
                inside 84HP plus 1mm
            }
        }

    *Source*: geometry: panels are 128.5 mm high (IEC 60297-3-101 as quoted) where nobody wrote it, and as thick as
    `assume thickness` of the house; one row above another takes 133.35 mm (3U, EIA-310). What is behind panels is not
    looked at.
    """
    if sum(1 for row in look.rack.rows if row.standing.seat is not None or row.standing.drilled) < 2:
        return
    from rackspec.rules.rows_collide import colliding_rows

    yield from colliding_rows(look)


@rule("error", "case")
def holes_too_close(look: Look) -> Iterator[Seen]:
    """A hole for the end of a rail comes too near to another hole in the side piece.

    *Why*: the drill slips over into the old hole, and what wood is left between them breaks out under the screw. Less
    than a diameter cannot be drilled (error); two diameters hold well.

    *Bad*:

        rail tideline {
            length 84HP
            end-hole M4 behind 5.2mm inward 0mm deep 12mm
        }
        rack tray {
            row top {
                rails tideline
                seat (6mm, 8mm)
            }
            case {
                side {
                    corner (0mm, 0mm)
                    corner (90mm, 0mm)
                    corner (90mm, 150mm)
                    corner (0mm, 150mm)
                }
                inside 84HP plus 1mm
                abandoned left (11.2mm, 14mm)
            }
        }

    *Good*:

        rail tideline {
            length 84HP
            end-hole M4 behind 5.2mm inward 0mm deep 12mm
        }
        rack tray {
            row top {
                rails tideline
                seat (6mm, 8mm)
            }
            case {
                side {
                    corner (0mm, 0mm)
                    corner (90mm, 0mm)
                    corner (90mm, 150mm)
                    corner (0mm, 150mm)
                }
                inside 84HP plus 1mm
                abandoned left (20.5mm, 11mm)
            }
        }

    *Source*: common practice, no source; `holes least` and `holes good` of the house set it. Diameters: ISO 273,
    medium.
    """
    if look.rack.case is None:
        return
    from rackspec.rules.hole_room import crowded_holes

    yield from crowded_holes(look)


@rule("error", "case")
def hole_near_edge(look: Look) -> Iterator[Seen]:
    """A hole for the end of a rail is too near to the edge of its side piece, or outside of it.

    *Why*: the edge splits when the hole is drilled, or later, when the case is carried. Less than a diameter from the
    middle of the hole breaks out (error); two diameters hold well.

    *Bad*:

        rail tideline {
            length 84HP
            end-hole M4 behind 5.2mm inward 0mm deep 12mm
        }
        rack tray {
            row top {
                rails tideline
                seat (-2mm, 8mm)
            }
            case {
                side {
                    corner (0mm, 0mm)
                    corner (90mm, 0mm)
                    corner (90mm, 150mm)
                    corner (0mm, 150mm)
                }
                inside 84HP plus 1mm
            }
        }

    *Good*:

        rail tideline {
            length 84HP
            end-hole M4 behind 5.2mm inward 0mm deep 12mm
        }
        rack tray {
            row top {
                rails tideline
                seat (6mm, 8mm)
            }
            case {
                side {
                    corner (0mm, 0mm)
                    corner (90mm, 0mm)
                    corner (90mm, 150mm)
                    corner (0mm, 150mm)
                }
                inside 84HP plus 1mm
            }
        }

    *Source*: common practice, no source; `edge least` and `edge good` of the house set it. Diameters: ISO 273, medium.
    """
    if look.rack.case is None:
        return
    from rackspec.rules.drill_points import missing
    from rackspec.rules.hole_room import edge_holes

    yield from missing(look)
    yield from edge_holes(look)


@rule("warning", "case")
def hole_off_mark(look: Look) -> Iterator[Seen]:
    """A hole for the end of a rail was drilled further beside its mark than one may be.

    *Why*: panels then stand deeper, higher or askew, and every sum about this row is about another one. Often one slip
    explains all holes: measured from the lip of the rail, from the other edge of the piece, to the face of the panel.

    *Bad*:

        rail tideline {
            length 84HP
            end-hole M4 behind 5.2mm inward 0mm deep 12mm
        }
        rack tray {
            row top {
                rails tideline
                seat (6mm, 8mm)
                drilled left bottom (13.2mm, 11mm) measured
                drilled left top (13.1mm, 133.5mm) measured
            }
            case {
                side {
                    corner (0mm, 0mm)
                    corner (90mm, 0mm)
                    corner (90mm, 150mm)
                    corner (0mm, 150mm)
                }
                inside 84HP plus 1mm
            }
        }

    *Good*:

        rail tideline {
            length 84HP
            end-hole M4 behind 5.2mm inward 0mm deep 12mm
        }
        rack tray {
            row top {
                rails tideline
                seat (6mm, 8mm)
                drilled left bottom (11.4mm, 11mm) measured
                drilled left top (11.1mm, 133.5mm) measured
            }
            case {
                side {
                    corner (0mm, 0mm)
                    corner (90mm, 0mm)
                    corner (90mm, 150mm)
                    corner (0mm, 150mm)
                }
                inside 84HP plus 1mm
            }
        }

    *Source*: how far a hole may be off is common practice, no source; `give drilling` of the house sets it. The mark of
    4 13/16 in between two rails is common practice, no source; holes of 3U are 122.5 mm apart: IEC 60297-3-101 as
    quoted.
    """
    if not any(row.standing.drilled for row in look.rack.rows):
        return
    from rackspec.rules.off_mark import off_holes

    yield from off_holes(look)
