"""What earlier versions left in a household besides its own files: read for as long as it may lie.

`data/kept-1` is as the versions of format 1 wrote it, and is never made anew; another format gets a
folder of its own beside it. Closed weeks have theirs in `tests/read/data`, the state database in
`tests/store/data`. What may be thrown away (`night.json`, `years/`, the pages) is made again.
"""

from __future__ import annotations

import json
import shutil
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tests.support.households import write_household
from weeksync.errors import WeeksyncError
from weeksync.household.sent import read_sent
from weeksync.model.week import IsoWeek
from weeksync.paper.printer import Printer
from weeksync.serve import Access
from weeksync.sharing.register import read_register
from weeksync.workflow.context import Context
from weeksync.workflow.nightly import nightly
from weeksync.workflow.outcome import Status
from weeksync.workflow.printing import read_printer
from weeksync.workflow.start import StepState, course
from weeksync.workflow.undo import steps, take_back

KEPT = Path(__file__).with_name("data") / "kept-1"
AT = datetime(2027, 3, 24, 7, tzinfo=UTC)
TABLET = "pTF-CP_1Ads76hmFyJH1tWp3EXl4ZGm_992ZIwZDXtc"
PHONE = "Lk1b26BNxDwptOKKEubpBUEBcxHD2lL9AchrDjb6GgM"
"""The tokens that were given out then: the tablet has the one in its cookie, the phone the other
in its address."""


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A household that was last used by a version of that time."""
    write_household(tmp_path)
    shutil.copytree(KEPT, tmp_path, dirs_exist_ok=True)
    (tmp_path / "state").chmod(0o700)
    return tmp_path


def test_devices_come_in_and_pins_open_as_they_did(home: Path) -> None:
    """Nobody has to be let in anew after an update."""
    access = Access(home / "state" / "access.json")
    assert [(one.name, one.person) for one in access.devices()] == [
        ("kitchen", "ann"),
        ("phone", "ann"),
    ]
    visitor = access.visitor(TABLET, "pages")
    assert visitor is not None
    assert visitor.device == "kitchen"
    assert access.visitor(PHONE, "feed") is not None
    assert access.visitor(PHONE, "pages") is None
    assert access.try_pin("ann", "739164").right
    assert not access.try_pin("ann", "739165").right


def test_what_was_done_can_be_taken_back(home: Path) -> None:
    """On the pages, with its sentence."""
    context = Context.read(home, AT)
    (step,) = steps(context)
    assert str(step.what) == "“Oil the gate” was changed"
    take_back(context, step.token)
    assert 'title = "Oil the gate"' in (home / "tasks.toml").read_text()


def test_what_is_published_is_known(home: Path) -> None:
    """Else it could not be withdrawn."""
    out = {one.week: one.is_out for one in read_register(home / "state")}
    assert out == {"2027-W10": True, "2027-W09": False}


def test_the_printers_numbers_the_first_evening_and_the_journal_are_there(home: Path) -> None:
    """Measured once, answered once, sent once."""
    context = Context.read(home, AT)
    assert read_printer(context) == Printer(
        4.2, 5.0, 12.5, 4.2, 99.5, front_right=0.5, back_down=-1.0, turned=True
    )
    assert course(context).states["household"] is StepState.DONE
    (sent,) = read_sent(home)
    assert (sent.uid, sent.tag_after) == ("gate@home.arpa", '"2"')


def test_a_confirmed_week_is_what_changes_are_counted_from(home: Path) -> None:
    """The snapshot is read with the household, without a word."""
    context = Context.read(home, AT)
    assert not context.files.problems
    assert set(context.files.snapshots) == {IsoWeek.parse("2027-W13")}
    assert nightly(context).status is Status.FINE


@pytest.mark.parametrize("name", sorted(one.name for one in (KEPT / "state").iterdir()))
def test_what_a_later_version_left_is_neither_misread_nor_lost(home: Path, name: str) -> None:
    """A night goes on beside it, and the file is as it was."""
    place = home / "state" / name
    later = json.dumps({**json.loads(place.read_text()), "format": 2, "unheard": []}).encode()
    place.write_bytes(later)
    assert nightly(Context.read(home, AT)).status is Status.FINE
    context = Context.read(home, AT)
    for read in (
        lambda: Access(home / "state" / "access.json").devices(),
        lambda: steps(context),
        lambda: read_register(home / "state"),
        lambda: read_printer(context),
        lambda: course(context),
    ):
        with suppress(WeeksyncError):  # which says what is wrong, and changes nothing
            read()
    assert place.read_bytes() == later
