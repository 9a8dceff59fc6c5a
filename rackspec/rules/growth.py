"""Growth: in: a rack with stages and wishes, out: findings about room that will be missing later."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from rackspec.findings import ERROR, Finding
from rackspec.language.quantity import show_hp
from rackspec.language.units import HP
from rackspec.model.known import Known, rests_on
from rackspec.model.rack import Wish
from rackspec.physics.room import whole_hp
from rackspec.rules.registry import Look, NotKnown, Seen, milder, rule, steps_for
from rackspec.rules.stages import certain, overfull_at, runs_from, stage_numbers, taken_at

MOST_OF_A_KIND = 500
"""Wishes of one kind that are packed; more than a wall of racks holds."""

APART = 10_000
"""HP from the start of one row to the next, when runs of several rows are laid on one line."""


def wishes_at(look: Look, stage: int) -> list[Wish]:
    """The wishes that are to have a place by a stage."""
    return [wish for wish in look.rack.wishes if wish.since <= stage and not wish.spoiled]


@rule("error", "growth")
def stage_outgrows_rack(look: Look) -> Iterator[Seen]:
    """By some stage the rack is meant to hold more than all its rows together.

    *Why*: the row turns out too short for what the whole rack was built for, and that shows only when the last module
    is bought.

    *Bad*:

        module osc {
            width 14HP
        }
        rack tray {
            stage later
            row top {
                length 84HP
                at 0HP osc
            }
            wish voices in later {
                count 6
                width 12HP
            }
        }

    *Good*:

        module osc {
            width 14HP
        }
        rack tray {
            stage later
            row top {
                length 84HP
                at 0HP osc
            }
            wish voices in later {
                count 5
                width 12HP
            }
        }

    *Source*: arithmetic.
    """
    if not look.rack.rows or any(row.length is None for row in look.rack.rows):
        return
    room = sum((length.value for row in look.rack.rows if (length := row.length) is not None), Fraction(0))
    for stage in stage_numbers(look.rack):
        if any(overfull_at(row, stage) for row in look.rack.rows):
            return
        wishes = wishes_at(look, stage)
        placed = sum((taken_at(row, stage).nominal for row in look.rack.rows), Fraction(0))
        wished = sum((wish.width.value * wish.pieces for wish in wishes if wish.width is not None), Fraction(0))
        widest = sum((wish.width.high * wish.pieces for wish in wishes if wish.width is not None), Fraction(0))
        if not wishes or placed + widest <= room:
            continue
        nominal = placed + wished > room
        need = placed + (wished if nominal else widest)
        when = f" {look.rack.stage_name(stage)}" if stage else ""
        worst = "" if nominal else ", if the widths are at their widest"
        widths = [wish.width for wish in wishes if wish.width is not None]
        certain_part = sum((_sure(wish, not nominal) for wish in wishes), Fraction(0))
        guessed = placed + certain_part <= room
        yield Finding(
            "stage-outgrows-rack",
            milder(ERROR, steps_for(nominal, guessed)),
            f"rack '{look.rack.name}' is to hold {show_hp(need)} in {show_hp(room)}{when}{worst}",
            look.rack.stages[stage].place,
            others=tuple(wish.place.labelled(_wish_text(wish)) for wish in wishes if wish.width is not None)[:4],
            sum=(
                f"{show_hp(placed)} placed + {show_hp(need - placed)} wished for = {show_hp(need)}, "
                f"and {show_hp(need)} - {show_hp(room)} = {show_hp(need - room)}"
            ),
            remedy=f"wish for {show_hp(need - room)} less, or plan one more row",
            rests_on=rests_on("wished widths", widths),
            names=(look.rack.full(look.rack.stages[stage].name or look.rack.name),),
        )
        return


def _sure(wish: Wish, widest: bool) -> Fraction:
    """The width (mm) that a wish takes by what is stated or measured: nothing while it is guessed."""
    if wish.width is None or wish.width.is_guess:
        return Fraction(0)
    return (wish.width.high if widest else wish.width.value) * wish.pieces


def _wish_text(wish: Wish) -> str:
    assert wish.width is not None
    width = show_hp(wish.width.value)
    return f"{wish.pieces} of {width}" if wish.pieces != 1 else width


@rule("error", "growth")
def wish_has_no_place(look: Look) -> Iterator[Seen]:
    """There is room enough in sum, but not in one piece: the free runs are too short for what is wished for.

    *Why*: 12 HP free in two runs of 6 HP take no panel of 8 HP. Moving a panel today costs nothing, with drilled metal
    and cut cables it does.

    *Bad*:

        module osc {
            width 38HP
        }
        rack tray {
            row top {
                length 84HP
                at 0HP osc as left
                at 42HP osc as right
            }
            wish mixer {
                width 8HP
            }
        }

    *Good*:

        module osc {
            width 38HP
        }
        rack tray {
            row top {
                length 84HP
                at 0HP osc as left
                at 38HP osc as right
            }
            wish mixer {
                width 8HP
            }
        }

    *Source*: exact packing of widths into free runs (a bin-packing problem, searched to the end or said to be
    undecided).
    """
    rack = look.rack
    for wish in rack.wishes:
        if wish.width is None and not wish.spoiled:
            how = "say how wide it will be, if only as a guess ('width 8HP guessed')"
            yield NotKnown(rack.full(wish.name), "width", how, wish.place)
    last = len(rack.stages) - 1
    wishes = [wish for wish in rack.wishes if wish.width is not None and wish.pieces > 0 and not wish.spoiled]
    if not wishes or not rack.rows or any(row.length is None for row in rack.rows):
        return
    for stage in stage_numbers(rack):
        if not all(certain(row, stage) and not overfull_at(row, stage) for row in rack.rows):
            return
    from rackspec.physics.packing import pack, pack_stages  # only racks with wishes pay for it

    owners = [wish for wish in wishes for _ in range(min(wish.pieces, MOST_OF_A_KIND))]
    stages = [_runs(look, stage, last) for stage in stage_numbers(rack)]
    for widest in (False, True):
        items = [(_whole(wish.width, widest), wish.since) for wish in owners if wish.width is not None]
        if _outgrows(look, items, last, widest):
            return
        if all(runs == stages[-1] for runs in stages):
            verdict = pack([end - start for start, end in stages[-1]], [width for width, _ in items]).verdict
        else:
            verdict = pack_stages(stages, items).verdict
        if verdict == "undecided":
            how = "place some of the wishes by hand: the search for a place for all of them was given up"
            yield NotKnown(rack.full(wishes[0].name), "whether all wishes fit", how, wishes[0].place)
            return
        if verdict == "impossible":
            yield _no_place(look, owners, items, stages, not widest)
            return


def _outgrows(look: Look, items: list[tuple[int, int]], last: int, widest: bool) -> bool:
    """Whether the sums alone are too much: then that is the finding."""
    for stage in range(last + 1):
        free = sum(end - start for start, end in _runs(look, stage, stage))
        if sum(width for width, since in items if since <= stage) > free:
            placed = sum((taken_at(row, stage).nominal for row in look.rack.rows), Fraction(0))
            room = sum((length.value for row in look.rack.rows if (length := row.length) is not None), Fraction(0))
            wished = sum(
                (
                    (wish.width.high if widest else wish.width.value) * wish.pieces
                    for wish in wishes_at(look, stage)
                    if wish.width
                ),
                Fraction(0),
            )
            if placed + wished > room:
                return True
    return False


def _whole(width: Known, widest: bool) -> int:
    """Whole HP that a width takes, nominal or at its widest."""
    steps = (width.high if widest else width.value) / HP
    return max(1, -(-steps.numerator // steps.denominator))


def _runs(look: Look, stage: int, last: int) -> list[tuple[int, int]]:
    """The runs that are free from a stage to the last one, in whole HP, all rows on one line."""
    found = []
    for number, row in enumerate(look.rack.rows):
        for run in runs_from(row, stage, last):
            start, end = whole_hp(run)
            if end > start:
                found.append((number * APART + start, number * APART + end))
    return found


def _no_place(
    look: Look, owners: list[Wish], items: list[tuple[int, int]], stages: list[list[tuple[int, int]]], nominal: bool
) -> Finding:
    """The finding about the wishes that find no place."""
    rack = look.rack
    widths = [width for width, _ in items]
    lengths = [end - start for start, end in stages[-1]]
    left = [owner for owner, width in zip(owners, widths, strict=True) if width > max(lengths, default=0)]
    if not left:
        from rackspec.physics.packing import most_that_fits

        left = [owners[index] for index in most_that_fits(lengths, widths).left_out] or owners[-1:]
    wish = left[0]
    assert wish.width is not None
    width = widths[owners.index(wish)]
    runs = sorted((end - start for start, end in stages[wish.since]), reverse=True)
    due = [width for width, since in items if since <= wish.since]
    lacking = sum(owner is wish for owner in left)
    finds = "finds" if lacking == 1 else "find"
    who = f"'{wish.name}' finds" if wish.pieces == 1 else f"{lacking} of {wish.pieces} '{wish.name}' {finds}"
    worst = "" if nominal else ", if the widths are at their widest"
    guessed = any(owner.width is not None and owner.width.is_guess for owner in owners)
    return Finding(
        "wish-has-no-place",
        milder(ERROR, steps_for(nominal, guessed)),
        f"{who} no free run of {width}HP in rack '{rack.name}'{worst}",
        wish.place,
        others=(wish.width.place.labelled(_wish_text(wish)),),
        sum=f"free runs: {_added(runs)}; wished for: {_added(due)}",
        remedy=_join(look, stages[wish.since], width),
        rests_on=rests_on("widths", [owner.width for owner in owners if owner.width is not None]),
        names=(rack.full(wish.name),),
    )


def _added(widths: list[int]) -> str:
    """Widths (HP) as a sum; a single one as it is."""
    if len(widths) < 2:
        return f"{sum(widths)}HP"
    return (
        " + ".join(f"{width}HP" for width in widths[:8]) + (" + …" if len(widths) > 8 else "") + f" = {sum(widths)}HP"
    )


def _join(look: Look, runs: list[tuple[int, int]], width: int) -> str:
    """A row in which moving panels together would make a run that is long enough."""
    for number, row in enumerate(look.rack.rows):
        free = sum(end - start for start, end in runs if number * APART <= start < (number + 1) * APART)
        if free >= width:
            return f"move the panels of row '{row.name}' together: it has {free}HP free in pieces"
    return f"free a run of {width}HP by moving panels, or wish for something narrower"
