"""Reports: in: inspected racks and the sheets that are asked for, out: one document, the racks in order."""

from collections.abc import Callable, Iterator, Sequence
from datetime import date

from rackspec.findings import ERROR, NOTE, Finding
from rackspec.model.parts import Rail
from rackspec.model.rack import Rack
from rackspec.pipeline import Inspected
from rackspec.rules.registry import load_rules
from rackspec.views.document import Block, Heading, Paragraph
from rackspec.views.positions import LineTable
from rackspec.views.report_assembly import assembly
from rackspec.views.report_cost import cost
from rackspec.views.report_first_power_up import first_power_up
from rackspec.views.report_fit import fit
from rackspec.views.report_growth import growth
from rackspec.views.report_power import power
from rackspec.views.reported import Reported
from rackspec.views.text import counted

SHEETS: dict[str, Callable[[Reported], Iterator[Block]]] = {
    "fit": fit,
    "power": power,
    "growth": growth,
    "cost": cost,
    "first-power-up": first_power_up,
    "assembly": assembly,
}
"""The sheets by name."""
WITHOUT_ASKING = ("fit", "power", "growth")
"""The sheets of a report that names none: the others are for the bench, and are printed when they are needed."""


def findings_about(rack: Rack, findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """The findings that name a rack or something in it."""
    return tuple(
        finding
        for finding in findings
        if finding.place.source is rack.file
        and any(name == rack.name or name.startswith(f"{rack.name}/") for name in finding.names)
    )


def racks_of(
    inspected: Sequence[Inspected], findings: Sequence[Finding], rails: tuple[Rail, ...], day: date | None
) -> list[Reported]:
    """The racks of one root with what is needed to report on them."""
    names = LineTable()
    return [Reported(seen, findings_about(seen.rack, findings), rails, day, names) for seen in inspected]


def report(racks: Sequence[Reported], sheets: Sequence[str], findings: Sequence[Finding]) -> Iterator[Block]:
    """All racks, each with the sheets in the order asked for; ``findings`` are those of the whole run."""
    rules = load_rules()
    # rules that only have a page are those of reading and linking; all others look at racks
    unread = [
        finding
        for finding in findings
        if finding.severity != NOTE and (finding.rule not in rules or rules[finding.rule].look is None)
    ]
    for reported in racks:
        rack = reported.seen.rack
        yield Heading(1, f"Rack {rack.name}" + (f": {rack.title}" if rack.title else ""))
        revision = f"Revision {rack.revision}. " if rack.revision else ""
        day = f"Worked out for {reported.day.isoformat()}. " if reported.day is not None else ""
        yield Paragraph(
            f"{revision}{day}Made from {rack.file.name}. Numbers rest on what is written there; 'at least' "
            "means that something is not known, 'at the worst' takes every value at its bad end."
        )
        here = [finding for finding in unread if finding.severity == ERROR]
        if rack.spoiled or here:
            many = f"{counted(len(here), 'error')} in reading the files" if here else "a line that was not understood"
            yield Paragraph(
                f"Something is missing here: {many}. Run 'rackspec inspect' first; these sheets may leave out panels."
            )
        for sheet in sheets:
            yield from SHEETS[sheet](reported)
