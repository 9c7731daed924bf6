"""The form of a habit, and of a daily figure such as sleep, water or steps: one mechanism."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from weeksync.message import message
from weeksync.model.fields import MarkKind
from weeksync.model.files import Habit, HabitsFile
from weeksync.site.record import Option
from weeksync.workflow.edit_choices import Pick, Rows, Weekdays, Yes
from weeksync.workflow.edit_codecs import Day, Figure, Text, Whole
from weeksync.workflow.edit_kinds import Ending, Group, Kind, listed, marked, take_out
from weeksync.workflow.edit_tasks import AREA, ONLY_FOR, PART, SHARE
from weeksync.workflow.edit_words import EditWords

KINDS = {
    MarkKind.YES_NO: message("a tick"),
    MarkKind.COUNT: message("a number, as glasses or steps"),
    MarkKind.MINUTES: message("minutes"),
    MarkKind.HOURS: message("hours, as of sleep"),
    MarkKind.SCALE: message("a step from 1 to 5"),
}


def _kinds(words: EditWords) -> tuple[Option, ...]:
    return tuple(Option(kind.value, words.say(text)) for kind, text in KINDS.items())


def _over(words: EditWords, habit: Habit) -> bool:
    return habit.end is not None and habit.end < words.context.today


def _note(words: EditWords, habit: Habit) -> str:
    until = ""
    if habit.end is not None:
        until = words.say(message("until {day}", day=habit.end.isoformat()))
    return listed(words, [words.name(habit.person), until])


def _endings(words: EditWords, habit: Habit) -> Sequence[Ending]:
    found = []
    today = words.context.today
    begun = habit.start is None or habit.start <= today
    if begun and (habit.end is None or habit.end > today):
        found.append(
            Ending(
                "end",
                message("It ends today"),
                message("Its marks stay, and the weeks it stood in keep it."),
                message("Ended today: “{title}”", title="{title}"),
                {"end": today},
            )
        )
    if _over(words, habit):
        found.append(
            Ending(
                "again",
                message("Go on with it"),
                message("It is due again from today; the days between count as a pause."),
                message("Goes on: “{title}”", title="{title}"),
                {"end": None, "pauses": _with_gap(words, habit)},
            )
        )
    if not marked(words, habit):
        found.append(take_out(message("Nothing has been marked for it yet.")))
    return found


def _with_gap(words: EditWords, habit: Habit) -> tuple[dict[str, object], ...]:
    """The pauses with one for the days since it ended."""
    assert habit.end is not None  # noqa: S101 - only asked for one that is over
    held = [one.values() for one in habit.pauses]
    first, last = habit.end + timedelta(days=1), words.context.today - timedelta(days=1)
    return (*held, *([{"start": first, "end": last}] if first <= last else []))


HABITS = Kind(
    name="habits",
    word="habit",
    array="habits",
    file="habits.toml",
    model=HabitsFile,
    record=Habit,
    heading=message("Habits and daily figures"),
    one=message("Habit"),
    add=message("Add a habit"),
    empty=message("There is no habit."),
    held=lambda words: words.context.files.habits,
    note=_note,
    over=_over,
    endings=_endings,
    stays=message("Something has been marked for it: it can end, and keeps its history."),
    groups=(
        Group(
            None,
            (
                Text(key="title", label=message("What it is called"), required=True),
                Pick(
                    key="person",
                    label=message("Whose it is"),
                    options=EditWords.people,
                    none=None,
                    required=True,
                    narrow=True,
                ),
                AREA,
                Pick(
                    key="kind",
                    label=message("A mark is"),
                    options=_kinds,
                    none=None,
                    default=MarkKind.YES_NO.value,
                    narrow=True,
                ),
                Text(
                    key="unit",
                    label=message("Unit"),
                    hint=message("As glasses, steps, h."),
                    narrow=True,
                ),
                Figure(
                    key="target",
                    label=message("Target"),
                    hint=message("From this figure on a day counts as marked. Yours alone to set."),
                    narrow=True,
                ),
                Whole(
                    key="times_a_week",
                    label=message("How many days a week"),
                    hint=message("On days of your choice: leave the weekdays empty then."),
                    narrow=True,
                ),
                PART,
                Whole(
                    key="order",
                    label=message("Place in the order of the day"),
                    hint=message("Smallest first; 100 where nothing is said."),
                    default=100,
                    narrow=True,
                ),
                Weekdays(
                    key="days",
                    label=message("On these days"),
                    hint=message("None, and no number of days: every day."),
                ),
            ),
        ),
        Group(
            message("From, until and pauses"),
            (
                Day(key="start", label=message("First day"), narrow=True),
                Day(key="end", label=message("Last day"), narrow=True),
                Rows(
                    key="pauses",
                    label=message("Pauses"),
                    parts=(
                        Day(
                            key="start",
                            label=message("Pause from"),
                            required=True,
                            narrow=True,
                        ),
                        Day(key="end", label=message("Pause until"), narrow=True),
                        Text(key="reason", label=message("Why, in your own words")),
                    ),
                ),
                Yes(key="terms_only", label=message("Due only on days of a term")),
            ),
            folded=True,
        ),
        Group(
            message("More"),
            (
                Yes(key="health", label=message("A health figure: it is never shared")),
                *SHARE,
                ONLY_FOR,
            ),
            folded=True,
        ),
    ),
)
