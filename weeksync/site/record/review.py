"""The pages that look back on a week, a month, a term or a year, and the page of cautions."""

from __future__ import annotations

from weeksync.lazy import dataclass
from weeksync.site.record.base import AreaMark, Link, Page, PersonMark
from weeksync.site.record.form import FormField, ServedPage
from weeksync.site.record.own import CheckInBox


@dataclass(frozen=True, slots=True)
class ChartPoint:
    """A figure in a chart."""

    x: str
    """Its place across, in the units of the chart's `viewBox`."""
    y: str
    """Its place down."""


@dataclass(frozen=True, slots=True)
class ChartMark:
    """A word along an edge of a chart."""

    at: str
    """Its place along the edge."""
    text: str
    """The word."""


@dataclass(frozen=True, slots=True)
class Chart:
    """Figures over days as points, the own target as a dashed line, the average as a full one.

    All places are in the units of a `viewBox` of `width` by `height`; time runs in the direction
    of the page. Everything in it is said by `rows`, too.
    """

    width: int
    """The width."""
    height: int
    """The height."""
    left: str
    """Where the figures begin across."""
    right: str
    """Where they end."""
    bottom: str
    """The ground line."""
    points: tuple[ChartPoint, ...]
    """The figures recorded."""
    target: str
    """Where the target lies down; "" without one, or where it lies out of the chart."""
    target_text: str
    """The target in words; "" without one."""
    average: tuple[str, ...]
    """Points of the moving average as `polyline` has them, a text for each unbroken stretch."""
    days: tuple[ChartMark, ...]
    """Days along the lower edge."""
    figures: tuple[ChartMark, ...]
    """Figures along the first edge."""
    rows: tuple[tuple[str, str, str], ...]
    """(day, figure, moving average) of each day that is over or has a figure; in a chart by weeks
    (week, plain average, how many days have a figure)."""
    by_week: bool = False
    """The points are the plain averages of weeks: the span is too long for its days."""


@dataclass(frozen=True, slots=True)
class Dots:
    """Two figures of the same days, a dot for each day with both; it says nothing of why."""

    size: int
    """The width and height of its `viewBox`."""
    across: str
    """What is told across, from the start of the line on."""
    up: str
    """What is told upwards."""
    label: str
    """Both, and over how many days, in words."""
    points: tuple[ChartPoint, ...]
    """The days."""


@dataclass(frozen=True, slots=True)
class ReviewGroup:
    """The tasks that ended in one way."""

    kind: str
    """`done`, `carried`, `dropped` or `open`."""
    name: str
    """What that is called."""
    count: str
    """How many there are."""
    tasks: tuple[tuple[AreaMark | None, str], ...]
    """(area, sentence) of each; of a long span the dates of one that repeats are one line."""
    folded: tuple[tuple[AreaMark | None, str], ...] = ()
    """The rest of a long list."""


@dataclass(frozen=True, slots=True)
class ReviewHabit:
    """How a habit went."""

    id: str
    """The habit's id."""
    title: str
    """What it is called."""
    person: PersonMark
    """Whose it is."""
    area: AreaMark | None
    """The area of life it serves."""
    health: bool
    """A health figure; there are none on common pages."""
    only_for: str
    """Names of the persons who may see it; "" for everybody."""
    rate: str
    """Of how many due days it was done, and what stands apart."""
    figures: str
    """Average and own target; "" where it has no figures."""
    chart: Chart | None
    """The figures; None where it has none."""


@dataclass(frozen=True, slots=True)
class ReviewLine:
    """A line of a table: what it is about, and what is said of it."""

    head: str
    """What it is about."""
    area: AreaMark | None
    """The area of life, where there is one."""
    text: str
    """What is said."""


@dataclass(frozen=True, slots=True)
class ReviewQuestion:
    """An answer to a question of one's own."""

    person: PersonMark
    """Who answers."""
    question: str
    """The question."""
    answer: str
    """The answer, plain."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReviewPage(Page):
    """Looking back on a span of days. Nothing on it is a grade, and it says nowhere why."""

    id: str
    """`2027-W12`, `2027-03`, the id of a term, or `2027`."""
    dates: str
    """From-to."""
    over: str
    """How many of its days are over; "" where all are."""
    back: Link | None
    """The page of the week or month itself."""
    previous: Link | None
    """The review before."""
    next: Link | None
    """The review after."""
    parts: tuple[Link, ...]
    """Reviews of shorter spans within this one, or of longer ones around it."""
    groups: tuple[ReviewGroup, ...]
    """What became of the tasks."""
    habits: tuple[ReviewHabit, ...]
    """Habits in the order of the day."""
    minutes: tuple[tuple[str, tuple[ReviewLine, ...]], ...]
    """(activity, lines) of minutes planned and done."""
    estimates: tuple[ReviewLine, ...]
    """Estimates and what it took."""
    not_estimated: str
    """How many are left out of them; "" where none is."""
    private: bool
    """Whether it is a page of one's own; the next ones are empty where it is not."""
    energy: tuple[str, ...]
    """Averages of energy."""
    check_ins: tuple[CheckInBox, ...]
    """Check-ins by day."""
    pairs: tuple[str, ...]
    """What goes together, with its interval."""
    pairs_looked_at: str
    """How many pairs were looked at, or that the days are too few to say."""
    questions: tuple[ReviewQuestion, ...]
    """Answers to the own questions."""
    from_where: tuple[str, ...]
    """Where the figures come from."""
    dots: tuple[Dots, ...] = ()
    """Of the pairs with enough days for it, the first ones."""
    year: Link | None = None
    """The page of the year."""
    answer: Link | None = None
    """Where the own questions are answered; there only where the page is served."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CautionPage(Page):
    """Whom to turn to: the same whatever is written or recorded."""

    caution: tuple[str, ...]
    """The sentences, by region where known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AnswersPage(ServedPage):
    """The questions of one's own about a week, to be answered."""

    action: str
    """Where the form is sent, from the root on."""
    person: PersonMark
    """Who answers."""
    dates: str
    """The week, from-to."""
    fields: tuple[FormField, ...]
    """The questions; empty where the household asks none."""
    back: Link
    """Looking back on the week."""
