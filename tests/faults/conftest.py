"""The servers that faults are played by, and the household they are played to."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.faults.stage import Stage


@pytest.fixture(scope="session")
def stage(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Stage]:
    """A web server in front of a Radicale, for all of these tests."""
    with Stage.set(tmp_path_factory.mktemp("faults")) as made:
        yield made
