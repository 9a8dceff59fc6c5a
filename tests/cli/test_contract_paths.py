"""PATH, of whatever kind, goes in; the right files are read, under the right root and names."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.running import rackspec, write
from tests.cli.specs import BROKEN, CLEAN, ERROR

RAILS = "rail tideline {\n    length 84HP\n}\n"
USES = 'use "../parts/"\nrack tray {\n    row top {\n        rails tideline\n    }\n}\n'
STRICT = "house {\n    flag row-overfull as note\n}\n"


def names_read(folder: Path, *arguments: str) -> list[str]:
    """The racks that a run saw, by the names of their files."""
    run = rackspec(folder, "inspect", *arguments, "--write", "json=-")
    return [rack["file"] for rack in json.loads(run.out)["racks"]]


def numbered(count: int) -> list[str]:
    """As many clean specs with names of their own."""
    return [CLEAN.replace("desk", f"desk-{n}").replace("tray", f"tray-{n}") for n in range(count)]


def test_a_file_a_folder_several_or_none(tmp_path: Path) -> None:
    """A file is read alone, a folder with all specs below it, several paths together, none means the current folder."""
    first, second, third = numbered(3)
    write(tmp_path, {"a.rackspec": first, "deep/er/b.rackspec": second, "other/c.rackspec": third, "d.txt": BROKEN})
    assert names_read(tmp_path, "a.rackspec") == ["a.rackspec"]
    assert names_read(tmp_path, "deep") == ["deep/er/b.rackspec"]
    assert names_read(tmp_path, "deep", "other/c.rackspec") == ["deep/er/b.rackspec", "other/c.rackspec"]
    assert names_read(tmp_path) == ["a.rackspec", "deep/er/b.rackspec", "other/c.rackspec"]
    assert names_read(tmp_path, "a.rackspec", "./a.rackspec", ".") == names_read(tmp_path)


def test_a_folder_that_is_called_like_a_file(tmp_path: Path) -> None:
    """A folder may be called x.rackspec: it is a folder, named or found."""
    write(tmp_path, {"x.rackspec/inner.rackspec": CLEAN})
    assert names_read(tmp_path, "x.rackspec") == ["x.rackspec/inner.rackspec"]
    assert names_read(tmp_path) == ["x.rackspec/inner.rackspec"]


def test_names_are_relative_to_where_one_stands(tmp_path: Path) -> None:
    """From another folder the same file is shown by the way that leads to it from there."""
    write(tmp_path, {"specs/racks/tray.rackspec": ERROR, "elsewhere/x.txt": ""})
    assert rackspec(tmp_path, "inspect", "specs").heads[0].startswith("specs/racks/tray.rackspec:")
    assert rackspec(tmp_path / "specs/racks", "inspect").heads[0].startswith("tray.rackspec:")
    assert rackspec(tmp_path / "elsewhere", "inspect", "../specs").heads[0].startswith("../specs/racks/tray.rackspec:")
    full = str(tmp_path / "specs/racks/tray.rackspec")
    assert rackspec(tmp_path, "inspect", full).heads[0].startswith("specs/racks/tray.rackspec:")


def test_dot_folders_and_links_out_of_the_root_are_left_out(tmp_path: Path) -> None:
    """What lies in a dot-folder, or behind a link that leads out, is not read; a link inside is."""
    root = tmp_path / "root"
    one, two = numbered(2)
    write(tmp_path, {"outside/bad.rackspec": BROKEN, "root/a.rackspec": one, "root/shelf/b.rackspec": two})
    write(root, {".git/x.rackspec": BROKEN, ".cache/y.rackspec": BROKEN, "shelf/.old/z.rackspec": BROKEN})
    (root / "link.rackspec").symlink_to(tmp_path / "outside/bad.rackspec")
    (root / "links").symlink_to(tmp_path / "outside")
    (root / "again.rackspec").symlink_to(root / "a.rackspec")
    (root / "nowhere.rackspec").symlink_to(root / "gone.rackspec")
    run = rackspec(root, "inspect")
    assert (run.code, run.summary) == (0, "2 files, 2 racks: 0 errors, 0 warnings, 0 notes")


def test_use_of_a_folder_leaves_out_the_same(tmp_path: Path) -> None:
    """``use`` of a folder reads no dot-folder and no link that leads out of the root."""
    root = tmp_path / "root"
    write(tmp_path, {"outside/bad.rackspec": "module osc {\n    width 14HP\n}\n"})
    write(root, {".git/x": "", "parts/rails.rackspec": RAILS, "parts/.old/r.rackspec": RAILS, "racks/a.rackspec": USES})
    (root / "parts/link.rackspec").symlink_to(tmp_path / "outside/bad.rackspec")
    assert rackspec(root, "inspect", "racks").code == 0
    write(root, {"racks/a.rackspec": USES.replace("tideline", "tideline\n        length 80HP\n        at 0HP osc")})
    assert [head.rsplit(": ", 1)[-1] for head in rackspec(root, "inspect", "racks").heads if ": error: " in head] == [
        "no module or supply is called 'osc'"
    ]


def test_standard_input_stands_in_the_current_folder(tmp_path: Path) -> None:
    """``-`` reads standard input; its ``use`` lines start from the current folder, its name is ``-``."""
    write(tmp_path, {".git/x": "", "parts/rails.rackspec": RAILS, "racks/x.txt": ""})
    assert rackspec(tmp_path / "racks", "inspect", "-", stdin=USES.encode()).code == 0
    run = rackspec(tmp_path, "inspect", "-", stdin=USES.encode())
    assert run.code == 1
    assert run.heads[0].startswith("-:1:5: error: '../parts/' leads out of")
    assert rackspec(tmp_path, "inspect", "-", stdin=USES.replace("../", "").encode()).code == 0


def test_standard_input_named_stands_there(tmp_path: Path) -> None:
    """``--named`` says where standard input would stand: for ``use``, for the house, and in findings."""
    write(tmp_path, {".git/x": "", "parts/rails.rackspec": RAILS, "loft/house.rackspec": STRICT})
    assert rackspec(tmp_path, "inspect", "-", "--named", "racks/new.rackspec", stdin=USES.encode()).code == 0
    run = rackspec(tmp_path, "inspect", "-", "--named", "loft/new.rackspec", stdin=ERROR.encode())
    assert run.code == 0
    assert run.heads[0].startswith("loft/new.rackspec:7:9: note: row 'top' is overfull by 6HP")


def test_standard_input_stands_in_for_the_file_it_is_named_after(tmp_path: Path) -> None:
    """An editor pipes what is not saved yet: the text counts, not the file of that name, also for those that use it."""
    write(tmp_path, {".git/x": "", "parts/rails.rackspec": RAILS.replace("84", "20"), "racks/a.rackspec": USES})
    wide = USES.replace("rails tideline", "rails tideline\n        at 0HP blank 60HP")
    write(tmp_path, {"racks/a.rackspec": wide})
    assert rackspec(tmp_path, "inspect", "racks").code == 1
    run = rackspec(tmp_path, "inspect", "racks", "-", "--named", "parts/rails.rackspec", stdin=RAILS.encode())
    assert run.code == 0, run.out


@pytest.mark.parametrize("path", ["racks/a.rackspec", "racks", "."])
def test_house_of_the_root_applies_without_use(tmp_path: Path, path: str) -> None:
    """The house above decides, whatever is named."""
    write(tmp_path, {"house.rackspec": STRICT, "racks/a.rackspec": ERROR})
    run = rackspec(tmp_path, "inspect", path)
    assert run.code == 0
    assert run.heads[0].startswith("racks/a.rackspec:7:9: note: row 'top' is overfull")


def test_house_file_that_is_not_named_is_only_outlined(tmp_path: Path) -> None:
    """What else stands in the house file, broken or not, is told only when that file is named."""
    write(tmp_path, {"house.rackspec": "module loose {\n    widht 4HP\n}\n" + STRICT, "racks/a.rackspec": ERROR})
    alone = rackspec(tmp_path, "inspect", "racks/a.rackspec")
    assert (alone.code, len(alone.heads)) == (0, 1)
    assert alone.heads[0].startswith("racks/a.rackspec:7:9: note:")
    assert rackspec(tmp_path, "inspect").heads[0].startswith("house.rackspec:2:5: error: 'widht'")


@pytest.mark.parametrize(
    ("root", "reached"),
    [
        ({"house.rackspec": "house {\n}\n"}, True),
        ({".git/HEAD": "ref: refs/heads/main\n"}, True),
        ({".git": "gitdir: elsewhere\n"}, True),
        ({}, False),
        ({".git/HEAD": "", "racks/house.rackspec": "house {\n}\n"}, False),
        ({"house.rackspec": "house {\n}\n", "racks/.git/HEAD": ""}, True),
    ],
    ids=["house", "git folder", "git file", "own folder", "house nearer than git", "house beats git below it"],
)
def test_root(tmp_path: Path, root: dict[str, str], reached: bool) -> None:
    """The root is the nearest folder above with a house.rackspec, else the git root, else the file's folder."""
    write(tmp_path, {**root, "parts/rails.rackspec": RAILS, "racks/a.rackspec": USES})
    run = rackspec(tmp_path, "inspect", "racks/a.rackspec")
    assert run.code == (0 if reached else 1)
    assert reached or "leads out of the folder that this spec belongs to" in run.heads[0]


