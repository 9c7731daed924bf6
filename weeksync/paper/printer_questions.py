"""What is read off the test sheet, and the printer's numbers that follow from it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.paper.printer import Printer
from weeksync.paper.sheet import Sheet


@dataclass(frozen=True, slots=True)
class Question:
    """One thing to read off: a length in millimetres, or yes or no."""

    key: str
    text: Message
    answer: Literal["mm", "yes or no"] = "mm"
    on_back: bool = False


def line_mm(sheet: Sheet) -> int:
    """How long the line to measure is."""
    return 100 if sheet.width_mm >= 130 else 50


def questions(sheet: Sheet) -> tuple[Question, ...]:
    """What to read off, in the order in which it stands on the sheet; "no" stands for no fault."""
    return (
        Question("line", message("How long is the line of {length} mm?", length=line_mm(sheet))),
        Question("top", message("Top edge: the smallest number whose stroke can be seen whole?")),
        Question(
            "right", message("Right edge: the smallest number whose stroke can be seen whole?")
        ),
        Question(
            "bottom", message("Bottom edge: the smallest number whose stroke can be seen whole?")
        ),
        Question("left", message("Left edge: the smallest number whose stroke can be seen whole?")),
        Question("front_x", message("How far is the cross from the left edge of the paper?")),
        Question("front_y", message("How far is the cross from the top edge of the paper?")),
        Question(
            "by_hand",
            message("Does the paper have to be put in a second time for the back?"),
            "yes or no",
        ),
        Question(
            "turned",
            message("Does the arrow on the back point to another edge than that on the front?"),
            "yes or no",
            on_back=True,
        ),
        Question(
            "back_x",
            message("Back: how far is the cross from the left edge of the paper?"),
            on_back=True,
        ),
        Question(
            "back_y",
            message("Back: how far is the cross from the top edge of the paper?"),
            on_back=True,
        ),
    )


def printer_of(answers: Mapping[str, float | bool], sheet: Sheet) -> Printer:
    """The printer's numbers from the answers, by their keys; what was not answered has no fault.

    On the back, left and top are those of the back as it is read. UsageError where a number
    cannot be one of a printer.
    """
    middle_x, middle_y = sheet.width_mm / 2, sheet.height_mm / 2

    def number(key: str, usual: float) -> float:
        return float(answers.get(key, usual))

    return Printer(
        top=number("top", 0),
        right=number("right", 0),
        bottom=number("bottom", 0),
        left=number("left", 0),
        percent=round(number("line", line_mm(sheet)) / line_mm(sheet) * 100, 2),
        front_right=round(number("front_x", middle_x) - middle_x, 2),
        front_down=round(number("front_y", middle_y) - middle_y, 2),
        back_right=round(number("back_x", middle_x) - middle_x, 2),
        back_down=round(number("back_y", middle_y) - middle_y, 2),
        turned=bool(answers.get("turned", False)),
        both_sides=not answers.get("by_hand", False),
    )
