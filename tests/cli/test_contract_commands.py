"""``begin``, ``explain``, ``export``, ``--version``: words go in, files and pages come out."""

from __future__ import annotations

from pathlib import Path

import pytest

from rackspec import __version__
from rackspec.language.units import UNITS
from rackspec.language.words import BLOCKS
from rackspec.rules.registry import load_rules
from rackspec.views.explanations import explanation
from tests.cli.running import give_up_rights, rackspec, rights_count, write

PARTS_OF_THE_FIRST_SPEC = ("first-voice", "first-filter", "first-mixer", "first-supply")


def test_version(tmp_path: Path) -> None:
    """One line, for bug reports."""
    run = rackspec(tmp_path, "--version")
    assert (run.code, run.out, run.err) == (0, f"rackspec {__version__}\n", "")


@pytest.mark.parametrize("arguments", [("--help",), ("inspect", "--help"), ("begin", "-h")], ids=" ".join)
def test_help(tmp_path: Path, arguments: tuple[str, ...]) -> None:
    """Help is no fault, and goes to standard output."""
    run = rackspec(tmp_path, *arguments)
    assert (run.code, run.err) == (0, "")
    assert "usage: rackspec" in run.out


def test_begin_writes_a_spec_that_passes(tmp_path: Path) -> None:
    """The first spec is a file of its name, inspects without errors and warnings, and asks nothing."""
    run = rackspec(tmp_path, "begin", "desk-rack")
    assert (run.code, run.err) == (0, "")
    assert [path.name for path in tmp_path.iterdir()] == ["desk-rack.rackspec"]
    text = (tmp_path / "desk-rack.rackspec").read_text("utf-8")
    assert text.count("#") > 10
    assert "rack desk-rack {" in text
    seen = rackspec(tmp_path, "inspect", "desk-rack.rackspec", "--fail-at", "warning")
    assert seen.code == 0, seen.out
    assert "0 errors, 0 warnings" in seen.summary
    assert "rackspec inspect desk-rack.rackspec" in run.out


def test_the_first_spec_says_what_is_not_known(tmp_path: Path) -> None:
    """It shows a builder what the program does with facts that nobody stated."""
    rackspec(tmp_path, "begin", "desk-rack")
    out = rackspec(tmp_path, "inspect").out
    assert "not known yet" in out
    assert "current: first-mixer." in out
    assert "at least" in out


def test_begin_overwrites_nothing(tmp_path: Path) -> None:
    """What is there stays as it is: a file, a folder, a link to nowhere."""
    write(tmp_path, {"a.rackspec": "mine\n", "b.rackspec/x": ""})
    (tmp_path / "c.rackspec").symlink_to("gone")
    for name in ("a", "b", "c", "a.rackspec"):
        run = rackspec(tmp_path, "begin", name)
        assert run.code == 2
        assert f"{name.removesuffix('.rackspec')}.rackspec is there already" in run.err
    assert (tmp_path / "a.rackspec").read_text("utf-8") == "mine\n"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.rackspec", "b.rackspec", "c.rackspec"]
    assert not (tmp_path / "gone").exists()


def test_two_first_specs_side_by_side(tmp_path: Path) -> None:
    """A second rack in the same folder: both pass, one by one and together."""
    assert rackspec(tmp_path, "begin", "one").code == 0
    assert rackspec(tmp_path, "begin", "two").code == 0
    assert rackspec(tmp_path, "inspect", "one.rackspec").code == 0
    assert rackspec(tmp_path, "inspect", "two.rackspec").code == 0


@pytest.mark.parametrize(
    "name", ["desk.rackspec", "Größe", "a", "rack-9", "module", "top", "later", "utilities", "second-voice"]
)
def test_begin_with_names_that_do(tmp_path: Path, name: str) -> None:
    """Any name of the language will do, also one that the first spec uses for something else, and with the ending."""
    assert rackspec(tmp_path, "begin", name).code == 0
    (path,) = tmp_path.iterdir()
    assert path.name == name.removesuffix(".rackspec") + ".rackspec"
    assert "0 errors, 0 warnings" in rackspec(tmp_path, "inspect").summary


