"""Each fault of each kind of source through a whole night, held against the table."""

from __future__ import annotations

import pytest

from tests.faults.faults import FAULTS, Fault
from tests.faults.home import Kind
from tests.faults.stage import Stage
from tests.faults.table import SOURCES, lines_of, written

pytestmark = pytest.mark.server


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.name)
def test_a_fault_is_told_and_nothing_is_lost(stage: Stage, fault: Fault) -> None:
    """One sentence, the last good copy, the others fresh; and the page of faults says just that."""
    seen = stage.played(fault)
    assert {row.kind for row in seen} == {str(kind) for kind in Kind}
    assert [written(SOURCES, row) for row in seen] == lines_of(fault.name)
