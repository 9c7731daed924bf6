"""Tasks and to-dos of a week: left out until released one by one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.files import Task
from weeksync.model.shared import Decision, ItemKind, SharedTask, ShownAs
from weeksync.model.sharing_settings import MayShare
from weeksync.model.spread import Day, PlanTask
from weeksync.redact.rules import Look, Rules
from weeksync.redact.times import Times, place
from weeksync.redact.vetoes import ONLY_FOR, Copies, veto_of_todo

_DROPPED = message("it was dropped")
_PUT_OFF = message("it was put off to another day")
_NOT_RELEASED = message("its title is not released")


@dataclass(frozen=True, slots=True)
class SeenTask:
    """A task on a day, what may stand there for it, and why."""

    task: PlanTask
    day: date
    look: Look
    release: str = ""

    @property
    def decision(self) -> Decision:
        """For the household's own list."""
        return Decision(
            kind=ItemKind.TODO if self.task.source else ItemKind.TASK,
            title=self.task.title,
            days=(self.day,),
            shown_as=self.look.shown_as,
            label=self.look.label,
            why=self.look.why,
            release=self.release,
            only_for=self.task.only_for,
        )


class Tasks:
    """Judges tasks by their entries of today, and to-dos by every copy known."""

    def __init__(self, rules: Rules, copies: Copies, entries: Mapping[str, Task]) -> None:
        self._rules, self._copies, self._entries = rules, copies, entries

    def seen(self, days: Sequence[Day]) -> list[SeenTask]:
        """Every task of the days, in order."""
        return [self._seen(task, day.date) for day in days for task in day.tasks]

    def _seen(self, task: PlanTask, day: date) -> SeenTask:
        if task.source:
            return self._todo(task, day)
        entry = self._entries.get(task.id)
        if task.only_for or (entry is not None and entry.only_for):
            return SeenTask(task, day, Look(why=ONLY_FOR))
        if task.dropped is not None:
            return SeenTask(task, day, Look(why=_DROPPED))
        if task.later:
            return SeenTask(task, day, Look(why=_PUT_OFF))
        ruling = self._rules.of_task(task, entry)
        title = entry.title if entry is not None and not entry.share_as else ""
        release = task.id if entry is not None and not entry.share else ""
        return SeenTask(task, day, self._rules.look(ruling, title, task.area), release)

    def _todo(self, task: PlanTask, day: date) -> SeenTask:
        copies = self._copies.of_todo(task)
        why = veto_of_todo(copies)
        if why is not None:
            return SeenTask(task, day, Look(why=why))
        if task.later:
            return SeenTask(task, day, Look(why=_PUT_OFF))
        ruling = self._rules.of_todo(task)
        title = self._rules.released(task.title)
        if not title and ruling.level is not MayShare.NOTHING:
            return SeenTask(task, day, Look(why=_NOT_RELEASED), task.title)
        return SeenTask(task, day, self._rules.look(ruling, title, task.area))


def of_day(
    day: Day, seen: Sequence[SeenTask], rules: Rules, times: Times
) -> tuple[SharedTask, ...]:
    """What is let through on a day, each look once, by what can be seen of it."""
    found = {
        SharedTask(
            shown_as=one.look.shown_as,
            label=one.look.label,
            area=one.look.area,
            roles=rules.roles(one.task.persons),
            part=one.task.part if times != "left out" else None,
            done=one.task.done is not None,
        )
        for one in seen
        if one.day == day.date and one.look.shown_as is not ShownAs.NOTHING
    }
    return tuple(sorted(found, key=_by_sight))


def _by_sight(one: SharedTask) -> tuple[object, ...]:
    part = place(one.part)
    looks = (one.label.casefold(), one.label, one.shown_as, one.roles, one.area is not None)
    return (part, *looks, one.done)
