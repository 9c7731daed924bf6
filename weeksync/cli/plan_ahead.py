"""Money, lessons, what comes up and what has changed, as lines behind the days of a week."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import time

from weeksync.cli.plan_words import Words
from weeksync.message import Message, counted, message
from weeksync.model.snapshot import LineKind, SnapshotLine
from weeksync.model.week_plan import Change, ChangeKind, LowestBalance, WeekPlan
from weeksync.workflow import Context


class Ahead:
    """The sections of a week's plan that look beyond its days; each gives its lines."""

    def __init__(self, context: Context, plan: WeekPlan) -> None:
        self.words = Words(context)
        self.language = context.language
        self.plan = plan

    def _say(self, text: Message) -> str:
        return self.words.text(text)

    def money(self) -> Iterator[str]:
        """Lowest balances between pays, and the side business."""
        yield from map(self._balance, self.plan.balances)
        for one in self.plan.business:
            line = message(
                "side business: {money_in} in, {money_out} out",
                money_in=self._amount(one.money_in, one.currency),
                money_out=self._amount(one.money_out, one.currency),
            )
            yield self._with_unknown(self._say(line), one.unknown)

    def _balance(self, one: LowestBalance) -> str:
        line = message(
            "{account}: {amount} at the lowest, on {day}",
            account=one.account,
            amount=self._amount(one.amount, one.currency),
            day=self.words.day(one.day),
        )
        return self._with_unknown(self._say(line), one.unknown)

    def _with_unknown(self, line: str, unknown: int) -> str:
        if not unknown:
            return line
        more = counted("{count} item has no amount", "{count} items have no amount", unknown)
        return f"{line} ({self._say(more)})"

    def _amount(self, minor: int, currency: str) -> str:
        return self.language.money(minor, currency) if currency else self.language.number(minor)

    def lessons(self) -> Iterator[str]:
        """What was taught, by child and subject, and on how many days."""
        for one in self.plan.lessons:
            yield self._say(
                message(
                    "{child}, {subject}: {planned} planned, {done} done, {to_make_up} to make up, "
                    "{not_recorded} not recorded",
                    child=self.words.person(one.child),
                    subject=one.subject,
                    planned=one.planned,
                    done=one.done,
                    to_make_up=one.to_make_up,
                    not_recorded=one.not_recorded,
                )
            )
        for day in self.plan.attendance:
            yield self._say(
                message(
                    "{child}: lessons on {attended} of {days} days, {not_recorded} not recorded",
                    child=self.words.person(day.child),
                    attended=day.attended,
                    days=day.days,
                    not_recorded=day.not_recorded,
                )
            )

    def coming_up(self) -> Iterator[str]:
        """What needs lead time."""
        for one in self.plan.coming_up:
            what = f"{one.what}: {one.title}" if one.what else one.title
            yield self._say(
                message(
                    "begin {begin}: {what}{who} ({day})",
                    begin=self.words.day(one.begin),
                    what=what,
                    who=self.words.letters(one.persons),
                    day=self.words.day(one.day),
                )
            )

    def changes_title(self) -> Message:
        """With the moment from which they are counted."""
        when = self.plan.confirmed
        if when is None:
            return message("Changes since print")
        return message("Changes since print ({when})", when=self.language.moment(when))

    def changes(self) -> Iterator[str]:
        """What has changed since then."""
        yield from map(self._change, self.plan.changes)
        if self.plan.confirmed is not None and not self.plan.changes:
            yield self._say(message("none"))

    def _change(self, one: Change) -> str:
        title = self._say(message("priority: {title}", title=one.title))
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
        return self._say(text)

    def _line(self, line: SnapshotLine | None) -> str:
        """When and how a line stands, without its title."""
        if line is None:
            return ""
        days = [self.words.day(day) for day in (line.day, line.until) if day is not None]
        times = [
            self.language.time(time.fromisoformat(one)) for one in (line.start, line.end) if one
        ]
        parts = [" – ".join(days), " – ".join(times)]
        found = " ".join(filter(None, parts))
        return f"{found} ({line.text})" if line.text else found
