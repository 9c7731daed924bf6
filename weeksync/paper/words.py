"""The household's words on paper: names, letters, times, weeks."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime, time, timedelta
from functools import cached_property

from weeksync.language import Language, week_rule, weekend
from weeksync.language.day_parts import PART_NAMES
from weeksync.language.durations import duration
from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.model.config import Area, Config
from weeksync.model.day_parts import PartHours
from weeksync.model.fields import DayPart
from weeksync.model.week import Month, WeekRule


@dataclass(frozen=True, slots=True)
class Named:
    """A person: the name, and the letter or two that stand for it."""

    id: str
    name: str
    mark: str


class PaperWords:
    """What a layout needs to know of the household and its language."""

    def __init__(self, config: Config, language: Language) -> None:
        household = config.household
        self.config = config
        self.language = language
        self.rule: WeekRule = week_rule(household.locale, household.region, household.first_weekday)
        self.weekend: frozenset[int] = weekend(household.region)

    def text(self, sentence: Message) -> str:
        """The sentence in the household's language, its dates as people write them."""
        return self.language.text(sentence, dates=True)

    def area(self, area_id: str | None) -> Area | None:
        """The area of that id."""
        return self.config.area(area_id)

    def person(self, person_id: str) -> Named:
        """A person; one `config.toml` does not name is marked by the id."""
        found = self.config.person(person_id)
        if found is None:
            return Named(person_id, person_id, person_id[:1].upper())
        return Named(found.id, found.name, found.mark)

    def letters(self, person_ids: Iterable[str]) -> str:
        """The letters of several persons, side by side."""
        return " ".join(self.person(one).mark for one in person_ids)

    def no_title(self) -> str:
        """What stands for a title that a calendar left empty."""
        return self.text(message("no title"))

    @property
    def onward(self) -> str:
        """The arrow that points to what follows."""
        return "←" if self.language.direction == "rtl" else "→"

    # Days and weeks

    def number(self, day: date) -> str:
        """The number of the week that holds `day`, as people of the territory count."""
        return self.language.digits(str(self.rule.number(day)[1]))

    def week_label(self, day: date) -> str:
        """Week 12."""
        return self.text(message("Week {number}", number=self.number(day)))

    def span(self, first: date, last: date) -> str:
        """22–28 Mar 2027."""
        return self.language.span(first, last)

    def weekday(self, day: date) -> str:
        """Monday."""
        return self.language.weekday(day.weekday())

    def day_number(self, day: date) -> str:
        """The day of the month."""
        return self.language.digits(str(day.day))

    def month(self, day: date) -> str:
        """March."""
        return self.language.month(day.month)

    def month_year(self, month: Month) -> str:
        """March 2027."""
        return self.language.date(month.first, "month")

    def day(self, day: date) -> str:
        """Mon 22 Mar."""
        return self.language.date(day, "weekday day month")

    def part(self, part: DayPart) -> str:
        """Morning, Afternoon or Evening."""
        return self.text(PART_NAMES[part])

    @cached_property
    def _part_hours(self) -> PartHours:
        return PartHours(self.config.day_parts)

    def part_of(self, at: time | None) -> DayPart | None:
        """The part of the day that a time belongs to; None without a time."""
        return None if at is None else self._part_hours.part(at.hour * 60 + at.minute)

    # Times

    def time(self, moment: time | datetime) -> str:
        """14:30."""
        return self.language.time(moment)

    def times(self, start: date, end: date, *, from_before: bool, goes_on: bool) -> str:
        """The times to show on a day: both ends, or the one that lies in it; "" for whole days."""
        if not (isinstance(start, datetime) and isinstance(end, datetime)):
            return ""
        if from_before:
            if goes_on:
                return self.text(message("the whole day"))
            return self.text(message("until {time}", time=self.language.time(end)))
        if end == start:
            return self.language.time(start)
        if end.date() - start.date() > timedelta(days=1):
            return self.text(message("from {time}", time=self.language.time(start)))
        return self.language.times(start, end)

    def duration(self, minutes: int | None) -> str:
        """45 min, 2 h, 1 h 30 min; "" for None."""
        if minutes is None:
            return ""
        return self.text(duration(minutes)).replace(" ", "\u00a0")
