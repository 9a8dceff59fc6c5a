"""The page about the language is true: each block does what it says, outputs and tables are what the program gives."""

from __future__ import annotations

import re
import shlex
from collections.abc import Callable
from contextlib import redirect_stdout
from io import StringIO
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple

import pytest

from rackspec.cli.main import main, parser_of
from rackspec.findings import SEVERITIES, Finding
from rackspec.language.words import BLOCKS
from rackspec.pipeline import Request, inspect
from rackspec.rules.registry import load_rules
from rackspec.views.explanations import EACH
from rackspec.views.pages import files_of
from rackspec.views.reference import MARKER, block_table, table_of, with_tables, writable_blocks
from tests.conftest import ROOT, TODAY

PAGE = ROOT / "grammar" / "LANGUAGE.md"
FENCE = re.compile(r"^```(.*)\n((?:(?!```).*\n)*)```$", re.MULTILINE)
INFO = re.compile(r"rackspec(?: line in (?P<block>[a-z]+))?(?P<found>(?: [a-z]+: [a-z-]+)*)")
ANNOUNCED = re.compile(r"([a-z]+): ([a-z-]+)")
FINDING = re.compile(r"\S+:\d+:\d+: ")
TABLES = re.compile(MARKER.pattern.replace(".*?", "(.*?)"), re.DOTALL)
DECIDES_NOTHING = re.compile(r"<!-- decides nothing -->(.*?)<!-- end -->", re.DOTALL)

LIBRARY = """\
module twin-saw {
    width 14HP
    depth 27mm
    plug 12mm
    draws 62mA on +12V
}
module ladder-filter {
    width 8HP
    draws nothing
    depth 20mm
}
supply slim-supply {
    width 4HP
}
insert m3-strip-84 {
    strip M3
}
insert m25-nut {
    nut M2.5
}
rail lipped-84 {
    length 84HP
    takes m3-strip-84
}
rail plain-84 {
    length 84HP
    takes m25-nut
}
sheet birch-9 {
    thickness 9mm
}
"""
"""What lines that stand for themselves may name."""

AROUND = {
    "row": "rack example {\n    stage later\n    row top {\n@    }\n}\n",
    "rack": "rack example {\n@}\n",
    "house": "house {\n@}\n",
}
"""What is written around such lines; other blocks are things of the library."""


class Fence(NamedTuple):
    """A block of code of the page: its line, what stands behind its backticks, its text."""

    line: int
    info: str
    text: str


def fences(page: str) -> list[Fence]:
    """All blocks of code of a page."""
    return [Fence(page.count("\n", 0, match.start()) + 1, match[1], match[2]) for match in FENCE.finditer(page)]


def files_for(fence: Fence) -> dict[str, str]:
    """The files that a block of code stands for."""
    match = INFO.fullmatch(fence.info)
    assert match is not None, f"line {fence.line}: nobody knows what '{fence.info}' means"
    block = match["block"]
    if block is None:
        return files_of(fence.text)
    around = AROUND.get(block, f"{block} example {{\n@}}\n")
    return {"spec.rackspec": 'use "library.rackspec"\n' + around.replace("@", fence.text), "library.rackspec": LIBRARY}


def announced(fence: Fence) -> list[tuple[str, str]]:
    """The findings that a block announces: severity and rule of each."""
    match = INFO.fullmatch(fence.info)
    assert match is not None
    return ANNOUNCED.findall(match["found"])


def write_files(folder: Path, files: dict[str, str]) -> None:
    """Files in a folder that is a root of its own."""
    (folder / ".git").mkdir(parents=True)
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8", newline="")


def findings_of(fence: Fence, folder: Path) -> tuple[Finding, ...]:
    """What is found in a block of code."""
    write_files(folder, files_for(fence))
    return inspect(Request(("spec.rackspec",), str(folder), TODAY)).findings


def printed(arguments: list[str]) -> str:
    """What the program prints."""
    with redirect_stdout(StringIO()) as out:
        main(arguments)
    return out.getvalue()


