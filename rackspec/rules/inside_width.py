"""Rails between the sides of their case: in: a rack, out: findings on an inside width too small or too large."""

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from rackspec.findings import ERROR, WARNING, Finding, Place
from rackspec.language.quantity import show_hp
from rackspec.language.units import HP
from rackspec.model.case import Case
from rackspec.model.known import Known, rests_on
from rackspec.model.parts import Rail
from rackspec.model.rack import Row
from rackspec.physics.margin import Margin
from rackspec.rules.chosen import chosen_one
from rackspec.rules.registry import Look, NotKnown, milder, steps_for
from rackspec.rules.ways_out import mm

SHIMS_MOST = 2 * HP
"""mm; a wider gap is filled by no stack of washers: the rails belong to another case (common practice, no source)."""


class Between(NamedTuple):
    """Rows whose rails are equally long, between the sides of the case."""

    case: Case
    inside: Known
    length: Known
    rail: Rail
    rows: tuple[Row, ...]

    @property
    def values(self) -> list[Known]:
        """What is compared."""
        shims = self.case.shims
        return [self.inside, self.length, *([shims] if shims is not None else [])]

    @property
    def is_guess(self) -> bool:
        """Whether something of it is a guess."""
        return any(value.is_guess for value in self.values)

    def gap(self) -> tuple[Fraction, Fraction, Fraction]:
        """What is left between rails and sides (mm): nominally, at the least, at the most; negative where it lacks."""
        shims = self.case.shims
        value, low, high = (shims.value, shims.low, shims.high) if shims is not None else (Fraction(0),) * 3
        return (
            self.inside.value - self.length.value - value,
            self.inside.low - self.length.high - high,
            self.inside.high - self.length.low - low,
        )

    def said(self) -> str:
        """Whose rails they are."""
        names = [f"'{row.name}'" for row in self.rows]
        if len(names) == 1:
            return f"the rails of row {names[0]}"
        return f"the rails of rows {', '.join(names[:-1])} and {names[-1]}"

    def names(self, look: Look) -> tuple[str, ...]:
        """The full names of its rows."""
        return tuple(look.rack.full(row.name) for row in self.rows)

    def taken(self) -> str:
        """The sum of what stands between the sides: rails, and shims where there are some."""
        shims = self.case.shims
        if shims is None:
            return mm(self.length.value)
        return f"{mm(self.length.value)} + {mm(shims.value)} of shims = {mm(self.length.value + shims.value)}"


def betweens(look: Look) -> Iterator[Between]:
    """Rails between sides, once for each length of rails."""
    case = look.rack.case
    if case is None or case.inside is None or case.spoiled:
        return
    found: dict[tuple[Fraction, Fraction, Fraction], Between] = {}
    for row in look.rack.rows:
        chosen = chosen_one(look, row) if row.choices and not row.spoiled else None
        rail = chosen.rail if chosen is not None else None
        if rail is None or rail.spoiled or rail.length is None:
            continue
        key = (rail.length.value, rail.length.low, rail.length.high)
        earlier = found.get(key)
        rows = (*(earlier.rows if earlier is not None else ()), row)
        found[key] = Between(case, case.inside, rail.length, earlier.rail if earlier is not None else rail, rows)
    yield from found.values()


def missing_width(look: Look) -> Iterator[NotKnown]:
    """The inside width of a case with rails, where nobody wrote it."""
    case = look.rack.case
    if case is None or case.inside is not None or case.spoiled:
        return
    if any(choice.rail is not None for row in look.rack.rows for choice in row.choices):
        how = "measure from side piece to side piece, where the rails are ('inside 84HP plus 1mm')"
        yield NotKnown(look.rack.name, "inside width of its case", how, case.place)


def too_narrow(look: Look) -> Iterator[Finding]:
    """Rails that are longer than the room between the sides."""
    for between in betweens(look):
        nominal, least, most = between.gap()
        if least >= 0:
            continue
        if nominal >= 0 and most > look.house.limit("give sides").value:
            yield _too_vague(look, between)
            continue
        lack = -nominal if nominal < 0 else -least
        worst = "" if nominal < 0 else ", at the worst"
        shims = between.case.shims
        wider = f"make the case {mm(lack)} wider inside"
        if shims is not None and shims.value >= lack:
            remedy = f"take {mm(lack)} of the shims out, or {wider}"
        else:
            remedy = f"{wider}: {mm(between.inside.value + lack)} from side piece to side piece"
            remedy += " (filing rails shorter cuts into the thread in their ends)"
        sums = f"{between.taken()}, and {mm(between.inside.value)} are there: "
        if nominal < 0:
            rails = between.inside.value - nominal
            sums += f"{mm(rails)} - {mm(between.inside.value)} = {mm(-nominal)}"
        else:
            sums += f"{mm(nominal)} to spare, and {mm(lack)} too little with every tolerance against it"
        yield Finding(
            "case-too-narrow",
            milder(ERROR, steps_for(nominal < 0, between.is_guess)),
            f"the case is {mm(lack)} too narrow for {between.said()}{worst}",
            between.inside.place,
            others=_places(between),
            sum=sums,
            remedy=remedy,
            rests_on=rests_on("lengths", between.values),
            names=between.names(look),
        )