def test_one_name_space(tmp_path: Path) -> None:
    """Files inspected together share their names; a name given twice is an error that shows both places."""
    write(tmp_path, {"a.rackspec": CLEAN, "b.rackspec": CLEAN.replace("tray", "shelf")})
    assert rackspec(tmp_path, "inspect", "a.rackspec").code == 0
    run = rackspec(tmp_path, "inspect")
    assert run.code == 1
    assert run.heads == ["b.rackspec:1:8: error: the name 'desk' is taken: it is a module already"]
    assert "in a.rackspec" in run.out


def test_what_a_used_file_uses_comes_too(tmp_path: Path) -> None:
    """``use`` is followed all the way."""
    write(tmp_path, {".git/x": "", "a/rails.rackspec": RAILS, "b/all.rackspec": 'use "../a/rails.rackspec"\n'})
    write(tmp_path, {"racks/a.rackspec": USES.replace("../parts/", "../b/all.rackspec")})
    run = rackspec(tmp_path, "inspect", "racks")
    assert (run.code, run.heads) == (0, [])


def test_files_of_two_roots_do_not_mix(tmp_path: Path) -> None:
    """Two repositories in one run: each has its own names and its own house."""
    write(tmp_path, {"one/house.rackspec": STRICT, "one/a.rackspec": ERROR, "two/.git/x": "", "two/a.rackspec": ERROR})
    run = rackspec(tmp_path, "inspect", "one", "two/a.rackspec")
    assert run.code == 1
    assert [head.split(": ")[:2] for head in run.heads] == [
        ["one/a.rackspec:7:9", "note"],
        ["two/a.rackspec:7:9", "error"],
    ]


