"""Figures over days as a small chart: places of points and lines, worked out here.

Nothing is told by colour alone: figures are points, the target is dashed, the average is a full
line, and a table says it all once more.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, floor, log10

from weeksync.language.review_sentences import ReviewSentences
from weeksync.message import message
from weeksync.model.review import Figures, HabitReview, Review
from weeksync.site.record.review import Chart, ChartMark, ChartPoint
from weeksync.site.words import Words

WIDTH, HEIGHT = 360, 132
_LEFT, _RIGHT, _TOP, _BOTTOM = 44, 350, 10, 108
_WEEK = 7
_STEPS = (1, 2, 2.5, 5, 10)
_LEAST = 1e-6
"""Figures that are closer are one: a mark has three digits after its point."""


def chart(words: Words, say: ReviewSentences, habit: HabitReview, review: Review) -> Chart | None:
    """The chart of a habit over the days of a review; None where it has no figures."""
    found = habit.figures
    return _Chart(words, say, habit, found, review).record() if found is not None else None


class _Chart:
    def __init__(
        self,
        words: Words,
        say: ReviewSentences,
        habit: HabitReview,
        figures: Figures,
        review: Review,
    ) -> None:
        self._words, self._say, self._habit = words, say, habit
        self._figures, self._days, self._over = figures, review.days, review.over
        known = [one for one in figures.values if one is not None]
        if habit.target is not None:
            known.append(habit.target)
        self._low, self._high, self._step = scale(min(known), max(known))
        self._mirrored = words.language.direction == "rtl"

    def record(self) -> Chart:
        habit, figures = self._habit, self._figures
        return Chart(
            width=WIDTH,
            height=HEIGHT,
            left=_short(self._x_of(_LEFT)),
            right=_short(self._x_of(_RIGHT)),
            bottom=_short(_BOTTOM),
            points=tuple(
                ChartPoint(_short(self._x(place)), _short(self._y(one)))
                for place, one in enumerate(figures.values)
                if one is not None
            ),
            target=_short(self._y(habit.target)) if habit.target is not None else "",
            target_text=self._say.figure(habit, habit.target) if habit.target is not None else "",
            average=tuple(self._stretches()),
            days=tuple(self._day_marks()),
            figures=tuple(self._figure_marks()),
            rows=tuple(self._rows()),
        )

    def _x_of(self, at: float) -> float:
        return WIDTH - at if self._mirrored else at

    def _x(self, place: int) -> float:
        share = (place + 0.5) / len(self._days)
        return self._x_of(_LEFT + share * (_RIGHT - _LEFT))

    def _y(self, value: float) -> float:
        return _BOTTOM - (value - self._low) / (self._high - self._low) * (_BOTTOM - _TOP)

    def _stretches(self) -> Iterator[str]:
        """The average; a stretch of one day alone would be no line."""
        held: list[str] = []
        for place, one in enumerate((*self._figures.average, None)):
            if one is not None:
                held.append(f"{_short(self._x(place))},{_short(self._y(one))}")
            else:
                if len(held) > 1:
                    yield " ".join(held)
                held = []

    def _day_marks(self) -> Iterator[ChartMark]:
        """Each day of a week, of a longer span each day that a week begins with."""
        language = self._words.language
        for place, day in enumerate(self._days):
            if len(self._days) <= _WEEK:
                text = language.weekday(day.weekday(), "abbreviated")
            elif self._words.rule.start(day) == day:
                text = language.digits(str(day.day))
            else:
                continue
            yield ChartMark(_short(self._x(place)), text)

    def _figure_marks(self) -> Iterator[ChartMark]:
        count = round((self._high - self._low) / self._step)
        for place in range(count + 1):
            value = self._low + place * self._step
            text = self._words.language.number(round(value, 3))
            yield ChartMark(_short(self._y(value)), text)

    def _rows(self) -> Iterator[tuple[str, str, str]]:
        missing = self._words.text(message("not recorded"))
        for place, (day, value, average) in enumerate(
            zip(self._days, self._figures.values, self._figures.average, strict=True)
        ):
            if value is None and place >= self._over:
                continue
            yield (
                self._words.stamp(day).text,
                self._say.figure(self._habit, value) if value is not None else missing,
                self._say.figure(self._habit, average) if average is not None else "",
            )


def scale(low: float, high: float) -> tuple[float, float, float]:
    """(lower end, upper end, step) of a scale with 1 to 4 even steps around the values.

    It begins at 0 where that wastes less than half of it: a scale that is cut makes little of much.
    """
    if low >= 0 and low <= high / 2:
        low = 0
    span = high - low if high - low > _LEAST else abs(high) if abs(high) > _LEAST else 1
    power = 10 ** floor(log10(span / 3))
    step = next(one * power for one in _STEPS if span / (one * power) <= 3.0001)
    first, last = floor(low / step) * step, ceil(high / step) * step
    return first, last if last > first else first + step, step


def _short(value: float) -> str:
    """At most one digit after the point: a tenth of a pixel is seen by nobody."""
    return f"{value:.1f}".removesuffix(".0")
