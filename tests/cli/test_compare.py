"""``compare`` from outside: what may be named, what is refused, documents, streams and exit codes."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

from tests.cli.running import Run, give_up_rights, rackspec, write
from tests.git.repositories import commit, git, repository
from tests.git.test_revision import PART, RACK, SPLIT

NOTHING = "no difference\n"


def compare(folder: Path, *arguments: str, stdin: bytes = b"", **variables: str) -> Run:
    """Compare, on the day of the tests."""
    return rackspec(folder, "compare", "--on", "2026-11-25", *arguments, stdin=stdin, **variables)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Two commits, a change that is not committed, and a second folder."""
    folder = repository(tmp_path / "here", SPLIT)
    commit(folder, {"parts/saw.rackspec": PART.replace("14HP", "20HP")})
    write(folder, {"racks/tray.rackspec": RACK.replace("at 0HP saw", "at 0HP saw\n        at 60HP saw as b")})
    return folder


def test_every_way_to_name_two_sides(folder: Path) -> None:
    """Revisions, folders, files, paths of a revision, the merge base: all say what changed between them."""
    for sides in (("HEAD~1", "HEAD"), ("HEAD~1:parts", "parts"), ("HEAD~1:parts/saw.rackspec", "parts/saw.rackspec")):
        run = compare(folder, *sides)
        assert (run.code, run.err) == (0, "")
        assert "width     14HP → 20HP" in run.out
        assert "'b'" not in run.out
    for sides in (("HEAD", "."), ("HEAD...",), ("HEAD:racks", "racks")):
        run = compare(folder, *sides)
        assert run.code == 0
        assert "added     'b' (saw, 20HP) in row 'top' at 60HP" in run.out
        assert "14HP → 20HP" not in run.out
    for sides in ((".", "."), ("HEAD", "HEAD"), ("HEAD...HEAD",), ("HEAD:./", "HEAD")):
        assert compare(folder, *sides).out == NOTHING


def test_standard_input_is_a_side(folder: Path) -> None:
    """An editor's text against the file that is saved."""
    saved = (folder / "racks" / "tray.rackspec").read_text(encoding="utf-8")
    text = saved.replace("../parts/", "parts/").replace("84HP", "104HP")
    run = compare(folder, "racks/tray.rackspec", "-", stdin=text.encode())
    assert run.code == 0
    assert "84HP → 104HP" in run.out


def test_two_racks_of_one_folder(tmp_path: Path) -> None:
    """Layout A or layout B."""
    texts = {"a": "at 0HP saw", "b": "at 4HP saw\n        at 20HP saw as second"}
    for name, placed in texts.items():
        write(
            tmp_path,
            {f"{name}.rackspec": RACK.replace("tray", name).replace("at 0HP saw", placed).replace("../", "./")},
        )
    write(tmp_path, {"parts/saw.rackspec": PART})
    run = compare(tmp_path, ".", "--racks", "a", "b")
    assert (run.code, run.err) == (0, "")
    assert "moved     'saw' in row 'top' from 0HP to 4HP" in run.out
    assert compare(tmp_path, "--racks", "a", "b").out == run.out
    for racks, said in (
        (("a", "c"), "no rack is called 'c' there; there are: a, b"),
        (("a", "a"), "'a' is one rack; name two"),
    ):
        run = compare(tmp_path, "--racks", *racks)
        assert (run.code, run.err) == (2, f"rackspec: {said}\n")


@pytest.mark.parametrize(
    ("what", "said"),
    [
        ("any", "rackspec: refused: 1 change\n"),
        ("less-room", "rackspec: refused: tray/top: free"),
        ("new-findings", ""),
        ("less-power", ""),
        ("dearer", ""),
    ],
)
def test_what_is_refused(folder: Path, what: str, said: str) -> None:
    """1 with the reason if the change does it; the text for people is the same."""
    free = compare(folder, "HEAD...")
    run = compare(folder, "HEAD...", "--refuse", what)
    assert run.code == (1 if said else 0)
    assert run.err.startswith(said)
    assert bool(run.err) == bool(said)
    assert run.out == free.out
    assert compare(folder, "HEAD", "HEAD", "--refuse", what).code == 0


def test_new_findings_are_refused(folder: Path) -> None:
    """One that was there before is not new."""
    wrong = RACK.replace("at 0HP saw", "at 0HP saw\n        at 2HP saw as b")
    write(folder, {"racks/tray.rackspec": wrong})
    run = compare(folder, "HEAD...", "--refuse", "new-findings", "--refuse", "dearer")
    assert run.code == 1
    assert "(modules-overlap)" in run.err
    commit(folder, {})
    write(folder, {"racks/tray.rackspec": wrong.replace("84HP", "104HP")})
    run = compare(folder, "HEAD...", "--refuse", "new-findings")
    assert (run.code, run.err) == (0, "")


