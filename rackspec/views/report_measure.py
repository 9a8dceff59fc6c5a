"""What to measure next: in: a rack, out: facts that nobody knows yet, guesses that decide, and where to measure."""

from collections.abc import Iterator

from rackspec.findings import Place
from rackspec.rules.registry import NotKnown
from rackspec.views.document import Block, Heading, Paragraph, Table
from rackspec.views.reported import Reported, place_text

POWER_FACTS = (
    "its power header",
    "number of headers",
    "what it gives",
    "what feeds the row",
    "what feeds it",
    "which supply will feed it",
)
GROWTH_FACTS = ("whether all wishes fit",)
CALLIPERS = {
    "depth": "the maker's sheet; else callipers or rule, from the back of the panel to the rearmost part, plug out",
    "width": "ruler along the edge of the panel; 1HP is 5.08mm",
    "room behind the row": "rule, from the front of a rail straight back to the first thing in the way ('behind 60mm')",
    "recess": "depth rod, from the front of the rail to the front of the insert; not from the front of the lip",
    "room for a screw": "depth rod through the channel, from the front of the rail to the first thing a screw can hit",
}
"""Where to put the callipers, by fact; common practice, no source. Other facts say it themselves."""


def sheet_of(reported: Reported, item: NotKnown) -> str:
    """The sheet that a fact belongs to."""
    if item.fact in POWER_FACTS or item.fact.startswith("current"):
        return "power"
    return "growth" if item.fact in GROWTH_FACTS or item.thing in wishes_of(reported) else "fit"


def wishes_of(reported: Reported) -> frozenset[str]:
    """The full names of all wishes."""
    return frozenset(reported.seen.rack.full(wish.name) for wish in reported.seen.rack.wishes)


def measure(reported: Reported, sheet: str) -> Iterator[Block]:
    """What to find out for a sheet, the facts on which most hangs first; then guesses that decide."""
    rack, wishes = reported.seen.rack, wishes_of(reported)
    rows: list[tuple[str, ...]] = []
    guesses = [finding for finding in reported.findings if finding.rule == "guess-decides" and finding.waiver is None]
    for finding in guesses:
        about_power = any(finding.names == (rack.full(feed.name),) for feed in rack.feeds)
        if about_power is not (sheet == "power") or sheet == "growth":
            continue
        names = ", ".join(name.removeprefix(rack.name + "/") for name in finding.names)
        rows.append((names, f"a guess decides: {finding.message}", finding.remedy, place_text(reported, finding.place)))
    grouped: dict[tuple[str, str, Place], list[str]] = {}
    for item in reported.seen.not_known:
        if sheet_of(reported, item) == sheet:
            how = item.how if item.thing in wishes else CALLIPERS.get(item.fact, item.how)
            grouped.setdefault((item.fact, how, item.place), []).append(item.thing.removeprefix(rack.name + "/"))
    for (fact, how, place), things in grouped.items():
        rows.append((", ".join(things), fact, how, place_text(reported, place)))
    yield Heading(3, "What to measure next" if sheet == "fit" else "What to find out next")
    if rows:
        how = "how, and where to put the callipers" if sheet == "fit" else "how"
        yield Table(("of", "what", how, "belongs to"), tuple(rows))
    else:
        yield Paragraph("Nothing that was looked for here is missing.")