def output_for(info: str, above: Fence, folder: Path, enter: Callable[[Path], None]) -> str:
    """What the block of output ``info`` has to show."""
    if info.startswith("text explain "):
        return printed(["explain", *info.split()[2:]])
    write_files(folder, files_for(above))
    enter(folder)
    text = printed(["inspect", "spec.rackspec", "--on", TODAY.isoformat()])
    if info == "text":
        return text
    assert info == "text finding", f"nobody knows what '{info}' means"
    return "\n\n".join(part for part in text.strip("\n").split("\n\n") if FINDING.match(part)) + "\n"


def renewed(page: str, folder: Path, enter: Callable[[Path], None]) -> str:
    """The page with all tables and outputs as they are now."""
    parts: list[str] = []
    end = 0
    above = Fence(0, "rackspec", "")
    page = with_tables(page)
    for number, match in enumerate(FENCE.finditer(page)):
        parts.append(page[end : match.start()])
        end = match.end()
        if match[1].startswith("text"):
            parts.append(f"```{match[1]}\n{output_for(match[1], above, folder / str(number), enter)}```")
        else:
            above = Fence(0, match[1], match[2])
            parts.append(match[0])
    return "".join(parts) + page[end:]


def page_text() -> str:
    """The page as it stands in its file now: --refresh writes it while the tests run."""
    return PAGE.read_text(encoding="utf-8")


FENCES = fences(page_text())
SPECS = [fence for fence in FENCES if not fence.info.startswith("text")]
SHOWN = {above.line for above, below in pairwise(FENCES) if below.info in ("text", "text finding")}
"""Blocks below which their output is shown: what is found in them is to be seen."""


def test_page_is_up_to_date(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, golden: Callable[[Path, str], None]
) -> None:
    """Tables and outputs are what the program gives now. With --refresh they are written, before all else is held."""
    for name in ("FORCE_COLOR", "CLICOLOR_FORCE"):
        monkeypatch.delenv(name, raising=False)
    golden(PAGE, renewed(page_text(), tmp_path, monkeypatch.chdir))


@pytest.mark.parametrize("fence", SPECS, ids=lambda fence: f"line-{fence.line}")
def test_block_does_what_it_says(fence: Fence, tmp_path: Path) -> None:
    """A block inspects without error, or gives just the findings that it announces."""
    found = findings_of(fence, tmp_path)
    due = announced(fence)
    assert {severity for severity, _ in due} <= set(SEVERITIES)
    if due:
        assert sorted((finding.severity, finding.rule) for finding in found) == sorted(due)
    elif fence.line in SHOWN:
        assert [finding for finding in found if finding.severity == "error"] == []
    else:
        assert found == ()


def test_blocks_are_found() -> None:
    """No block of code escapes: backticks come in pairs, and every kind of block is there."""
    text = page_text()
    assert text.count("```") == 2 * len(fences(text))
    assert SPECS[0].text.count("\n") == 10, "the page begins with a rack of ten lines"
    kinds = {fence.info.split(":")[0] for fence in fences(text)}
    assert kinds >= {"rackspec", "rackspec line in module", "rackspec error", "text", "text finding"}