def test_documents(folder: Path) -> None:
    """JSON after its schema, a comment in markdown, both at once; on standard output alone."""
    run = compare(folder, "HEAD...", "--write", "json=-", "--write", "markdown=review.md")
    assert run.code == 0
    document = json.loads(run.out)
    schema = json.loads(rackspec(folder, "export", "--schema", "comparison").out)
    jsonschema.Draft202012Validator(schema).validate(document)
    assert document["format_version"] == "1.2"
    assert run.err == compare(folder, "HEAD...").out
    review = (folder / "review.md").read_text(encoding="utf-8")
    assert review.startswith("<!-- rackspec compare -->\n")
    assert len(review) < 60_000
    assert compare(folder, "HEAD...", "--write", "sarif=x").code == 2
    run = compare(folder, "HEAD...", "--write", "json=none/x.json", "--write", "markdown=again.md")
    assert (run.code, run.err) == (2, "rackspec: none/x.json: No such file or directory\n")
    assert (folder / "again.md").read_text(encoding="utf-8") == review


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((), "name two sides"),
        (("HEAD",), "name two sides"),
        (("HEAD", "HEAD", "HEAD"), "name two sides"),
        (("-", "-"), "standard input can be one of the two sides, not both"),
        (("nowhere", "HEAD"), "there is no file, folder or revision 'nowhere' here"),
        (("HEAD...", "nowhere"), "'nowhere' is neither in 'HEAD' nor among the files here"),
        (("HEAD...HEAD", "racks/trai.rackspec"), "nor in 'HEAD'; did you mean 'racks/tray.rackspec'?"),
        (("HEAD...", ""), "a path is empty"),
        (("", ""), "the name of a side is empty"),
        (("HEAD", " "), "the name of a side is empty"),
        (("--", "--help", "x"), "there is no file, folder or revision '--help' here"),
        (("--", "-x..."), "there is no file, folder or revision '-x' here"),
        (("/dev/null", "/dev/null"), "there is nothing to compare: neither side holds a .rackspec file"),
        ((".git", ".git"), "there is nothing to compare: neither side holds a .rackspec file"),
        (("HEAD...", "--within", "."), "--within goes with two files or folders"),
        ((".", "parts", "--racks", "a", "b"), "--racks compares two racks of one file or folder; name one path"),
        (("HEAD", ".", "--refuse", "everything"), ""),
        (("HEAD", ".", "--on", "today"), "--on takes a date"),
    ],
)
def test_what_cannot_be_done(folder: Path, arguments: tuple[str, ...], said: str) -> None:
    """2, and a word about it."""
    run = rackspec(folder, "compare", *arguments)
    assert run.code == 2
    assert said in run.err
    assert len(run.err.splitlines()) == 1 or not said


def test_behind_two_dashes_everything_is_a_side(folder: Path) -> None:
    """Options stand in front of them."""
    write(folder, {"-a.rackspec": "rack a {\n}\n"})
    run = compare(folder, "--refuse", "any", "--", "-a.rackspec", "racks/tray.rackspec")
    assert run.code == 1
    assert run.out.startswith("rack 'tray' is new, rack 'a' is gone")
    assert compare(folder, "HEAD", "--", "HEAD").out == NOTHING


def test_a_revision_beside_a_file(folder: Path) -> None:
    """The same file at that time; a line on standard error says so."""
    run = compare(folder, "HEAD", "racks/tray.rackspec")
    assert (run.code, run.err) == (
        0,
        "rackspec: 'HEAD' is read as 'HEAD:racks/tray.rackspec', the same path as on the other side\n",
    )
    assert run.out == compare(folder, "HEAD:racks/tray.rackspec", "racks/tray.rackspec").out


def test_new_findings_are_errors_and_warnings(folder: Path) -> None:
    """The help says so, and so it is: a new note is no reason."""
    assert "new errors or warnings, not notes" in " ".join(rackspec(folder, "compare", "--help").out.split())
    write(folder, {"racks/tray.rackspec": RACK.replace("row top", "budget 400 EUR\n    row top")})
    assert "1 finding is new" in (said := compare(folder, "HEAD...").out)
    assert ": note: " in said
    assert compare(folder, "HEAD...", "--refuse", "new-findings").code == 0


MARK = "<!-- rackspec compare -->\n\n## rackspec compare\n\n"


@pytest.mark.parametrize(
    ("sides", "reason"),
    [
        (("HEAD...", "nowhere"), "'nowhere' is neither in 'HEAD' nor among the files here"),
        (("nowhere", "HEAD"), "there is no file, folder or revision 'nowhere' here"),
        (("nope...",), "there is no file, folder or revision 'nope' here"),
        ((".", "--racks", "tray", "two"), "no rack is called 'two' there; there are: tray"),
    ],
)
def test_a_comment_of_what_could_not_be_compared(sides: tuple[str, ...], reason: str, folder: Path) -> None:
    """It takes the place of an earlier one, which is no longer true. A document for machines is not written."""
    write(folder, {"review.md": "of an earlier run"})
    run = compare(folder, *sides, "--write", "markdown=review.md", "--write", "json=review.json", "--refuse", "any")
    assert (run.code, run.out, run.err) == (2, "", f"rackspec: {reason}\n")
    assert (folder / "review.md").read_text(encoding="utf-8") == f"{MARK}**not compared: {reason}**\n"
    assert not (folder / "review.json").exists()
    assert compare(folder, *sides, "--write", "markdown=-").out == f"{MARK}**not compared: {reason}**\n"
    run = compare(folder, *sides, "--write", "markdown=none/x.md")
    assert run.err == f"rackspec: {reason}\nrackspec: none/x.md: No such file or directory\n"


