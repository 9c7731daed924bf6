"""What of a week's plan stands in its days: load, proposals, and how events meet."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date, datetime, timedelta
from typing import TypeVar

from weeksync.message import Message, message
from weeksync.model.engagement import Clash, ClashKind, Engagement, HandOver
from weeksync.model.fields import DayPart
from weeksync.model.occurrence import Occurrence
from weeksync.model.spread import BreakItem, DayOccurrence, PlanTask, Spread
from weeksync.model.week_plan import (
    DayLoad,
    Piece,
    ProposedBreak,
    ProposedHabit,
    ProposedPriority,
    ProposedTask,
    Standing,
    WeekPlan,
)
from weeksync.site.lines import break_text
from weeksync.site.parts import more_text, part_name
from weeksync.site.record import AreaMark, LoadLine, MeetLine, ProposedLine
from weeksync.site.words import Words

MOST_PROPOSED = 8
"""Pieces of tasks that are proposed for one day at most; the rest is counted."""

Reserved = TypeVar("Reserved", ProposedBreak, ProposedHabit, ProposedPriority, ProposedTask)

_WORDS: Mapping[str, Message] = {
    "clash": message("clash"),
    "tight": message("tight"),
    "touching": message("touching"),
    "hand-over": message("hand-over"),
}

_Event = tuple[str, str, str]
_Meet = tuple[date, str, str, Message]
"""(day it is told on, kind, id of the person, sentence)."""


class PlannedDays:
    """What of the plan of a spread stands in its days; nothing that is only for some."""

    def __init__(self, words: Words, spread: Spread) -> None:
        plan = spread.plan or WeekPlan()
        self._words = words
        self._week = str(spread.week)
        self._tasks = {task.id: task for task in every_task(spread) if not task.only_for}
        self._since = since(words, plan)
        self._loads = plan.loads
        lengths = [max(one.free, one.plannable, one.planned) for one in plan.loads]
        self._scale = -(-max(lengths, default=0) // 60) * 60 or 60
        self._meets = _meets(words, plan)
        made = plan.proposal
        self._priorities = _for_all(made.priorities) if made else []
        self._breaks = _for_all(made.breaks) if made else []
        self._habits = _for_all(made.habits) if made else []
        self._open = [
            one
            for one in (_for_all(made.tasks) if made else [])
            if one.standing is not Standing.CHOSEN
        ]
        self._pieces = self._by_day()

    def _by_day(self) -> Mapping[date, list[tuple[Piece, int]]]:
        """The pieces that are proposed, each with the place of its task in `_open`, by time."""
        found: dict[date, list[tuple[Piece, int]]] = defaultdict(list)
        for index, one in enumerate(self._open):
            for piece in one.pieces:
                found[self._day(piece.start)].append((piece, index))
        for pieces in found.values():
            pieces.sort(key=lambda pair: (pair[0].start.timestamp(), pair[1]))
        return found

    def _day(self, moment: datetime) -> date:
        return moment.astimezone(self._words.zone).date()

    def _is_ahead(self, day: date) -> bool:
        """On a day that is over nothing is proposed."""
        return self._since is not None and day >= self._since

    # Load

    def loads(self, day: date) -> tuple[LoadLine, ...]:
        """How full the day is, a line a person."""
        return tuple(self._load(one) for one in self._loads if one.day == day)

    def _load(self, load: DayLoad) -> LoadLine:
        text = self._words.text
        titles = [
            self._tasks[one].title
            for one in load.to_move
            if one in self._tasks and self._is_ahead(load.day)
        ]
        return LoadLine(
            person=self._words.person(load.person),
            free=load.free,
            plannable=load.plannable,
            planned=load.planned,
            over=load.over,
            scale=self._scale,
            text=text(self._minutes(load)),
            too_much=text(message("{minutes} min too much", minutes=load.over))
            if load.over
            else "",
            move=text(message("move {titles}", titles=self._words.say.quoted(titles)))
            if titles and load.over
            else "",
            brief=text(
                message(
                    "{planned} of {plannable} min", planned=load.planned, plannable=load.plannable
                )
            ),
        )

    def _minutes(self, load: DayLoad) -> Message:
        values = {"planned": load.planned, "plannable": load.plannable, "free": load.free}
        parts = self._words.say.by_part((one.part, one.free) for one in load.parts)
        if not parts:
            return message("{planned} of {plannable} min planned, {free} free", **values)
        return message(
            "{planned} of {plannable} min planned, {free} free ({parts})", **values, parts=parts
        )

    # Proposals

    def proposed(self, day: date, part: DayPart) -> tuple[ProposedLine, ...]:
        """The pieces of tasks proposed for a day part."""
        shown = self._pieces.get(day, [])[:MOST_PROPOSED] if self._is_ahead(day) else []
        return tuple(
            self._piece(piece, self._open[index]) for piece, index in shown if piece.part is part
        )

    def proposed_more(self, day: date) -> str:
        """What is proposed for the day and not listed."""
        found = len(self._pieces.get(day, [])) if self._is_ahead(day) else 0
        return more_text(self._words, found - MOST_PROPOSED, self._week)

    def _piece(self, piece: Piece, one: ProposedTask) -> ProposedLine:
        number = one.pieces.index(piece) + 1
        several = message("piece {number} of {count}", number=number, count=len(one.pieces))
        start, end = (at.astimezone(self._words.zone) for at in (piece.start, piece.end))
        task = self._tasks.get(one.task)
        return ProposedLine(
            id=one.task,
            title=one.title.strip() or self._words.no_title(),
            area=self._area(one.task),
            persons=self._words.persons(task.persons if task and task.persons else (one.person,)),
            times=self._words.language.times(start, end),
            piece=self._words.text(several) if len(one.pieces) > 1 else "",
            late=one.standing is Standing.LATE,
            reason=self._words.plan_text(one.reason) if number == 1 else "",
        )

    def _area(self, task: str) -> AreaMark | None:
        found = self._tasks.get(task)
        return self._words.area(found.area) if found is not None else None

    def priorities(self, day: date) -> tuple[ProposedLine, ...]:
        """What is proposed as a priority of the day."""
        return tuple(
            ProposedLine(
                id=one.task,
                title=one.title.strip() or self._words.no_title(),
                area=self._area(one.task),
                persons=self._words.persons(one.persons),
                times="",
                piece="",
                late=False,
                reason=self._words.plan_text(one.reason),
            )
            for one in self._priorities
            if one.day == day and self._is_ahead(day)
        )

    def breaks(self, day: date) -> tuple[str, ...]:
        """The breaks proposed for the day."""
        if not self._is_ahead(day):
            return ()
        starts = [(one.start.astimezone(self._words.zone), one) for one in self._breaks]
        return tuple(
            break_text(
                self._words, BreakItem(f"{at:%H:%M}", one.minutes, one.what, one.person or None)
            )
            for at, one in starts
            if at.date() == day
        )

    def habit(self, habit: str) -> Mapping[date, str]:
        """The days proposed for a habit, each with the day part it moves to, "" for none."""
        return {
            day: part_name(self._words, one.part) if one.part is not None else ""
            for one in self._habits
            if one.habit == habit
            for day in one.days
            if self._is_ahead(day)
        }

    # What meets

    def meets(self, shown: DayOccurrence, day: date) -> tuple[MeetLine, ...]:
        """How an occurrence on that day meets others; persons alike share a line."""
        one = shown.occurrence
        alike: dict[tuple[str, str], list[str]] = {}
        for on, kind, person, text in self._meets.get(_key(one), ()):
            if on == day:
                alike.setdefault((kind, self._words.text(text)), []).append(person)
        return tuple(
            MeetLine(
                kind,
                self._words.text(_WORDS[kind]),
                self._words.persons(who) if len(one.persons) > 1 else (),
                text,
            )
            for (kind, text), who in alike.items()
        )


def every_task(spread: Spread) -> list[PlanTask]:
    """The tasks of a spread, those without a day last."""
    return [*(task for day in spread.days for task in day.tasks), *spread.undated]


def _for_all(items: Iterable[Reserved]) -> list[Reserved]:
    return [one for one in items if not one.only_for]


def since(words: Words, plan: WeekPlan) -> date | None:
    """The first day that something may be proposed for; None where nothing is."""
    if plan.proposal is None:
        return None
    return plan.proposal.since.astimezone(words.zone).date()


def _key(one: Occurrence | Engagement) -> _Event:
    return one.source, one.uid, one.identity


def _meets(words: Words, plan: WeekPlan) -> Mapping[_Event, list[_Meet]]:
    """What is to be told beside each event."""
    found: dict[_Event, list[_Meet]] = defaultdict(list)

    def note(meeting: Clash | HandOver, one: Engagement, kind: str, text: Message) -> None:
        found[_key(one)].append((_told_on(words, meeting.day, one), kind, one.person, text))

    for clash in plan.clashes:
        if not clash.only_for:
            note(clash, clash.first, clash.kind.value, _meeting(clash, first=True))
            note(clash, clash.second, clash.kind.value, _meeting(clash, first=False))
    for one in plan.hand_overs:
        if not one.only_for:
            before = message(
                "hand-over, {minutes} min before “{title}”",
                minutes=one.minutes,
                title=one.second.title,
            )
            after = message(
                "hand-over, {minutes} min after “{title}”",
                minutes=one.minutes,
                title=one.first.title,
            )
            note(one, one.first, "hand-over", before)
            note(one, one.second, "hand-over", after)
    return found


def _told_on(words: Words, day: date, one: Engagement) -> date:
    """The day on which an event stands that is nearest to the day of the meeting."""
    first = one.begins.astimezone(words.zone)
    last = max(first, one.ends.astimezone(words.zone) - timedelta(microseconds=1))
    return min(max(day, first.date()), last.date())


def _meeting(clash: Clash, *, first: bool) -> Message:
    """How an event meets another one, told beside the first or the second."""
    minutes, title = clash.minutes, (clash.second if first else clash.first).title
    if clash.kind is ClashKind.CLASH:
        return message("clash, {minutes} min, with “{title}”", minutes=minutes, title=title)
    if clash.kind is ClashKind.TOUCHING:
        return message("touching “{title}”", title=title)
    if first:
        return message("tight, {minutes} min before “{title}”", minutes=minutes, title=title)
    return message("tight, {minutes} min after “{title}”", minutes=minutes, title=title)
