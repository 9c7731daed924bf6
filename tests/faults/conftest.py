"""The servers that faults are played by, and the household they are played to."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.faults.home import Home
from tests.faults.stage import Stage


@pytest.fixture(scope="session")
def stage(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Stage]:
    """A web server in front of a Radicale, for all of these tests."""
    with Stage.set(tmp_path_factory.mktemp("faults")) as made:
        yield made


@pytest.fixture
def home(stage: Stage) -> Home:
    """The household that goes from fault to fault; a new one where a test has left it unwell."""
    return stage.home()


@pytest.fixture
def own_home(stage: Stage) -> Home:
    """A household for this test alone."""
    return stage.another()
