"""A review as JSON: what `weeksync review --json` prints.

The form is described in `weeksync/schema/review-1.schema.json` (JSON Schema 2020-12). `format` is
its version: a property is added without a new one, but never renamed, removed or given another
meaning.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from enum import Enum
from typing import Any

from weeksync.model.review import Review, Together

FORMAT = 1
KIND = "weeksync.review"


def as_record(
    review: Review, *, household: str, now: datetime, time_zone: str, questions: Iterable[str] = ()
) -> dict[str, Any]:
    """The review as a dict of what JSON knows; the same review gives the same record.

    Dates are `2027-03-22`, shares and correlations plain numbers, what is not known is null.
    """
    return {
        "format": FORMAT,
        "kind": KIND,
        "household": household,
        "now": now.isoformat(),
        "time_zone": time_zone,
        "questions": list(questions),
        **_plain(review),
    }


def _plain(value: Any) -> Any:
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, tuple):
        return [_plain(one) for one in value]
    if is_dataclass(value) and not isinstance(value, type):
        # The days of a pair are in the figures already.
        names = [one.name for one in fields(value)]
        return {
            name: _plain(getattr(value, name))
            for name in names
            if not (isinstance(value, Together) and name == "points")
        }
    return value
