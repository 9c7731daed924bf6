"""What is worked out about a week, as lines behind its days; each section only where it says
something."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from weeksync.cli.plan_ahead import Ahead
from weeksync.cli.plan_words import Words, wrapped
from weeksync.message import Message, Value, counted, message
from weeksync.model.engagement import Clash, ClashKind, HandOver, SleepWindow
from weeksync.model.money_item import MoneyItem
from weeksync.model.spread import Spread
from weeksync.model.week_plan import (
    DayLoad,
    LighterDays,
    Standing,
    WeekPlan,
)
from weeksync.workflow import Context


def plan_lines(context: Context, spread: Spread, plan: WeekPlan) -> Iterator[str]:
    """The sections, what meets first, then minutes, then what is ahead; at most 80 columns."""
    page, ahead = _Plan(context, spread, plan), Ahead(context, plan)
    for title, lines in (
        (message("Clashes"), page.clashes()),
        (message("Hand-overs"), page.hand_overs()),
        (message("Free time and load, in minutes"), page.loads()),
        (message("Hours worked"), page.worked()),
        (message("Latest bedtimes"), page.sleep()),
        (message("Lighter weeks"), page.lighter()),
        (message("Carried forward"), page.carried()),
        (message("Proposed"), page.proposed()),
        (message("Money"), ahead.money()),
        (message("Lessons so far"), ahead.lessons()),
        (message("Coming up"), ahead.coming_up()),
        (ahead.changes_title(), ahead.changes()),
    ):
        found = list(lines)
        if found:
            yield ""
            yield page.words.text(title)
            for line in found:
                yield from wrapped(line, "  ", " " * (4 + len(line) - len(line.lstrip())))


class _Plan:
    def __init__(self, context: Context, spread: Spread, plan: WeekPlan) -> None:
        self.words = Words(context)
        self.language = context.language
        self.spread = spread
        self.plan = plan
        self.today = context.today
        self.titles = {
            task.id: task.title
            for tasks in (*(day.tasks for day in spread.days), spread.undated)
            for task in tasks
        } | {one.task: one.title for one in plan.carried}

    def _say(self, text: Message) -> str:
        return self.words.text(text)

    # What meets

    def clashes(self) -> Iterator[str]:
        yield from map(self._clash, self.plan.clashes)

    def _clash(self, one: Clash) -> str:
        values = {
            "person": self.words.person(one.person),
            "when": f"{self.words.day(one.day)} {self.language.time(one.at)}",
            "first": one.first.title,
            "second": one.second.title,
        }
        if one.kind is ClashKind.CLASH:
            text = message(
                "{person}, {when}: “{first}” and “{second}” overlap by {minutes} minutes",
                **values,
                minutes=one.minutes,
            )
        elif one.kind is ClashKind.TIGHT:
            text = message(
                "{person}, {when}: {minutes} minutes between “{first}” and “{second}” are tight",
                **values,
                minutes=one.minutes,
            )
        else:
            text = message("{person}, {when}: “{second}” begins when “{first}” ends", **values)
        return self._say(text)

    def hand_overs(self) -> Iterator[str]:
        yield from map(self._hand_over, self.plan.hand_overs)

    def _hand_over(self, one: HandOver) -> str:
        return self._say(
            message(
                "{when}: {first} is free after “{ends}”, {second} is engaged with “{begins}”: "
                "{minutes} minutes between",
                when=f"{self.words.day(one.day)} {self.language.time(one.at)}",
                first=self.words.person(one.first.person),
                ends=one.first.title,
                second=self.words.person(one.second.person),
                begins=one.second.title,
                minutes=one.minutes,
            )
        )

    # Minutes

    def loads(self) -> Iterator[str]:
        for person in dict.fromkeys(one.person for one in self.plan.loads):
            yield self.words.person(person)
            yield from (f"  {self._load(one)}" for one in self.plan.loads if one.person == person)
        for task in self.plan.unassigned:
            yield self._say(
                message(
                    "{day}: “{title}”, {minutes} minutes, is nobody's",
                    day=self.words.day(task.day),
                    title=task.title,
                    minutes=task.minutes,
                )
            )

    def _load(self, one: DayLoad) -> str:
        line = f"{self.words.day(one.day)}: {self.words.load(one)}"
        if not one.over:
            return line
        titles = [f"“{self.titles.get(task, task)}”" for task in one.to_move]
        if titles and one.day >= self.today:
            more = message(
                "{minutes} too much; move {titles}",
                minutes=one.over,
                titles=self.language.listed(titles),
            )
        else:
            more = message("{minutes} too much", minutes=one.over)
        return f"{line}: {self._say(more)}"

    def worked(self) -> Iterator[str]:
        for one in self.plan.worked:
            if one.minutes:
                yield f"{self.words.person(one.person)}: {self._hours(one.minutes)}"

    def _hours(self, minutes: int) -> str:
        hours, rest = divmod(minutes, 60)
        if not rest:
            return self._say(message("{hours} h", hours=hours))
        return self._say(message("{hours} h {minutes} min", hours=hours, minutes=rest))

    def sleep(self) -> Iterator[str]:
        alike: dict[str, list[date]] = {}
        for one in self.plan.sleep:
            alike.setdefault(self._bedtime(one), []).append(one.day)
        for line, days in alike.items():
            yield f"{line} ({self.language.listed([self.words.day(day) for day in days])})"
        notes = {str(one.note): one.note for one in self.plan.sleep if one.note is not None}
        yield from map(self._say, notes.values())

    def _bedtime(self, one: SleepWindow) -> str:
        values: dict[str, Value] = {
            "person": self.words.person(one.person),
            "title": one.first.title,
        }
        if one.room is not None:
            return self._say(
                message(
                    "{person}: {room} minutes are left for sleep before “{title}”",
                    **values,
                    room=one.room,
                )
            )
        return self._say(
            message(
                "{person}: by {time} for {hours} hours before “{title}”",
                **values,
                hours=one.hours,
                time=self.language.time(one.bedtime),
            )
        )

    def lighter(self) -> Iterator[str]:
        for one in self.plan.lighter:
            yield self._lighter(one)
            if one.pay_before:
                yield self._say(
                    message("to be paid before: {what}", what=self._bills(one.pay_before))
                )
            if one.lessons:
                yield self._say(
                    counted(
                        "{count} lesson to make up", "{count} lessons to make up", len(one.lessons)
                    )
                )
            if one.piled_up:
                titles = [f"“{self.titles.get(task, task)}”" for task in one.piled_up]
                yield self._say(
                    message(
                        "piled up: {titles}; weeksync carry --spread or --park settles it",
                        titles=self.language.listed(titles),
                    )
                )

    def _lighter(self, one: LighterDays) -> str:
        span = self.language.span(one.first, one.last)
        who = self.words.person(one.person)
        if one.reason:
            return self._say(
                message("{person}, {days}: {reason}", person=who, days=span, reason=one.reason)
            )
        return self._say(message("{person}, {days}", person=who, days=span))

    def _bills(self, items: Iterable[MoneyItem]) -> str:
        return self.language.listed([f"{one.title} ({self.words.day(one.day)})" for one in items])

    # Tasks

    def carried(self) -> Iterator[str]:
        for one in self.plan.carried:
            weeks = counted("carried {count} week", "carried {count} weeks", one.weeks)
            line = f"{one.title}{self.words.letters(one.persons)}: {self._say(weeks)}"
            if one.decision_due:
                line = f"{line}; {self._say(message('to be decided: weeksync carry'))}"
            yield line

    def proposed(self) -> Iterator[str]:
        made = self.plan.proposal
        if made is None:
            return
        open_ones = [
            one for one in made.tasks if one.pieces and one.standing is not Standing.CHOSEN
        ]
        if open_ones:
            yield self._say(
                counted(
                    "{count} task has room: weeksync propose {week}",
                    "{count} tasks have room: weeksync propose {week}",
                    len(open_ones),
                    week=str(self.spread.week),
                )
            )
        if made.late:
            yield self._say(
                counted(
                    "at least {count} task will be late",
                    "at least {count} tasks will be late",
                    made.late,
                )
            )
