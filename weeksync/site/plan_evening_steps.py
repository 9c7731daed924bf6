"""The steps of planning a week: what they are called, and what is left in each."""

from __future__ import annotations

from datetime import date

from weeksync.message import Message, counted, message
from weeksync.site.plan_evening_facts import Evening
from weeksync.site.record.plan_evening import EveningStep
from weeksync.site.words import Words

NAMES: dict[str, Message] = {
    "loose": message("Loose ends"),
    "marks": message("Blanks in the marks"),
    "lessons": message("Lessons to make up"),
    "bills": message("Bills by hand"),
    "questions": message("Questions"),
    "close": message("Close the week"),
    "ahead": message("What is coming"),
    "days": message("Priorities and tasks"),
    "habits": message("Habits and lighter days"),
    "rows": message("Meals and notes"),
    "done": message("Look and print"),
}
"""In the order of an evening: the last week first, then the one to come."""


def action(evening: Evening) -> str:
    """Where the page's forms are sent."""
    return f"/plan/{evening.week}"


def address(evening: Evening, step: str) -> str:
    """The address of a step."""
    return f"{action(evening)}?step={step}"


class Steps:
    """What is left in each step of an evening."""

    def __init__(self, evening: Evening, words: Words) -> None:
        self._evening = evening
        self._words = words

    def all(self) -> tuple[EveningStep, ...]:
        """All steps in their order; one that has nothing to ask is there all the same."""
        return tuple(
            EveningStep(
                name,
                self._words.text(title),
                self._words.text(left) if left is not None else "",
                done,
                address(self._evening, name),
            )
            for name, title in NAMES.items()
            for left, done in [self._left(name)]
        )

    def first_open(self) -> str:
        """The step to begin with: the first of the last week with something left.

        Else what is coming; a week in which nobody has written anything need not be closed first.
        """
        order = ["loose", "marks", "lessons", "bills", "questions", "close"]
        if self._evening.closing.is_bare:
            order.remove("close")
        return next((name for name in order if self._asks(name)), "ahead")

    def _asks(self, name: str) -> bool:
        left, done = self._left(name)
        return left is not None and not done

    def _left(self, name: str) -> tuple[Message | None, bool]:
        """(what is left, whether that is nothing)."""
        evening = self._evening
        counts = {
            "loose": len(evening.loose),
            "marks": len(evening.blanks),
            "lessons": sum(one.count for one in evening.to_make_up),
            "bills": len(evening.bills),
        }
        if name in counts:
            return _count(counts[name])
        if name == "questions":
            return self._questions()
        if name == "close":
            return self._close()
        if name == "ahead":
            return self._ahead()
        if name == "days":
            return self._days()
        return None, False

    def _questions(self) -> tuple[Message | None, bool]:
        answers = self._evening.answers
        if is_early(self._evening):
            return None, True
        if not answers.questions:
            return message("none asked"), True
        if self._evening.person is None:
            return (message("answered"), True) if answers.by else (message("to answer"), False)
        held = answers.held
        open_ones = sum(not held.get(one, "").strip() for one in answers.questions)
        return _count(open_ones) if open_ones else (message("answered"), True)

    def _close(self) -> tuple[Message | None, bool]:
        closing = self._evening.closing
        if closing.at is not None:
            return message("closed"), True
        return message("open"), False

    def _ahead(self) -> tuple[Message | None, bool]:
        plan = self._evening.spread.plan
        clashes = [one for one in plan.clashes if one.kind.value == "clash"] if plan else []
        if not clashes:
            return None, False
        return counted("{count} clash", "{count} clashes", len(clashes)), False

    def _days(self) -> tuple[Message | None, bool]:
        bare = bare_days(self._evening)
        if not bare:
            return message("each day has one"), True
        return counted(
            "{count} day has no priority", "{count} days have no priority", len(bare)
        ), False


def is_early(evening: Evening) -> bool:
    """Whether the week that is looked back on has not begun."""
    return evening.before.days[0].date > evening.today


def bare_days(evening: Evening) -> tuple[date, ...]:
    """The days to come that have no priority yet."""
    return tuple(
        day.date for day in evening.spread.days if day.date >= evening.today and not day.priorities
    )


def _count(number: int) -> tuple[Message, bool]:
    if not number:
        return message("nothing left"), True
    return counted("{count} left", "{count} left", number), False
