"""What a user may name as a side, and what is said where it cannot be read."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from rackspec.git.repository import RevisionFailure
from rackspec.pipeline import Result, inspect
from rackspec.sides import Here, Side, one_side, since_base, within
from tests.conftest import TODAY
from tests.git.repositories import commit, git, repository, write
from tests.git.test_revision import PART, RACK, SPLIT


def here(folder: Path) -> Here:
    return Here(str(folder), TODAY)


def used(side: Side, rack: str = "tray") -> str:
    """How much of its row the rack takes; empty where there is no such rack."""
    result = inspect(side.request)
    assert not result.failed
    found = [summary for summary in result.summaries if summary.name == rack]
    return f"{found[0].rows[0].used / 508 * 100}HP" if found else ""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Three commits on main, one on a branch that left after the first, and a change that is not committed."""
    folder = repository(tmp_path / "here", SPLIT)
    git(folder, "branch", "topic")
    commit(folder, {"parts/saw.rackspec": PART.replace("14HP", "20HP")})
    commit(folder, {"parts/saw.rackspec": PART.replace("14HP", "22HP")})
    git(folder, "checkout", "-q", "topic")
    commit(folder, {"racks/tray.rackspec": RACK.replace("at 0HP saw", "at 0HP saw\n        next saw as saw-b")})
    write(folder, {"parts/saw.rackspec": PART.replace("14HP", "15HP")})
    return folder


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        ("racks", "30HP"),
        ("racks/tray.rackspec", "30HP"),
        (".", "30HP"),
        ("main", "22HP"),
        ("main~1", "20HP"),
        ("main:racks", "22HP"),
        ("main:racks/", "22HP"),
        ("main:./racks/tray.rackspec", "22HP"),
        ("main:racks/tray.rackspec", "22HP"),
        ("topic", "28HP"),
        (os.devnull, ""),
    ],
)
def test_one_side(given: str, expected: str, folder: Path) -> None:
    """Files, folders, revisions and paths in them."""
    assert used(one_side(given, here(folder))) == expected


def test_paths_in_a_revision_from_a_folder_further_down(folder: Path) -> None:
    """``REVISION`` means the current folder, ``./`` begins there, any other path at the top: as git has it."""
    racks = folder / "racks"
    assert used(one_side("main", here(racks))) == "22HP"
    assert used(one_side("main:./tray.rackspec", here(racks))) == "22HP"
    assert used(one_side("main:../racks", here(racks))) == "22HP"
    assert used(one_side("main:racks/tray.rackspec", here(racks))) == "22HP"
    with pytest.raises(RevisionFailure, match=r"'main' holds no 'tray\.rackspec'"):
        one_side("main:tray.rackspec", here(racks))
    (folder / "new").mkdir()
    with pytest.raises(RevisionFailure, match=r"'main' holds no '\./'"):
        one_side("main", here(folder / "new"))


def test_since_base(folder: Path) -> None:
    """``BASE...``: what topic and main have come from, against the files here; then against a revision."""
    old, new = since_base("main...", (), here(folder))
    assert (used(old), used(new)) == ("14HP", "30HP")
    old, new = since_base("main...topic", (), here(folder))
    assert (used(old), used(new)) == ("14HP", "28HP")
    old, new = since_base("topic...main", ("racks",), here(folder))
    assert (used(old), used(new)) == ("14HP", "22HP")
    old, new = since_base("main...", ("tray.rackspec",), here(folder / "racks"))
    assert (used(old), used(new)) == ("14HP", "30HP")


def test_files_that_came_or_went_since_base(folder: Path) -> None:
    """A file that only one side has is a change; one that neither has is a slip."""
    new_file = {"racks/two.rackspec": RACK.replace("tray", "two")}
    write(folder, new_file)
    old, new = since_base("main...", ("racks/two.rackspec",), here(folder))
    assert (used(old, "two"), used(new, "two")) == ("", "15HP")
    write(folder, {"racks/tray.rackspec": None})
    old, new = since_base("main...", ("racks/tray.rackspec",), here(folder))
    assert (used(old), used(new)) == ("14HP", "")
    with pytest.raises(RevisionFailure, match=r"'racks/nope\.rackspec' is neither in 'main' nor among the files here"):
        since_base("main...", ("racks/nope.rackspec",), here(folder))


