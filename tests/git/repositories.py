"""Real git repositories for tests: in: files, out: commits. Nobody's own settings of git take part."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

ENVIRONMENT = {
    "GIT_CONFIG_GLOBAL": os.devnull,
    "GIT_CONFIG_SYSTEM": os.devnull,
    "GIT_AUTHOR_NAME": "Plover Hatch",
    "GIT_AUTHOR_EMAIL": "bench@plover-hatch.example",
    "GIT_COMMITTER_NAME": "Plover Hatch",
    "GIT_COMMITTER_EMAIL": "bench@plover-hatch.example",
    "GIT_AUTHOR_DATE": "2026-11-25T12:00:00Z",
    "GIT_COMMITTER_DATE": "2026-11-25T12:00:00Z",
    "GIT_TERMINAL_PROMPT": "0",
}


def environment(**more: str) -> dict[str, str]:
    """The environment of git, and of what it starts."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("GIT_")}
    return {**kept, **ENVIRONMENT, **more}


def git(folder: Path, *arguments: str, code: int | None = 0, **more: str) -> str:
    """Run git, which has to answer with a code (None: any); what it says."""
    done = subprocess.run(
        ["git", *arguments], cwd=folder, env=environment(**more), capture_output=True, text=True, check=False
    )
    assert code is None or done.returncode == code, done.stdout + done.stderr
    return done.stdout + (done.stderr if code is None or code else "")


def repository(folder: Path, files: dict[str, str]) -> Path:
    """A new repository with one commit."""
    folder.mkdir(parents=True, exist_ok=True)
    git(folder, "init", "-q", "-b", "main")
    commit(folder, files, "first")
    return folder


def write(folder: Path, files: dict[str, str | None]) -> None:
    """Put texts into files; None takes a file away."""
    for name, text in files.items():
        path = folder / name
        if text is None:
            path.unlink()
            continue
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8", newline="")


def commit(folder: Path, files: dict[str, str] | dict[str, str | None], message: str = "next") -> str:
    """Change files, and commit all that is there; the commit."""
    write(folder, dict(files))
    git(folder, "add", "-A")
    git(folder, "commit", "-q", "--allow-empty", "-m", message)
    return git(folder, "rev-parse", "HEAD").strip()
