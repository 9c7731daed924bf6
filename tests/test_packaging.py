"""The sdist and the wheel carry everything, and what is installed from them works alone."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import sysconfig
import tarfile
import venv
import zipfile
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
NEVER_SHIPPED = {"__pycache__", ".mypy_cache", ".ruff_cache", ".pytest_cache", "node_modules"}


@dataclass(frozen=True)
class Built:
    """What `python -m build` makes, and a wheel made straight from the tree."""

    sdist: Path
    wheel: Path
    """Made from the unpacked sdist, as an installer without the wheel would."""
    direct: Path


def run(*command: str | Path, cwd: Path, alone: bool = False) -> str:
    """Run a command and give its output; a failure shows both streams.

    `alone` takes away what could lend it the checkout: Python's variables and the search path.
    """
    env = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    if alone:
        env["PATH"] = os.defpath
    done = subprocess.run(command, cwd=cwd, env=env, capture_output=True, text=True)
    assert done.returncode == 0, f"{command}\n{done.stdout}\n{done.stderr}"
    return done.stdout


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Built:
    """Both distributions, with the build tools of this environment and no download."""
    out = tmp_path_factory.mktemp("dist")
    build = (sys.executable, "-m", "build", "--no-isolation")
    run(*build, "--outdir", out / "both", ROOT, cwd=out)
    run(*build, "--wheel", "--outdir", out / "direct", ROOT, cwd=out)
    (sdist,) = (out / "both").glob("*.tar.gz")
    (wheel,) = (out / "both").glob("*.whl")
    (direct,) = (out / "direct").glob("*.whl")
    return Built(sdist, wheel, direct)


def environment(folder: Path) -> Path:
    """The Python of a new virtual environment that sees the libraries of this one.

    They are lent by a path file: the start-up files among them, which would put the checkout on
    the path too, are not read from there.
    """
    venv.create(folder, with_pip=False, symlinks=True)
    python = folder / "bin" / "python"
    version = f"python{sys.version_info.major}.{sys.version_info.minor}"
    lent = folder / "lib" / version / "site-packages" / "lent.pth"
    lent.write_text(sysconfig.get_path("purelib") + "\n" + sysconfig.get_path("platlib") + "\n")
    return python


def install(python: Path, *what: str | Path) -> None:
    """Install into that environment with this one's pip, from this computer alone."""
    pip = (sys.executable, "-m", "pip", "--python", python, "install", "--quiet")
    offline = ("--no-index", "--no-deps", "--no-build-isolation", "--disable-pip-version-check")
    # Here it is wanted that libraries of the lending environment are not taken for installed.
    run(*pip, *offline, "--ignore-installed", *what, cwd=python.parent)


def wheel_files(wheel: Path) -> dict[str, bytes]:
    """Path → bytes of everything in a wheel."""
    with zipfile.ZipFile(wheel) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def tree(folder: str) -> dict[str, bytes]:
    """Path from the root on → bytes of the files below a folder of the checkout."""
    return {
        path.relative_to(ROOT).as_posix(): path.read_bytes()
        for path in sorted((ROOT / folder).rglob("*"))
        if path.is_file() and not NEVER_SHIPPED & set(path.parts)
    }


def test_the_wheel_carries_the_package_and_its_data(built: Built) -> None:
    """Modules, demo, catalogues, schema, templates and the example settings, and nothing else."""
    found = wheel_files(built.wheel)
    wanted = tree("weeksync")
    wanted |= {f"weeksync/{name}": content for name, content in tree("site_templates").items()}
    wanted["weeksync/config.example.toml"] = (ROOT / "config.example.toml").read_bytes()
    inside = {name: content for name, content in found.items() if ".dist-info/" not in name}
    assert set(inside) == set(wanted)
    assert inside == wanted


@pytest.mark.parametrize(
    "name",
    [
        "weeksync/py.typed",
        "weeksync/site_templates/base.html",
        "weeksync/config.example.toml",
        "weeksync/demo/household/config.toml",
        "weeksync/demo/household/calendars/home.ics",
        "weeksync/demo/household/weeks/2027-W12.toml",
        "weeksync/demo/household/marks/2027-W12.csv",
        "weeksync/demo/household/check-ins/2027-03-24.md",
        "weeksync/language/catalogues/de/weeksync.po",
        "weeksync/schema/span-1.schema.json",
    ],
)
def test_the_wheel_carries_one_of_each_kind(built: Built, name: str) -> None:
    """A file of every kind of data is there by name, so that moving a folder is noticed."""
    assert name in wheel_files(built.wheel)


def test_the_sdist_gives_the_same_wheel(built: Built) -> None:
    """Nothing that the wheel needs is lost on the way through the sdist."""
    assert wheel_files(built.wheel) == wheel_files(built.direct)


def test_the_sdist_carries_what_a_packager_needs(built: Built) -> None:
    """Tests, benchmarks, templates, the texts and the licence are in the sdist."""
    with tarfile.open(built.sdist) as archive:
        names = {name.split("/", 1)[1] for name in archive.getnames() if "/" in name}
    assert set(tree("tests")) <= names
    assert set(tree("benchmarks")) <= names
    assert set(tree("site_templates")) <= names
    assert {"README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE", "pyproject.toml"} <= names
    assert {"config.example.toml", "output/.gitignore"} <= names


def test_the_wheel_runs_the_demo_alone(built: Built, tmp_path: Path) -> None:
    """Installed from the wheel, away from the checkout, the demo builds its pages."""
    python = environment(tmp_path / "venv")
    install(python, built.wheel)
    where = run(python, "-c", "import weeksync; print(weeksync.__file__)", cwd=tmp_path, alone=True)
    assert Path(where.strip()).is_relative_to(tmp_path)
    command = python.with_name("weeksync")
    run(command, "demo", "--to", tmp_path / "out", cwd=tmp_path, alone=True)
    site = tmp_path / "out" / "site"
    assert "2027-W12" in (site / "index.html").read_text(encoding="utf-8")
    shown = run(
        command, "show", "2027-W12", "--json", "--household", tmp_path / "out" / "household",
        "--now", "2027-03-24T06:40:00+00:00", cwd=tmp_path, alone=True,
    )  # fmt: skip
    assert len(json.loads(shown)["days"]) == 7


def test_an_editable_install_follows_the_checkout(tmp_path: Path) -> None:
    """What is changed in a checkout, templates too, is what an editable install of it uses."""
    checkout = tmp_path / "checkout"
    texts = ("README.md", "LICENSE", "pyproject.toml", "config.example.toml")
    files = {name: (ROOT / name).read_bytes() for name in texts}
    for name, content in (files | tree("weeksync") | tree("site_templates")).items():
        (checkout / name).parent.mkdir(parents=True, exist_ok=True)
        (checkout / name).write_bytes(content)
    python = environment(tmp_path / "venv")
    install(python, "--editable", checkout)
    base = checkout / "site_templates" / "base.html"
    text = base.read_text(encoding="utf-8")
    assert "</body>" in text
    base.write_text(text.replace("</body>", "<p>changed later</p></body>"), encoding="utf-8")
    asked = "import weeksync; print(weeksync.__file__)"
    module = run(python, "-c", asked, cwd=tmp_path, alone=True).strip()
    assert Path(module) == checkout / "weeksync" / "__init__.py"
    run(python.with_name("weeksync"), "demo", "--to", tmp_path / "out", cwd=tmp_path, alone=True)
    page = tmp_path / "out" / "site" / "index.html"
    assert "<p>changed later</p>" in page.read_text(encoding="utf-8")
