"""What a clone does not have: in: a revision and a remote, out: the remote's branch that is meant, and what brings it.

A CI service clones one branch, or one commit, and checks out no branch at all: ``main`` is then ``origin/main``, or has
to be fetched. Commands that are told work one behind the other, as they stand, also in a clone of one branch.
"""

from __future__ import annotations

import re
import shlex
from typing import NamedTuple

PLAIN = re.compile(r"(?P<name>[^\s~^:?*\[\\-][^\s~^:?*\[\\]*)(?P<steps>([~^]\d*)*)")
"""A name that may be a branch's, and steps back from it (git-check-ref-format(1), gitrevisions(7))."""
HASH = re.compile(r"[0-9a-f]{7,64}")
"""The name of a commit, or its beginning: no branch is meant."""


class Tracked(NamedTuple):
    """A branch of a remote: how people write it, and how git knows it for sure."""

    shown: str
    full: str


def branch_of(revision: str) -> str:
    """The branch that a revision may name, without steps back from it; empty where it is plain that it names none."""
    found = PLAIN.fullmatch(revision)
    if not found or found["name"] == "HEAD" or ".." in revision or "@{" in revision or revision.startswith("refs/"):
        return ""
    return found["name"]


def tracked(revision: str, remote: str) -> Tracked | None:
    """The branch of a remote that a plain name may mean, if it may mean one."""
    if not remote or not branch_of(revision):
        return None
    return Tracked(f"{remote}/{revision}", f"refs/remotes/{remote}/{revision}")


def unshallow(remote: str) -> str:
    """The command that brings what a shallow clone has left out."""
    return f"git fetch --unshallow {shlex.quote(remote)}"


def commands(revision: str, remote: str, is_shallow: bool) -> list[str]:
    """What brings a revision that is not here, in order; empty where nothing is known to."""
    if not remote:
        return []
    found = [unshallow(remote)] if is_shallow else []
    branch = branch_of(revision).removeprefix(remote + "/")
    if branch and not HASH.fullmatch(branch):
        where = f"{branch}:refs/remotes/{remote}/{branch}"
        found.append(f"git fetch {shlex.quote(remote)} {shlex.quote(where)}")
    return found
