"""Killed, or without room on the disk, at a few steps of each command; all of them by
`python -m tests.faults.crashes --all`."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.faults.crashes import MEMORY, WORDS, Desk, check, spread
from tests.faults.dying import How, Worker
from tests.faults.scenes import SCENES, Scene
from tests.faults.table import CRASHES, crashed, lines_of, written


@pytest.fixture(scope="module")
def desk() -> Iterator[Desk]:
    """A process that runs commands in children, and a place for the household."""
    with (
        tempfile.TemporaryDirectory(prefix="crashes-", dir=MEMORY) as place,
        Worker(Path(place)) as worker,
    ):
        yield Desk(Path(place), worker)


@pytest.mark.parametrize("how", WORDS, ids=WORDS.get)
@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene.name)
def test_old_or_new_and_well_the_next_time(desk: Desk, scene: Scene, how: How) -> None:
    """Household files, store and pages are whole; doing it again leaves what it would have left."""
    assert written(CRASHES, crashed(desk, scene, how)) in lines_of(scene.name)


def test_without_room_once_the_pages_are_shown_the_night_still_ends_well(desk: Desk) -> None:
    """What is left then are notes for the next night, which runs whole without them."""
    night = SCENES[0]
    late = desk.known(night).steps * 17 // 20
    assert check(desk, night, How.FULL, late) == ""


def test_every_kind_of_step_is_met(desk: Desk) -> None:
    """SQLite's writes as well as Python's: else nothing would be harmed in the store."""
    night, first = SCENES[0], SCENES[1]
    assert desk.known(first).steps > desk.known(night).steps > 100
    assert [desk.known(scene).steps > 0 for scene in SCENES] == [True] * len(SCENES)


def test_steps_are_spread_from_the_first_to_the_last() -> None:
    """As far from each other as can be; all where there are few."""
    assert spread(3, 5) == [1, 2, 3]
    assert spread(9, 1) == [5]
    assert spread(101, 3) == [1, 51, 101]
