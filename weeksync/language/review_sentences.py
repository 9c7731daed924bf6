"""Sentences of looking back, each made from one record of a review; for terminal and pages alike.

They say what was, of how many, and how sure that is. None says why, and none grades.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from weeksync.language.durations import duration
from weeksync.language.plan_words import PlanWords
from weeksync.message import counted, message
from weeksync.model.fields import MarkKind
from weeksync.model.review import (
    Activity,
    EnergyLine,
    EstimateLine,
    Figures,
    HabitReview,
    MinutesLine,
    PairLine,
    Rate,
    ReviewTask,
    SpanKind,
    SpanName,
    Together,
)
from weeksync.model.week import WeekRule

SOURCES = (
    message("Intervals: E. B. Wilson, J Am Stat Assoc 1927;22:209–212, at 95 %."),
    message(
        "What goes together: Spearman's rank correlation over days with both, from 28 days on; "
        "interval by Bonett and Wright, Psychometrika 2000;65:23–28, at 95 %, widened for the "
        "number of pairs looked at."
    ),
    message(
        "Days with both: below 14 nothing is drawn, from 14 on dots, from 28 on a correlation is "
        "told; before that it is too few to say."
    ),
    message("Averages count the days with a figure only; what was not recorded is not “no”."),
)
"""Where the figures come from."""

ACTIVITIES = {
    Activity.TASKS: message("Tasks"),
    Activity.LESSONS: message("Lessons"),
    Activity.HABITS: message("Habits"),
}


class ReviewSentences(PlanWords):
    """One method for each kind of record of `weeksync.model.review`."""

    def heading(self, span: SpanName, rule: WeekRule) -> str:
        """Week 12; March 2027; the name of a term; 2027."""
        if span.kind is SpanKind.WEEK:
            number = self.language.digits(str(rule.number(span.first)[1]))
            return self.text(message("Week {number}", number=number))
        if span.kind is SpanKind.MONTH:
            return self.language.date(span.first, "month")
        if span.kind is SpanKind.YEAR:
            return self.language.digits(span.id)
        return span.title or self.language.span(span.first, span.last)

    def over(self, over: int, days: int) -> str:
        """How much of the span is over; "" where all of it is."""
        if over >= days:
            return ""
        return self.text(
            counted(
                "{over} of {count} day is over", "{over} of {count} days are over", days, over=over
            )
        )

    def task(self, one: ReviewTask) -> str:
        """“Mend gate latch” (Ines), Mon 22 Mar, carried 2 weeks."""
        who = self.language.listed([self.person(person) for person in one.persons])
        parts = [f"{one.title} ({who})" if who else one.title]
        if one.day is not None:
            parts.append(self.day(one.day))
        if one.weeks:
            parts.append(
                self.text(counted("carried {count} week", "carried {count} weeks", one.weeks))
            )
        return " · ".join(parts)

    def times(self, one: ReviewTask, count: int) -> str:
        """“Wash the bins” (Dov), 12 times."""
        who = self.language.listed([self.person(person) for person in one.persons])
        times = self.text(counted("{count} time", "{count} times", count))
        return f"{one.title} ({who}) · {times}" if who else f"{one.title} · {times}"

    # Habits

    def rate(self, one: HabitReview) -> str:
        """3 of 5 due days, what that bounds, and what stands apart."""
        found = one.rate
        parts = [
            self.text(
                counted(
                    "{times} of {count} due day",
                    "{times} of {count} due days",
                    found.days,
                    times=found.times,
                )
            )
            if found.days
            else self.text(message("nothing recorded on a due day"))
        ]
        parts += self._bounds(found)
        if one.not_recorded:
            parts.append(
                self.text(counted("{count} not recorded", "{count} not recorded", one.not_recorded))
            )
        if one.paused:
            parts.append(self.text(counted("{count} paused", "{count} paused", one.paused)))
        if one.to_come:
            parts.append(self.text(counted("{count} to come", "{count} to come", one.to_come)))
        return self.language.joined(parts)

    def _bounds(self, found: Rate) -> Iterator[str]:
        if found.low is not None and found.high is not None:
            yield self.text(
                message(
                    "in the long run {low} to {high} %",
                    low=round(100 * found.low),
                    high=round(100 * found.high),
                )
            )

    def figures(self, one: HabitReview, found: Figures) -> str:
        """Average 7.2 h over 5 days; the own target, and how often it was reached."""
        parts = []
        if found.mean is not None:
            parts.append(
                self.text(
                    counted(
                        "average {figure} over {count} day with a figure",
                        "average {figure} over {count} days with a figure",
                        found.days,
                        figure=self.figure(one, found.mean),
                    )
                )
            )
        if one.target is not None and found.reached is not None:
            parts.append(
                self.text(
                    counted(
                        "own target {target}, reached on {times} of {count} day",
                        "own target {target}, reached on {times} of {count} days",
                        found.reached.days,
                        target=self.figure(one, one.target),
                        times=found.reached.times,
                    )
                )
            )
        if found.slope is not None:
            parts.append(
                self.text(
                    message(
                        "change a week {figure} (median of the slopes)",
                        figure=self.figure(one, found.slope, signed=True),
                    )
                )
            )
        return self.language.joined(parts)

    def figure(self, one: HabitReview, value: float, *, signed: bool = False) -> str:
        """A figure with the unit that the household gave it, one digit after the point at most."""
        places = 0 if one.kind is MarkKind.COUNT and abs(value) >= 100 else 1
        number = self.language.number(round(value, places))
        sign = "+" if signed and value > 0 else ""
        return f"{sign}{number} {one.unit}".strip()

    # Minutes

    def minutes(self, one: MinutesLine) -> str:
        """Planned 3 h, done 1 h; how many things had no minutes."""
        parts = [
            self.text(
                message(
                    "planned {planned}, done {done}",
                    planned=self.length(one.planned),
                    done=self.length(one.done),
                )
            )
        ]
        if one.not_recorded:
            length = self.length(one.not_recorded)
            parts.append(self.text(message("{length} not recorded", length=length)))
        if one.unknown:
            parts.append(
                self.text(
                    counted("{count} without minutes", "{count} without minutes", one.unknown)
                )
            )
        return self.language.joined(parts)

    def whose(self, one: MinutesLine) -> str:
        """The area and the person of a line; an area of no name is said so."""
        area = self.config.area(one.area)
        named = [area.name] if area is not None else []
        if one.activity is not Activity.LESSONS and area is None:
            named.append(self.text(message("no area")))
        named.append(
            self.person(one.person)
            if one.person is not None
            else self.text(message("nobody named"))
        )
        return self.language.joined(named)

    def length(self, minutes: int) -> str:
        """45 min, 2 h, 1 h 30 min."""
        return self.text(duration(minutes))

    def kind(self, one: EstimateLine) -> str:
        """The area of tasks, or the subject of lessons."""
        area = self.config.area(one.area)
        if one.activity is Activity.LESSONS:
            return one.subject
        return area.name if area is not None else self.text(message("no area"))

    def estimate(self, one: EstimateLine) -> str:
        """Estimated and taken minutes of how many, the factor or that it is too few for one."""
        return self.text(
            counted(
                "{count} known: estimated {estimated}, took {actual}; {factor}",
                "{count} known: estimated {estimated}, took {actual}; {factor}",
                one.count,
                estimated=self.length(one.estimated),
                actual=self.length(one.actual),
                factor=self._factor(one),
            )
        )

    def not_estimated(self, lines: Iterable[EstimateLine]) -> str:
        """How many are left out, and what would make them known; "" where none is."""
        count = sum(one.unknown for one in lines)
        if not count:
            return ""
        return self.text(
            counted(
                "{count} done is left out: its estimate or the minutes it took (took in "
                "tasks.toml, the minutes marked of a lesson) are not written down.",
                "{count} done are left out: their estimates or the minutes they took (took in "
                "tasks.toml, the minutes marked of a lesson) are not written down.",
                count,
            )
        )

    def _factor(self, one: EstimateLine) -> str:
        if one.factor is None:
            return self.text(message("too few for a factor"))
        return self.text(
            message(
                "times {factor} in the middle", factor=self.language.number(round(one.factor, 2))
            )
        )

    # Check-ins, and what goes together

    def energy(self, one: EnergyLine) -> str:
        """Ines: energy 3.2 on average of 6 check-ins."""
        return self.text(
            counted(
                "{person}: energy {mean}, plain average of {count} check-in",
                "{person}: energy {mean}, plain average of {count} check-ins",
                one.count,
                person=self.person(one.person),
                mean=self.language.number(round(one.mean, 1)),
            )
        )

    def pair(self, one: PairLine) -> str:
        """How two go together, with the interval; that it is too few to say; or that it is open."""
        found = one.together
        first, second = self.pair_names(one)
        names = {"first": first, "second": second}
        if found.rho is None or found.low is None or found.high is None:
            return self.text(
                counted(
                    "{first} and {second}: too few to say ({count} day with both)",
                    "{first} and {second}: too few to say ({count} days with both)",
                    found.days,
                    **names,
                )
            )
        return self.text(
            counted(
                "{first} and {second}: {how} ({rho}, from {low} to {high}; {count} day)",
                "{first} and {second}: {how} ({rho}, from {low} to {high}; {count} days)",
                found.days,
                how=self._how(found),
                rho=self._two(found.rho),
                low=self._two(found.low),
                high=self._two(found.high),
                **names,
            )
        )

    def pair_names(self, one: PairLine) -> tuple[str, str]:
        """What the two are called; the energy of check-ins has no name of the household's."""
        energy = self.text(message("Energy"))
        return one.first_title or energy, one.second_title or energy

    def _how(self, found: Together) -> str:
        if not found.tells:
            return self.text(message("nothing can be said"))
        if (found.rho or 0) > 0:
            return self.text(message("high together, low together"))
        return self.text(message("one high where the other is low"))

    def _two(self, value: float) -> str:
        return self.language.number(round(value, 2))

    def looked_at(self, count: int) -> str:
        """Over how many pairs the intervals hold."""
        return self.text(
            counted(
                "{count} pair was looked at; the interval allows for it.",
                "{count} pairs were looked at; the intervals allow for all of them.",
                count,
            )
        )
