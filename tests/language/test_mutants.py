"""Slips made on purpose in the demo: every one is survived, and most are told in one finding."""

from __future__ import annotations

import shutil
from collections import Counter
from pathlib import Path
from random import Random
from typing import NamedTuple

import pytest

from rackspec.findings import SEVERITIES, Finding
from rackspec.pipeline import Request, Result, inspect
from rackspec.views.failing import fails
from rackspec.views.json_findings import findings_json
from rackspec.views.text import result_lines
from tests.conftest import ROOT, TODAY
from tests.language.mutants import IN_LINES, OF_LINES, Edit
from tests.language.reading import reading

pytestmark = pytest.mark.slow

CASES_IN_LINES = 1_120
CASES_OF_LINES = 420
SHARE_SHOWN = 0.25
"""Of how many cases all views are made: they take longer than the run."""
LEAST_SHARE_OF_ONE = 0.88
MOST_FINDINGS = 1.25
"""Of the slips that reading sees: the share that gives exactly one finding, and the mean number of findings."""

Key = tuple[str, str, str]


def key_of(finding: Finding) -> Key:
    """What makes two findings the same though lines have moved."""
    return finding.place.source.name, finding.rule, finding.message


class Mutant(NamedTuple):
    """A text of the demo with one slip in it, and everything that was found then and not before."""

    edit: Edit
    file: str
    text: str
    read: list[Finding]
    new: list[Finding]


