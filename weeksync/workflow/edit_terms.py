"""The forms of terms, of breaks between and in them, and of lessons."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from weeksync.message import Message, message
from weeksync.model.files import Lesson, Term, TermBreak, TermsFile
from weeksync.workflow.edit_choices import Pick, Rows, Several, Weekdays
from weeksync.workflow.edit_codecs import Day, Text, Whole
from weeksync.workflow.edit_kinds import Ending, Group, Kind, listed, marked, take_out
from weeksync.workflow.edit_words import EditWords


def _days(words: EditWords, one: Term | TermBreak) -> str:
    return words.context.language.span(one.start, one.end)


def _over(words: EditWords, one: Any) -> bool:
    return bool(one.end < words.context.today)


def _to_come(words: EditWords, one: Any) -> Sequence[Ending]:
    if one.start > words.context.today:
        return (take_out(message("It has not begun yet.")),)
    return ()


def _span(title: Message) -> Group:
    return Group(
        None,
        (
            Text(key="name", label=title, required=True),
            Day(key="start", label=message("First day"), required=True, narrow=True),
            Day(key="end", label=message("Last day"), required=True, narrow=True),
        ),
    )


TERMS = Kind(
    name="terms",
    word="term",
    array="terms",
    file="terms.toml",
    model=TermsFile,
    record=Term,
    title="name",
    heading=message("Terms"),
    one=message("Term"),
    add=message("Add a term"),
    empty=message("There is no term."),
    held=lambda words: words.context.files.terms,
    note=_days,
    over=_over,
    endings=_to_come,
    stays=message("It has begun: lessons are counted by it."),
    groups=(_span(message("What it is called")),),
)

BREAKS = Kind(
    name="term-breaks",
    word="term-break",
    array="breaks",
    file="terms.toml",
    model=TermsFile,
    record=TermBreak,
    title="name",
    heading=message("Days without lessons"),
    one=message("Days without lessons"),
    add=message("Add days without lessons"),
    empty=message("There are none."),
    held=lambda words: words.context.files.term_breaks,
    note=_days,
    over=_over,
    endings=_to_come,
    stays=message("It has begun: lessons are counted by it."),
    groups=(_span(message("What they are called")),),
)


def _lesson_note(words: EditWords, one: Lesson) -> str:
    language = words.context.language
    days = [language.weekday(day.number, "abbreviated") for day in one.days]
    return listed(words, [words.name(one.child), language.listed(days)])


def _lesson_endings(words: EditWords, one: Lesson) -> Sequence[Ending]:
    if not marked(words, one):
        return (take_out(message("Nothing has been marked for it yet.")),)
    return ()


LESSONS = Kind(
    name="lessons",
    word="lesson",
    array="lessons",
    file="terms.toml",
    model=TermsFile,
    record=Lesson,
    title="subject",
    heading=message("Lessons"),
    one=message("Lesson"),
    add=message("Add a lesson"),
    empty=message("There is no lesson."),
    held=lambda words: words.context.files.lessons,
    note=_lesson_note,
    endings=_lesson_endings,
    stays=message(
        "Something has been marked for it: it ends with its terms, which are chosen above."
    ),
    groups=(
        Group(
            None,
            (
                Text(key="subject", label=message("What is taught"), required=True),
                Pick(
                    key="child",
                    label=message("Who is taught"),
                    options=EditWords.children,
                    none=None,
                    required=True,
                    narrow=True,
                ),
                Whole(
                    key="minutes",
                    label=message("How long it takes"),
                    unit=message("minutes"),
                    narrow=True,
                ),
                Weekdays(key="days", label=message("On these days"), required=True),
                Several(
                    key="terms",
                    label=message("In these terms"),
                    hint=message("None is all of them."),
                    options=EditWords.terms,
                ),
            ),
        ),
        Group(
            message("Left out and made up"),
            (
                Rows(
                    key="not_on",
                    label=message("Left out on"),
                    parts=(Day(key="", label=message("Left out on"), narrow=True),),
                ),
                Rows(
                    key="make_up",
                    label=message("Made up on"),
                    parts=(Day(key="", label=message("Made up on"), narrow=True),),
                ),
            ),
            folded=True,
        ),
    ),
)
