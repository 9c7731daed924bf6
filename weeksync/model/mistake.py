"""What a record says about a value it cannot take: carried by pydantic to `weeksync.read`."""

from __future__ import annotations

from weeksync.message import Message


class Mistake(ValueError):
    """A value or a table that breaks a rule of its record.

    `what` may use the places `{key}` and `{value}`: the reader, who knows both, fills them in.
    `key` names the key of the table whose line shows the mistake best; "" for the value the
    check was given, or the whole table.
    """

    def __init__(self, what: Message, remedy: Message, key: str = "") -> None:
        super().__init__(f"{what.text}; {remedy.text}")
        self.what = what
        self.remedy = remedy
        self.key = key
