"""What must hold of the code itself: layers, purity, frozen records. DEVELOPERS.md says why."""

from __future__ import annotations

import ast
from pathlib import Path
from types import MappingProxyType

import pytest

from rackspec.findings import Source
from rackspec.language.binding import bind
from rackspec.language.lines import read_tree
from rackspec.pipeline import Request, inspect
from tests.conftest import ROOT, TODAY

PACKAGE = ROOT / "rackspec"
FILES = sorted(PACKAGE.rglob("*.py"))
LAYERS = [
    {"findings"},
    {"language"},
    {"store", "recorded"},
    {"files", "uses"},
    {"model"},
    {"physics"},
    {"rules"},
    {"project", "spec_file", "waivers"},
    {"summary"},
    {"seeing"},
    {"pipeline"},
    {"memory"},
    {"signatures"},
    {"plain"},
    {"remembering"},
    {"workers"},
    {"many"},
    {"solve"},
    {"comparison"},
    {"views"},
    {"git", "overlay"},
    {"sides"},
    {"cli", "api"},
]
"""Folders and files of the package in the order of the flow: each may import only what stands before it, or beside."""


def layer(module: str) -> int:
    """The layer that a module of ours belongs to."""
    name = module.split(".")[1] if "." in module else ""
    for number, names in enumerate(LAYERS):
        if name in names:
            return number
    return len(LAYERS)


def imports(path: Path) -> list[str]:
    """Everything a file imports, wherever it does so."""
    found: list[str] = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            found += [
                f"{node.module}.{alias.name}" if node.module == "rackspec" else node.module for alias in node.names
            ]
    return found


def module_of(path: Path) -> str:
    """The dotted name of a file."""
    return ".".join(path.relative_to(ROOT).with_suffix("").parts)


@pytest.mark.parametrize("path", FILES, ids=module_of)
def test_imports_point_to_earlier_layers(path: Path) -> None:
    """No file imports a later layer."""
    own = layer(module_of(path))
    late = [
        name
        for name in imports(path)
        if name.startswith("rackspec.") and name != "rackspec.__version__" and layer(name) > own
    ]
    assert late == []


@pytest.mark.parametrize("path", FILES, ids=module_of)
def test_every_module_says_what_goes_in_and_out(path: Path) -> None:
    """Each module has a docstring, and every public function and class in it has one too."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    assert ast.get_docstring(tree), "a module without docstring"
    for node in ast.walk(tree):
        if isinstance(node, ast.ClassDef | ast.FunctionDef) and not node.name.startswith("_"):
            public = node in tree.body or isinstance(node, ast.ClassDef)
            assert not public or ast.get_docstring(node), f"{node.name} has no docstring"


CLOCKS = {"time", "datetime.datetime", "socket", "urllib", "http", "subprocess", "random", "secrets"}


@pytest.mark.parametrize(
    "path", [path for path in FILES if path.parent.name != "cli" and path.name != "api.py"], ids=module_of
)
def test_no_clock_network_or_environment_below_the_command_line(path: Path) -> None:
    """Same files, flags and date give the same bytes, because nothing else is looked at."""
    text = path.read_text(encoding="utf-8")
    looked_at = {name.split(".")[0] for name in CLOCKS if "." not in name}
    if path.parent.name == "git":  # what a revision holds never changes, and git is the one who knows
        looked_at.remove("subprocess")
    used = {name.split(".")[0] for name in imports(path) if name != "urllib.parse"}  # that one only takes texts apart
    assert not used & looked_at
    for forbidden in ("date.today", "datetime.now", "os.environ", "os.getenv", "getcwd"):
        assert forbidden not in text


def test_lines_and_columns_are_made_in_views_only() -> None:
    """Below the views a place is an offset."""
    users = {module_of(path) for path in FILES if "rackspec.views.positions" in imports(path)}
    assert users
    assert all(name.startswith("rackspec.views.") for name in users)
    for path in FILES:
        if path.parent.name not in ("views", "cli"):
            tree = ast.parse(path.read_text(encoding="utf-8"))
            names = {node.arg for node in ast.walk(tree) if isinstance(node, ast.arg)}
            assert not names & {"column", "line_number"}, module_of(path)


def test_cold_run_imports_only_what_it_needs() -> None:
    """pint, jsonschema, pygments, solvers and the JSON module stay out of a plain inspect."""
    import subprocess
    import sys

    code = (
        "import sys; from rackspec.cli.main import main; main(['inspect', sys.argv[1]]);"
        "late = ('pint', 'jsonschema', 'pygments', 'json', 'scipy', 'highspy', 'numpy');"
        "print([name for name in late if name in sys.modules], file=sys.stderr)"
    )
    run = subprocess.run(
        [sys.executable, "-c", code, str(ROOT / "specs")], capture_output=True, text=True, check=False, cwd=ROOT
    )
    assert run.stderr.strip().splitlines()[-1] == "[]"


def test_the_solver_is_imported_where_it_is_asked_only() -> None:
    """One module knows the extra, and imports it when it has to solve something."""
    import subprocess
    import sys

    users = [module_of(path) for path in FILES if {"highspy", "scipy", "numpy"} & set(imports(path))]
    assert users == ["rackspec.solve.by_solver"]
    code = (
        "import sys, rackspec.solve.cheapest;"
        "print([name for name in ('highspy', 'numpy', 'scipy') if name in sys.modules])"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False, cwd=ROOT)
    assert run.stdout == "[]\n", run.stderr


def frozen(value: object, seen: set[int]) -> bool:
    """Whether a value and everything in it can never be changed."""
    if id(value) in seen:
        return True
    seen.add(id(value))
    if isinstance(value, tuple):
        return all(frozen(item, seen) for item in value)
    if isinstance(value, MappingProxyType):
        return all(frozen(item, seen) for pair in value.items() for item in pair)
    return not isinstance(value, list | dict | set | bytearray)


def test_trees_blocks_and_racks_are_frozen() -> None:
    """What one stage hands on no later one can change. (A row of the table of words is the language, not the rack.)"""
    source = Source("spec", (ROOT / "specs" / "parts" / "rails.rackspec").read_text(encoding="utf-8"))
    tree, _ = read_tree(source)
    assert frozen(tree, set())
    block, _ = bind(tree)
    statements = {id(fact.bound.statement.items) for fact in block.order if fact.bound.statement is not None}
    assert statements
    result = inspect(Request(("specs",), str(ROOT), TODAY))
    assert result.racks
    for seen in result.racks:
        assert isinstance(seen.rack, tuple)
        for row in seen.rack.rows:
            assert all(isinstance(panel, tuple) for panel in row.panels)
        with pytest.raises(AttributeError):
            seen.rack.name = "other"  # type: ignore[misc]
        assert frozen(tuple(part for part in seen.rack if part is not seen.rack.feeds), statement_items())


def statement_items() -> set[int]:
    """The lists of the table of words, which every bound line points at."""
    from rackspec.language.words import BLOCKS

    found: set[int] = set()

    def walk(items: object) -> None:
        found.add(id(items))
        if isinstance(items, list):
            for item in items:
                walk(item)

    for block in BLOCKS.values():
        for statement in block.statements.values():
            walk(statement.items)
    return found
