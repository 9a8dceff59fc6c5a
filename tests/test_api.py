"""rackspec from Python: what is typed is there, and says what the command line says."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest

from rackspec import api
from rackspec.views.json_findings import findings_json
from tests.cli.running import rackspec
from tests.conftest import ROOT, TODAY
from tests.git.repositories import commit, repository
from tests.git.test_revision import PART, RACK, SPLIT


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A repository, in which one stands."""
    folder = repository(tmp_path / "here", SPLIT)
    monkeypatch.chdir(folder)
    return folder


def test_load(folder: Path) -> None:
    """Linked racks of paths, of this folder, and of a text in the place of a file."""
    (rack,) = api.load("racks/tray.rackspec")
    (panel,) = rack.rows[0].panels
    assert panel.part is not None
    assert panel.part.name == "saw"
    assert panel.part.depth is not None
    assert panel.part.depth.is_guess
    assert [found.name for found in api.load()] == [found.name for found in api.load(folder)] == ["tray"]
    (rack,) = api.load(text=RACK.replace("84HP", "104HP"), named="racks/tray.rackspec")
    assert rack.rows[0].length is not None
    assert rack.rows[0].length.value == Fraction(104 * 508, 100)


@pytest.mark.usefixtures("folder")
def test_load_of_what_is_not_understood() -> None:
    """An exception with findings: of reading and of names, not of rules."""
    with pytest.raises(api.NotUnderstood, match=r"-: 'lenght' is not a word") as failure:
        api.load(text=RACK.replace("length", "lenght").replace("../", ""))
    assert [finding.rule for finding in failure.value.findings] == ["unknown-word"]
    with pytest.raises(api.NotUnderstood, match="nobody"):
        api.load(text="rack a {\n    row b {\n        at 0HP nobody\n    }\n}\n")
    api.load(text=RACK.replace("84HP", "4HP"), named="racks/tray.rackspec")


def test_inspect_says_what_the_program_says(folder: Path) -> None:
    """The same document."""
    result = api.inspect("racks", on=date(2026, 11, 25))
    assert findings_json(result) == rackspec(folder, "inspect", "--on", "2026-11-25", "--write", "json=-", "racks").out
    assert api.inspect(text="rack a {\n", on=TODAY).findings[0].rule == "brace-astray"


def test_compare_says_what_the_program_says(folder: Path) -> None:
    """Revisions, the merge base, two racks."""
    commit(folder, {"parts/saw.rackspec": PART.replace("14HP", "20HP")})
    change = api.compare("HEAD~1", "HEAD", on=TODAY)
    said = rackspec(folder, "compare", "--on", "2026-11-25", "HEAD~1", "HEAD").out
    assert api.verdict(change) == said.splitlines()[0]
    assert api.verdict(api.compare("HEAD...", on=TODAY)) == "no difference"
    (folder / "racks" / "two.rackspec").write_text(
        RACK.replace("tray", "two").replace("0HP saw", "3HP saw"), encoding="utf-8"
    )
    assert "two" in api.verdict(api.compare(".", racks=("tray", "two"), on=TODAY))


@pytest.mark.usefixtures("folder")
def test_what_cannot_be_read() -> None:
    """One exception for all of it."""
    for ask in (
        lambda: api.load("nowhere"),
        lambda: api.inspect("nowhere"),
        lambda: api.compare("nowhere", "HEAD"),
        lambda: api.compare("nope..."),
        lambda: api.compare(".", racks=("tray", "nope")),
    ):
        with pytest.raises(api.CannotRead, match="no"):
            ask()
    with pytest.raises(ValueError, match="two sides"):
        api.compare("HEAD")
    with pytest.raises(ValueError, match="not both"):
        api.inspect("racks", text="")


def test_everything_that_is_named_is_there_and_said_in_the_manual() -> None:
    """Each name exists, is documented, and is a function, an exception or a frozen record."""
    manual = (ROOT / "grammar" / "SHARING.md").read_text(encoding="utf-8")
    for name in ("load", "inspect", "compare", "verdict"):
        assert name in manual
    for name in api.__all__:
        thing = getattr(api, name)
        assert thing.__doc__, name
        if isinstance(thing, type) and not issubclass(thing, Exception) and name not in ("Source",):
            assert issubclass(thing, tuple), name
            assert hasattr(thing, "_fields"), name
