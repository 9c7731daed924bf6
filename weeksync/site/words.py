"""The household's words for what pages say again and again: marks, durations, week links."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import UTC, date, datetime, tzinfo
from typing import TypeVar, cast

from weeksync.language import Language, week_rule, weekend
from weeksync.language.durations import duration
from weeksync.language.plan_sentences import PlanSentences
from weeksync.message import Message, message
from weeksync.model.config import Config
from weeksync.model.elsewhere import OtherClock, OtherClocks
from weeksync.model.spread import DayOccurrence
from weeksync.model.week import IsoWeek, Month, WeekRule
from weeksync.site.inputs import SiteInput
from weeksync.site.record import AreaMark, Link, PersonMark, Stamp
from weeksync.zones import zone

T = TypeVar("T")


class Words:
    """What a builder of pages needs to know of the household, its language and its pages."""

    def __init__(self, inputs: SiteInput) -> None:
        household = inputs.config.household
        self.config: Config = inputs.config
        self.language: Language = inputs.language
        self.say: PlanSentences = PlanSentences(inputs.config, inputs.language)
        # A closed week brings its clocks along: what they showed does not hang on zone data.
        self._others = (
            None if inputs.zone else OtherClocks(inputs.config, zone(household.time_zone))
        )
        self.zone: tzinfo = inputs.zone or zone(household.time_zone)
        self.rule: WeekRule = week_rule(household.locale, household.region, household.first_weekday)
        self.weekend: frozenset[int] = weekend(household.region)
        self.weeks: frozenset[IsoWeek] = frozenset(
            spread.week for spread in inputs.weeks if spread.week is not None
        ) | {one for one in inputs.elsewhere if isinstance(one, IsoWeek)}
        self.led_to: frozenset[IsoWeek] = self.weeks | inputs.beside
        self._made: dict[str, tuple[object, object]] = {}
        self._areas: dict[str | None, AreaMark | None] = {}
        self._persons: dict[str, PersonMark] = {}
        self.months: frozenset[Month] = frozenset(plan.month for plan in inputs.months) | {
            one for one in inputs.elsewhere if isinstance(one, Month)
        }

    def once(self, name: str, source: object, make: Callable[[], T]) -> T:
        """What `make` gives, made once for that very `source`: every page asks for the same."""
        found = self._made.get(name)
        if found is None or found[0] is not source:
            found = self._made[name] = (source, make())
        return cast("T", found[1])

    def text(self, sentence: Message) -> str:
        """The sentence in the household's language."""
        return self.language.text(sentence)

    def plan_text(self, sentence: Message) -> str:
        """A sentence of the plan, which quotes no file: its dates as people write them."""
        return self.language.text(sentence, dates=True)

    def no_title(self) -> str:
        """What stands for a title that a calendar left empty."""
        return self.text(message("no title"))

    # Marks

    def area(self, area_id: str | None) -> AreaMark | None:
        """The mark of an area; None where `config.toml` does not name it."""
        if area_id not in self._areas:
            found = self.config.area(area_id)
            self._areas[area_id] = (
                AreaMark(found.id, found.name, found.letter, found.colour) if found else None
            )
        return self._areas[area_id]

    def person(self, person_id: str) -> PersonMark:
        """The mark of a person; one `config.toml` does not name is marked by the id."""
        mark = self._persons.get(person_id)
        if mark is None:
            found = self.config.person(person_id)
            mark = self._persons[person_id] = (
                PersonMark(person_id, person_id, person_id[:1].upper())
                if found is None
                else PersonMark(found.id, found.name, found.mark)
            )
        return mark

    def persons(self, person_ids: Iterable[str]) -> tuple[PersonMark, ...]:
        """The marks of several persons."""
        return tuple(self.person(one) for one in person_ids)

    def names(self, person_ids: Sequence[str]) -> str:
        """The names of several persons as a list in the household's language."""
        return self.language.listed([self.person(one).name for one in person_ids])

    # Times

    def stamp(self, day: date) -> Stamp:
        """A date for a `time` element."""
        return Stamp(day.isoformat(), self.language.date(day, "weekday day month"))

    def instant(self, moment: datetime) -> Stamp:
        """An instant for a `time` element: UTC for machines, the household's clock for people."""
        return Stamp(
            moment.astimezone(UTC).isoformat(timespec="seconds"),
            self.language.moment(moment.astimezone(self.zone)),
        )

    def clocks(self, shown: DayOccurrence) -> tuple[OtherClock, ...]:
        """What other clocks show as it starts: of its own zone, of persons who live elsewhere."""
        return self._others.of(shown.occurrence) if self._others is not None else shown.elsewhere

    def duration(self, minutes: int | None) -> str:
        """Minutes as people say them: 45 min, 2 h, 1 h 30 min; "" for None."""
        if minutes is None:
            return ""
        return self.text(duration(minutes)).replace(" ", "\u00a0")

    # Weeks and months

    def number(self, day: date) -> str:
        """The number of the week that holds `day`, as people of the territory count."""
        return self.language.digits(str(self.rule.number(day)[1]))

    def week_label(self, first: date) -> str:
        """Week 12."""
        return self.text(message("Week {number}", number=self.number(first)))

    def week_href(self, week: IsoWeek) -> str:
        """The page of the week, or the one that says that it has none; "" where neither is."""
        return f"{week}.html" if week in self.led_to else ""

    def week_link(self, week: IsoWeek) -> Link | None:
        """A link to where `week_href` leads, None where that is nowhere."""
        href = self.week_href(week)
        return Link(href, self.week_label(self.rule.spread_start(week))) if href else None

    def month_href(self, month: Month) -> str:
        """The page of the month, "" where it has none."""
        return f"{month}.html" if month in self.months else ""

    def month_name(self, month: Month) -> str:
        """March 2027."""
        return self.language.date(month.first, "month")

    def month_link(self, month: Month) -> Link | None:
        """A link to the page of the month, None where it has none."""
        href = self.month_href(month)
        return Link(href, self.month_name(month)) if href else None
