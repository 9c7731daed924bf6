"""What stands in a field of a form, as people read it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from weeksync.language import Language
from weeksync.message import message
from weeksync.site.record import FormField


def in_words(language: Language, one: FormField) -> str:
    """Chosen things by their names, a day as it is written, "nothing" for an empty field."""
    if one.kind == "yes":
        return language.text(message("yes") if one.values else message("no"))
    if not any(one.values):
        return language.text(message("nothing"))
    if one.options:
        names: Mapping[str, str] = {option.value: option.text for option in one.options}
        return language.listed([names.get(value, value) for value in one.values])
    if one.kind == "date":
        return language.date(date.fromisoformat(one.value), "long")
    return one.value
