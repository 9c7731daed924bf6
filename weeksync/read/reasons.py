"""What the TOML parser says about a break of the syntax, in plain words with a remedy."""

from __future__ import annotations

import re

from weeksync.message import Message, message

_TIME = re.compile(r"=\s*(\d{4}-\d\d-\d\d[T ])?\d{1,2}:\d\d(?![:\d])")
_DAY = re.compile(r"=\s*\d{4}-(\d-\d|\d\d-\d(?!\d)|\d-\d\d)")
_COMMA = re.compile(r"=\s*\d+,\d")

_QUOTES = message("put text in quotes, and one key = value on a line")
_LINE = message('write key = value, as title = "Water the beans"; a comment begins with #')
_TWICE = message("keep one of them")

_SAID: tuple[tuple[str, Message, Message], ...] = (
    (
        "Expected newline or end of document",
        message(
            "after the value stands something that does not belong there, column {column}: {text}"
        ),
        _QUOTES,
    ),
    (
        "Invalid value",
        message(
            "the value is no quoted text, number, date, true or false, column {column}: {text}"
        ),
        _QUOTES,
    ),
    ("Invalid statement", message("the line begins with no key, column {column}: {text}"), _LINE),
    ("Expected '=' after", message("there is no = after the key, column {column}: {text}"), _LINE),
    (
        "Invalid initial character for a key",
        message("a key is missing here, column {column}: {text}"),
        _LINE,
    ),
    (
        "Expected ']",
        message("the name of the table is not closed, column {column}: {text}"),
        message("write [name], or [[name]] where there can be several"),
    ),
    (
        "Cannot overwrite a value",
        message("the same key stands twice in a table, column {column}: {text}"),
        _TWICE,
    ),
    (
        "Duplicate inline table key",
        message("the same key stands twice, column {column}: {text}"),
        _TWICE,
    ),
    (
        "Cannot declare",
        message("the same table stands twice, column {column}: {text}"),
        message("join the two; where there can be several, write [[name]]"),
    ),
    (
        "Cannot ",
        message("the table was given in another form before, column {column}: {text}"),
        message("keep to one form; where there can be several, write [[name]]"),
    ),
    (
        "Unclosed array",
        message("a list is not closed, or a comma is missing in it, column {column}: {text}"),
        message('write it as ["monday", "friday"]'),
    ),
    (
        "Unclosed inline table",
        message("a table in braces is not closed, column {column}: {text}"),
        message('write it as {{ monday = "Leek pie", friday = "Soup" }}'),
    ),
    (
        "Unterminated string",
        message("the quotes are never closed, column {column}: {text}"),
        message("close them"),
    ),
    (
        "Expected \"'",
        message("the quotes are never closed, column {column}: {text}"),
        message("close them"),
    ),
    (
        "Illegal character '\\n'",
        message("the quotes are not closed on their line, column {column}: {text}"),
        message('close them, or write three of them around several lines: """'),
    ),
    (
        "Found invalid character '\\n'",
        message("the quotes are not closed on their line, column {column}: {text}"),
        message('close them, or write three of them around several lines: """'),
    ),
    (
        "Illegal character",
        message("a control character stands in the line, column {column}: {text}"),
        message("take it out"),
    ),
    (
        "Found invalid character",
        message("a control character stands in the line, column {column}: {text}"),
        message("take it out"),
    ),
    (
        "Unescaped '\\'",
        message("a backslash in the text means nothing, column {column}: {text}"),
        message("write it twice, or put the text in single quotes"),
    ),
    (
        "Invalid hex value",
        message("a backslash with u needs four digits of a sign's number, column {column}: {text}"),
        message("write the sign itself"),
    ),
    (
        "Escaped character is not",
        message("a backslash with u stands before the number of no sign, column {column}: {text}"),
        message("write the sign itself"),
    ),
    (
        "Long number",
        message("the number is too long, column {column}: {text}"),
        message("write a shorter one"),
    ),
    (
        "Invalid date or datetime",
        message("this is no date, column {column}: {text}"),
        message("write year-month-day, as 2027-03-22"),
    ),
)
"""(how the parser's reason begins, what is wrong, remedy), tried in order."""


def explain(reason: str, text: str, column: int) -> tuple[Message, Message]:
    """(what, remedy) for a parser's `reason`; `text` is the line as it may be shown."""
    what, remedy = _said(reason)
    if reason.startswith("Expected newline"):
        remedy = _hint(text) or remedy
    return Message(what.text, {"text": text, "reason": reason, "column": column}), remedy


def _said(reason: str) -> tuple[Message, Message]:
    for beginning, what, remedy in _SAID:
        if reason.startswith(beginning):
            return what, remedy
    return message("the line is no TOML ({reason}), column {column}: {text}"), _LINE


def _hint(text: str) -> Message | None:
    """The remedy where the slip is a usual one."""
    if _COMMA.search(text):
        return message("write a point before decimals, as 7.5")
    if _DAY.search(text):
        return message("write month and day with two digits, as 2027-03-02")
    if _TIME.search(text):
        return message("write a time with its seconds, as 09:30:00")
    return None
