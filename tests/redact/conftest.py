"""The canary household, pulled and planned once for all tests that only read it."""

from __future__ import annotations

import pytest

from tests.redact.reading import Read, read_canary


@pytest.fixture(scope="session")
def canary(tmp_path_factory: pytest.TempPathFactory) -> Read:
    """The household and its week, with everything that a spread can hold filled in."""
    return read_canary(tmp_path_factory.mktemp("canary"))
