"""Sides as people type them: slips, a revision beside a path, names that are two things, submodules."""

from __future__ import annotations

import os
import shutil
from collections.abc import Sequence
from pathlib import Path

import pytest

from rackspec.git.repository import RevisionFailure
from rackspec.pipeline import inspect
from rackspec.sides import Side, since_base, two_sides
from tests.git.repositories import commit, git, repository, write
from tests.git.test_revision import PART, RACK, SPLIT
from tests.git.test_sides import here

OTHER = RACK.replace("tray", "other")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Two racks on main; on topic, which is checked out, one is wider, and one is new."""
    folder = repository(tmp_path / "here", {**SPLIT, "racks/other.rackspec": OTHER})
    git(folder, "checkout", "-q", "-b", "topic")
    write(folder, {"racks/tray.rackspec": RACK.replace("84HP", "104HP")})
    commit(folder, {"racks/third.rackspec": RACK.replace("tray", "third")})
    return folder


def racks(side: Side) -> list[str]:
    """The racks of a side."""
    result = inspect(side.request)
    assert not result.failed
    return sorted(summary.name for summary in result.summaries)


def since(folder: Path, given: str, *paths: str) -> str:
    """What is said of paths that are nowhere."""
    with pytest.raises(RevisionFailure) as failure:
        since_base(given, paths, here(folder))
    return str(failure.value)


def refused(folder: Path, old: str, new: str) -> str:
    """What is said of two sides."""
    with pytest.raises(RevisionFailure) as failure:
        two_sides(old, new, here(folder))
    return str(failure.value)


def test_a_path_that_is_on_neither_side(folder: Path) -> None:
    """A slip, with what was meant; it is never no difference."""
    assert since(folder, "main...topic", "racks/trai.rackspec") == (
        "'racks/trai.rackspec' is neither in 'main' nor in 'topic'; did you mean 'racks/tray.rackspec'?"
    )
    assert since(folder, "main...", "racks/tray").endswith("among the files here; did you mean 'racks/tray.rackspec'?")
    assert since(folder, "main...topic", "racks", "nope") == "'nope' is neither in 'main' nor in 'topic'"
    assert since(folder / "racks", "main...topic", "racks") == (
        "'racks' is neither in 'main' nor in 'topic'; did you mean '.'?"
    )
    assert since(folder / "racks", "...topic", "parts").endswith("'HEAD' nor in 'topic'; did you mean '../parts'?")
    assert since(folder, "main...", "") == "a path is empty; name a file or a folder"
    (folder / "empty").mkdir()
    assert since(folder / "empty", "main...topic") == "this folder is neither in 'main' nor in 'topic'"


def test_a_path_that_is_on_one_side(folder: Path) -> None:
    """New, or gone."""
    assert [racks(side) for side in since_base("main...topic", ("racks/third.rackspec",), here(folder))] == [
        [],
        ["third"],
    ]
    write(folder, {"racks/other.rackspec": None})
    assert [racks(side) for side in since_base("main...", ("racks/other.rackspec",), here(folder))] == [["other"], []]
    git(folder, "rm", "-q", "--cached", "racks/other.rackspec")
    assert [racks(side) for side in since_base("main...", ("racks",), here(folder))] == [
        ["other", "tray"],
        ["third", "tray"],
    ]


@pytest.mark.parametrize("path", ["racks/tray.rackspec", "./racks/tray.rackspec", "racks/../racks/tray.rackspec"])
def test_a_revision_beside_a_file(path: str, folder: Path) -> None:
    """The same file at that time, and a line that says so; the other way round too."""
    told = "'main' is read as 'main:racks/tray.rackspec', the same path as on the other side"
    for old, new in ((path, "main"), ("main", path), ("main", str(folder / path))):
        sides = two_sides(old, new, here(folder))
        assert [racks(side) for side in sides] == [["tray"], ["tray"]]
        assert [line for side in sides for line in side.told] == [told]
    sides = two_sides("main", "tray.rackspec", here(folder / "racks"))
    assert [line for side in sides for line in side.told] == [told]
    assert racks(sides[0]) == ["tray"]


def test_a_revision_beside_a_folder(folder: Path, tmp_path: Path) -> None:
    """The same folder; of the current one nothing is told, and one elsewhere stands for itself."""
    old, new = two_sides("main", "racks", here(folder))
    assert (racks(old), racks(new)) == (["other", "tray"], ["other", "third", "tray"])
    assert old.told == ("'main' is read as 'main:racks', the same path as on the other side",)
    for where in (".", str(folder)):
        old, new = two_sides("main", where, here(folder))
        assert (old.told, racks(old)) == ((), ["other", "tray"])
    old, _ = two_sides("main", "..", here(folder / "racks"))
    assert old.told == ("'main' is read as 'main:', the same path as on the other side",)
    write(tmp_path, {"elsewhere/a.rackspec": "rack a {\n}\n"})
    old, new = two_sides("main", "../elsewhere", here(folder))
    assert (old.told, racks(old), racks(new)) == ((), ["other", "tray"], ["a"])


def test_a_path_that_the_revision_does_not_hold(folder: Path) -> None:
    """All of it is new, or gone, and a line says so."""
    old, new = two_sides("main", "racks/third.rackspec", here(folder))
    assert (racks(old), racks(new)) == ([], ["third"])
    assert old.told == ("'main' holds no 'racks/third.rackspec', so all of it is new",)
    old, new = two_sides("racks/third.rackspec", "main", here(folder))
    assert (racks(old), racks(new)) == (["third"], [])
    assert new.told == ("'main' holds no 'racks/third.rackspec', so all of it is gone",)


@pytest.mark.parametrize("name", ["topic", "v1", "side/line", "HEAD"])
def test_a_folder_that_is_called_as_a_revision(name: str, folder: Path) -> None:
    """Neither wins; the line says how to write either, and both ways work."""
    git(folder, "tag", "v1")
    git(folder, "branch", "side/line")
    write(folder, {f"{name}/a.rackspec": "rack a {\n}\n"})
    assert refused(folder, "main", name) == (
        f"'{name}' is a folder here and a revision as well; "
        f"write ./{name} for the folder, or {name}:./ for the revision"
    )
    assert racks(two_sides("main", f"./{name}", here(folder))[1]) == ["a"]
    assert "third" in racks(two_sides("main", f"{name}:./", here(folder))[1])
    write(folder, {"main": ""})
    assert refused(folder, "main", "HEAD~1").startswith("'main' is a file here and a revision as well")


def test_a_folder_that_is_called_as_a_branch_of_the_remote(folder: Path, tmp_path: Path) -> None:
    """Others may call their branches as they like: the folder is taken, and the line names the branch. The name of a
    commit, or its beginning, is no name that a folder could not have."""
    git(tmp_path, "clone", "-q", "--branch=main", folder.as_uri(), "clone")
    start = git(folder, "rev-parse", "HEAD").strip()[:7]
    write(tmp_path / "clone", {"topic/a.rackspec": "rack a {\n}\n", f"{start}/a.rackspec": "rack a {\n}\n"})
    _, new = two_sides("HEAD", "topic", here(tmp_path / "clone"))
    assert (racks(new), new.told) == (["a"], ("'topic' is taken as the folder here; the branch is 'origin/topic'",))
    assert two_sides("HEAD", start, here(tmp_path / "clone"))[1].told == ()


def test_what_was_meant(folder: Path) -> None:
    """A slip in a name is asked about, by revision too; very short names are not."""
    assert refused(folder, "rack", "main").endswith("revision 'rack' here; did you mean 'racks'?")
    assert refused(folder, "rack", "parts").endswith("revision 'rack' here; did you mean 'racks'?")
    assert refused(folder, "racks/tray", "main").endswith("did you mean 'racks/tray.rackspec'?")
    assert refused(folder, "main:rack", "racks") == "'main' holds no 'rack'; did you mean 'racks'?"
    assert refused(folder, "racks/thurd.rackspec", "main").endswith("did you mean 'racks/third.rackspec'?")
    write(folder, {"a.rackspec": ""})
    assert refused(folder, "b.rackspec", "main") == "there is no file 'b.rackspec'"


@pytest.mark.parametrize("given", ["", " ", "\n"])
def test_an_empty_name(given: str, folder: Path) -> None:
    """It is not the current folder."""
    for old, new in ((given, given), ("main", given), (given, "racks")):
        assert refused(folder, old, new) == "the name of a side is empty; name a file, a folder or a revision"


@pytest.fixture
def outer(tmp_path: Path) -> Path:
    """A repository with a rack, and a submodule with a part and a rack."""
    inner = repository(tmp_path / "inner", {"saw.rackspec": PART, "shelf.rackspec": OTHER.replace("../parts/", "./")})
    outer = repository(tmp_path / "outer", {"racks/tray.rackspec": RACK.replace("../parts/", "../lib/inner/")})
    git(outer, "-c", "protocol.file.allow=always", "submodule", "add", "-q", str(inner), "lib/inner")
    commit(outer, {})
    return outer


def rules(side: Side) -> Sequence[str]:
    """What is found on a side."""
    return [finding.rule for finding in inspect(side.request).findings]


def test_a_submodule_is_left_out_of_both_sides(outer: Path) -> None:
    """Its files are on the disk only: neither they nor what needs them are a difference, and a line says so."""
    told = "'lib/inner' is a submodule: no revision of this repository holds its files, and they are left out"
    for sides in (two_sides("HEAD", ".", here(outer)), since_base("HEAD...", (), here(outer))):
        assert [racks(side) for side in sides] == [["tray"], ["tray"]]
        assert rules(sides[0]) == rules(sides[1])
        assert "use-not-found" in rules(sides[1])
        assert [line for side in sides for line in side.told] == [told]
    sides = two_sides("HEAD", "racks", here(outer))
    assert rules(sides[0]) == rules(sides[1])
    assert "submodule" not in " ".join(sides[0].told)
    old, new = two_sides(".", ".", here(outer))
    assert (racks(old), new.told) == (["other", "tray"], ())


@pytest.mark.parametrize("path", ["lib/inner", "lib/inner/shelf.rackspec"])
def test_a_submodule_is_named(path: str, outer: Path) -> None:
    """It has revisions of its own."""
    said = "'lib/inner' is a submodule: its files are in a repository of their own; run compare in that folder"
    assert since(outer, "HEAD...", path) == said
    assert refused(outer, "HEAD", path) == said
    assert refused(outer, f"HEAD:{path}", ".") == said
    assert [racks(side) for side in since_base("HEAD...", (), here(outer / "lib" / "inner"))] == [["other"], ["other"]]


def test_what_is_beside_a_submodule_is_read(outer: Path) -> None:
    """Only the submodule itself is left out, also where a link leads into it."""
    write(outer, {"lib/inner-two/b.rackspec": "rack b {\n}\n"})
    os.symlink("../lib/inner/shelf.rackspec", outer / "racks" / "shelf.rackspec")
    _, new = two_sides("HEAD", ".", here(outer))
    assert racks(new) == ["b", "tray"]
    shutil.rmtree(outer / "lib" / "inner")
    _, new = two_sides("HEAD", ".", here(outer))
    assert racks(new) == ["b", "tray"]
