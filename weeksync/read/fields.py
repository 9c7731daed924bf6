"""What keys the tables of a record know."""

from __future__ import annotations

from functools import cache
from typing import Any, get_args, get_type_hints

from weeksync.model.record import Record
from weeksync.read.positions import Path


def known_keys(model: type[Record], table: Path) -> tuple[str, ...]:
    """The keys that the table at `table` of the record may have; none where it is no table."""
    found: type[Record] | None = model
    for part in table:
        if isinstance(part, int):
            continue
        if found is None or part not in found.field_names():
            return ()
        found = next(iter(records_in(hints_of(found)[part])), None)
    return found.field_names() if found is not None else ()


def hints_of(model: type[Record]) -> dict[str, Any]:
    """The types of its fields, without what else is said of them."""
    return _hints(model)  # type: ignore[arg-type] # a class can be hashed


@cache
def _hints(model: Any) -> dict[str, Any]:
    return get_type_hints(model)


def records_in(annotation: object) -> list[type[Record]]:
    """The records that a field's annotation names, as Task for `tuple[Task, ...]`."""
    if isinstance(annotation, type) and issubclass(annotation, Record):
        return [annotation]
    return [record for inner in get_args(annotation) for record in records_in(inner)]
