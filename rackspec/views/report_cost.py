"""The sheet about cost: in: a rack, out: what each stage costs, what its room costs, and how more room would be had."""

from collections.abc import Iterator

from rackspec.views.document import Block, Heading, Paragraph
from rackspec.views.report_money import money
from rackspec.views.report_room import room
from rackspec.views.reported import Reported, open_findings


def cost(reported: Reported) -> Iterator[Block]:
    """The whole sheet."""
    yield Heading(2, "Cost")
    yield from open_findings(reported, ("money",))
    told = [*money(reported), *room(reported)]
    if not told:
        yield Paragraph("No price is written down here, neither with the parts nor with a seller.")
    yield from told
    if told and not reported.seen.rack.sellers:
        yield Paragraph(
            "No seller is known here: 'use' a file that has some ('seller NAME', with 'ships' and 'sells' lines), and "
            "this sheet counts packs and shipping, too."
        )
    if told:
        yield Paragraph(
            "Prices are as they were written down, on the days that stand with them; ask before you order. Whatever is "
            "connected to mains comes closed and ready made, and local codes decide what you may build."
        )
