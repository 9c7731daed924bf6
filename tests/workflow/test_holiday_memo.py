"""Public holidays that were looked up are kept for the next run, which then imports no library."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

import pytest

from weeksync.store import Store
from weeksync.workflow.holiday_memo import KEY

RUN = """
import sys
from datetime import date
from pathlib import Path
from weeksync.plan.public_holidays import PublicHolidays
from weeksync.store import Store
from weeksync.workflow import holiday_memo

with Store.open(Path(sys.argv[1]), write=True) as store:
    holiday_memo.recall(store)
    days = PublicHolidays("GB-ENG", "en_GB")
    print(days.names(date(2027, 12, 27)), days.problems, "holidays" in sys.modules)
    holiday_memo.keep(store)
"""
SAID = "('Christmas Day (observed)',) ()"
"""Christmas of 2027 is a Saturday, so its substitute day is the Monday (gov.uk, bank holidays)."""


def run(state: Path) -> str:
    """What a process of its own says of a day, and whether it had to import the library."""
    done = subprocess.run(
        [sys.executable, "-c", RUN, str(state)], capture_output=True, text=True, check=True
    )
    return done.stdout.strip()


def test_what_was_looked_up_is_not_looked_up_again(tmp_path: Path) -> None:
    """The second run says the same without the library."""
    assert run(tmp_path) == f"{SAID} True"
    assert run(tmp_path) == f"{SAID} False"


def test_a_library_that_does_not_tell_its_release_is_asked_each_time(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Else what an older one said would be taken for what this one says."""
    found = find_spec("holidays")
    assert found is not None
    assert found.origin is not None
    (tmp_path / "bare").mkdir()
    (tmp_path / "bare" / "holidays").symlink_to(Path(found.origin).parent)
    monkeypatch.setenv("PYTHONPATH", os.pathsep.join([str(tmp_path / "bare"), *sys.path]))
    assert run(tmp_path / "state") == f"{SAID} True"
    assert run(tmp_path / "state") == f"{SAID} True"


@pytest.mark.parametrize(
    "spoilt",
    ["{", '{"release": "another"}', '{"release": "R", "regions": 1, "years": []}'],
    ids=["cut short", "another release", "another form"],
)
def test_what_cannot_be_used_is_looked_up_anew(tmp_path: Path, spoilt: str) -> None:
    """Damaged, or of another release of the library; afterwards it is kept again."""
    run(tmp_path)
    with Store.open(tmp_path, write=True) as store:
        release = json.loads(store.get(KEY) or "")["release"]
        store.set(KEY, spoilt.replace('"R"', json.dumps(release)))
    assert run(tmp_path) == f"{SAID} True"
    assert run(tmp_path) == f"{SAID} False"
