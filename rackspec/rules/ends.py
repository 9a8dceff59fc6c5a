"""Ends of rails: in: a rack, out: findings about the screws into them, and about nuts that enter there."""

from collections.abc import Iterator

from rackspec.rules.registry import Look, Seen, rule


@rule("error", "bolting")
def end_screw_wrong(look: Look) -> Iterator[Seen]:
    """The screws through the side pieces do not hold the rails: wrong thread, too short, or too long.

    *Why*: one that is too short strips the first time the rack is lifted; one that is too long stops on the end of its
    thread before the head clamps, so that it feels tight while the side is loose. Both show when the sides are drilled.

    *Bad*:

        insert strip {
            strip M3
            holes 84 every 5.08mm
            first 2.54mm
            thread 3mm
        }
        rail tideline {
            length 84HP
            takes strip
            recess 1mm
            room 8mm
            end-hole M4 behind 5.4mm inward 0mm deep 12mm
        }
        sheet board {
            thickness 12mm
        }
        rack tray {
            row top {
                rails tideline with strip
                end-screws M4x30 washer 1mm
                seat (8mm, 25mm)
            }
            case {
                side {
                    from board
                }
                inside 84HP plus 1mm
            }
        }

    *Good*:

        insert strip {
            strip M3
            holes 84 every 5.08mm
            first 2.54mm
            thread 3mm
        }
        rail tideline {
            length 84HP
            takes strip
            recess 1mm
            room 8mm
            end-hole M4 behind 5.4mm inward 0mm deep 12mm
        }
        sheet board {
            thickness 12mm
        }
        rack tray {
            row top {
                rails tideline with strip
                end-screws M4x20 washer 1mm
                seat (8mm, 25mm)
            }
            case {
                side {
                    from board
                }
                inside 84HP plus 1mm
            }
        }

    *Source*: into = length - washer - side piece - shims (half of `shims` at each end), held against the tapped depth,
    counted in turns of the pitch (ISO 261); lengths that exist: ISO 7045; washers: ISO 7089. One and three turns are
    common practice, no source, and the house sets them (`turns`). That a screw should find one and a half diameters in
    aluminium is a shop rule: it chooses the length in the remedy, and is no finding.
    """
    rack = look.rack
    if rack.case is None and not any(row.standing.end_screws for row in rack.rows):
        return
    from rackspec.rules.end_screws import wrong_end_screws  # racks without a case yet never need it

    yield from wrong_end_screws(look)


@rule("note", "bolting")
def locked_out_later(look: Look) -> Iterator[Seen]:
    """Nuts for later panels have to be in the rails before the second side goes on.

    *Why*: a nut that enters at the end of a rail cannot be added once both sides are on. When the ninth module comes,
    a side has to come off again, with everything that stands in the rack.

    *Bad*:

        insert nut {
            nut M3
            across 5.5mm
            enters end
            thread 1.8mm
        }
        rail longshore {
            length 84HP
            takes nut
            recess 1mm
            room 8mm
            end-hole M5 behind 6.5mm inward 0.5mm deep 14mm
        }
        sheet board {
            thickness 12mm
        }
        module osc {
            width 8HP
            screws 4 of M3x6
            thickness 2mm
            draws nothing
        }
        rack tray {
            stage spring
            row top {
                rails longshore with nut
                seat (8mm, 25mm)
                at 0HP osc as osc-a
                next osc as osc-b in spring
            }
            case {
                side {
                    from board
                }
                inside 84HP plus 1mm
            }
        }

    *Good*:

        insert nut {
            nut M3
            across 5.5mm
            enters front
            thread 1.8mm
        }
        rail longshore {
            length 84HP
            takes nut
            recess 1mm
            room 8mm
            end-hole M5 behind 6.5mm inward 0.5mm deep 14mm
        }
        sheet board {
            thickness 12mm
        }
        module osc {
            width 8HP
            screws 4 of M3x6
            thickness 2mm
            draws nothing
        }
        rack tray {
            stage spring
            row top {
                rails longshore with nut
                seat (8mm, 25mm)
                at 0HP osc as osc-a
                next osc as osc-b in spring
            }
            case {
                side {
                    from board
                }
                inside 84HP plus 1mm
            }
        }

    *Source*: common practice, no source: a nut for each screw, four screws where nobody wrote how many, and the most at
    once on each rail. It is a warning where fewer of the nut are there (`have`) than have to go in.
    """
    rack = look.rack
    if rack.case is None or (len(rack.stages) < 2 and not rack.wishes):
        return
    from rackspec.rules.locked_nuts import locked_out  # racks without a case yet never need it

    yield from locked_out(look)