def test_two_files_within_a_repository(folder: Path, tmp_path: Path) -> None:
    """A file under another name is read as if it stood in its place."""
    write(
        tmp_path, {"a.rackspec": RACK, "b.rackspec": RACK.replace("at 0HP saw", "at 0HP saw\n        at 40HP saw as b")}
    )
    old, new = within("../a.rackspec", "../b.rackspec", "racks/tray.rackspec", here(folder))
    assert (used(old), used(new)) == ("15HP", "30HP")
    old, new = within(os.devnull, "../b.rackspec", "racks/tray.rackspec", here(folder))
    assert (used(old), used(new)) == ("", "30HP")
    old, new = within("../a.rackspec", os.devnull, "racks/tray.rackspec", here(folder))
    assert (used(old), used(new)) == ("15HP", "")


def test_two_trees_within_a_repository(folder: Path, tmp_path: Path) -> None:
    """Trees of what differs are laid over the folder; a file that only one has is not there in the other."""
    write(tmp_path, {"left/parts/saw.rackspec": PART.replace("14HP", "5HP"), "right/racks/deep/two.rackspec": PART})
    (tmp_path / "right" / "parts").mkdir()
    os.symlink(folder / "parts" / "saw.rackspec", tmp_path / "right" / "parts" / "saw.rackspec")
    write(folder, {"racks/deep/two.rackspec": "not a spec"})
    old, new = within(str(tmp_path / "left"), str(tmp_path / "right"), ".", here(folder))
    assert (used(old), used(new)) == ("10HP", "30HP")
    before, after = inspect(old.request), inspect(new.request)
    assert "racks/deep/two.rackspec" not in before.names
    assert "racks/deep/two.rackspec" in after.names
    assert [finding.rule for finding in after.findings if "deep" in finding.place.source.name] == ["name-taken"]


def read(folder: Path, *given: str) -> Result:
    """Ask for sides, and read the first."""
    if "..." in given[0]:
        sides = since_base(given[0], given[1:], here(folder))
    elif len(given) == 3:
        sides = within(given[0], given[1], given[2], here(folder))
    else:
        sides = (one_side(given[0], here(folder)),) * 2
    return inspect(sides[0].request)


def refusal(folder: Path, *given: str) -> str:
    """The one line that is said."""
    with pytest.raises(RevisionFailure) as failure:
        read(folder, *given)
    assert "\n" not in str(failure.value)
    return str(failure.value)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (("nope",), "there is no file, folder or revision 'nope' here"),
        (("nope.rackspec",), "there is no file 'nope.rackspec'"),
        (("main:nope",), "'main' holds no 'nope'"),
        (("main:../out",), "'main' holds no '../out'"),
        (("main:/etc",), "'main' holds no '/etc'"),
        ((":racks",), "':racks' names no revision; write REVISION:PATH, such as HEAD:racks"),
        (("nope...",), "there is no file, folder or revision 'nope' here"),
        (("main...nope",), "there is no file, folder or revision 'nope' here"),
        (("a", "b", "racks"), "there is no file or folder 'a'"),
        (("racks", "racks/tray.rackspec", "."), "name two files, or two folders"),
        (("racks", "parts", "racks/tray.rackspec"), "'racks/tray.rackspec' is no folder; name the one"),
    ],
)
def test_sides_that_are_not_there(given: tuple[str, ...], said: str, folder: Path) -> None:
    """Each is one line that says what to write."""
    assert refusal(folder, *given).startswith(said)


