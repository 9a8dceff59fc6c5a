"""Many files: the same bytes with one worker or several, with a cache or without, whatever the order of a folder."""

from __future__ import annotations

import os
import pty
import signal
import subprocess
from pathlib import Path

import pytest

from rackspec import many, workers
from rackspec.many import inspect_many
from rackspec.memory import Memory
from rackspec.pipeline import Request, inspect
from tests.bench.racks import write_repository
from tests.cache.test_remembering import said
from tests.cli.running import command, environment, rackspec, write
from tests.conftest import TODAY

RACKS = 90
BROKEN = {
    "racks/shelf-3.rackspec": "rack shelf-3 {\n    widht 3HP\n}\n",
    "racks/shelf-4.rackspec": "rack shelf-4 {\n    row a {\n        length 9HP\n        at 0HP nobody\n    }\n}\n",
    "racks/shelf-5.rackspec": "rack shelf-6 {\n}\n",
    "racks/shelf-7.rackspec": "module saw {\n    width 3HP\n}\nrack seven {\n    row a {\n    }\n}\n",
}


LOOK = workers.look


def wrong(chunk: list[tuple[int, str]]) -> workers.Learned:
    """A worker that takes all racks for one."""
    clean, linked, racks = LOOK(chunk)
    return clean, linked, {key: next(iter(racks.values())) for key in racks}


def die(_: object) -> workers.Learned:
    """A worker that is killed."""
    os.kill(os.getpid(), signal.SIGKILL)
    raise AssertionError