class Workshop:
    """A copy of the demo in which slips are made and taken back."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        shutil.copytree(ROOT / "specs", folder / "specs")
        paths = sorted((folder / "specs").rglob("*.rackspec"))
        self.texts = {path.relative_to(folder).as_posix(): path.read_text(encoding="utf-8") for path in paths}
        self.racks = [name for name in self.texts if "/racks/" in name]
        self._before: dict[tuple[str, ...], Counter[Key]] = {}

    def inspect(self, names: tuple[str, ...]) -> Result:
        """The whole run over some files and what they use."""
        return inspect(Request(names, str(self.folder), TODAY))

    def mutant(self, edit: Edit, chance: Random) -> Mutant:
        """One slip, and the whole run over the file with it and a rack that uses it."""
        name = chance.choices(list(self.texts), [len(text) for text in self.texts.values()])[0]
        text = edit(self.texts[name], chance)
        names = (name,) if name in self.racks else (name, chance.choice(self.racks))
        if names not in self._before:
            self._before[names] = Counter(key_of(finding) for finding in self.inspect(names).findings)
        path = self.folder / name
        path.write_text(text, encoding="utf-8", newline="")
        try:
            result = self.inspect(names)
        finally:
            path.write_text(self.texts[name], encoding="utf-8", newline="")
        self.hold_sane(result)
        if chance.random() < SHARE_SHOWN:
            self.hold_showable(result)
        seen: Counter[Key] = Counter()
        new = []
        for finding in result.findings:
            seen[key_of(finding)] += 1
            if seen[key_of(finding)] > self._before[names][key_of(finding)]:
                new.append(finding)
        return Mutant(edit, name, text, reading(text), new)

    def hold_showable(self, result: Result) -> None:
        """All views can be made of it."""
        assert list(result_lines(result))
        assert findings_json(result).endswith("\n")

    def hold_sane(self, result: Result) -> None:
        """A run that told everything it found, each at a place that there is; its levels fail in order."""
        assert not result.failed
        assert result.files
        assert not fails(result, "never")
        levels = [fails(result, level) for level in SEVERITIES]
        assert levels == sorted(levels)
        for finding in result.findings:
            assert finding.severity in SEVERITIES
            assert finding.message
            assert finding.remedy, finding
            for place in (finding.place, *finding.others):
                assert 0 <= place.start <= place.end <= len(place.source.text), finding


@pytest.fixture(scope="module")
def workshop(tmp_path_factory: pytest.TempPathFactory) -> Workshop:
    return Workshop(tmp_path_factory.mktemp("workshop"))


@pytest.fixture(scope="module")
def slips_in_lines(workshop: Workshop) -> list[Mutant]:
    return [workshop.mutant(IN_LINES[n % len(IN_LINES)], Random(f"slip {n}")) for n in range(CASES_IN_LINES)]


def measured(name: str, counts: list[int]) -> tuple[float, float]:
    """Share with exactly one finding, and findings for one slip; both are printed."""
    share, mean = counts.count(1) / len(counts), sum(counts) / len(counts)
    print(f"{name}: {len(counts)} slips, {share:.1%} with exactly one finding, {mean:.3f} findings a slip")
    return share, mean


def hard_ones(mutants: list[Mutant]) -> str:
    """Some slips with more than one finding, for whoever has to mend what this test found."""
    lines = []
    for mutant in [mutant for mutant in mutants if len(mutant.new) > 1][:10]:
        lines.append(f"{mutant.edit.__name__} in {mutant.file}:")
        lines += [f"    {finding.rule}: {finding.message}" for finding in mutant.new[:4]]
    return "\n".join(lines)


def test_the_demo_reads_without_a_finding(workshop: Workshop) -> None:
    """Else the measure below counts what was there before."""
    assert {name: reading(text) for name, text in workshop.texts.items()} == {key: [] for key in workshop.texts}


def test_slips_in_lines_are_told_once(slips_in_lines: list[Mutant]) -> None:
    """Most slips of one character or token give one finding, counted in reading alone and in the whole run."""
    seen = [mutant for mutant in slips_in_lines if mutant.read]
    assert len(seen) > CASES_IN_LINES / 2
    read_share, read_mean = measured("reading", [len(mutant.read) for mutant in seen])
    run_share, run_mean = measured("whole run", [len(mutant.new) for mutant in seen])
    assert read_share >= LEAST_SHARE_OF_ONE, hard_ones(seen)
    assert read_mean <= MOST_FINDINGS, hard_ones(seen)
    assert run_share >= LEAST_SHARE_OF_ONE, hard_ones(seen)
    assert run_mean <= MOST_FINDINGS, hard_ones(seen)


def test_what_reading_finds_is_told_by_the_whole_run(slips_in_lines: list[Mutant]) -> None:
    """Nothing that reading found is lost on the way to the last page."""
    for mutant in slips_in_lines:
        told = {(finding.rule, finding.message) for finding in mutant.new}
        assert {(finding.rule, finding.message) for finding in mutant.read} <= told, mutant.text


def test_slips_of_whole_lines_are_survived(workshop: Workshop) -> None:
    """Lines left out, pasted twice and swapped."""
    mutants = [workshop.mutant(OF_LINES[n % len(OF_LINES)], Random(f"line {n}")) for n in range(CASES_OF_LINES)]
    assert any(mutant.new for mutant in mutants)
    seen = [mutant for mutant in mutants if mutant.new]
    measured("whole lines", [len(mutant.new) for mutant in seen])
    share = sum(len(mutant.read) > 1 for mutant in mutants) / len(mutants)
    assert share < 0.06, hard_ones(mutants)


def test_many_slips_at_once_are_survived(workshop: Workshop) -> None:
    """Thirty slips in one file: findings, no exception."""
    for number in range(12):
        chance = Random(f"many {number}")
        name = chance.choice(list(workshop.texts))
        text = workshop.texts[name]
        for _ in range(30):
            text = chance.choice((*IN_LINES, *OF_LINES))(text, chance)
        path = workshop.folder / name
        path.write_text(text, encoding="utf-8", newline="")
        try:
            result = workshop.inspect(("specs",))
        finally:
            path.write_text(workshop.texts[name], encoding="utf-8", newline="")
        workshop.hold_sane(result)
        workshop.hold_showable(result)
        assert any(finding.severity == "error" for finding in result.findings)