@pytest.fixture
def closed(folder: Path) -> Path:
    """Two folders that are the same, each with one file of which all rights were taken."""
    for name in ("one", "two"):
        write(folder, {f"{name}/a.rackspec": PART, f"{name}/b.rackspec": PART.replace("saw", "wave")})
        (folder / name / "b.rackspec").chmod(0)
    return folder


def without_rights(folder: Path, *arguments: str) -> Run:
    """Compare as somebody for whom the rights of files count."""
    return rackspec(folder, "compare", "--on", "2026-11-25", *arguments, before=give_up_rights)


def test_what_may_not_be_read_is_no_verdict(closed: Path) -> None:
    """Where it is the same as far as it could be read, nothing says that there is no difference."""
    reasons = ["one/b.rackspec: Permission denied", "two/b.rackspec: Permission denied"]
    run = without_rights(closed, "one", "two", "--write", "markdown=review.md", "--write", "json=review.json")
    assert run.code == 2
    assert run.out == "not compared: what could be read is the same on both sides, and not everything could be\n"
    assert run.err == "".join(f"rackspec: {reason}\n" for reason in reasons)
    page = (closed / "review.md").read_text(encoding="utf-8")
    assert page == f"{MARK}**not compared: {reasons[0]}**\n\n- {reasons[1]}\n"
    assert not (closed / "review.json").exists()
    run = without_rights(closed, "one/b.rackspec", "one/b.rackspec")
    assert (run.code, run.out, run.err) == (2, "", f"rackspec: {reasons[0]}\n")


def test_a_file_that_may_not_be_read_is_not_gone(closed: Path) -> None:
    """A side of which nothing could be read is compared with nothing."""
    for sides in (("one/a.rackspec", "one/b.rackspec"), ("one/b.rackspec", "HEAD:parts")):
        run = without_rights(closed, *sides)
        assert (run.code, run.out, run.err) == (2, "", "rackspec: one/b.rackspec: Permission denied\n")


def test_what_could_be_read_is_compared(closed: Path) -> None:
    """In front of the verdict stands that it is not everything."""
    write(closed, {"two/a.rackspec": PART.replace("14HP", "20HP")})
    run = without_rights(closed, "one", "two", "--write", "markdown=review.md")
    assert run.code == 2
    said = "not everything could be read: what is told as new or gone may only be what was not read"
    assert run.out.startswith(f"{said}\n1 part changes")
    assert "14HP → 20HP" in run.out
    page = (closed / "review.md").read_text(encoding="utf-8")
    assert page.startswith(f"{MARK}**{said}**\n\n- one/b.rackspec: Permission denied\n- two/b")
    assert "14HP → 20HP" in page


def test_a_side_that_is_not_understood(folder: Path) -> None:
    """It is compared as far as it goes, and the verdict says so; broken bytes too."""
    write(folder, {"racks/tray.rackspec": RACK.replace("length 84HP", "lenght 84")})
    run = compare(folder, "HEAD...")
    assert run.code == 0
    assert "not understood" in run.out
    (folder / "racks" / "tray.rackspec").write_bytes(b"rack tray \xff {\n}\n")
    assert compare(folder, "HEAD...").code == 0
    assert compare(folder, "HEAD...", "--refuse", "new-findings").code == 1


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    """2; what can be compared is."""
    write(tmp_path, {"a.rackspec": "rack a {\n}\n"})
    run = compare(tmp_path, "a.rackspec", "b.rackspec")
    assert (run.code, run.err) == (2, "rackspec: there is no file 'b.rackspec'\n")


def test_git_that_is_broken_or_gone(folder: Path) -> None:
    """One line each."""
    run = compare(folder, "HEAD", ".", PATH="/nowhere")
    assert (run.code, run.err) == (2, "rackspec: git is not installed here; compare two folders or files instead\n")
    (folder / ".git" / "HEAD").write_text("ref: refs/heads/gone\n")
    assert compare(folder, "HEAD...").code == 2
    (folder / ".git" / "HEAD").unlink()
    run = compare(folder, "HEAD...")
    assert run.code == 2
    assert len(run.err.splitlines()) == 1
    assert compare(folder, ".", ".").out == NOTHING


def test_the_same_bytes_whatever_surrounds_it(folder: Path) -> None:
    """Hash seed, locale, settings of git."""
    first = compare(folder, "HEAD~1", ".")
    git(folder, "config", "core.quotePath", "true")
    for more in ({"PYTHONHASHSEED": "7"}, {"LC_ALL": "de_DE.UTF-8", "LANGUAGE": "de"}, {"GIT_TRACE2": "0"}):
        assert compare(folder, "HEAD~1", ".", **more) == first
