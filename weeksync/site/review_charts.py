"""Figures over days as a small chart: places of points and lines, worked out here.

A span of more than `MOST_DAYS` is drawn by its weeks, a point for the plain average of each: so
many days would be a smear. Nothing is told by colour alone: figures are points, the target is
dashed, the average is a full line, and a table says it all once more.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from math import ceil, floor, log10
from statistics import fmean

from weeksync.language.language import Width
from weeksync.language.review_sentences import ReviewSentences
from weeksync.message import message
from weeksync.model.review import Figures, HabitReview, Review
from weeksync.site.record.review import Chart, ChartMark, ChartPoint
from weeksync.site.words import Words

WIDTH, HEIGHT = 360, 132
_LEFT, _RIGHT, _TOP, _BOTTOM = 44, 350, 10, 108
_WEEK = 7
MOST_DAYS = 62
"""Two months: a day still has five units of the width."""
_MANY_MONTHS = 7
_STEPS = (1, 2, 2.5, 5, 10)
_LEAST = 1e-6
"""Figures that are closer are one: a mark has three digits after its point."""


def chart(words: Words, say: ReviewSentences, habit: HabitReview, review: Review) -> Chart | None:
    """The chart of a habit over the days of a review; None where it has no figures."""
    found = habit.figures
    if found is None:
        return None
    form = _Chart if len(review.days) <= MOST_DAYS else _WeekChart
    return form(words, say, habit, found, review).record()


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
        self._values: tuple[float | None, ...] = self._shown()
        known = [one for one in self._values if one is not None]
        if habit.target is not None:
            known.append(habit.target)
        self._low, self._high, self._step = scale(min(known), max(known))
        self._mirrored = words.language.direction == "rtl"

    def _shown(self) -> tuple[float | None, ...]:
        """The points, in order; they share the width evenly."""
        return self._figures.values

    def record(self) -> Chart:
        habit = self._habit
        return Chart(
            width=WIDTH,
            height=HEIGHT,
            left=_short(self._x_of(_LEFT)),
            right=_short(self._x_of(_RIGHT)),
            bottom=_short(_BOTTOM),
            points=tuple(
                ChartPoint(_short(self._x(place)), _short(self._y(one)))
                for place, one in enumerate(self._values)
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
        share = (place + 0.5) / len(self._values)
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


class _WeekChart(_Chart):
    """The same by the household's weeks, as far as they lie in the span."""

    def _shown(self) -> tuple[float | None, ...]:
        rule = self._words.rule
        weeks: dict[date, list[float]] = {}
        for day, value in zip(self._days, self._figures.values, strict=True):
            held = weeks.setdefault(rule.start(day), [])
            if value is not None:
                held.append(value)
        self._weeks = weeks
        return tuple(fmean(held) if held else None for held in weeks.values())

    def record(self) -> Chart:
        return replace(super().record(), by_week=True)

    def _stretches(self) -> Iterator[str]:
        """None: a point is an average already."""
        return iter(())

    def _day_marks(self) -> Iterator[ChartMark]:
        """Each month, at the first week of the span that begins in it; short where many are."""
        language = self._words.language
        met: dict[tuple[int, int], tuple[int, date]] = {}
        for place, begins in enumerate(self._weeks):
            start = max(begins, self._days[0])
            met.setdefault((start.year, start.month), (place, start))
        width: Width = "narrow" if len(met) > _MANY_MONTHS else "abbreviated"
        for place, start in met.values():
            yield ChartMark(_short(self._x(place)), language.month(start.month, width))

    def _rows(self) -> Iterator[tuple[str, str, str]]:
        words = self._words
        begun = {words.rule.start(day) for day in self._days[: self._over]}
        for start, held in self._weeks.items():
            if start not in begun and not held:
                continue
            yield (
                words.language.joined(
                    (words.week_label(start), words.language.date(start, "day month"))
                ),
                self._say.figure(self._habit, fmean(held))
                if held
                else words.text(message("not recorded")),
                words.language.digits(str(len(held))),
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
