"""A revision is read as the disk would be: the same findings, places and numbers, whatever stands in it."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

from rackspec.git.repository import Repository, RevisionFailure
from rackspec.git.revision import Revision
from rackspec.pipeline import Request, inspect
from rackspec.views.json_findings import findings_json
from tests.conftest import ROOT, TODAY
from tests.git.repositories import commit, git, repository, write

PART = "module saw {\n    width 14HP\n    depth 30mm guessed\n    draws nothing\n}\n"
RACK = """\
use "../parts/"
rack tray {
    row top {
        length 84HP
        behind 60mm
        at 0HP saw
    }
}
"""
SPLIT = {"parts/saw.rackspec": PART, "racks/tray.rackspec": RACK}


def read(folder: Path, revision: str, *paths: str, below: str = "") -> str:
    """What a revision says, as a document."""
    where = str(folder / below)
    found = Repository(where)
    return findings_json(inspect(Request(paths or (".",), where, TODAY, store=Revision(found, revision))))


def on_disk(folder: Path, *paths: str, below: str = "") -> str:
    """What the files say, as a document."""
    return findings_json(inspect(Request(paths or (".",), str(folder / below), TODAY)))


def demo(folder: Path) -> None:
    """The demo, as it is."""
    shutil.copytree(ROOT / "specs", folder, dirs_exist_ok=True)


def links(folder: Path) -> None:
    """Links to files and folders, out of the repository, in a ring, and to nowhere."""
    write(folder, {"shelf/saw.rackspec": PART, "racks/tray.rackspec": RACK, "racks/deep/a.txt": ""})
    os.symlink("shelf", folder / "parts")
    os.symlink("../racks/tray.rackspec", folder / "shelf" / "again.rackspec")
    os.symlink("/etc/hostname", folder / "racks" / "out.rackspec")
    os.symlink("nowhere.rackspec", folder / "racks" / "lost.rackspec")
    os.symlink("ring-b.rackspec", folder / "racks" / "ring-a.rackspec")
    os.symlink("ring-a.rackspec", folder / "racks" / "ring-b.rackspec")
    os.symlink("../../shelf", folder / "racks" / "deep" / "parts")
    write(folder, {"racks/deep/two.rackspec": 'use "parts/saw.rackspec"\nuse "parts/../racks/tray.rackspec"\n'})


def names(folder: Path) -> None:
    """Names with blanks, quotes and letters of all kinds, folders with a dot, two houses."""
    write(
        folder,
        {
            "a \"b\" 'c'/größe 84.rackspec": PART,
            "文/r.rackspec": RACK.replace("../parts/", "../a \"b\" 'c'/").replace(
                'use "../a "b" \'c\'/"', 'use "../x/"'
            ),
            "x/one.rackspec": PART.replace("saw", "saw-two"),
            ".hidden/not.rackspec": "not read",
            "x/.not.rackspec": "not read",
            "x/house.rackspec": "house {\n    spare depth 9mm\n}\n",
            "house.rackspec": "house {\n    spare current 30%\n}\n",
        },
    )


def broken(folder: Path) -> None:
    """What is wrong in files, in all the ways that have to do with where they are."""
    write(
        folder,
        {
            "racks/tray.rackspec": RACK + 'use "../../outside.rackspec"\nuse "gone.rackspec"\nuse "/top"\nuse "."\n',
            "parts/saw.rackspec": PART + "module saw {\n    widht 3HP\n}\n",
            "parts/deep/ring.rackspec": 'use "../saw.rackspec"\nuse "../../racks/"\n',
            "crlf.rackspec": PART.replace("saw", "crlf").replace("\n", "\r\n"),
            "mark.rackspec": "\ufeff" + PART.replace("saw", "mark"),
            "empty.rackspec": "",
        },
    )
    (folder / "bytes.rackspec").write_bytes(b"module \xff {\n}\n")


@pytest.mark.parametrize("fill", [demo, links, names, broken])
@pytest.mark.parametrize("below", ["", "racks"])
def test_a_revision_says_what_the_files_say(fill: object, below: str, tmp_path: Path) -> None:
    """The same tree in a commit and on the disk, read from its top and from a folder in it."""
    folder = tmp_path / "here"
    folder.mkdir()
    fill(folder)  # type: ignore[operator]
    git(folder, "init", "-q")
    git(folder, "config", "core.autocrlf", "false")
    commit(folder, {})
    if not (folder / below).is_dir():
        below = "x"
    expected = on_disk(folder, below=below)
    for name in [path for path in folder.iterdir() if path.name != ".git"]:
        (shutil.rmtree if name.is_dir() and not name.is_symlink() else Path.unlink)(name)
    (folder / below).mkdir(exist_ok=True)
    assert read(folder, "HEAD", below=below) == expected
    assert '"files": 0' not in expected


def test_revisions_keep_their_own_library(tmp_path: Path) -> None:
    """``use`` leads into the revision, not into the files that are here now."""
    folder = repository(tmp_path / "here", SPLIT)
    commit(folder, {"parts/saw.rackspec": PART.replace("14HP", "20HP")})
    write(folder, {"parts/saw.rackspec": PART.replace("14HP", "33HP")})
    assert '"used_hp": 14' in read(folder, "HEAD~1")
    assert '"used_hp": 20' in read(folder, "HEAD")
    assert '"used_hp": 33' in on_disk(folder)


@pytest.mark.parametrize("name", ["main", "HEAD", "v1", "light", "main^{tree}", "HEAD@{0}", "HEAD^0", ":/first"])
def test_whatever_git_takes_for_a_revision(name: str, tmp_path: Path) -> None:
    """Branches, tags of both kinds, trees, and git's ways to say them."""
    folder = repository(tmp_path / "here", SPLIT)
    git(folder, "tag", "-a", "v1", "-m", "one")
    git(folder, "tag", "light")
    assert read(folder, name) == on_disk(folder)