@pytest.mark.parametrize("name", PARTS_OF_THE_FIRST_SPEC)
def test_begin_with_the_name_of_a_part(tmp_path: Path, name: str) -> None:
    """The names of its modules are taken in the first spec: it is refused, or it passes; it is not written broken."""
    if rackspec(tmp_path, "begin", name).code == 0:
        assert rackspec(tmp_path, "inspect").code == 0
    else:
        assert list(tmp_path.iterdir()) == []


def test_begin_writes_no_house(tmp_path: Path) -> None:
    """house.rackspec is the house file: a rack is not to be called so by accident."""
    run = rackspec(tmp_path, "begin", "house")
    assert run.code == 2
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "name",
    [
        "",
        " ",
        "two words",
        "../up",
        "/tmp/x",
        "9lives",
        "blank",
        "gap",
        "plus",
        "minus",
        "a--b",
        "a-",
        ".hidden",
        "a/b",
        "a\nb",
        "-",
    ],
)
def test_begin_with_names_that_do_not(tmp_path: Path, name: str) -> None:
    """No name of a rack: 2, a word about what a name looks like, and nothing written."""
    (tmp_path / "here").mkdir()
    run = rackspec(tmp_path / "here", "begin", name)
    assert (run.code, run.out) == (2, "")
    assert "is no name for a rack" in run.err
    assert len(run.err.splitlines()) == 1
    assert [path.name for path in tmp_path.rglob("*")] == ["here"]


def test_begin_where_nothing_may_be_written(tmp_path: Path) -> None:
    """A read-only folder: 2, with the name of the file that was to be written."""
    write(tmp_path, {"x": ""})
    (tmp_path / "x").chmod(0)
    if not rights_count(tmp_path / "x"):
        pytest.skip("here nobody can be kept from writing a file")
    tmp_path.chmod(0o555)
    run = rackspec(tmp_path, "begin", "desk-rack", before=give_up_rights)
    tmp_path.chmod(0o755)
    assert (run.code, run.err) == (2, "rackspec: desk-rack.rackspec: Permission denied\n")
    assert [path.name for path in tmp_path.iterdir()] == ["x"]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("row-overfull", "wider, taken together, than the row is long"),
        ("width", "how much of the row it takes"),
        ("HP", "1 HP = 5.08 mm"),
        ("rules", "modules-overlap"),
        ("words", "how much of the row it takes"),
        ("limits", "20%"),
        ("spare current", "20%"),
    ],
)
def test_explain(tmp_path: Path, words: str, told: str) -> None:
    """A rule, a word, a unit, a limit, or a list of them."""
    run = rackspec(tmp_path, "explain", *words.split())
    assert (run.code, run.err) == (0, "")
    assert told in " ".join(run.out.split())


@pytest.mark.parametrize(
    ("word", "near"), [("row-overful", "row-overfull"), ("widht", "width"), ("Module", "module"), ("hp", "HP")]
)
def test_explain_what_is_not_known(tmp_path: Path, word: str, near: str) -> None:
    """Unknown: 2, nothing on standard output, and what may have been meant."""
    run = rackspec(tmp_path, "explain", word)
    assert (run.code, run.out) == (2, "")
    assert f"'{near}'" in run.err


def test_explain_what_is_near_to_nothing(tmp_path: Path) -> None:
    """Nothing close: the way to the lists is shown, and no odd guess."""
    run = rackspec(tmp_path, "explain", "xylophone-polish")
    assert run.code == 2
    assert "rackspec explain rules" in run.err
    assert "rackspec explain words" in run.err


def test_everything_has_a_page() -> None:
    """Each rule, each word of the language and each unit can be explained."""
    words = {word for block in BLOCKS.values() for word in block.statements}
    for topic in {*load_rules(), *words, *UNITS}:
        page = explanation(topic)
        assert page is not None, topic
        assert page.strip(), topic
