"""Packages that import what they offer when it is asked for say the same thing three times."""

from __future__ import annotations

import ast
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from importlib import import_module
from pathlib import Path

import pytest

import weeksync
from weeksync.lazy import hollow

PACKAGE = Path(weeksync.__file__).parent
LAZY = [path for path in sorted(PACKAGE.rglob("__init__.py")) if "lazily(" in path.read_text()]


def name_of(path: Path) -> str:
    """`weeksync.site` of its `__init__.py`."""
    return ".".join(("weeksync", *path.parent.relative_to(PACKAGE).parts))


def promised(tree: ast.Module) -> dict[str, list[str]]:
    """Module → names, as type checkers read them."""
    [block] = [node for node in tree.body if isinstance(node, ast.If)]
    return {
        node.module or "": [one.name for one in node.names]
        for node in block.body
        if isinstance(node, ast.ImportFrom)
    }


def found_in(tree: ast.Module) -> dict[str, list[str]]:
    """Module → names, as `lazily` finds them."""
    [call] = [
        node
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and ast.unparse(node.func) == "lazily"
    ]
    homes: dict[str, tuple[str, ...]] = ast.literal_eval(call.args[1])
    return {home: list(names) for home, names in homes.items()}


def test_some_packages_are_lazy() -> None:
    """So that the tests below look at something."""
    assert {"weeksync.site", "weeksync.workflow"} <= {name_of(path) for path in LAZY}


@pytest.mark.parametrize("path", LAZY, ids=name_of)
def test_type_checkers_see_what_a_run_finds(path: Path) -> None:
    """The imports for type checkers, `__all__` and the homes of the names are one list."""
    tree = ast.parse(path.read_text())
    sought = found_in(tree)
    assert {home: sorted(names) for home, names in promised(tree).items()} == {
        home: sorted(names) for home, names in sought.items()
    }
    package = import_module(name_of(path))
    own = {ast.unparse(node.targets[0]) for node in tree.body if isinstance(node, ast.Assign)}
    offered = set(package.__all__) - own
    assert sorted(offered) == sorted(name for names in sought.values() for name in names)
    for home, names in sought.items():
        for name in names:
            assert getattr(package, name) is getattr(import_module(home), name)


@pytest.mark.parametrize("path", LAZY, ids=name_of)
def test_no_name_is_that_of_a_module(path: Path) -> None:
    """Once the module is imported, the name would mean it, and before it something else."""
    modules = {one.stem for one in path.parent.iterdir()}
    assert not modules & set(import_module(name_of(path)).__all__)


@pytest.mark.parametrize("path", LAZY, ids=name_of)
def test_what_a_package_does_not_offer_is_an_attribute_error(path: Path) -> None:
    """As of any module, so that `from package import module` goes on to look for the module."""
    with pytest.raises(AttributeError, match=f"{name_of(path)!r} has no attribute 'nothing'"):
        _ = import_module(name_of(path)).nothing


def test_importing_a_package_imports_none_of_its_modules() -> None:
    """That is what it is for; asked in a process that has imported nothing yet."""
    names = [name_of(path) for path in LAZY]
    code = (
        f"import sys, {', '.join(names)}\n"
        "print(*sorted(one for one in sys.modules if one.startswith('weeksync')))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert set(done.stdout.split()) == {"weeksync", "weeksync.lazy", *names}


def test_threads_take_turns_with_a_hollow_package(tmp_path: Path) -> None:
    """Two pages that are made at once may ask for the holidays of two countries."""
    home = tmp_path / "hollowed"
    home.mkdir()
    (home / "__init__.py").write_text("raise RuntimeError('all of it')\n")
    for name in NAMES:
        (home / f"{name}.py").write_text(f"import time; time.sleep(0.01); name = {name!r}\n")

    def ask(name: str) -> str:
        with hollow("hollowed", [str(home)]):
            return str(import_module(f"hollowed.{name}").name)

    with ThreadPoolExecutor(len(NAMES)) as pool:
        assert [*pool.map(ask, NAMES)] == NAMES
    assert "hollowed" not in sys.modules


NAMES = ["ad", "be", "ch", "de", "es", "fr"]
