"""weeksync as a user has it: installed from a wheel, compiled, and started by its own command."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from benchmarks.measure import ROOT


@dataclass(frozen=True, slots=True)
class Program:
    """How weeksync is started, and a sentence on what is started."""

    command: tuple[str, ...]
    what: str
    env: Mapping[str, str] = field(default_factory=dict)

    def nightly(self, household: Path, now: str) -> list[str]:
        """The words of a night at the instant `now`."""
        return [*self.command, "nightly", "--household", str(household), "--now", now]


_COMPILES = {"PYTHONDONTWRITEBYTECODE": ""}
"""As cron starts it: where this is set, every run would compile what it imports anew."""


def checkout() -> Program:
    """The working tree as it stands, without installing anything."""
    command = (sys.executable, "-m", "weeksync")
    return Program(command, "run from the checkout, not installed", _COMPILES)


def install(folder: Path) -> Program:
    """Build a wheel of the working tree and install it, with its .pyc, below `folder`.

    The libraries are those of this environment; nothing is fetched.
    """
    target = folder / "installed"
    _run(sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", folder, ROOT)
    (wheel,) = folder.glob("*.whl")
    _run(
        *(sys.executable, "-m", "pip", "install", "--quiet", "--no-deps", "--no-index"),
        *("--disable-pip-version-check", "--compile", "--target", target, wheel),
    )
    compiled = sum(1 for _ in (target / "weeksync").rglob("*.pyc"))
    return Program(
        (str(target / "bin" / "weeksync"),),
        f"installed from {wheel.name}, {compiled} modules compiled to .pyc",
        {**_COMPILES, "PYTHONPATH": str(target)},
    )


def _run(*command: str | Path) -> None:
    words: Sequence[str] = [str(one) for one in command]
    done = subprocess.run(words, cwd=ROOT, env=os.environ, capture_output=True, text=True)
    if done.returncode:
        raise SystemExit(f"{' '.join(words)}\n{done.stdout[-2000:]}\n{done.stderr[-4000:]}")