def test_nothing_needed_around(tmp_path: Path) -> None:
    """No git, no house, no home, no user, and a folder in which nothing can be written."""
    write(tmp_path, {"tray.rackspec": CLEAN})
    tmp_path.chmod(0o555)
    try:
        run = rackspec(tmp_path, "inspect", "tray.rackspec", HOME="", PATH="")
    finally:
        tmp_path.chmod(0o755)
    assert (run.code, run.heads, run.err) == (0, [], "")
    assert [path.name for path in tmp_path.iterdir()] == ["tray.rackspec"]


def test_a_folder_without_specs_says_how_to_begin(tmp_path: Path) -> None:
    """Nothing to inspect is no fault, but it is said, and what to do."""
    run = rackspec(tmp_path, "inspect")
    assert run.code == 0
    assert "rackspec begin" in run.err


@pytest.mark.parametrize("name", ["::error file=x.rackspec", "##[error]x.rackspec"])
def test_a_name_at_the_start_of_a_line_is_no_command_to_a_service(tmp_path: Path, name: str) -> None:
    """Services read lines that begin in their own way as commands."""
    write(tmp_path, {name: "rack a {\n    row top {\n        length    8HP\n        at   0HP  blank 9HP\n    }\n}\n"})
    run = rackspec(tmp_path, "inspect")
    assert run.code == 1
    assert run.out.startswith(f"./{name}:2:9: error: ")
    assert not any(line.startswith(("::", "##")) for line in (run.out + run.err).splitlines())


def test_paths_may_stand_before_and_behind_options(tmp_path: Path) -> None:
    """As they come to mind."""
    text = "rack {} {{\n    row top {{\n        length    8HP\n    }}\n}}\n"
    write(tmp_path, {f"{name}.rackspec": text.format(name) for name in ("one", "two", "three")})
    run = rackspec(tmp_path, "inspect", "one.rackspec", "--fail-at", "never", "two.rackspec", "--no-cache")
    assert run.code == 0, run.err
    assert "\n2 files, 2 racks: " in run.out
