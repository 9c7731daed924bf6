"""The form of a task."""

from __future__ import annotations

from collections.abc import Sequence

from weeksync.message import message
from weeksync.model.fields import DayPart
from weeksync.model.files import Task, TasksFile
from weeksync.site.record import Option
from weeksync.workflow.edit_choices import Pick, Several, Yes
from weeksync.workflow.edit_codecs import Day, Text, Whole
from weeksync.workflow.edit_kinds import Ending, Group, Kind, listed, marked, take_out
from weeksync.workflow.edit_repeats import Repeats
from weeksync.workflow.edit_words import EditWords

PARTS = {
    DayPart.MORNING: message("morning"),
    DayPart.AFTERNOON: message("afternoon"),
    DayPart.EVENING: message("evening"),
}


def day_parts(words: EditWords) -> tuple[Option, ...]:
    """The parts of a day."""
    return tuple(Option(part.value, words.say(text)) for part, text in PARTS.items())


ONLY_FOR = Several(
    key="only_for",
    label=message("Only for"),
    hint=message("Nobody ticked: for everybody. Else it is on no common page, print or feed."),
    options=EditWords.people,
)
SHARE = (
    Yes(key="share", label=message("Released for shared pages")),
    Text(key="share_as", label=message("What stands there in place of its title"), most=60),
)
AREA = Pick(
    key="area",
    label=message("Area of life"),
    options=EditWords.areas,
    none=message("no area"),
    narrow=True,
)
PART = Pick(
    key="part",
    label=message("Day part"),
    options=day_parts,
    none=message("any part of the day"),
    narrow=True,
)


def _note(words: EditWords, task: Task) -> str:
    if task.done is not None:
        return words.say(message("done {day}", day=task.done.isoformat()))
    if task.dropped is not None:
        return words.say(message("dropped {day}", day=task.dropped.isoformat()))
    due = message("due {day}", day=task.due.isoformat()) if task.due is not None else None
    who = words.name(task.person) if task.person is not None else ""
    return listed(words, [who, words.say(due) if due is not None else ""])


def _endings(words: EditWords, task: Task) -> Sequence[Ending]:
    if not task.open:
        return (
            Ending(
                "open",
                message("Open it again"),
                message("It is neither done nor dropped then."),
                message("Open again: “{title}”", title="{title}"),
                {"done": None, "dropped": None},
            ),
        )
    today = words.context.today
    found = [
        Ending(
            "done",
            message("It is done today"),
            message("It stays in its file as done, and in the weeks it stood in."),
            message("Done: “{title}”", title="{title}"),
            {"done": today},
        ),
        Ending(
            "drop",
            message("Drop it"),
            message("It stays in its file as dropped today."),
            message("Dropped: “{title}”", title="{title}"),
            {"dropped": today},
        ),
    ]
    if task.repeats:  # done says of one that repeats that all of it is over
        del found[0]
    if not marked(words, task) and not task.carried:
        found.append(take_out(message("It has no history yet: nothing else is lost with it.")))
    return found


TASKS = Kind(
    name="tasks",
    word="task",
    array="tasks",
    file="tasks.toml",
    model=TasksFile,
    record=Task,
    heading=message("Tasks"),
    one=message("Task"),
    add=message("Add a task"),
    empty=message("There is no open task."),
    held=lambda words: words.context.files.tasks,
    note=_note,
    over=lambda words, task: not task.open,
    endings=_endings,
    groups=(
        Group(
            None,
            (
                Text(key="title", label=message("What is to be done"), required=True),
                Pick(
                    key="person",
                    label=message("Who does it"),
                    options=EditWords.people,
                    none=message("nobody yet"),
                    narrow=True,
                ),
                AREA,
                Day(key="due", label=message("Due"), narrow=True),
                Whole(
                    key="estimate",
                    label=message("How long it takes"),
                    unit=message("minutes"),
                    narrow=True,
                ),
            ),
        ),
        Group(
            message("When"),
            (
                Day(key="day", label=message("Planned for"), narrow=True),
                PART,
                Day(key="not_before", label=message("Not before"), narrow=True),
                Whole(
                    key="lead_days",
                    label=message("To be done so long before it is due"),
                    unit=message("days"),
                    hint=message("As a letter, which takes days to arrive."),
                    narrow=True,
                ),
                Repeats(
                    key="repeats", label=message("Repeats, from the day it is due"), first="due"
                ),
            ),
            folded=True,
        ),
        Group(
            message("More"),
            (
                Whole(
                    key="priority",
                    label=message("Ranking"),
                    hint=message("From 1, highest, to 9, lowest."),
                    narrow=True,
                ),
                Text(key="waits_for", label=message("Waits for"), narrow=True),
                Text(key="notes", label=message("Notes"), hint=message("Markdown."), long=True),
                *SHARE,
                ONLY_FOR,
            ),
            folded=True,
        ),
    ),
)
NOT_IN_FORM = frozenset({"id", "carried", "carried_until", "done", "took", "dropped"})
"""Keys of a task that other pages write."""
