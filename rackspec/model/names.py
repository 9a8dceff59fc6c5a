"""Names of one rack: in: names as they are given, out: what each names, and findings about those taken or not known.

In a rack a name is given once over rows, panels, busses, boxes, wishes and stages.
"""

from __future__ import annotations

from rackspec.findings import ERROR, Edit, Finding, Place
from rackspec.language.suggest import nearest


class RackNames:
    """What is named in one rack, by kind: row, panel, bus, wish, stage, box."""

    def __init__(self, rack: str, loose: frozenset[str]) -> None:
        self.rack = rack
        self.given: dict[str, tuple[str, Place]] = {}
        self.findings: list[Finding] = []
        self._loose = loose
        self._missing: dict[tuple[str, str], list[Place]] = {}

    def give(self, name: str, kind: str, place: Place, remedy: str = "", edit: Edit | None = None) -> bool:
        """Give a name; False and a finding where it is taken."""
        earlier = self.given.get(name)
        if earlier is None:
            self.given[name] = (kind, place)
            return True
        message = f"the name '{name}' is taken in this rack: a {earlier[0]} has it"
        others = (earlier[1].labelled("named here first"),)
        full = (f"{self.rack}/{name}",)
        remedy = remedy or "give one of the two another name"
        self.findings.append(Finding("name-taken", ERROR, message, place, others, remedy=remedy, names=full, edit=edit))
        return False

    def free(self, stem: str) -> str:
        """A name like ``osc-b`` that is not taken yet."""
        for letter in "bcdefghijklmnopqrstuvwxyz":
            if f"{stem}-{letter}" not in self.given:
                return f"{stem}-{letter}"
        number = 2
        while f"{stem}-{number}" in self.given:
            number += 1
        return f"{stem}-{number}"

    def find(self, name: str, kinds: tuple[str, ...], place: Place) -> str:
        """The kind of the thing of that name, or '' and a finding where there is none of these kinds."""
        bare = name.removeprefix(self.rack + "/")
        given = self.given.get(bare)
        if given is not None and given[0] in kinds:
            return given[0]
        if bare not in self._loose:
            self._missing.setdefault((bare, "|".join(kinds)), []).append(place)
        return ""

    def told(self) -> list[Finding]:
        """All findings about the names of this rack; a name that is not known is told once, with all its places."""
        found = list(self.findings)
        for (name, kinds_text), places in self._missing.items():
            kinds = kinds_text.split("|")
            fitting = [given for given, (kind, _) in self.given.items() if kind in kinds]
            near = nearest(name, fitting)
            what = " or ".join(kinds) if len(kinds) < 4 else "thing"
            message = f"no {what} of this rack is called '{name}'"
            if near:
                remedy = "write " + " or ".join(f"'{other}'" for other in near)
            elif fitting and len(fitting) <= 6:
                remedy = f"this rack has: {', '.join(fitting)}"
            else:
                remedy = f"give a {kinds[0]} that name, or write another"
            others = tuple(place.labelled("and here") for place in places[1:4])
            full = (f"{self.rack}/{name}",)
            found.append(Finding("unknown-name", ERROR, message, places[0], others, remedy=remedy, names=full))
        return found
