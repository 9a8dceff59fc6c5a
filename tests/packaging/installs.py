"""Ways to get rackspec onto a machine: in: an empty folder, out: a copy of the sources, a wheel, an environment.

Nothing comes from the network: an environment sees the dependencies of the Python that runs the tests, by a line in a
.pth file, and the wheel is built with the hatchling and lark that are installed there.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import sysconfig
from pathlib import Path

ROOT = Path(__file__).parents[2]
SOURCES = ("rackspec", "grammar", "pyproject.toml", ".ci/hatch_build.py", "README.md")
"""What a build needs. A copy of it is built, so that nothing can hide in the working folder."""

PIP = (sys.executable, "-m", "pip", "--disable-pip-version-check", "--quiet")
OFFLINE = ("--no-index", "--no-deps", "--no-build-isolation")


def run(*command: str | Path, folder: Path | None = None, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run a command that has to succeed; what it printed stands in the error if it does not."""
    done = tried(*command, folder=folder, **environment)
    assert done.returncode == 0, f"{command}\n{done.stdout}{done.stderr}"
    return done


def tried(*command: str | Path, folder: Path | None = None, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run a command in a folder. The environment has PATH and what is named: no HOME, no PYTHONPATH of the caller."""
    kept = {name: os.environ[name] for name in ("PATH", "SYSTEMROOT", "TMPDIR", "TEMP") if name in os.environ}
    words = [str(word) for word in command]
    return subprocess.run(
        words, cwd=folder, env={**kept, **environment}, capture_output=True, encoding="utf-8", check=False
    )


def copy_sources(folder: Path) -> Path:
    """A copy of what a build needs, without bytecode, as a clean checkout has it."""
    folder.mkdir()
    for name in SOURCES:
        source = ROOT / name
        if source.is_dir():
            leave_out = shutil.ignore_patterns("__pycache__", "prepared")
            shutil.copytree(source, folder / name, ignore=leave_out)
        else:
            (folder / name).parent.mkdir(exist_ok=True)
            shutil.copy(source, folder / name)
    return folder


def build_wheel(sources: Path, folder: Path) -> Path:
    """The wheel of a folder of sources (or of an sdist), written into ``folder``."""
    run(*PIP, "wheel", *OFFLINE, "--wheel-dir", folder, sources, folder=folder.parent)
    (wheel,) = folder.glob("rackspec-*.whl")
    return wheel


def build_sdist(sources: Path, folder: Path) -> Path:
    """The sdist of a folder of sources, written into ``folder``."""
    code = "import sys; from hatchling.build import build_sdist; build_sdist(sys.argv[1])"
    run(sys.executable, "-c", code, folder, folder=sources)
    (archive,) = folder.glob("rackspec-*.tar.gz")
    return archive


def make_environment(folder: Path) -> Path:
    """A new environment that sees the dependencies of this Python. Its ``python``."""
    run(sys.executable, "-m", "venv", "--without-pip", folder)
    paths = {sysconfig.get_path("purelib"), sysconfig.get_path("platlib")}
    inside = {"base": str(folder), "platbase": str(folder)}
    # lines of a .pth file that are paths only extend the search: an editable rackspec out there stays out of sight
    own = Path(sysconfig.get_path("purelib", vars=inside))
    (own / "zz-dependencies.pth").write_text("".join(f"{path}\n" for path in sorted(paths)), encoding="utf-8")
    return Path(sysconfig.get_path("scripts", vars=inside)) / Path("python").with_suffix(Path(sys.executable).suffix)


def install(python: Path, *what: str | Path) -> None:
    """Install a wheel, an sdist or (``--editable``) a folder into an environment."""
    # rackspec may be among the dependencies that the environment sees; that one is neither enough nor to be touched
    run(*PIP, "--python", python, "install", *OFFLINE, "--ignore-installed", *what, folder=python.parent)


__all__ = ["ROOT", "build_sdist", "build_wheel", "copy_sources", "install", "make_environment", "run", "tried"]