def test_outside_of_any_repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No repository, no revisions."""
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(tmp_path.parent))
    said = "this folder is in no git repository"
    assert refusal(tmp_path, "main...") == f"{said}, so there are no revisions; name two folders"
    assert refusal(tmp_path, "main") == f"there is no file or folder 'main' here, and no revision either: {said}"
    write(tmp_path, {"hillside.rackspec": RACK})
    assert refusal(tmp_path, "hillside") == (
        "there is no file or folder 'hillside' here; did you mean 'hillside.rackspec'?"
    )


def test_without_git(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A machine without git says so."""
    monkeypatch.setenv("PATH", "/nowhere")
    assert refusal(folder, "main") == "git is not installed here; compare two folders or files instead"


def test_a_shallow_clone(folder: Path, tmp_path: Path) -> None:
    """What CI services make: one commit deep. The line says which command brings the rest."""
    git(folder, "checkout", "-q", "-f", "main")
    git(tmp_path, "clone", "-q", "--depth=1", "--no-single-branch", folder.as_uri(), "shallow")
    shallow = tmp_path / "shallow"
    assert used(one_side("HEAD", here(shallow))) == "22HP"
    assert refusal(shallow, "HEAD~1").endswith("this clone is shallow; run: git fetch --unshallow origin")
    said = refusal(shallow, "origin/topic...")
    assert said == (
        "this clone is too shallow to hold what 'origin/topic' and 'HEAD' have come from; "
        "run: git fetch --unshallow origin"
    )
    git(shallow, "fetch", "-q", "--unshallow")
    old, new = since_base("origin/topic...", (), here(shallow))
    assert (used(old), used(new)) == ("14HP", "22HP")


def test_a_branch_that_was_not_fetched(folder: Path, tmp_path: Path) -> None:
    """A clone of one branch knows no other."""
    git(folder, "checkout", "-q", "-f", "main")
    git(tmp_path, "clone", "-q", "--single-branch", folder.as_uri(), "single")
    said = refusal(tmp_path / "single", "origin/topic...")
    assert said.endswith(
        "'origin/topic' here; if 'origin' has it, run: git fetch origin topic:refs/remotes/origin/topic"
    )


def test_a_clone_without_its_objects(folder: Path, tmp_path: Path) -> None:
    """A partial clone whose other side is gone."""
    git(folder, "config", "uploadpack.allowFilter", "true")
    git(tmp_path, "clone", "-q", "--filter=blob:none", "--no-checkout", folder.as_uri(), "partial")
    folder.rename(tmp_path / "gone")
    said = refusal(tmp_path / "partial", "HEAD")
    assert said.startswith("an object of this revision is missing or damaged here; this clone was made without all")
    assert said.endswith("run: git fetch --refetch")


@pytest.mark.parametrize("spoil", ["blob", "tree", "commit"])
def test_objects_that_are_lost(spoil: str, folder: Path) -> None:
    """One missing object of each kind."""
    name = {"blob": "main:parts/saw.rackspec", "tree": "main:parts", "commit": "main"}[spoil]
    found = git(folder, "rev-parse", name).strip()
    (folder / ".git" / "objects" / found[:2] / found[2:]).unlink()
    assert refusal(folder, "main").endswith("to see what is broken, run: git fsck")


def test_an_object_that_is_damaged(folder: Path) -> None:
    """Bytes that are no object."""
    found = git(folder, "rev-parse", "main:parts/saw.rackspec").strip()
    path = folder / ".git" / "objects" / found[:2] / found[2:]
    path.chmod(0o644)
    path.write_bytes(b"not an object")
    assert "missing or damaged here; to see what is broken, run: git fsck" in refusal(folder, "main")


@pytest.mark.parametrize("content", ["gitdir: /nowhere/at/all\n", "", "nonsense"])
def test_half_a_repository(content: str, tmp_path: Path) -> None:
    """A ``.git`` that leads nowhere."""
    folder = tmp_path / "half"
    folder.mkdir()
    (folder / ".git").write_text(content)
    assert refusal(folder, "main").startswith("git cannot read this repository: ")


def test_a_repository_without_commits(tmp_path: Path) -> None:
    """The first commit is still to come."""
    git(tmp_path, "init", "-q", "-b", "main")
    assert refusal(tmp_path, "HEAD").startswith("there is no file, folder or revision 'HEAD' here")
