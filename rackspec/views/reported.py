"""What a report is made of: in: one inspected rack with its findings, out: words and blocks that all sheets share."""

from collections.abc import Iterable
from datetime import date
from fractions import Fraction
from typing import NamedTuple

from rackspec.findings import ERROR, NOTE, Finding, Place
from rackspec.language.quantity import plain_number, show, show_hp
from rackspec.language.units import HP
from rackspec.model.known import PRACTICE, Known
from rackspec.model.parts import Rail
from rackspec.model.rack import Panel
from rackspec.pipeline import Inspected
from rackspec.rules.registry import Look, load_rules
from rackspec.views.document import Block, Paragraph, Points
from rackspec.views.positions import LineTable
from rackspec.views.text import counted

POWER_CAUTION = (
    "Caution: a supply that is wired the wrong way round destroys modules. Disconnect the adapter before every "
    "change, and check polarity with a meter, without modules, before the first switch-on. Mains is work for "
    "people licensed for it; local codes decide."
)
DRILL_CAUTION = (
    "Caution: never drill, cut or mark metal from this sheet. Where something has to be drilled or sawn, clamp "
    "the piece, wear glasses, and follow the tool's instructions and local rules."
)


class Reported(NamedTuple):
    """A rack, the findings about it, the rails that are known where it stands, and the day if one was given."""

    seen: Inspected
    findings: tuple[Finding, ...]
    rails: tuple[Rail, ...]
    day: date | None
    names: LineTable

    @property
    def look(self) -> Look:
        """A look at the rack, as the rules have it."""
        return Look(self.seen.rack, self.seen.house, {}, self.day)

    @property
    def stages(self) -> range:
        """The numbers of all stages."""
        return range(len(self.seen.rack.stages))


def mm(value: Fraction) -> str:
    """A length in millimetres."""
    return show(value, "length")


def milliamps(value: Fraction) -> str:
    """A current."""
    return show(value, "current")


def volts(value: Fraction) -> str:
    """A voltage."""
    return show(value, "voltage")


def share(value: Fraction) -> str:
    """A share in per cent."""
    return show(value, "share")


def tenths_up(value: Fraction) -> Fraction:
    """A value rounded up to a tenth: for what is needed."""
    scaled = value * 10
    return Fraction(-(-scaled.numerator // scaled.denominator), 10)


def whole_up(value: Fraction) -> Fraction:
    """A value rounded up to a whole number."""
    return Fraction(-(-value.numerator // value.denominator))


def hp_span(start: Fraction, end: Fraction) -> str:
    """``4HP..18HP`` out of mm."""
    return f"{show_hp(start)}..{show_hp(end)}"


def mm_span(start: Fraction, end: Fraction) -> str:
    """``20.32..91.44mm`` out of mm."""
    return f"{plain_number(start, 2)}..{plain_number(end, 2)}mm"


def position(start: Fraction) -> str:
    """A place in a row: ``86HP (436.88mm)``."""
    return f"{show_hp(start)} ({plain_number(start, 2)}mm)"


def hp_number(value: Fraction) -> str:
    """A length in mm as a bare number of HP."""
    return plain_number(value / HP, 2)


def stage_word(reported: Reported, stage: int) -> str:
    """A stage in a table: ``the start``, or its name."""
    return reported.seen.rack.stages[stage].name if stage else "the start"


def there_word(reported: Reported, since: int, until: int | None) -> str:
    """When something is in the rack: ``from the start``, ``from lent until michaelmas``."""
    begins = f"from {stage_word(reported, since)}"
    if until is None:
        return begins
    ends = f"until {stage_word(reported, until)}"
    return ends if since == 0 else f"{begins} {ends}"


def called(panel: Panel) -> str:
    """A panel in a table: its name, or what it is."""
    return panel.name or panel.what


def with_part(panel: Panel) -> str:
    """A panel with the part it is: ``osc-low, a saw-pair``."""
    if panel.part is None or panel.part.name == panel.name:
        return called(panel)
    return f"{panel.name} ({panel.part.name})"


def how_known(known: Known) -> str:
    """A quantity with how it is known: ``27mm stated``."""
    level = known.evidence.level
    if level == PRACTICE:
        return f"{known.quantity.text} assumed"
    return f"{known.quantity.text} {level}"


def origin(known: Known) -> str:
    """How a value is known, with what was noted about it: ``measured, "rule", 2026-10-18``."""
    evidence = known.evidence
    parts = [evidence.level]
    if evidence.text:
        parts.append(f'"{evidence.text}"')
    if evidence.dated is not None:
        parts.append(evidence.dated.isoformat())
    return ", ".join(parts)


def place_text(reported: Reported, place: Place) -> str:
    """``file:line`` of a place."""
    return f"{place.source.name}:{reported.names.position(place.source, place.start).line}"


def unsettled(reported: Reported, subjects: Iterable[str]) -> bool:
    """Whether an error on some subjects is open: one that is not waived."""
    rules, wanted = load_rules(), set(subjects)
    return any(
        finding.severity == ERROR
        and finding.waiver is None
        and finding.rule in rules
        and rules[finding.rule].subject in wanted
        for finding in reported.findings
    )


def open_findings(reported: Reported, subjects: Iterable[str]) -> list[Block]:
    """What inspecting the rack found on some subjects, in short; what is waived is told with its reason."""
    rules = load_rules()
    wanted = set(subjects)
    here = [finding for finding in reported.findings if finding.rule in rules and rules[finding.rule].subject in wanted]
    blocks: list[Block] = []
    left = [finding for finding in here if finding.waiver is None]
    if left:
        serious = sum(finding.severity != NOTE for finding in left)
        what = f"{counted(serious, 'finding')} to settle" if serious else "nothing but notes"
        blocks.append(Paragraph(f"Open when this was written ({what}); 'rackspec inspect' says more:"))
        blocks.append(Points(tuple(f"{f.severity}: {f.message} ({place_text(reported, f.place)})" for f in left)))
    waived = [finding for finding in here if finding.waiver is not None]
    if waived:
        blocks.append(Paragraph("Accepted by a waiver:"))
        lines = []
        for finding in waived:
            assert finding.waiver is not None
            until = f"until {finding.waiver.until}: " if finding.waiver.until else ""
            lines.append(f"{finding.message} ({until}{finding.waiver.reason})")
        blocks.append(Points(tuple(lines)))
    return blocks
