"""What a mark may say: the values of each kind, and their bounds."""

from __future__ import annotations

import re
import unicodedata
from decimal import Decimal

from weeksync.message import Message, message
from weeksync.model.fields import MarkKind
from weeksync.model.household import TASK_WORDS

DONE, DROPPED, LATER = TASK_WORDS
"""What is said of a task: it is over, or off this week and carried to the next; nothing ("")
opens it again."""

TICKS = ("yes", "no")
"""What is said of a habit without a figure: kept, or not."""

MOST = {MarkKind.COUNT: 1_000_000, MarkKind.MINUTES: 24 * 60, MarkKind.HOURS: 24}
"""The largest figure of a day; what lies above is a slip of the pen."""

SCALE = range(1, 6)
"""The steps of a scale."""

_FIGURE = re.compile(r"[0-9]{1,7}(\.[0-9]{1,3})?", re.ASCII)

_REMEDIES = {
    MarkKind.YES_NO: message("write yes or no"),
    MarkKind.COUNT: message("write a whole number up to 1000000, or yes or no without a figure"),
    MarkKind.MINUTES: message("write minutes up to 1440, or yes or no without a figure"),
    MarkKind.HOURS: message("write hours up to 24, as 7.5, or yes or no without a figure"),
    MarkKind.SCALE: message("write a whole number from 1 to 5"),
}


def remedy_for(kind: MarkKind, value: str) -> Message | None:
    """What to write in place of `value`; None where a mark of that kind may say it.

    Nothing ("") may be said of every kind: it takes back what was recorded.
    """
    if not value or (value in TICKS and kind is not MarkKind.SCALE):
        return None
    return None if _is_figure(kind, value) else _REMEDIES[kind]


def _is_figure(kind: MarkKind, value: str) -> bool:
    if kind is MarkKind.YES_NO or not _FIGURE.fullmatch(value):
        return False
    figure = Decimal(value)
    if kind in {MarkKind.COUNT, MarkKind.SCALE} and figure != int(figure):
        return False
    return int(figure) in SCALE if kind is MarkKind.SCALE else figure <= MOST[kind]


def plain_figure(figure: Decimal) -> str:
    """A figure as a mark has it: 7, 7.5, 100; no zeros before or behind it."""
    text = format(figure, "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def plain_digits(text: str) -> str:
    """What was typed, decimal digits of any script as ASCII ones: \u0667\u066b\u0665 is 7.5.

    Marks are kept in ASCII, whatever the keyboard. The Arabic decimal sign (U+066B) becomes a
    point, the Arabic comma (U+060C) a comma; every other sign stays.
    """
    if text.isascii():
        return text
    plain = "".join(str(unicodedata.decimal(one, one)) for one in text)
    return plain.replace("\u066b", ".").replace("\u060c", ",")
