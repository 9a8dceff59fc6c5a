"""``inspect --show-limits``: with a house, without one, and with one that was not understood."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from rackspec.model.house import MEANING, OWN
from tests.cli.running import Run, rackspec, write

HOUSE = """\
house {
    currency  EUR
    rate      1 GBP is 1.25 EUR
    spare     current 30%
    turns     good 4
    assume    draws 5mA..9mA on +12V per HP
    flag      header-unkeyed as error
    fail-at   warning
}
"""


def limits(folder: Path, *arguments: str) -> Run:
    """Ask for the limits in force."""
    return rackspec(folder, "inspect", "--show-limits", *arguments)


def line_of(run: Run, name: str) -> list[str]:
    """The columns of a limit."""
    (line,) = [line for line in run.out.splitlines() if line.startswith(f"    {name}  ")]
    return [column.strip() for column in line.split("  ") if column.strip()]


def test_without_a_house_all_is_built_in(tmp_path: Path) -> None:
    """An empty folder does; every limit of the program is there, with its meaning."""
    write(tmp_path, {".git/HEAD": ""})
    run = limits(tmp_path)
    assert run.code == 0
    assert run.err == ""
    for name, quantity in OWN.items():
        assert line_of(run, name) == [name, quantity.text, MEANING[name], "built in: common practice, no source"]
    assert line_of(run, "fail-at")[1:] == ["error", "from this severity on 'inspect' fails", "built in"]


def test_the_house_is_named_with_its_line(tmp_path: Path) -> None:
    """Each limit that the house sets stands with file and line, and the others are still built in."""
    write(tmp_path, {"house.rackspec": HOUSE, "sub/empty.rackspec": ""})
    for run in (limits(tmp_path), limits(tmp_path, "sub"), limits(tmp_path / "sub")):
        assert run.code == 0
        for name, value, line in (
            ("currency", "EUR", 2),
            ("rate GBP", "1.25 EUR", 3),
            ("spare current", "30%", 4),
            ("turns good", "4", 5),
            ("assume draws +12V", "5mA..9mA", 6),
            ("flag header-unkeyed", "error", 7),
            ("fail-at", "warning", 8),
        ):
            columns = line_of(run, name)
            assert columns[1] == value
            assert columns[-1].startswith("the house, ")
            assert columns[-1].endswith(f"house.rackspec:{line}")
        assert line_of(run, "turns least")[-1] == "built in: common practice, no source"
    assert "built in: warning" in line_of(limits(tmp_path), "flag header-unkeyed")


def test_a_house_that_was_not_understood(tmp_path: Path) -> None:
    """The slip is told, because what was meant is not in force."""
    write(tmp_path, {"house.rackspec": HOUSE.replace("30%", "30mm").replace("header-unkeyed", "header-unkeyd")})
    run = limits(tmp_path)
    assert run.code == 1
    assert "house.rackspec:4:" in run.out
    assert "write 'header-unkeyed'" in run.out
    assert line_of(run, "spare current")[-1] == "built in: common practice, no source"


def test_paths_and_usage(tmp_path: Path) -> None:
    """A path that is not there is exit code 2, and what can be said is said; documents do not go with it."""
    write(tmp_path, {"house.rackspec": HOUSE})
    run = limits(tmp_path, ".", "nowhere")
    assert run.code == 2
    assert "spare current" in run.out
    assert limits(tmp_path, "--write", "json=-").code == 2


def test_text_is_as_it_was_approved(tmp_path: Path, golden: Callable[[Path, str], None]) -> None:
    """The whole text."""
    write(tmp_path, {"house.rackspec": HOUSE})
    golden(Path(__file__).parent / "expected" / "limits.txt", limits(tmp_path).out)