@pytest.mark.parametrize("name", ["nope", "", "--help", "-", "HEAD~99", "v1\nHEAD", "HEAD:parts/saw.rackspec", "a b"])
def test_no_such_revision(name: str, tmp_path: Path) -> None:
    """What is no revision is said in one line, whatever it looks like."""
    folder = repository(tmp_path / "here", SPLIT)
    with pytest.raises(RevisionFailure) as failure:
        read(folder, name)
    assert "no file, folder or revision" in str(failure.value) or "a file in git" in str(failure.value)
    assert "\n" not in str(failure.value) or "\n" in name


def test_a_bare_repository_and_a_second_work_tree(tmp_path: Path) -> None:
    """A server's copy has no work tree; a second one shares its objects."""
    folder = repository(tmp_path / "here", SPLIT)
    git(tmp_path, "clone", "-q", "--bare", "here", "bare.git")
    assert read(tmp_path / "bare.git", "main") == read(folder, "main")
    git(folder, "worktree", "add", "-q", "--detach", "../second", "HEAD")
    assert read(tmp_path / "second", "main") == read(folder, "main")


def test_submodules_are_not_entered(tmp_path: Path) -> None:
    """What another repository holds is not in this one's objects."""
    inner = repository(tmp_path / "inner", {"more.rackspec": PART.replace("saw", "inner")})
    folder = repository(tmp_path / "here", SPLIT)
    git(folder, "-c", "protocol.file.allow=always", "submodule", "add", "-q", str(inner), "inner")
    commit(folder, {})
    assert "inner" not in read(folder, "HEAD")


def test_objects_that_are_too_large_are_not_read(tmp_path: Path) -> None:
    """Those behind them are."""
    folder = repository(tmp_path / "here", {"a.txt": "x" * 5_000, "b.txt": "second", "c.txt": ""})
    found = Repository(str(folder))
    names = [name for _, name in found.tree("HEAD").values()]
    assert sorted(
        found.blobs([*names, "0" * 40], 1000).items(), key=lambda item: names.index(item[0]) if item[0] in names else 9
    ) == [
        (names[0], bytes(1001)),
        (names[1], b"second"),
        (names[2], b""),
        ("0" * 40, None),
    ]
