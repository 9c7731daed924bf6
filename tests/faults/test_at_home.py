"""Faults of the machine itself, held against the table; and that the table has no others."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.faults.at_home import AT_HOME
from tests.faults.faults import FAULTS
from tests.faults.scenes import SCENES
from tests.faults.stage import Stage
from tests.faults.table import HERE, here, lines_of, named, written

pytestmark = pytest.mark.server


@pytest.mark.parametrize("name", AT_HOME)
def test_a_fault_of_the_machine_is_told_and_nothing_is_lost(
    stage: Stage, tmp_path: Path, name: str
) -> None:
    """What is kept is looked at by the function that plays it; the page says just that."""
    assert [written(HERE, here(stage, tmp_path, name))] == lines_of(name)


def test_the_page_has_every_fault_and_no_other() -> None:
    """In the order of the lists."""
    assert named() == [*(fault.name for fault in FAULTS), *AT_HOME, *(one.name for one in SCENES)]
