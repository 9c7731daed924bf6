"""The one clock."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from freezegun import freeze_time

from weeksync.errors import UsageError
from weeksync.workflow.clock import instant_now


def test_without_a_given_instant_the_clock_is_read() -> None:
    """Whole seconds in UTC."""
    with freeze_time("2027-03-24 06:40:00.75"):
        assert instant_now(None) == datetime(2027, 3, 24, 6, 40, tzinfo=UTC)


@pytest.mark.parametrize("text", ["2027-03-24T06:40:00Z", "2027-03-24T07:40:00+01:00"])
def test_a_given_instant_is_taken_in_utc(text: str) -> None:
    """Any offset of ISO 8601 will do."""
    assert instant_now(text) == datetime(2027, 3, 24, 6, 40, tzinfo=UTC)


@pytest.mark.parametrize(
    "text",
    [
        "2027-03-24T06:40:00",
        "yesterday",
        "2027-02-30T00:00:00Z",
        "0001-01-01T00:00:00+14:00",
        "9999-12-31T23:59:59Z",
    ],
)
def test_what_is_no_instant_is_wrong_use(text: str) -> None:
    """The message names the value and shows a right one."""
    with pytest.raises(UsageError, match="as 2027-03-24T06:40:00Z") as caught:
        instant_now(text)
    assert text in str(caught.value)
