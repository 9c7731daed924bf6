"""The rooms of everybody in a week: whose time a task takes, and what is taken of it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import field
from datetime import date, datetime
from zoneinfo import ZoneInfo

from weeksync.lazy import dataclass
from weeksync.message import Message
from weeksync.model.config import Planning
from weeksync.model.spread import PlanTask
from weeksync.model.week_plan import DayLoad, Piece, ProposedTask, Standing
from weeksync.plan.day_room import last_minute
from weeksync.plan.fewest_late import Job
from weeksync.plan.placement import Room, Wish
from weeksync.plan.task_records import minutes_of
from weeksync.plan.week_tasks import Asked


@dataclass(frozen=True, slots=True)
class Setting:
    """What a proposal is made in: the moment, the zone, the limits, and who rests when.

    `confirmed` are the pieces of earlier proposals, by task, as the confirmed snapshot has them.
    """

    now: datetime
    tz: ZoneInfo
    planning: Planning
    rests: Callable[[str, date], bool] = lambda person, day: False
    confirmed: Mapping[str, Sequence[Piece]] = field(default_factory=dict)


def rank(task: PlanTask) -> int:
    """The own ranking, then how long it has been carried: the smaller the more important."""
    return (task.priority or 10) * 10_000 - min(task.carried, 9_999)


class WeekRooms:
    """The rooms of all persons whose days are planned, taken task by task."""

    def __init__(self, asked: Asked, loads: Iterable[DayLoad], setting: Setting) -> None:
        self._first, self._last = asked.first, asked.last
        self._setting = setting
        self._usual = setting.planning.usual_estimate_minutes
        days: dict[str, list[DayLoad]] = defaultdict(list)
        for load in loads:
            if load.day >= self._first:
                days[load.person].append(load)
        self.rooms = {person: self._room(person, own) for person, own in days.items()}
        self._promised: dict[str, int] = defaultdict(int)

    def owner(self, task: PlanTask, *, promise: bool = False) -> str:
        """Whose time it takes: of several, or where nobody is named, who has most left for it.

        "" where nobody does whose days are planned.
        """
        owner = next(iter(self._owners(task)), "")
        if promise and owner:
            self._promised[owner] += minutes_of(task, self._usual)
        return owner

    def owner_at(self, task: PlanTask) -> str:
        """As `owner`; of a task at a time it is who is free then, where anybody is."""
        owners = self._owners(task)
        if len(owners) > 1 and task.start is not None and task.shown_on is not None:
            day, at, minutes = task.shown_on, task.start, minutes_of(task, self._usual)
            owners = [
                one for one in owners if self.rooms[one].is_free_at(day, at, minutes)
            ] or owners
        return next(iter(owners), "")

    def keep(self, task: PlanTask, pieces: Sequence[Piece]) -> str:
        """Take these pieces out of the room of an owner who is free then; "" where none is."""
        return next((one for one in self._owners(task) if self.rooms[one].keep(pieces)), "")

    def _owners(self, task: PlanTask) -> list[str]:
        """Those whose time it could take, who has most left for it first."""
        named = task.persons or task.only_for or tuple(self.rooms)
        persons = [person for person in named if person in self.rooms]
        if len(persons) > 1:
            last = min(task.last_day or self._last, self._last)
            persons.sort(key=lambda one: self._promised[one] - self.rooms[one].left(last))
        return persons

    def reserve(self, task: PlanTask, owner: str, day: date) -> tuple[Piece, ...]:
        """Take what was chosen for a day out of the owner's room; its pieces where it has any.

        Of several persons it takes the time of each, as their loads have it.
        """
        for person in task.persons or task.only_for:
            if person != owner:
                self._reserve(task, person, day)
        return self._reserve(task, owner, day)

    def _reserve(self, task: PlanTask, person: str, day: date) -> tuple[Piece, ...]:
        room = self.rooms.get(person)
        if room is None:
            return ()
        minutes = minutes_of(task, self._usual)
        if task.start is not None:
            return room.reserve_at(day, task.start, minutes, task.part)
        return room.reserve(day, minutes, task.part)

    def job(self, number: int, task: PlanTask, room: Room) -> Job:
        """The task as the fewest late are counted.

        Nothing is left for it of a day that is over, nor where it is to be done before it can be
        begun.
        """
        day = task.last_day or self._last
        could = day >= max(self._first, task.not_before or day)
        deadline = room.left(day, _until(task)) if could else 0
        return Job(number, minutes_of(task, self._usual), deadline, rank(task))

    def is_in_time(self, task: PlanTask, pieces: Sequence[Piece]) -> bool:
        """Whether the last of the pieces ends before the task is due."""
        end, until = pieces[-1].end, _until(task)
        if until is not None:
            return last_minute(end) <= until
        return task.last_day is None or end.date() <= task.last_day

    def wish(self, task: PlanTask, last: date, *, by_due: bool = True) -> Wish:
        """What it asks of a room, up to `last`; with `by_due` to its due time, where it has one."""
        return Wish(
            minutes_of(task, self._usual),
            max(task.not_before, self._first) if task.not_before else self._first,
            last,
            task.part,
            _until(task) if by_due else None,
        )

    def out(self, task: PlanTask, reason: Message) -> ProposedTask:
        """The record of a task that can be nowhere."""
        return self.proposed(task, self.owner(task), Standing.UNPLACED, reason)

    def proposed(
        self,
        task: PlanTask,
        person: str,
        standing: Standing,
        reason: Message,
        pieces: Sequence[Piece] = (),
        minutes: int | None = None,
    ) -> ProposedTask:
        """The record of a task that can be where its pieces are."""
        return ProposedTask(
            task=task.id,
            title=task.title,
            person=person or next(iter(task.persons), ""),
            standing=standing,
            reason=reason,
            minutes=minutes_of(task, self._usual) if minutes is None else minutes,
            guessed=not (task.minutes or task.estimate),
            due=task.due,
            pieces=tuple(pieces),
            only_for=task.only_for,
        )

    def _room(self, person: str, loads: Sequence[DayLoad]) -> Room:
        setting = self._setting
        return Room(
            loads,
            setting.now,
            setting.tz,
            setting.planning.smallest_piece_minutes,
            lambda day: setting.rests(person, day),
        )


def _until(task: PlanTask) -> int | None:
    """The UTC minute of a due time; lead days are whole days, and have none."""
    if task.due_at is None or task.lead_days:
        return None
    return last_minute(task.due_at)
