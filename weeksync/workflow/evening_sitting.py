"""One request of an evening: what was sent, held against what stands; and what comes of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import field
from datetime import date

from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.model.fields import DayPart
from weeksync.model.files import Task
from weeksync.model.spread import PlanTask
from weeksync.site.plan_evening_facts import Evening
from weeksync.workflow.carry import LeftOver
from weeksync.workflow.context import Context

Fields = Mapping[str, tuple[str, ...]]

MOST_YEARS = 10
"""Dates further off are slips of the finger; the bound is ours."""


class Missaid(Exception):
    """What was sent cannot be: a sentence by the name of its field."""

    def __init__(self, mistakes: Mapping[str, Message]) -> None:
        super().__init__()
        self.mistakes = mistakes


class Meanwhile(Exception):
    """What was sent was meant for what no longer stands so; nothing has been written.

    `again`: sent once more, with what stands now, it is done.
    """

    def __init__(self, texts: tuple[Message, ...], wish: Message | None, *, again: bool) -> None:
        super().__init__()
        self.texts = texts
        self.wish = wish
        self.again = again


@dataclass(frozen=True, slots=True)
class Deed:
    """What is to be done, in words for who may want to take it back, and doing it.

    `then` is the id of the element that the page goes on with. `kept`: it can be taken back;
    what cannot is told by its name in `tells`, since no line that offers to take it back tells it.
    """

    what: Message
    do: Callable[[], object]
    only_for: tuple[str, ...] = ()
    then: str = ""
    kept: bool = True
    tells: str = ""


@dataclass(frozen=True, slots=True)
class Sitting:
    """One request: the household as it is, the evening made from it, and what was sent."""

    context: Context
    evening: Evening
    fields: Fields
    device: str = ""
    titles: Mapping[str, str] = field(default_factory=dict)

    def text(self, name: str) -> str:
        """What was sent in a field, "" for nothing."""
        values = self.fields.get(name, ())
        return values[-1].strip() if values else ""

    def said(self, day: date) -> str:
        """A day as people say it."""
        return self.context.language.date(day, "weekday day month")

    def day(self, name: str, *, coming: bool = True) -> date:
        """The date in a field; Missaid where there is none, or it lies before today."""
        text = self.text(name)
        try:
            day = date.fromisoformat(text)
        except ValueError:
            what = message('"{value}" is no date; write it as 2027-04-02', value=text[:40])
            raise Missaid({name: what}) from None
        if coming and day < self.context.today:
            raise Missaid(
                {name: message("{day} is over; choose a day to come", day=day.isoformat())}
            )
        if abs(day.year - self.context.today.year) > MOST_YEARS:
            raise Missaid(
                {name: message("{day} lies too far away; choose a nearer day", day=day.isoformat())}
            )
        return day

    def place(self, name: str) -> tuple[date, str]:
        """The day and the part, "" for none, of a button; Missaid where it is none of the week."""
        day_text, _, part = self.text(name).partition("/")
        days = {one.date.isoformat(): one.date for one in self.evening.spread.days}
        day = days.get(day_text)
        if day is None or day < self.context.today:
            raise Missaid({name: message("choose one of the days that are to come")})
        if part not in ("", "priority", *(one.value for one in DayPart)):
            raise Missaid({name: message("choose a part of the day")})
        return day, part

    def task(self, wish: Message) -> LeftOver:
        """The task that was sent, as it was seen; Meanwhile where it stands otherwise by now."""
        name, _, was = self.text("task").rpartition("|")
        if not name:
            raise Missaid({"task": message("choose a task first")})
        for one in self.evening.loose:
            if one.task.id == name:
                found = LeftOver(one.task, one.due, one.proposed, one.in_file, one.repeats)
                break
        else:
            found = self._of_week(name, wish)
        if was != self.evening.was.get(f"task:{name}", ""):
            raise Meanwhile((self.stands(found.task),), wish, again=True)
        return found

    def _of_week(self, name: str, wish: Message) -> LeftOver:
        plan = self.evening.spread.plan
        proposal = plan.proposal if plan is not None else None
        tasks = [
            *(task for day in self.evening.spread.days for task in day.tasks if task.open),
            *self.evening.open_tasks,
        ]
        task = next((one for one in tasks if one.id == name), None)
        if task is None:
            raise Meanwhile((self._gone(name),), wish, again=False)
        proposed = next(
            (one for one in (proposal.tasks if proposal else ()) if one.task == name), None
        )
        in_file = name in self.evening.in_file
        return LeftOver(task, False, proposed, in_file, task.repeats)

    def _gone(self, name: str) -> Message:
        """What has become of a task that is not open."""
        task = self._known(name)
        if task is not None and task.done is not None:
            return message("“{title}” is done", title=task.title)
        if task is not None and task.dropped is not None:
            return message("“{title}” is dropped", title=task.title)
        return message("This task is no longer open, or is gone.")

    def _known(self, name: str) -> Task | None:
        """The task of that id in the files, open or not, as far as the sender may see it."""
        found = next((one for one in self.context.files.tasks if one.id == name), None)
        if found is None or (found.only_for and self.evening.person not in found.only_for):
            return None
        return found

    def stands(self, task: PlanTask) -> Message:
        """Where a task stands now."""
        placed = [
            one.date
            for file in self.context.files.weeks.values()
            for one in file.placed
            if one.task == task.id and one.date >= self.context.today
        ]
        if placed:
            days = self.context.language.listed([day.isoformat() for day in placed])
            return message(
                "“{title}” has been put on {days} meanwhile", title=task.title, days=days
            )
        return message("“{title}” has been changed meanwhile", title=task.title)

    def title(self) -> str:
        """The title of the task that was sent, for a sentence about it."""
        name = self.text("task").rpartition("|")[0]
        tasks = [*(one.task for one in self.evening.loose), *self.evening.open_tasks]
        known = self._known(name)
        otherwise = known.title if known is not None else name[:40]
        return next((one.title for one in tasks if one.id == name), otherwise)
