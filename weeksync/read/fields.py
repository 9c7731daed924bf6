"""What keys the tables of a record know."""

from __future__ import annotations

from typing import get_args

from weeksync.model.fields import Record
from weeksync.read.positions import Path


def known_keys(model: type[Record], table: Path) -> tuple[str, ...]:
    """The keys that the table at `table` of the record may have; none where it is no table."""
    found: type[Record] | None = model
    for part in table:
        if isinstance(part, int):
            continue
        if found is None or part not in found.model_fields:
            return ()
        found = next(iter(records_in(found.model_fields[part].annotation)), None)
    return tuple(found.model_fields) if found is not None else ()


def records_in(annotation: object) -> list[type[Record]]:
    """The records that a field's annotation names, as Task for `tuple[Task, ...]`."""
    if isinstance(annotation, type) and issubclass(annotation, Record):
        return [annotation]
    return [record for inner in get_args(annotation) for record in records_in(inner)]
