"""What the records of household files have in common, and what their fields may be held to.

The records are plain dataclasses: what they say of their fields stands in `Annotated`, and is
asked for only when a file is read (`weeksync.read.checked`). A night whose household files are as
they were needs no pydantic.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, Self

from weeksync.lazy import dataclass

if TYPE_CHECKING:
    from pydantic import GetCoreSchemaHandler
    from pydantic_core import CoreSchema


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """A frozen record of a household file; a key nobody knows is a mistake.

    What is made in Python is taken as it is; `check` and the types are for what people write. The
    docstring under each field is for the documentation alone.
    """

    __pydantic_config__ = {  # noqa: RUF012 - pydantic asks the class
        "extra": "forbid",
        "str_strip_whitespace": True,
        "allow_inf_nan": False,
    }

    def check(self) -> None:
        """Raise Mistake where the fields do not go together."""

    @classmethod
    def field_names(cls) -> tuple[str, ...]:
        """The names of its fields, in their order."""
        return tuple(one.name for one in dataclasses.fields(cls))

    def values(self) -> dict[str, Any]:
        """The fields that are not what they are anyway, by name; records in them likewise."""
        return {
            one.name: _values_in(value)
            for one in dataclasses.fields(self)
            if (value := getattr(self, one.name)) != _default_of(one)
        }

    @classmethod
    def __get_pydantic_core_schema__(
        cls, source: type[Self], handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        """As pydantic has it for a dataclass, with `check` at the end."""
        from pydantic_core.core_schema import no_info_after_validator_function

        return no_info_after_validator_function(_checked, handler(source))


def _checked(record: Record) -> Record:
    record.check()
    return record


def _values_in(value: object) -> object:
    if isinstance(value, Record):
        return value.values()
    return tuple(map(_values_in, value)) if isinstance(value, tuple) else value


def _default_of(one: dataclasses.Field[Any]) -> object:
    if one.default_factory is not dataclasses.MISSING:
        return one.default_factory()
    return one.default


class Within:
    """A number that is at least, more than, at most."""

    __slots__ = ("above", "least", "most")

    def __init__(
        self,
        *,
        least: float | None = None,
        above: float | None = None,
        most: float | None = None,
    ) -> None:
        self.least, self.above, self.most = least, above, most

    def __get_pydantic_core_schema__(
        self, source: object, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        """The number's own schema, with its limits."""
        schema: CoreSchema = _limited(handler(source), ge=self.least, gt=self.above, le=self.most)
        return schema


class Length:
    """A text of so many signs, or so many things of a kind."""

    __slots__ = ("least", "most")

    def __init__(self, *, least: int | None = None, most: int | None = None) -> None:
        self.least, self.most = least, most

    def __get_pydantic_core_schema__(
        self, source: object, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        """The text's or the list's own schema, with its limits."""
        schema: CoreSchema = _limited(handler(source), min_length=self.least, max_length=self.most)
        return schema


def _limited(schema: Any, **limits: float | None) -> Any:
    return {**schema, **{name: limit for name, limit in limits.items() if limit is not None}}


class Checked:
    """A value for which `ask` has an answer: the value to take; a Mistake where it is none."""

    __slots__ = ("ask",)

    def __init__(self, ask: Callable[[Any], Any]) -> None:
        self.ask = ask

    def __get_pydantic_core_schema__(
        self, source: object, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        """The value's own schema, and then the question."""
        from pydantic_core.core_schema import no_info_after_validator_function

        return no_info_after_validator_function(self.ask, handler(source))
