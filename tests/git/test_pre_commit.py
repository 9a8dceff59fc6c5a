"""The hooks of .pre-commit-hooks.yaml, by pre-commit itself, with no network: ``try-repo`` on a copy of this project.

The hook's own environment is built as pre-commit builds it; hatchling and the dependencies come from the Python that
runs the tests.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import sysconfig
from pathlib import Path

import pytest

from tests.git.repositories import ENVIRONMENT, commit, git, repository, write
from tests.git.test_revision import PART, RACK, SPLIT
from tests.packaging.installs import ROOT, SOURCES, copy_sources, tried

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def hooks(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """This project, as somebody would clone it."""
    folder = tmp_path_factory.mktemp("project") / "rackspec"
    copy_sources(folder)
    shutil.copy(ROOT / ".pre-commit-hooks.yaml", folder)
    git(folder, "init", "-q", "-b", "main")
    commit(folder, {})
    assert ".ci/hatch_build.py" in SOURCES
    return folder


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where pre-commit keeps the environments of hooks."""
    return tmp_path_factory.mktemp("kept")


def without_network() -> list[str]:
    """What to put before a command so that there is no network, where this system can do that."""
    if shutil.which("unshare") and subprocess.run(["unshare", "-rn", "true"], check=False).returncode == 0:
        return ["unshare", "-rn"]
    return []


def try_repo(folder: Path, hooks: Path, kept: Path, hook: str, *more: str) -> tuple[int, str]:
    """Run a hook on a repository; its exit code, and what it printed."""
    done = tried(
        *without_network(),
        *(sys.executable, "-m", "pre_commit", "try-repo", hooks, hook, "--verbose", *more),
        folder=folder,
        HOME=str(kept),
        PRE_COMMIT_HOME=str(kept / "pre-commit"),
        PIP_NO_INDEX="1",
        PIP_NO_DEPS="1",
        PIP_NO_BUILD_ISOLATION="0",  # pip reads this one the other way round: no isolation
        PIP_DISABLE_PIP_VERSION_CHECK="1",
        PYTHONPATH=sysconfig.get_path("purelib"),
        XDG_CACHE_HOME=str(kept / "cache"),
        **ENVIRONMENT,
    )
    return done.returncode, done.stdout + done.stderr


def test_inspect(tmp_path: Path, hooks: Path, kept: Path) -> None:
    """All racks are looked at, also when only a part was changed."""
    folder = repository(tmp_path / "here", SPLIT)
    code, said = try_repo(folder, hooks, kept, "rackspec-inspect", "--all-files")
    assert code == 0, said
    assert "1 rack: 0 errors" in said
    write(folder, {"parts/saw.rackspec": PART.replace("14HP", "90HP")})
    git(folder, "add", "-A")
    code, said = try_repo(folder, hooks, kept, "rackspec-inspect")
    assert code == 1, said
    assert "racks/tray.rackspec:3:9: error:" in said
    git(folder, "reset", "-q", "--hard")
    write(folder, {"notes.txt": "nothing about racks"})
    git(folder, "add", "-A")
    code, said = try_repo(folder, hooks, kept, "rackspec-inspect")
    assert code == 0, said
    assert "no files to check" in said


def test_tidy(tmp_path: Path, hooks: Path, kept: Path) -> None:
    """A file that is not tidy is made so, and the commit has to be looked at again."""
    folder = repository(tmp_path / "here", {"racks/tray.rackspec": RACK.replace("    ", "\t")})
    code, said = try_repo(folder, hooks, kept, "rackspec-tidy", "--all-files")
    assert code == 1, said
    assert "files were modified by this hook" in said
    assert "\t" not in (folder / "racks" / "tray.rackspec").read_text(encoding="utf-8")
    git(folder, "commit", "-qam", "tidy")
    code, said = try_repo(folder, hooks, kept, "rackspec-tidy", "--all-files")
    assert code == 0, said


def test_tidy_refuses(tmp_path: Path, hooks: Path, kept: Path) -> None:
    """A file with a slip is told, and stays as it is."""
    text = "rack tray {\n  row top {\n  length 84 HP HP\n}\n"
    folder = repository(tmp_path / "here", {"racks/tray.rackspec": text})
    code, said = try_repo(folder, hooks, kept, "rackspec-tidy", "--all-files")
    assert code == 1, said
    assert "racks/tray.rackspec:" in said
    assert (folder / "racks" / "tray.rackspec").read_text(encoding="utf-8") == text
