"""Limits in force as text: in: a house, out: each limit with its value, what it means, and where it comes from."""

from __future__ import annotations

from collections.abc import Iterator

from rackspec.findings import ERROR, Place
from rackspec.language.quantity import plain_number
from rackspec.model.house import MEANING, OWN, House, Limit
from rackspec.rules.registry import load_rules
from rackspec.views.positions import LineTable
from rackspec.views.text import Painter, plain, visible

BUILT_IN = "built in: common practice, no source"
ROW = tuple[str, str, str, str]


def origin(place: Place | None, table: LineTable, built_in: str = BUILT_IN) -> str:
    """``the house, house.rackspec:11``, or that it is built in."""
    if place is None:
        return built_in
    return f"the house, {place.source.name}:{table.position(place.source, place.start).line}"


def limit_row(limit: Limit, table: LineTable) -> ROW:
    """A limit: name, value, meaning, origin."""
    meaning = MEANING.get(limit.name, "")
    if not meaning and limit.name.startswith("assume draws "):
        meaning = f"current on {limit.name.removeprefix('assume draws ')}, for each HP of panel"
    return limit.name, limit.quantity.text, meaning, origin(limit.place, table)


def flag_rows(house: House, table: LineTable) -> Iterator[ROW]:
    """Each rule whose severity the house sets."""
    rules = load_rules()
    for name, (severity, place) in sorted(house.flags.items()):
        own = f"built in: {rules[name].severity}" if name in rules else "no rule that looks yet"
        yield f"flag {name}", severity, own, origin(place, table)


def money_rows(house: House, table: LineTable) -> Iterator[ROW]:
    """The currency and the rates."""
    currency = house.currency or "none"
    text = "the money that sums are in" if house.currency else "sums are not put together over currencies"
    yield "currency", currency, text, origin(house.lines.get("currency"), table, "built in")
    for code, value in sorted(house.rates.items()):
        worth = f"{plain_number(value, 6)} {house.currency}".strip()
        yield f"rate {code}", worth, f"what 1 {code} is worth", origin(house.lines.get(f"rate {code}"), table)


def limit_rows(house: House, table: LineTable) -> list[list[ROW]]:
    """All of it, group by group."""
    names = [*OWN, *sorted(house.limits.keys() - OWN.keys())]
    text = "from this severity on 'inspect' fails"
    fail_at = ("fail-at", house.fail_at or ERROR, text, origin(house.lines.get("fail-at"), table, "built in"))
    return [
        [limit_row(house.limits[name], table) for name in names],
        [*flag_rows(house, table), fail_at],
        list(money_rows(house, table)),
    ]


def limit_lines(house: House, root: str, paint: Painter = plain) -> Iterator[str]:
    """The limits of a root."""
    groups = limit_rows(house, LineTable())
    rows = [row for group in groups for row in group]
    widths = [max(len(row[column]) for row in rows) for column in range(3)]
    where = "no house file" if house.place is None else f"the house is {house.place.source.name}"
    yield f"{paint('heading', f'limits in force below {visible(root)}')}   {visible(where)}"
    for number, group in enumerate(groups):
        if number:
            yield ""
        for name, value, meaning, source in group:
            label = paint("label", f"{visible(name):<{widths[0]}}")
            yield f"    {label}  {visible(value):<{widths[1]}}  {visible(meaning):<{widths[2]}}  {visible(source)}"
