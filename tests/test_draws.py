"""Property tests draw the same cases, whatever else of ours is imported by then."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent

DRAW = """
import sys
import tests.conftest
for name in sys.argv[1:]:
    __import__(name)
from hypothesis import given, settings, strategies as st
drawn = []

@settings(max_examples=300, database=None)
@given(st.integers(0, 1 << 16), st.text(max_size=12))
def ask(number, text):
    drawn.append((number, text))

ask()
print(hash(tuple(drawn)), len(set(drawn)))
"""


def drawn(*modules: str) -> str:
    """What a process that has these modules draws, as a word of its own."""
    environment = {**os.environ, "PYTHONHASHSEED": "0"}
    done = subprocess.run(
        [sys.executable, "-c", DRAW, *modules],
        cwd=ROOT,
        env=environment,
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout


def test_what_is_imported_draws_no_other_cases() -> None:
    """A suite by itself asks what it asks in a run of everything."""
    alone = drawn()
    assert int(alone.split()[1]) > 250
    assert drawn("weeksync.calendar.series", "weeksync.workflow", "weeksync.cli") == alone
