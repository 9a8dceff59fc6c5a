"""A git repository: in: a folder in it, out: trees, merge bases and objects, as git itself tells them.

The one place below ``cli`` that starts another program. Nothing here writes, and nothing goes to a network, but for
what git fetches by itself in a clone that was made without all of its objects.
"""

from __future__ import annotations

import os
import subprocess
from collections.abc import Iterable

from rackspec.git.remote import commands, tracked, unshallow


class RevisionFailure(Exception):
    """A revision could not be read; its text is one line for the user, with what to do."""


class NoRepository(RevisionFailure):
    """The folder is in no repository at all."""


class UnknownRevision(RevisionFailure):
    """No revision has that name."""


class Repository:
    """The repository that a folder belongs to. ``top`` is the folder its trees stand for; ``told`` is what the user
    should know of how a name was taken. Raises NoRepository, RevisionFailure."""

    def __init__(self, folder: str) -> None:
        self.folder = folder
        self.told: list[str] = []
        self.top = os.path.realpath(self._top())

    def _run(self, *arguments: str) -> subprocess.CompletedProcess[bytes]:
        """Run git, whatever it answers."""
        try:
            return subprocess.run(
                ["git", "-C", self.folder, *arguments], capture_output=True, check=False, stdin=subprocess.DEVNULL
            )
        except FileNotFoundError:
            raise RevisionFailure("git is not installed here; compare two folders or files instead") from None
        except OSError as error:
            raise RevisionFailure(f"git cannot be run: {error.strerror}") from None

    def _ask(self, *arguments: str) -> bytes:
        """What git answers; its own words where it fails."""
        done = self._run(*arguments)
        if done.returncode:
            raise RevisionFailure(f"git cannot read this repository: {said(done.stderr)}{self._help(done.stderr)}")
        return done.stdout

    def _top(self) -> str:
        """The folder of the work tree; in a repository without one, the repository itself."""
        done = self._run("rev-parse", "--show-toplevel")
        if done.returncode == 0:
            return os.fsdecode(done.stdout.rstrip(b"\n"))
        bare = self._run("rev-parse", "--is-bare-repository", "--absolute-git-dir")
        if bare.returncode == 0 and bare.stdout.startswith(b"true\n"):
            return os.fsdecode(bare.stdout.split(b"\n")[1])
        if b"not a git repository" in done.stderr and b"gitdir" not in done.stderr and b"(" in done.stderr:
            raise NoRepository("this folder is in no git repository, so there are no revisions; name two folders")
        raise RevisionFailure(f"git cannot read this repository: {said(done.stderr)}")

    def named(self, revision: str) -> str:
        """The name under which git knows a revision: the one that is given, else that of a branch of the remote.

        Raises UnknownRevision.
        """
        if self._object(revision):
            return revision
        branch = tracked(revision, self._remote())
        if branch is not None and self._object(branch.full):
            self.told.append(f"no branch is called '{revision}' in this clone: '{branch.shown}' is taken")
            return branch.full
        raise UnknownRevision(f"there is no file, folder or revision '{revision}' here{self._bring(revision)}")

    def ref(self, name: str) -> str:
        """The branch or tag that a name stands for, as git knows it; empty where it stands for none."""
        done = self._run("rev-parse", "--verify", "--quiet", "--symbolic-full-name", "--end-of-options", name)
        return "" if done.returncode else done.stdout.decode("utf-8", "replace").strip()

    def remote_branch(self, name: str) -> str:
        """The branch of the remote that a plain name stands for where no branch here has it, such as ``origin/main``;
        empty where there is none."""
        branch = tracked(name, self._remote())
        return branch.shown if branch is not None and self._object(branch.full) else ""

    def _object(self, revision: str) -> str:
        """The object of a name; empty where git knows none."""
        named = self._run("rev-parse", "--verify", "--quiet", "--end-of-options", revision)
        return "" if named.returncode else named.stdout.decode().strip()

    def treeish(self, revision: str) -> str:
        """The object of a revision's tree. Raises RevisionFailure where there is none of that name."""
        name = self._object(self.named(revision))
        done = self._run("rev-parse", "--verify", "--end-of-options", name + "^{tree}")
        if done.returncode == 0:
            return done.stdout.decode().strip()
        if self._run("cat-file", "-t", name).stdout.strip() == b"blob":
            raise RevisionFailure(f"'{revision}' is a file in git, not a revision; write REVISION:PATH")
        raise RevisionFailure(f"'{revision}' is known here, but its objects are missing or damaged{self._help(b'')}")

    def merge_base(self, one: str, other: str) -> str:
        """The commit from which both have come. Raises RevisionFailure where there is none."""
        names = [self.named(revision) for revision in (one, other)]
        for name in names:
            self.treeish(name)
        done = self._run("merge-base", "--end-of-options", *names)
        if done.returncode == 0:
            return done.stdout.decode().split()[0]
        if done.returncode == 1:
            if self._is_shallow():
                raise RevisionFailure(
                    f"this clone is too shallow to hold what '{one}' and '{other}' have come from{self._deepen()}"
                )
            raise RevisionFailure(f"'{one}' and '{other}' have nothing in common; compare them: {one} {other}")
        raise RevisionFailure(f"git finds no merge base: {said(done.stderr)}{self._help(done.stderr)}")

    def tree(self, revision: str) -> dict[str, tuple[str, str]]:
        """All files of a revision: path from ``top`` to (mode, object)."""
        answer = self._ask("ls-tree", "-r", "-z", "--full-tree", self.treeish(revision))
        files = {}
        for line in answer.split(b"\0"):
            if line:
                facts, _, path = line.partition(b"\t")
                mode, _, name = facts.decode().split()
                files[os.fsdecode(path)] = (mode, name)
        return files

    def blobs(self, names: Iterable[str], most: int) -> dict[str, bytes | None]:
        """The bytes of objects by their names; None for one that is missing or damaged here.

        Of one longer than ``most`` so many zeros that this is plain.
        """
        wanted = sorted(set(names))
        sizes: dict[str, int] = {}
        for line in self._feed("--batch-check", wanted).splitlines():
            facts = line.split()
            if len(facts) == 3:
                sizes[facts[0].decode()] = int(facts[2])
        found: dict[str, bytes | None] = dict.fromkeys(wanted)
        found.update({name: bytes(most + 1) for name, size in sizes.items() if size > most})
        readable = [name for name, size in sizes.items() if size <= most]
        answer = self._feed("--batch", readable)
        at = 0
        for name in readable:
            end = answer.find(b"\n", at)
            if answer[at:end].split()[::2] != [name.encode(), str(sizes[name]).encode()]:
                break  # a damaged object ends the answer
            found[name] = answer[end + 1 : end + 1 + sizes[name]]
            at = end + 2 + sizes[name]
        return found

    def _feed(self, how: str, names: list[str]) -> bytes:
        """What git says of objects whose names it is given, as far as it gets."""
        if not names:
            return b""
        given = "".join(name + "\n" for name in names).encode()
        arguments = ["git", "-C", self.folder, "cat-file", how]
        return subprocess.run(arguments, input=given, capture_output=True, check=False).stdout

    def lost(self) -> RevisionFailure:
        """What to say when an object is not here."""
        return RevisionFailure(f"an object of this revision is missing or damaged here{self._help(b'')}")

    def _is_shallow(self) -> bool:
        return self._run("rev-parse", "--is-shallow-repository").stdout.strip() == b"true"

    def _help(self, complaint: bytes) -> str:
        """The command that brings what is missing, if a command does."""
        if self._is_shallow():
            return f"; this clone is shallow{self._deepen()}"
        if self._run("config", "--get-regexp", r"^remote\..*\.promisor$").stdout:
            return "; this clone was made without all of its objects, run: git fetch --refetch"
        if b"dubious ownership" in complaint:
            return ""
        return "; to see what is broken, run: git fsck"

    def _remotes(self) -> list[str]:
        """All remotes."""
        return self._run("remote").stdout.decode("utf-8", "replace").split()

    def _remote(self) -> str:
        """The remote that is meant where none is named: ``origin``, or the only one."""
        remotes = self._remotes()
        return "origin" if "origin" in remotes else remotes[0] if len(remotes) == 1 else ""

    def _deepen(self) -> str:
        """How what a shallow clone has left out could be brought here."""
        remote = self._remote()
        return f"; run: {unshallow(remote)}" if remote else ", and there is no one remote to fetch from"

    def _bring(self, revision: str) -> str:
        """How a revision could be brought here."""
        named = [remote for remote in self._remotes() if revision.startswith(remote + "/")]
        remote = named[0] if named else self._remote()
        is_shallow = self._is_shallow()
        found = commands(revision, remote, is_shallow)
        if not found:
            return ""
        why = "this clone is shallow;" if is_shallow else f"if '{remote}' has it,"
        return f"; {why} run: {' && '.join(found)}"


def said(complaint: bytes) -> str:
    """The line of git's own words that says what is wrong."""
    lines = [line.strip() for line in complaint.decode("utf-8", "replace").splitlines() if line.strip()]
    for line in lines:
        if line.startswith(("fatal: ", "error: ")):
            return line.partition(": ")[2]
    return lines[0] if lines else "it gives no reason"
