"""Looking back on a span of days: what was done, marked, written and taken time for.

`weeksync.review` makes these records out of spreads; pages, `weeksync review` and its JSON show
them. Each figure says of how many it is; what was not recorded is missing, which is not "no", and
is left out of every figure. Nothing is graded.
"""

from __future__ import annotations

from datetime import date
from enum import StrEnum

from weeksync.lazy import dataclass
from weeksync.model.fields import MarkKind
from weeksync.model.household import CheckIn, ReviewAnswer

FACTOR_FROM = 5
"""How many estimates with their actual minutes it takes before a factor is offered."""


@dataclass(frozen=True, slots=True)
class Rate:
    """`times` of `days`; `low` and `high` bound the long-run rate, None where there are too few."""

    times: int
    days: int
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class Together:
    """Two series over the same days.

    `days` are those with both. `rho` and its bounds, from -1 to 1, are None where there are too
    few of them, or one of the two never changes.
    """

    days: int
    points: tuple[tuple[float, float], ...] = ()
    rho: float | None = None
    low: float | None = None
    high: float | None = None
    pairs: int = 1
    """How many pairs of series were looked at; the interval allows for them all."""

    @property
    def tells(self) -> bool:
        """Whether the interval leaves out nothing: then the two do not just seem to."""
        return self.low is not None and self.high is not None and (self.low > 0 or self.high < 0)


class SpanKind(StrEnum):
    """What is looked back on."""

    WEEK = "week"
    MONTH = "month"
    TERM = "term"
    YEAR = "year"
    DAYS = "days"


@dataclass(frozen=True, slots=True)
class SpanName:
    """The days looked back on, both included; `id` is `2027-W12`, `2027-03`, a term's id, `2027`.

    `title` is the name of a term, else "".
    """

    kind: SpanKind
    id: str
    first: date
    last: date
    title: str = ""


@dataclass(frozen=True, slots=True)
class ReviewTask:
    """A task as it ended in the span, or did not.

    `day` is the day it was done or dropped, else the last one it stood on; None where it stood on
    none. `weeks` is how often it has been carried.
    """

    id: str
    title: str
    source: str = ""
    area: str | None = None
    persons: tuple[str, ...] = ()
    day: date | None = None
    weeks: int = 0
    only_for: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ReviewTasks:
    """The tasks of the span, each in one of the four.

    Carried are those that stood on a day of it that is over and are open, and those left over
    from before it; open are those whose day has not come or that have none.
    """

    done: tuple[ReviewTask, ...] = ()
    carried: tuple[ReviewTask, ...] = ()
    dropped: tuple[ReviewTask, ...] = ()
    open: tuple[ReviewTask, ...] = ()


@dataclass(frozen=True, slots=True)
class Figures:
    """The figures of a habit over the days of the span.

    `values` has one for each day in order, None where none was recorded; `average` is the mean of
    each day and the six before it. `mean` is over the `days` with a figure. `reached` is how many
    of them reached the target, None without one. `slope` is the change a week, by the median of
    the slopes between all days; None below two weeks of figures, and beyond a year.
    """

    values: tuple[float | None, ...]
    average: tuple[float | None, ...]
    days: int
    mean: float | None = None
    reached: Rate | None = None
    slope: float | None = None


@dataclass(frozen=True, slots=True)
class HabitReview:
    """How a habit went.

    `rate` counts due days on which something was recorded; apart from it stand due days that are
    over with nothing recorded, days on which it was paused, and due days still to come. A habit
    n times a week counts n days of each week in which something was recorded, and has no interval:
    its days are not drawn one by one.
    """

    id: str
    title: str
    person: str
    kind: MarkKind
    area: str | None = None
    unit: str = ""
    target: float | None = None
    times_a_week: int | None = None
    health: bool = False
    only_for: tuple[str, ...] = ()
    rate: Rate = Rate(0, 0)
    not_recorded: int = 0
    paused: int = 0
    to_come: int = 0
    figures: Figures | None = None
    """None where the habit has no figure, or none was recorded."""


class Activity(StrEnum):
    """What minutes were spent on."""

    TASKS = "tasks"
    LESSONS = "lessons"
    HABITS = "habits"


@dataclass(frozen=True, slots=True)
class MinutesLine:
    """Minutes planned and done of one area and person.

    Tasks count with the minutes of their place, else their estimate; done ones are planned, too.
    Lessons count with their minutes, done ones with what was marked where that is a figure.
    Habits in minutes count with their target on each due day, and with what was recorded; health
    figures are none of them. `not_recorded` are planned minutes of lessons and habits of days that
    are over, of which nobody wrote anything: they are not "not done". `unknown` is how many things
    had no minutes and are in neither.
    `area` and `person` are None where none is named; a task of several persons counts for each.
    """

    activity: Activity
    area: str | None
    person: str | None
    planned: int = 0
    done: int = 0
    not_recorded: int = 0
    unknown: int = 0


@dataclass(frozen=True, slots=True)
class EstimateLine:
    """Estimate against actual of one kind of work: an area of tasks, or a subject of lessons.

    Actual is what somebody wrote down: `took` of a done task, minutes marked of a lesson.
    `factor` is the median of actual by estimate, None below `FACTOR_FROM`. `unknown` is how many
    were done with an estimate and without actual minutes, or the other way: they are left out.
    """

    activity: Activity
    area: str | None = None
    subject: str = ""
    count: int = 0
    estimated: int = 0
    actual: int = 0
    factor: float | None = None
    unknown: int = 0


@dataclass(frozen=True, slots=True)
class EnergyLine:
    """The plain average of a person's energy, from 1 to 5, over `count` check-ins that say it."""

    person: str
    count: int
    mean: float


@dataclass(frozen=True, slots=True)
class PairLine:
    """Two series of one person over the same days; an id is "" for the energy of check-ins."""

    person: str
    first: str
    first_title: str
    second: str
    second_title: str
    together: Together
    only_for: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Review:
    """Everything about a span of days, looking back.

    `over` is how many of `days` are over: those before the day it was made on.
    """

    span: SpanName
    days: tuple[date, ...]
    over: int
    tasks: ReviewTasks = ReviewTasks()
    habits: tuple[HabitReview, ...] = ()
    minutes: tuple[MinutesLine, ...] = ()
    estimates: tuple[EstimateLine, ...] = ()
    check_ins: tuple[CheckIn, ...] = ()
    energy: tuple[EnergyLine, ...] = ()
    pairs: tuple[PairLine, ...] = ()
    answers: tuple[ReviewAnswer, ...] = ()
