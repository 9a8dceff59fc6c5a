"""What all tests share: the one switch that writes generated texts anew, and a way to inspect texts."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from rackspec.pipeline import Request, Result, inspect

ROOT = Path(__file__).resolve().parent.parent
TODAY = date(2026, 11, 25)


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--refresh", action="store_true", help="write golden texts and generated pages anew")


@pytest.fixture
def golden(request: pytest.FixtureRequest) -> Callable[[Path, str], None]:
    """Hold a text against a file. With --refresh the file is written; one that is missing is written and fails once."""

    def compare(path: Path, text: str) -> None:
        if request.config.getoption("--refresh"):
            path.write_text(text, encoding="utf-8", newline="")
            return
        if not path.exists():
            path.write_text(text, encoding="utf-8", newline="")
            pytest.fail(f"{path.name} was missing and has been written: read it, then run again")
        assert text == path.read_text(encoding="utf-8"), f"{path.name} differs; if it should, run pytest --refresh"

    return compare


@pytest.fixture
def inspect_files(tmp_path: Path) -> Callable[..., Result]:
    """Inspect some files, given as texts by name, in an empty folder that is a root of its own."""

    def run(files: dict[str, str] | str, *paths: str, today: date = TODAY, also: tuple[str, ...] = ()) -> Result:
        texts = {"spec.rackspec": files} if isinstance(files, str) else files
        (tmp_path / ".git").mkdir(exist_ok=True)
        for name, text in texts.items():
            path = tmp_path / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8", newline="")
        return inspect(Request(paths or (".",), str(tmp_path), today, also=also))

    return run
