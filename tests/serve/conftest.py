"""One serve for the tests that leave it as it was."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.serve.serving import Served, serving


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """On loopback, with no device: pages are open to this machine."""
    with serving(tmp_path_factory.mktemp("household")) as running:
        yield running


@pytest.fixture(scope="module")
def guarded(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """On all addresses of the machine: every page wants a sign-in."""
    folder = tmp_path_factory.mktemp("household")
    with serving(folder, options={"host": "0.0.0.0"}, device=True) as running:
        running.address = running.address.replace("localhost", "127.0.0.1")
        yield running


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A place for a household of one's own."""
    return tmp_path
