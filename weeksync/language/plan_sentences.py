"""Sentences about what is worked out for a week, each made from one record of the plan.

The terminal and the pages both say these; whose a line is they mark in their own way, the
terminal by letters behind the title, which it hands in as `who`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date, datetime, time

from weeksync.language.plan_words import PlanWords
from weeksync.message import Message, Value, counted, message
from weeksync.model.engagement import Clash, ClashKind, HandOver, SleepWindow
from weeksync.model.money_item import MoneyItem
from weeksync.model.snapshot import LineKind, SnapshotLine
from weeksync.model.week_plan import (
    Attendance,
    BusinessWeek,
    Carried,
    Change,
    ChangeKind,
    ComingUp,
    DayLoad,
    LessonTally,
    LighterDays,
    LowestBalance,
    UnassignedTask,
)

LEAST_AT_ONCE = 3
"""So many engagements of a person at one moment are told; two are told by their clash."""


class PlanSentences(PlanWords):
    """One method for each kind of record of `weeksync.model.week_plan`."""

    # What meets

    def clash(self, one: Clash) -> str:
        """How two engagements of a person meet."""
        values = {
            "person": self.person(one.person),
            "when": f"{self.day(one.day)} {self.language.time(one.at)}",
            "first": one.first.title,
            "second": one.second.title,
        }
        if one.kind is ClashKind.CLASH:
            text = counted(
                "{person}, {when}: “{first}” and “{second}” overlap by {count} minute",
                "{person}, {when}: “{first}” and “{second}” overlap by {count} minutes",
                one.minutes,
                **values,
            )
        elif one.kind is ClashKind.TIGHT:
            text = counted(
                "{person}, {when}: {count} minute between “{first}” and “{second}” is tight",
                "{person}, {when}: {count} minutes between “{first}” and “{second}” are tight",
                one.minutes,
                **values,
            )
        else:
            text = message("{person}, {when}: “{second}” begins when “{first}” ends", **values)
        return self.text(text)

    def hand_over(self, one: HandOver) -> str:
        """From whom to whom, and the minutes between."""
        return self.text(
            counted(
                "{when}: {first} is free after “{ends}”, {second} is engaged with “{begins}”: "
                "{count} minute between",
                "{when}: {first} is free after “{ends}”, {second} is engaged with “{begins}”: "
                "{count} minutes between",
                one.minutes,
                when=f"{self.day(one.day)} {self.language.time(one.at)}",
                first=self.person(one.first.person),
                ends=one.first.title,
                second=self.person(one.second.person),
                begins=one.second.title,
            )
        )

    def at_once(self, loads: Iterable[DayLoad]) -> Iterator[str]:
        """Once for each person and day, how many engagements lie at one moment at most."""
        for one in loads:
            if one.overlap >= LEAST_AT_ONCE:
                yield self.text(
                    message(
                        "{person}, {day}: {count} at one moment at most",
                        person=self.person(one.person),
                        day=self.day(one.day),
                        count=one.overlap,
                    )
                )

    # Minutes

    def too_much(self, minutes: int, titles: Iterable[str] = ()) -> str:
        """How much too much a day has, and the tasks whose moving would bring it under."""
        moved = self.quoted(titles)
        if moved:
            return self.text(
                message("{minutes} too much; move {titles}", minutes=minutes, titles=moved)
            )
        return self.text(message("{minutes} too much", minutes=minutes))

    def unassigned(self, task: UnassignedTask) -> str:
        """A task that is in nobody's load."""
        return self.text(
            counted(
                "{day}: “{title}”, {count} minute, is nobody's",
                "{day}: “{title}”, {count} minutes, is nobody's",
                task.minutes,
                day=self.day(task.day),
                title=task.title,
            )
        )

    def bedtimes(self, windows: Iterable[SleepWindow]) -> Iterator[str]:
        """The latest bedtimes, those alike in one line; then the notes, each once.

        The day named is that of the bedtime: after a night of work, or past midnight, it is the
        one after the evening.
        """
        alike: dict[str, list[date]] = {}
        notes: dict[str, Message] = {}
        for one in windows:
            alike.setdefault(self._bedtime(one), []).append(one.bedtime.date())
            if one.note is not None:
                notes[str(one.note)] = one.note
        for line, days in alike.items():
            yield f"{line} ({self.days(days)})"
        yield from map(self.text, notes.values())

    def _bedtime(self, one: SleepWindow) -> str:
        values: dict[str, Value] = {"person": self.person(one.person), "title": one.first.title}
        if one.room is not None:
            return self.text(
                counted(
                    "{person}: {count} minute is left for sleep before “{title}”",
                    "{person}: {count} minutes are left for sleep before “{title}”",
                    one.room,
                    **values,
                )
            )
        return self.text(
            message(
                "{person}: by {time} for {hours} hours before “{title}”",
                **values,
                hours=one.hours,
                time=self.language.time(one.bedtime),
            )
        )

    # Tasks

    def lighter(self, one: LighterDays, titles: Mapping[str, str]) -> Iterator[str]:
        """Whose days are lighter and when, what is paid before, made up, and piled up.

        `titles` are those of tasks by id; one without a title is passed over.
        """
        yield self._lighter_days(one)
        if one.pay_before:
            yield self.text(message("to be paid before: {what}", what=self._bills(one.pay_before)))
        if one.lessons:
            yield self.text(
                counted("{count} lesson to make up", "{count} lessons to make up", len(one.lessons))
            )
        piled_up = self.quoted(titles[task] for task in one.piled_up if task in titles)
        if piled_up:
            yield self.text(
                message(
                    "piled up: {titles}; weeksync carry --spread or --park settles it",
                    titles=piled_up,
                )
            )

    def _lighter_days(self, one: LighterDays) -> str:
        span, who = self.language.span(one.first, one.last), self.person(one.person)
        if one.reason:
            return self.text(
                message("{person}, {days}: {reason}", person=who, days=span, reason=one.reason)
            )
        return self.text(message("{person}, {days}", person=who, days=span))

    def _bills(self, items: Iterable[MoneyItem]) -> str:
        return self.language.listed([f"{one.title} ({self.day(one.day)})" for one in items])

    def carried(self, one: Carried, who: str = "") -> str:
        """How long a task has been carried, and whether that is to be decided."""
        weeks = counted("carried {count} week", "carried {count} weeks", one.weeks)
        line = self.text(
            message("{title}{who}: {text}", title=one.title, who=who, text=self.text(weeks))
        )
        if not one.decision_due:
            return line
        return self.text(message("{carried}; to be decided: weeksync carry", carried=line))

    def room(self, count: int, week: str) -> str:
        """How many tasks found a place in the proposed week, and how to take them."""
        return self.text(
            counted(
                "{count} task has room: weeksync propose {week}",
                "{count} tasks have room: weeksync propose {week}",
                count,
                week=week,
            )
        )

    def late(self, count: int) -> str:
        """How many tasks must be late at least."""
        return self.text(
            counted(
                "at least {count} task will be late", "at least {count} tasks will be late", count
            )
        )

    # Money

    def balance(self, one: LowestBalance) -> str:
        """The lowest balance of an account between two pays."""
        line = message(
            "{account}: {amount} at the lowest, on {day}",
            account=one.account,
            amount=self.amount(one.amount, one.currency),
            day=self.day(one.day),
        )
        return self._with_unknown(self.text(line), one.unknown)

    def business(self, one: BusinessWeek) -> str:
        """In and out of the side business."""
        line = message(
            "side business: {money_in} in, {money_out} out",
            money_in=self.amount(one.money_in, one.currency),
            money_out=self.amount(one.money_out, one.currency),
        )
        return self._with_unknown(self.text(line), one.unknown)

    def _with_unknown(self, line: str, unknown: int) -> str:
        if not unknown:
            return line
        more = counted("{count} item has no amount", "{count} items have no amount", unknown)
        return f"{line} ({self.text(more)})"

    # Lessons

    def lesson(self, one: LessonTally) -> str:
        """What was taught of a subject."""
        return self.text(
            message(
                "{child}, {subject}: {planned} planned, {done} done, {to_make_up} to make up, "
                "{not_recorded} not recorded",
                child=self.person(one.child),
                subject=one.subject,
                planned=one.planned,
                done=one.done,
                to_make_up=one.to_make_up,
                not_recorded=one.not_recorded,
            )
        )

    def attendance(self, one: Attendance) -> str:
        """On how many days a child was taught."""
        return self.text(
            counted(
                "{child}: lessons on {attended} of {count} day, {not_recorded} not recorded",
                "{child}: lessons on {attended} of {count} days, {not_recorded} not recorded",
                one.days,
                child=self.person(one.child),
                attended=one.attended,
                not_recorded=one.not_recorded,
            )
        )

    # What comes and what has changed

    def coming_up(self, one: ComingUp, who: str = "") -> str:
        """What needs lead time."""
        return self.text(
            message(
                "begin {begin}: {what}{who} ({day})",
                begin=self.day(one.begin),
                what=self._titled(one.what, one.title),
                who=who,
                day=self.day(one.day),
            )
        )

    def _titled(self, kind: str, title: str) -> str:
        """A title with what it is before it, where that is named."""
        return self.text(message("{kind}: {title}", kind=kind, title=title)) if kind else title

    def changes_title(self, confirmed: datetime | None) -> Message:
        """A heading with the moment, on the clock to be shown, from which changes are counted."""
        if confirmed is None:
            return message("Changes since print")
        return message("Changes since print ({when})", when=self.language.moment(confirmed))

    def change(self, one: Change) -> str:
        """What has become of a line since the week was printed or confirmed."""
        title = self.text(message("priority: {title}", title=one.title))
        line = one.now or one.was
        if line is None or line.kind is not LineKind.PRIORITY:
            title = one.title
        was, now = self._line(one.was), self._line(one.now)
        if one.kind is ChangeKind.NEW:
            text = message("{title}: new, {now}", title=title, now=now)
        elif one.kind is ChangeKind.GONE:
            text = message("{title}: gone, before {was}", title=title, was=was)
        else:
            text = message("{title}: {now}, before {was}", title=title, now=now, was=was)
        return self.text(text)

    def _line(self, line: SnapshotLine | None) -> str:
        """When and how a line stands, without its title."""
        if line is None:
            return ""
        days = [self.day(day) for day in (line.day, line.until) if day is not None]
        times = [
            self.language.time(time.fromisoformat(one)) for one in (line.start, line.end) if one
        ]
        parts = [" – ".join(days), " – ".join(times)]
        found = " ".join(filter(None, parts))
        return f"{found} ({line.text})" if line.text else found
