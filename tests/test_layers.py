"""The arrows of the design: imports run one way, and pure parts do no I/O and read no clock."""

from __future__ import annotations

import ast
import graphlib
from collections.abc import Iterator
from pathlib import Path

import pytest

import weeksync

PACKAGE = Path(weeksync.__file__).parent
ROOT = PACKAGE.parent

BASE = {"lazy", "locks", "pycache", "message", "errors", "zones", "model", "language"}
PURE = {"calendar", "read", "plan", "review", "redact"}
SHELL = {"fetch", "store", "household", "site", "serve", "paper", "sharing", "feed"}

BASE_ALLOWED: dict[str, set[str]] = {
    "lazy": set(),
    "locks": set(),
    "pycache": set(),
    "message": set(),
    "errors": {"lazy", "message"},
    "zones": {"lazy", "message", "errors"},
    "model": {"lazy", "message", "errors", "zones"},
    "language": {"lazy", "pycache", "message", "errors", "zones", "model"},
}
PURE_NEEDS = {"lazy", "message", "errors", "zones", "model"}
ALLOWED: dict[str, set[str]] = (
    BASE_ALLOWED
    | dict.fromkeys(PURE, PURE_NEEDS)
    | dict.fromkeys(SHELL, BASE)
    | {"household": BASE | {"read"}}
    | {"workflow": BASE | PURE | SHELL | {"demo", "lean"}, "demo": {"message", "errors"}}
    | {"cli": BASE | {"workflow", "lean"}, "lean": set()}
)
"""What each part may import of the others; `household` reads files through `read`."""

NO_IO = {
    "os", "io", "sys", "pathlib", "shutil", "subprocess", "socket", "sqlite3", "tempfile", "time",
    "locale", "random", "secrets", "urllib.request", "http", "niquests", "caldav", "requests",
    "logging", "threading", "multiprocessing", "asyncio", "glob", "fcntl", "rich", "jinja2",
}  # fmt: skip
"""Modules that read or write the world; none of them is imported by a pure part."""

CLOCKS = {
    "now",
    "today",
    "utcnow",
    "astimezone_local",
    "localtime",
    "getdefaultlocale",
    "getlocale",
}
BUILTINS_IO = {"open", "print", "input", "breakpoint"}


def modules() -> Iterator[tuple[str, Path]]:
    """Every module of the package with the part it belongs to."""
    for path in sorted(PACKAGE.rglob("*.py")):
        inside = path.relative_to(PACKAGE)
        yield inside.parts[0].removesuffix(".py"), path


def imports(tree: ast.AST) -> Iterator[tuple[str, bool]]:
    """(module, whether only for type checking) of each import in a module."""
    guarded: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test):
            guarded |= {id(inner) for part in node.body for inner in ast.walk(part)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            for name in node.names:
                yield name.name, id(node) in guarded
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports are absolute"
            yield node.module or "", id(node) in guarded
            for name in node.names:
                yield f"{node.module}.{name.name}", id(node) in guarded


def test_every_part_is_known_to_the_layers() -> None:
    """A new part must be given its place before it can be imported."""
    parts = {part for part, _ in modules()} - {"__init__", "__main__"}
    assert parts <= set(ALLOWED), parts - set(ALLOWED)


@pytest.mark.parametrize(
    ("part", "path"), [pytest.param(*one, id=str(one[1].relative_to(PACKAGE))) for one in modules()]
)
def test_imports_run_one_way(part: str, path: Path) -> None:
    """A module imports only what its layer may."""
    if part not in ALLOWED:
        return
    for name, only_types in imports(ast.parse(path.read_text())):
        if not name.startswith("weeksync.") or only_types:
            continue
        other = name.split(".")[1]
        if not (PACKAGE / other).exists() and not (PACKAGE / f"{other}.py").exists():
            continue  # a name of the package itself, as weeksync.__version__
        assert other == part or other in ALLOWED[part], f"{path.name} imports {name}"


@pytest.mark.parametrize(
    "path",
    [
        pytest.param(path, id=str(path.relative_to(PACKAGE)))
        for part, path in modules()
        if part in PURE or part in {"model", "message", "errors"}
    ],
)
def test_pure_parts_do_no_io_and_read_no_clock(path: Path) -> None:
    """`now`, the zone and the locale are arguments; bytes and records come in and go out."""
    tree = ast.parse(path.read_text())
    for name, _ in imports(tree):
        assert not any(name == bad or name.startswith(f"{bad}.") for bad in NO_IO), name
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call):
            continue
        call = node.func
        if isinstance(call, ast.Name):
            assert call.id not in BUILTINS_IO, f"line {node.lineno}: {call.id}()"
        elif isinstance(call, ast.Attribute):
            assert call.attr not in CLOCKS, f"line {node.lineno}: .{call.attr}()"
            if call.attr == "astimezone":
                assert node.args or node.keywords, f"line {node.lineno}: the machine's zone"


def test_no_import_cycles() -> None:
    """Modules can be put in an order in which each only needs earlier ones."""
    names = {
        ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__"): path
        for _, path in modules()
    }
    graph: dict[str, set[str]] = {}
    for name, path in names.items():
        found = {other for other, only in imports(ast.parse(path.read_text())) if not only}
        graph[name] = {other for other in found if other in names and other != name}
    for name, needs in graph.items():  # a package's own __init__ may gather its modules
        needs.difference_update({other for other in needs if name.startswith(f"{other}.")})
    graphlib.TopologicalSorter(graph).prepare()


def test_modules_stay_readable() -> None:
    """No module is longer than 400 lines."""
    long = {
        str(path): n for _, path in modules() if (n := len(path.read_text().splitlines())) > 400
    }
    assert not long