def _too_vague(look: Look, between: Between) -> Finding:
    """An inside width that may be too small as well as too large: it has to be measured before anything is done."""
    _, least, most = between.gap()
    give = look.house.limit("give sides")
    return Finding(
        "case-too-narrow",
        milder(ERROR, steps_for(False, between.is_guess)),
        f"the case may be {mm(-least)} too narrow for {between.said()}, or {mm(most)} wider than they are: its inside "
        "width is not known closely enough",
        between.inside.place,
        others=_places(between),
        sum=f"{between.taken()}, and {mm(between.inside.low)} to {mm(between.inside.high)} are there: from "
        f"{mm(-least)} too little to {mm(most)} to spare, of which the sides take {mm(give.value)}",
        remedy="measure the inside width, from side piece to side piece, at the front and where the rails are",
        rests_on=f"{rests_on('lengths', between.values)}; how far sides may be pulled in from {give.origin}",
        names=between.names(look),
    )


def too_wide(look: Look) -> Iterator[Finding | Margin]:
    """Rails that leave a gap which the end screws would have to pull shut."""
    give = look.house.limit("give sides")
    for between in betweens(look):
        nominal, least, most = between.gap()
        if least < 0 and most > give.value:
            continue  # told as too narrow
        if most <= give.value:
            if nominal >= 0 and least >= 0:
                what = f"{look.rack.full(between.rows[0].name)}: gap beside its rails"
                yield Margin(what, most, give.value, "mm", rests_on("lengths", between.values))
            continue
        gap = nominal if nominal > give.value else most
        worst = "" if nominal > give.value else ", at the worst"
        yield Finding(
            "case-too-wide",
            milder(WARNING, steps_for(nominal > give.value, between.is_guess)),
            f"the case is {mm(gap)} wider than {between.said()}{worst}: end screws can pull the sides in by "
            f"{mm(give.value)}",
            between.inside.place,
            others=_places(between),
            sum=_gap_sum(between, nominal, gap),
            remedy=_fill(between, gap, give.value),
            rests_on=f"{rests_on('lengths', between.values)}; how far sides may be pulled in from {give.origin}",
            names=between.names(look),
        )


def _gap_sum(between: Between, nominal: Fraction, gap: Fraction) -> str:
    taken = between.taken()
    left = f"{mm(between.inside.value)} - {taken.rpartition('= ')[2]} = {mm(nominal)}"
    start = f"{taken}, and {left}" if "=" in taken else left
    return start if gap == nominal else f"{start}; {mm(gap)} with every tolerance against it"


def _fill(between: Between, gap: Fraction, give: Fraction) -> str:
    """What fills a gap: shims at both ends, in tenths of a millimetre, or other rails if it is too wide for any."""
    shims = between.case.shims.value if between.case.shims is not None else Fraction(0)
    if gap > SHIMS_MOST:
        room = between.inside.value - shims
        rib = f"put an upright into the case {show_hp(between.length.value)} from its end, and screw them to it"
        return f"{rib}, or take rails of {show_hp(room // HP * HP)}"
    _, least, most = between.gap()
    each = Fraction(max(least, Fraction(0)) * 5 // 1, 10)
    if most - 2 * each > give:
        if least != most:
            return "measure the inside width again, closer, from side piece to side piece, and then fill what is left"
        each = gap / 2
    return (
        f"put {mm(each)} of washers or card at each end of the rails and write 'shims {mm(shims + 2 * each)}' in the "
        f"case; the screws then stand {mm(each)} less deep"
    )


def _places(between: Between) -> tuple[Place, ...]:
    places = [between.length.place.labelled("how long the rails are")]
    if between.case.shims is not None:
        places.append(between.case.shims.place.labelled("the shims"))
    return tuple(places)
