"""The steps that look back on the last week: what each of them has on its page."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from weeksync.message import counted, message
from weeksync.site.lines import money_line
from weeksync.site.plan_evening_facts import Evening, Typed
from weeksync.site.plan_evening_lines import Lines, anchor, weekdays
from weeksync.site.plan_evening_steps import is_early
from weeksync.site.record.plan_evening import (
    EveningBill,
    EveningBlank,
    EveningLesson,
    EveningLessonDay,
    EveningQuestion,
)
from weeksync.site.words import Words

MOST_ANSWER = 2_000
"""The longest answer that is taken, as of `weeksync review`."""

PARKED = timedelta(weeks=4)
"""How far ahead something is set aside where nobody says until when; ours."""


class LastWeek:
    """One method a step, each gives the fields of the page that only this step has."""

    def __init__(
        self, evening: Evening, words: Words, lines: Lines, typed: Typed, task: str = ""
    ) -> None:
        self.evening = evening
        self.words = words
        self.lines = lines
        self.typed = typed
        self.task = task

    def loose(self) -> dict[str, Any]:
        """The loose ends, one of them first."""
        loose = sorted(self.evening.loose, key=lambda one: one.task.id != self.task)
        until = self.evening.today + PARKED
        return {
            "loose": tuple(self.lines.task(one.task, one.proposed, due=one.due) for one in loose),
            "places": self.lines.places(loose[0].task.persons) if loose else (),
            "until": until.isoformat(),
        }

    def marks(self) -> dict[str, Any]:
        """Habits with blanks."""
        words = self.words
        last = self.evening.last
        return {
            "blanks": tuple(
                EveningBlank(
                    one.row.id,
                    one.row.title,
                    words.person(one.row.person),
                    words.area(one.row.area),
                    weekdays(self.words, one.days),
                    one.row.kind.value == "yes/no",
                )
                for one in self.evening.blanks
            ),
            "enter": f"/enter-{last}.html" if last in self.evening.pages else "",
        }

    def lessons(self) -> dict[str, Any]:
        """Lessons to make up."""
        words = self.words
        return {
            "lessons": tuple(
                EveningLesson(
                    one.lesson.id,
                    self.evening.was.get(f"lesson:{one.lesson.id}", ""),
                    words.person(one.lesson.child),
                    one.lesson.subject,
                    words.text(
                        counted(
                            "{count} lesson to make up", "{count} lessons to make up", one.count
                        )
                    ),
                    tuple(
                        EveningLessonDay(
                            day.date.isoformat(),
                            words.say.day(day.date),
                            self.lines.about(day, one.lesson.child),
                        )
                        for day in one.days
                    ),
                    words.duration(one.lesson.minutes),
                )
                for one in self.evening.to_make_up
            )
        }

    def bills(self) -> dict[str, Any]:
        """Bills paid by hand."""
        words, is_open = self.words, self.evening.person is not None
        found = []
        for item in self.evening.bills:
            line = money_line(words, item, amounts=is_open)
            when = message("to be paid by {when}", when=words.say.day(item.day))
            value = f"{item.id}/{item.due}"
            found.append(
                EveningBill(
                    value,
                    anchor(value),
                    self.evening.was.get(f"bill:{item.id}", ""),
                    item.title,
                    words.text(when),
                    line.amount,
                    (item.currency or "") if is_open else "",
                )
            )
        return {"bills": tuple(found)}

    def questions(self) -> dict[str, Any]:
        """What is asked each week."""
        answers = self.evening.answers
        names = self.words.names(answers.by)
        week = self.words.week_label(self.evening.before.days[0].date)
        if is_early(self.evening):
            early = message("{week} has not begun; there is nothing to look back on.", week=week)
            return {"early": self.words.text(early)}
        return {
            "questions": tuple(
                EveningQuestion(
                    f"answer-{number}",
                    question,
                    self.typed.of(f"answer-{number}", answers.held.get(question, "")),
                )
                for number, question in enumerate(answers.questions)
            ),
            "answered": self.words.text(message("answered by {names}", names=names))
            if names
            else "",
            "seen_answers": answers.seen,
            "most": MOST_ANSWER,
        }

    def close(self) -> dict[str, Any]:
        """How the week stands."""
        closing, words = self.evening.closing, self.words
        week = words.week_label(self.evening.before.days[0].date)
        if closing.at is not None:
            when = words.language.moment(closing.at)
            text = message("{week} is closed since {when}.", week=week, when=when)
        elif closing.is_possible and closing.ends_today:
            text = message(
                "{week} ends tonight. Closed now, it is kept as it is; what is marked later "
                "tonight is kept as well, but counts only when the week is opened again.",
                week=week,
            )
        elif closing.is_possible:
            text = message("{week} is over. Closed, it is kept as it is for good.", week=week)
        else:
            text = message(
                "{week} goes on until {day}; it can be closed on that evening.",
                week=week,
                day=words.say.day(self.evening.before.days[-1].date),
            )
        return {
            "closing": words.text(text),
            "can_close": closing.at is None and closing.is_possible,
            "can_reopen": closing.at is not None,
        }
