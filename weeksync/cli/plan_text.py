"""What is worked out about a week, as lines behind its days; each section only where it says
something."""

from __future__ import annotations

from collections.abc import Iterator

from weeksync.cli.plan_ahead import Ahead
from weeksync.cli.plan_words import wrapped
from weeksync.language.plan_sentences import PlanSentences
from weeksync.message import message
from weeksync.model.spread import Spread
from weeksync.model.week_plan import DayLoad, Standing, WeekPlan
from weeksync.workflow import Context
from weeksync.workflow.under_way import still_plannable


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
            yield page.say.text(title)
            for line in found:
                yield from wrapped(line, "  ", " " * (4 + len(line) - len(line.lstrip())))


class _Plan:
    def __init__(self, context: Context, spread: Spread, plan: WeekPlan) -> None:
        self.context = context
        self.say = PlanSentences(context.config, context.language)
        self.spread = spread
        self.plan = plan
        self.today = context.today
        self.titles = {
            task.id: task.title
            for tasks in (*(day.tasks for day in spread.days), spread.undated)
            for task in tasks
        } | {one.task: one.title for one in plan.carried}

    # What meets

    def clashes(self) -> Iterator[str]:
        yield from self.say.at_once(self.plan.loads)
        yield from map(self.say.clash, self.plan.clashes)

    def hand_overs(self) -> Iterator[str]:
        yield from map(self.say.hand_over, self.plan.hand_overs)

    # Minutes

    def loads(self) -> Iterator[str]:
        for person in dict.fromkeys(one.person for one in self.plan.loads):
            yield self.say.person(person)
            yield from (f"  {self._load(one)}" for one in self.plan.loads if one.person == person)
        yield from map(self.say.unassigned, self.plan.unassigned)

    def _load(self, one: DayLoad) -> str:
        left = still_plannable(self.context, one) if one.day == self.today else None
        line = f"{self.say.day(one.day)}: {self.say.load(one, left, parts=True)}"
        if not one.over:
            return line
        moved = one.to_move if one.day >= self.today else ()
        titles = [self.titles.get(task, task) for task in moved]
        return f"{line}: {self.say.too_much(one.over, titles)}"

    def worked(self) -> Iterator[str]:
        for one in self.plan.worked:
            if one.minutes:
                yield f"{self.say.person(one.person)}: {self.say.hours(one.minutes)}"

    def sleep(self) -> Iterator[str]:
        yield from self.say.bedtimes(self.plan.sleep)

    def lighter(self) -> Iterator[str]:
        for one in self.plan.lighter:
            named = {task: self.titles.get(task, task) for task in one.piled_up}
            yield from self.say.lighter(one, named)

    # Tasks

    def carried(self) -> Iterator[str]:
        for one in self.plan.carried:
            yield self.say.carried(one, self.say.letters(one.persons))

    def proposed(self) -> Iterator[str]:
        made = self.plan.proposal
        if made is None:
            return
        open_ones = [
            one for one in made.tasks if one.pieces and one.standing is not Standing.CHOSEN
        ]
        if open_ones:
            yield self.say.room(len(open_ones), str(self.spread.week))
        if made.late:
            yield self.say.late(made.late)
