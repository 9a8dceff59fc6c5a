"""Each way to install rackspec goes in; it must find its grammar and units there, and say the same about one spec.

Run from an empty folder that nobody may write to, without HOME, so that nothing but the install itself can help.
"""

from __future__ import annotations

import json
import sys
import tomllib
from pathlib import Path
from zipfile import ZipFile

import pytest

from tests.packaging.installs import (
    ROOT,
    build_sdist,
    build_wheel,
    copy_sources,
    install,
    make_environment,
    run,
    tried,
)

SPEC = """\
module low-voice {
    width     14HP
    depth     1 1/4in
    draws     62mA on +12V
}
rack shelf {
    row only {
        length    84HP
        behind    30mm
        at   0HP  low-voice
        at  12HP  low-voice as second
    }
}
"""
"""An inch needs the units, the rest the grammar and the words; the two modules overlap by 2HP."""

ABOUT = """\
import json
import rackspec
from rackspec.language import folder, grammar, units

print(json.dumps({
    "package": rackspec.__file__,
    "grammar": folder.grammar_folder(),
    "inch": str(units.UNITS["in"].factor),
    "shipped": grammar.read_prepared(grammar.SHIPPED) is not None,
}))
"""


class Install:
    """One install: how its Python and its program are started."""

    def __init__(self, python: Path, program: tuple[str | Path, ...], **environment: str) -> None:
        self.python = python
        self.program = program
        self.environment = environment

    def about(self, folder: Path) -> dict[str, object]:
        """Where it finds itself and its grammar."""
        done = run(self.python, "-c", ABOUT, folder=folder, **self.environment)
        return dict(json.loads(done.stdout))

    def inspect(self, spec: Path, folder: Path) -> tuple[int, str, dict[str, object]]:
        """Exit code, text and JSON of inspecting a spec."""
        command = (*self.program, "inspect", "--on", "2026-11-20", spec)
        text = tried(*command, folder=folder, **self.environment)
        document = tried(*command, "--write", "json=-", folder=folder, **self.environment)
        assert text.stderr == ""
        return text.returncode, text.stdout, json.loads(document.stdout)


