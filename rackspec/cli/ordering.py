"""What ``order`` says: in: racks that are asked for, out: texts: for people, and the documents."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date
from typing import TYPE_CHECKING, NamedTuple

from rackspec.views.document import Block, Paragraph, as_markdown, as_text
from rackspec.views.parts_record import Parts, parts_of

if TYPE_CHECKING:
    from rackspec.cli.order import Chosen
    from rackspec.solve.orders import Ordered

TEXT, MARKDOWN, CSV, JSON = "text", "markdown", "csv", "json"


class Asking(NamedTuple):
    """What is asked: racks with their stages, on which day, whether all of their files were read, sellers that are left
    out, and the most parcels."""

    wanted: Sequence[Chosen]
    day: date
    complete: bool
    without: frozenset[str]
    parcels: int | None


def say(asking: Asking, kinds: Sequence[str], *, parts_only: bool) -> list[str]:
    """A text of each kind."""
    makers = parts_texts(asking) if parts_only else order_texts(asking)
    return [makers[kind]() for kind in kinds]


def listed(asking: Asking, ordered: Sequence[Ordered] = ()) -> list[Parts]:
    """The parts of the racks, on the rails of their orders if there are any; sellers left out sell nothing."""
    found = []
    for number, (reported, stage) in enumerate(asking.wanted):
        needs = ordered[number].whole.way.needs if ordered else None
        rack = reported.seen.rack
        sellers = tuple(seller for seller in rack.sellers if seller.name not in asking.without)
        seen = reported.seen._replace(rack=rack._replace(sellers=sellers))
        found.append(parts_of(reported._replace(seen=seen), stage, needs))
    return found


def parts_texts(asking: Asking) -> dict[str, Callable[[], str]]:
    """What can be written of parts alone, by kind."""
    from rackspec.views.parts_list import parts_list

    racks = listed(asking)

    def blocks() -> Iterator[Block]:
        for parts in racks:
            yield from parts_list(parts)

    def table() -> str:
        from rackspec.views.parts_csv import parts_csv

        return parts_csv(racks)

    def record() -> str:
        from rackspec.views.parts_json import PARTS, order_json

        return order_json(PARTS, asking.day, asking.complete, racks)

    return {**documents(asking, blocks), CSV: table, JSON: record}


def documents(asking: Asking, blocks: Callable[[], Iterable[Block]]) -> dict[str, Callable[[], str]]:
    """Blocks as text and as markdown, with a word in front where not everything was understood."""

    def whole() -> Iterator[Block]:
        if not asking.complete:
            yield Paragraph(
                "Something is missing here: not every line was understood, not every name found, or not every file "
                "read. Run 'rackspec inspect' first; what follows may leave out things."
            )
        yield from blocks()

    return {TEXT: lambda: as_text(whole()), MARKDOWN: lambda: as_markdown(whole())}


def order_texts(asking: Asking) -> dict[str, Callable[[], str]]:
    """What can be written of orders, by kind."""
    from rackspec.rules.sold_here import leave_out
    from rackspec.solve.orders import Asked, orders_of
    from rackspec.views.order import order_blocks

    ordered: list[Ordered] = []
    for reported, stage in asking.wanted:
        look = reported.look
        leave_out(look, asking.without)
        ordered.append(orders_of(look, Asked(stage, asking.parcels, asking.without)))

    def blocks() -> Iterator[Block]:
        for one in ordered:
            yield from order_blocks(one)

    def record() -> str:
        from rackspec.views.order_json import order_record
        from rackspec.views.parts_json import ORDERS, order_json

        return order_json(
            ORDERS, asking.day, asking.complete, listed(asking, ordered), [order_record(one) for one in ordered]
        )

    def table() -> str:
        from rackspec.views.order_table import orders_csv

        return orders_csv(ordered)

    return {**documents(asking, blocks), CSV: table, JSON: record}