def test_stale_output_is_seen(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A number changed by hand, in an output or a table, does not survive being made anew."""
    text = page_text()
    monkeypatch.delenv("FORCE_COLOR", raising=False)
    stale = text.replace("56HP free", "55HP free").replace("| `width` | `LENGTH", "| `width` | `MASS")
    assert stale.count("55HP free") == text.count("56HP free") > 0
    assert renewed(stale, tmp_path, monkeypatch.chdir).count("55HP free") == 0
    assert "| `width` | `MASS" in stale
    assert "| `width` | `MASS" not in with_tables(stale)


@pytest.mark.parametrize("block", writable_blocks())
def test_every_word_is_in_the_page(block: str) -> None:
    """Each word that a builder may write in a block stands in a table of this page, which is that block's."""
    text = page_text()
    tables = dict(TABLES.findall(text))
    assert block in tables, f"the page lacks <!-- table: {block} -->"
    assert tables[block].strip("\n") == block_table(block)
    words = re.findall(r"^\| `([a-z-]+)` \|", tables[block], re.MULTILINE)
    assert sorted(words) == sorted(BLOCKS[block].statements)


def test_lines_that_stand_once_for_each_say_for_each_what() -> None:
    """Every statement that may stand once for each of something has words for it, and no words are left over."""
    words = {word for block in BLOCKS.values() for word, statement in block.statements.items() if statement.each}
    assert words == set(EACH)


def test_marks_of_tables_come_in_pairs() -> None:
    """A marker without its end, or one that names nothing, would leave a table to rot."""
    text = page_text()
    begins = re.findall(r"<!-- table: (\S+) -->", text)
    assert len(begins) == len(MARKER.findall(text)) == len(set(begins))
    assert {"values", "units", "limits", *writable_blocks()} == set(begins)
    with pytest.raises(KeyError):
        table_of("nonsense")


def test_commands_that_are_named_are_taken() -> None:
    """Each command line in the running text has a command and arguments that the program knows."""
    outside = re.sub(r"<!--.*?-->", "", FENCE.sub("", page_text()), flags=re.DOTALL)
    commands = [shlex.split(command) for command in re.findall(r"(?<!`)`rackspec ([a-z]+ [^`\n]*)`", outside)]
    assert {"--try", "--show-limits", "--also", "--about"} <= {word for command in commands for word in command}
    for name, *arguments in commands:
        parser_of(name).parse_args(arguments)


def test_every_rule_that_is_named_exists() -> None:
    """Rules named in the blocks are rules of the program."""
    named = {rule for fence in SPECS for _, rule in announced(fence)}
    assert named
    assert named <= set(load_rules())


EVERYTHING = """\
house {
    currency EUR
}
insert strip {
    strip M3
    holes 84 every 5.08mm
    price 6 EUR
}
insert nut {
    nut M3
}
rail lipped {
    length 84HP
    takes strip
    takes nut
    mass 200g
}
module voice {
    width 14HP
    draws 60mA on +12V
    header 10-pin unkeyed
    screws 4 of M2.5x6
    price 100 EUR
    mass 20kg
    note "heavy"
}
supply brick {
    width 4HP
    gives 1A on +12V
    headers 4
    screws 2 of M3x6
    price 900 EUR
}
rack desk {
    revision "B" 2026-11-02
    budget 10 EUR
    stage later by 2020-01-01 budget 400 EUR
    row top {
        rails lipped with nut
        behind 60mm
        at 0HP brick
        next voice
    }
    bus board {
        from brick
        headers 4 every 32mm
    }
    wish more in later {
        width 6HP
        depth 900mm
        price 300 EUR
    }
}
"""


def test_words_that_decide_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the page calls lines that decide nothing can be left out, and the program says the same."""
    text = page_text()
    listed = DECIDES_NOTHING.search(text)
    assert listed is not None
    words = re.findall(r"`([a-z-]+)`", listed[1])
    outputs = []
    short = _without(EVERYTHING, words).replace("depth 900mm", "depth 1mm")
    for behind in (" by 2020-01-01", " every 32mm"):
        short = short.replace(behind, "")
    for name, spec in (("with", EVERYTHING), ("without", short)):
        write_files(tmp_path / name, {"spec.rackspec": spec})
        monkeypatch.chdir(tmp_path / name)
        shown = printed(["inspect", "spec.rackspec", "--on", TODAY.isoformat()])
        outputs.append(re.sub(r"spec\.rackspec:\d+|line \d+", "", shown))
    assert outputs[0] == outputs[1]
    for word in words:
        assert re.search(rf"^ +{word} ", EVERYTHING, re.MULTILINE), f"the spec of this test lacks '{word}'"
    assert _without(EVERYTHING, ["width"]) != EVERYTHING


def _without(spec: str, words: list[str]) -> str:
    """A spec without the lines that begin with some words."""
    return "".join(line for line in spec.splitlines(True) if line.split()[0] not in words)