@pytest.fixture(scope="module")
def sources(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A clean checkout."""
    return copy_sources(tmp_path_factory.mktemp("sources") / "checkout")


@pytest.fixture(scope="module")
def wheel(sources: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel built from it."""
    return build_wheel(sources, tmp_path_factory.mktemp("wheel"))


@pytest.fixture(scope="module")
def from_wheel(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Install:
    """The wheel, installed."""
    python = make_environment(tmp_path_factory.mktemp("from-wheel"))
    install(python, wheel)
    return Install(python, (python.parent / "rackspec",))


@pytest.fixture(scope="module")
def from_checkout(sources: Path, tmp_path_factory: pytest.TempPathFactory) -> Install:
    """Nothing installed: the checkout on the search path."""
    python = make_environment(tmp_path_factory.mktemp("from-checkout"))
    return Install(python, (python, "-m", "rackspec"), PYTHONPATH=str(sources))


@pytest.fixture
def spec(tmp_path: Path) -> Path:
    """A small rack in a folder of its own."""
    path = tmp_path / "shelf" / "shelf.rackspec"
    path.parent.mkdir()
    path.write_text(SPEC, encoding="utf-8")
    return path


@pytest.fixture
def empty(tmp_path: Path) -> Path:
    """An empty folder that nobody may write to. (The administrator may: it must be empty afterwards as well.)"""
    folder = tmp_path / "empty"
    folder.mkdir(mode=0o555)
    return folder


def listing(folder: Path) -> list[str]:
    """All files below a folder but bytecode. (Prepared tables beside the bytecode are files like others.)"""
    names = (path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file())
    return sorted(name for name in names if not name.endswith(".pyc"))


def test_an_installed_wheel_brings_grammar_units_and_prepared_tables(
    from_wheel: Install, spec: Path, empty: Path
) -> None:
    about = from_wheel.about(empty)
    package = Path(str(about["package"])).parent
    assert package.is_relative_to(from_wheel.python.parents[1])
    assert Path(str(about["grammar"])) == package / "grammar"
    assert about["inch"] == "127/5"
    assert about["shipped"] is True

    code, text, document = from_wheel.inspect(spec, empty)
    assert code == 1
    assert "modules-overlap" in text
    assert document["summary"]["errors"] >= 1  # type: ignore[index]
    assert listing(empty) == []
    assert not (package / "language" / "__pycache__" / "prepared").exists(), "it was built anew, and kept"


def test_shipped_tables_are_made_from_the_grammar_they_came_with(from_wheel: Install, empty: Path) -> None:
    code = (
        "from rackspec.language import grammar as made\n"
        "shipped = made.read_prepared(made.SHIPPED)\n"
        "built = made.build_lines()\n"
        "assert shipped.words == made.build_words()\n"
        "line = 'at 4HP twin-saw as osc in later'\n"
        "assert shipped.lines.parse(line) == built.parse(line)\n"
        "assert sorted(map(str, shipped.lines.rules)) == sorted(map(str, built.rules))\n"
    )
    run(from_wheel.python, "-c", code, folder=empty)


def test_tables_of_another_grammar_are_not_used(from_wheel: Install, tmp_path: Path, empty: Path) -> None:
    other = tmp_path / "other"
    code = (
        "import sys\n"
        "from rackspec.language import grammar\n"
        "grammar.write_prepared(sys.argv[1])\n"
        "assert grammar.read_prepared(sys.argv[1]) is not None\n"
        "text = open(sys.argv[1], 'rb').read()\n"
        "open(sys.argv[1], 'wb').write(b'0' * 64 + text[64:])\n"
        "assert grammar.read_prepared(sys.argv[1]) is None\n"
    )
    run(from_wheel.python, "-c", code, other, folder=empty)


def test_a_bare_checkout_says_what_the_wheel_says(
    from_wheel: Install, from_checkout: Install, sources: Path, spec: Path, empty: Path
) -> None:
    about = from_checkout.about(empty)
    assert about["package"] == str(sources / "rackspec" / "__init__.py")
    assert about["grammar"] == str(sources / "grammar")
    assert about["shipped"] is False

    expected = from_wheel.inspect(spec, empty)
    assert from_checkout.inspect(spec, empty) == expected
    assert listing(empty) == []

    # the same with nothing set, from inside the checkout; where the spec is, is then said otherwise
    code, text, document = Install(from_checkout.python, from_checkout.program).inspect(spec, sources)
    assert (code, text.count("\n")) == (expected[0], expected[1].count("\n"))
    assert document["racks"][0]["rows"] == expected[2]["racks"][0]["rows"]  # type: ignore[index]


def test_an_editable_install_reads_the_grammar_that_is_edited(
    from_wheel: Install, tmp_path: Path, spec: Path, empty: Path
) -> None:
    sources = copy_sources(tmp_path / "edited")
    python = make_environment(tmp_path / "environment")
    install(python, "--editable", sources)
    editable = Install(python, (python.parent / "rackspec",))

    about = editable.about(empty)
    assert about["package"] == str(sources / "rackspec" / "__init__.py")
    assert about["grammar"] == str(sources / "grammar")
    assert about["shipped"] is False
    assert editable.inspect(spec, empty) == from_wheel.inspect(spec, empty)
    assert listing(empty) == []

    words = sources / "grammar" / "words.txt"
    text = words.read_text(encoding="utf-8")
    assert "\n  behind    LENGTH" in text
    words.write_text(text.replace("\n  behind    LENGTH", "\n  rearward  LENGTH"), encoding="utf-8")
    code, said, _ = editable.inspect(spec, empty)
    assert code == 1
    assert "'behind'" in said, "a word that is no longer in the table"


def test_building_leaves_nothing_in_the_checkout_and_everything_in_the_wheel(tmp_path: Path) -> None:
    sources = copy_sources(tmp_path / "checkout")
    before = listing(sources)
    folder = tmp_path / "wheels"
    folder.mkdir()
    wheel = build_wheel(sources, folder)
    assert listing(sources) == before

    with ZipFile(wheel) as archive:
        names = set(archive.namelist())
    wanted = {name for name in before if name.startswith("rackspec/")}
    wanted |= {f"rackspec/{name}" for name in before if name.startswith("grammar/")}
    wanted |= {"rackspec/language/prepared", "rackspec/py.typed", "rackspec/LICENSE"}
    assert wanted - names == set()
    others = {name for name in names - wanted if ".dist-info/" not in name}
    assert others == set()
    assert any(name.endswith(".dist-info/licenses/rackspec/LICENSE") for name in names)


def test_a_wheel_built_from_the_sdist_is_the_same(wheel: Path, sources: Path, tmp_path: Path) -> None:
    for name in ("sdist", "again"):
        (tmp_path / name).mkdir()
    again = build_wheel(build_sdist(sources, tmp_path / "sdist"), tmp_path / "again")
    with ZipFile(wheel) as first, ZipFile(again) as second:
        assert first.namelist() == second.namelist()
        # lark numbers the states of its tables anew each time; test_shipped_tables… looks at what they say
        differing = [name for name in first.namelist() if first.read(name) != second.read(name)]
    (record,) = (name for name in differing if name.endswith("RECORD"))
    assert differing == ["rackspec/language/prepared", record]


def test_the_lexer_is_found_by_its_entry_point(from_wheel: Install, empty: Path) -> None:
    code = "from pygments.lexers import get_lexer_by_name; print(type(get_lexer_by_name('rackspec')).__module__)"
    assert run(from_wheel.python, "-c", code, folder=empty).stdout == "rackspec.views.lexer\n"


def test_continuous_integration_runs_each_version_that_is_claimed() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    prefix = "Programming Language :: Python :: 3."
    claimed = {int(text.removeprefix(prefix)) for text in project["classifiers"] if text.startswith(prefix)}
    assert project["requires-python"] == f">=3.{min(claimed)}"
    assert claimed == set(range(min(claimed), max(claimed) + 1))
    assert sys.version_info[1] in claimed, "this Python is not claimed; add it, so that .ci/run runs it"
    assert "Programming Language :: Python :: 3" in (ROOT / ".ci" / "run").read_text(encoding="utf-8")