@pytest.fixture(scope="module")
def repository(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A repository of many racks; a few of them are broken, in ways that reach into others."""
    ours, _ = write_repository(tmp_path_factory.mktemp("many"), RACKS, 120)
    write(ours, BROKEN)
    return ours


@pytest.mark.parametrize("number", [1, 2, 3])
def test_the_number_of_workers_does_not_show(repository: Path, number: int) -> None:
    """Findings, summaries and their order; and again with what was learned."""
    request = Request((".",), str(repository), TODAY)
    alone = said(inspect(request))
    memory = Memory()
    assert said(inspect_many(request, memory, number)) == alone
    assert len(memory.racks) > RACKS - 10
    assert said(inspect_many(request, Memory(memory.plain()), number)) == alone
    assert '"rule": "unknown-name"' in alone


def test_workers_learn_what_one_process_would(repository: Path) -> None:
    """The same keys with the same values."""
    request = Request((".",), str(repository), TODAY)
    one, two = Memory(), Memory()
    inspect_many(request, one, 1)
    inspect_many(request, two, 2)
    assert one.plain() == two.plain()


def test_workers_are_really_asked(repository: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What they learn is what is taken: a wrong lesson would show."""
    request = Request((".",), str(repository), TODAY)
    alone = said(inspect(request))
    monkeypatch.setattr(workers, "look", wrong)
    assert said(inspect_many(request, Memory(), 2)) != alone


def test_a_worker_that_dies_loses_nothing(repository: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What it would have learned is looked at by this process."""
    monkeypatch.setattr(workers, "look", die)
    request = Request((".",), str(repository), TODAY)
    assert said(inspect_many(request, Memory(), 2)) == said(inspect(request))


def test_nobody_is_asked_for_what_is_known(repository: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A second run has less than a handful of files left, those that are broken: no worker is started for them."""
    request = Request((".",), str(repository), TODAY)
    memory = Memory()
    inspect_many(request, memory, 2)
    monkeypatch.setattr(workers, "ProcessPoolExecutor", lambda *_, **__: pytest.fail("workers were started"))
    assert said(inspect_many(request, memory, 2)) == said(inspect(request))
    with pytest.raises(pytest.fail.Exception, match="workers were started"):
        inspect_many(request, Memory(), 2)


USED = """\
use "../parts/"

rack shelf-{0} {{
    row top {{
        length    84HP
        at   0HP  blank 90HP
    }}
    waive row-overfull on top because "it is a drawing only" until 2027-01-01
    waive modules-overlap on top because "not needed any more" until 2027-01-01
}}
"""


def test_waivers_are_read_as_in_one_process_where_a_library_is_broken(tmp_path: Path) -> None:
    """That a file which is used is broken may come out while racks are looked at, and decides which waivers are stale.

    What was seen until then is not taken for what is to be seen when the file is mended.
    """
    files = {f"racks/shelf-{number}.rackspec": USED.format(number) for number in range(RACKS)}
    files["racks/last.rackspec"] = (
        'use "../parts/"\n\nrack last {\n    row top {\n        length    84HP\n        at   0HP  saw\n    }\n}\n'
    )
    files["parts/modules.rackspec"] = "module saw {\n    width     4HP\n    depht     4mm\n}\n"
    files["house.rackspec"] = "house {\n}\n"
    write(tmp_path, files)
    request = Request(("racks",), str(tmp_path), TODAY)
    alone = said(inspect(request))
    memories = {number: Memory() for number in (1, 2)}
    for number, memory in memories.items():
        assert said(inspect_many(request, memory, number)) == alone
        assert said(inspect_many(request, memory, number)) == alone
    assert "depht" in alone
    assert "waiver-stale" not in alone
    write(tmp_path, {"parts/modules.rackspec": files["parts/modules.rackspec"].replace("depht", "depth")})
    mended = said(inspect(request))
    assert "waiver-stale" in mended
    for number, memory in memories.items():
        assert said(inspect_many(request, memory, number)) == mended


def test_few_files_have_no_workers(repository: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Starting them takes longer than the work."""
    monkeypatch.setattr(many, "FEWEST", RACKS * 2)
    monkeypatch.setattr(workers, "learn_together", lambda *_: pytest.fail("workers were started"))
    inspect_many(Request((".",), str(repository), TODAY), Memory(), 2)


@pytest.fixture
def home(tmp_path: Path) -> dict[str, str]:
    return {"XDG_CACHE_HOME": str(tmp_path)}


def test_the_program_says_the_same_in_every_way(repository: Path, home: dict[str, str]) -> None:
    """Cold, filling the cache, warm, one file edited and back; with and without documents; other hash seeds."""
    arguments = ("inspect", "--on", "2026-11-25", "--write", "json=-")
    fresh = rackspec(repository, *arguments, "--no-cache")
    path = repository / "racks" / "shelf-9.rackspec"
    text = path.read_text(encoding="utf-8")
    for seed in ("1", "2"):
        assert rackspec(repository, *arguments, PYTHONHASHSEED=seed, **home) == fresh
        assert rackspec(repository, *arguments, PYTHONHASHSEED=seed, **home) == fresh
        path.write_text(text.replace("168HP", "20HP"), encoding="utf-8")
        edited = rackspec(repository, *arguments, PYTHONHASHSEED=seed, **home)
        assert edited == rackspec(repository, *arguments, "--no-cache") != fresh
        path.write_text(text, encoding="utf-8")


def test_progress_is_shown_on_a_terminal_only(tmp_path: Path) -> None:
    """After a second, on standard error, and wiped away; in a pipe nothing is shown."""
    ours, _ = write_repository(tmp_path, 420, 400)
    arguments = ("inspect", "--on", "2026-11-25", "--no-cache")
    piped = rackspec(ours, *arguments)
    assert piped.err == ""
    above, below = pty.openpty()
    with subprocess.Popen(
        command(*arguments), cwd=ours, env=environment(TERM="xterm"), stdout=subprocess.PIPE, stderr=below
    ) as run:
        os.close(below)
        assert run.stdout is not None
        out = run.stdout.read()
        shown = b""
        while True:
            try:
                more = os.read(above, 4096)
            except OSError:
                break
            if not more:
                break
            shown += more
    os.close(above)
    assert out == piped.raw_out
    text = shown.decode()
    if text:  # a very fast machine is done within a second
        assert " of 426 files" in text
        assert text.endswith("\r")
        assert text.split("\r")[-2].strip() == ""
