"""Records from what people wrote: pydantic holds each value against what its field says of it."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import TYPE_CHECKING, Any, TypeVar

if TYPE_CHECKING:
    from pydantic import TypeAdapter

T = TypeVar("T")


def checked(kind: type[T], values: Mapping[str, Any]) -> T:
    """The record of these values; pydantic's ValidationError names each that cannot be."""
    adapter: TypeAdapter[T] = _adapter(kind)  # type: ignore[arg-type] # a class can be hashed
    return adapter.validate_python(dict(values))


def checked_json(kind: type[T], text: str, *, strict: bool = False) -> T:
    """As `checked`, from JSON; strictly, no text is a number and no number is a date."""
    adapter: TypeAdapter[T] = _adapter(kind)  # type: ignore[arg-type]
    return adapter.validate_json(text, strict=strict)


@cache
def _adapter(kind: Any) -> TypeAdapter[Any]:
    """What validates records of that kind; made when the first one is asked for."""
    from pydantic import TypeAdapter

    return TypeAdapter(kind)
