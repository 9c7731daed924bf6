"""Money, lessons, what comes up and what has changed, as lines behind the days of a week."""

from __future__ import annotations

from collections.abc import Iterator

from weeksync.language.plan_sentences import PlanSentences
from weeksync.message import Message, message
from weeksync.model.week_plan import WeekPlan
from weeksync.workflow import Context


class Ahead:
    """The sections of a week's plan that look beyond its days; each gives its lines."""

    def __init__(self, context: Context, plan: WeekPlan) -> None:
        self.say = PlanSentences(context.config, context.language)
        self.plan = plan

    def money(self) -> Iterator[str]:
        """Lowest balances between pays, and the side business."""
        yield from map(self.say.balance, self.plan.balances)
        yield from map(self.say.business, self.plan.business)

    def lessons(self) -> Iterator[str]:
        """What was taught, by child and subject, and on how many days."""
        yield from map(self.say.lesson, self.plan.lessons)
        yield from map(self.say.attendance, self.plan.attendance)

    def coming_up(self) -> Iterator[str]:
        """What needs lead time."""
        for one in self.plan.coming_up:
            yield self.say.coming_up(one, self.say.letters(one.persons))

    def changes_title(self) -> Message:
        """With the moment from which they are counted."""
        return self.say.changes_title(self.plan.confirmed)

    def changes(self) -> Iterator[str]:
        """What has changed since then."""
        yield from map(self.say.change, self.plan.changes)
        if self.plan.confirmed is not None and not self.plan.changes:
            yield self.say.text(message("none"))
