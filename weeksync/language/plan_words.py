"""Words of a planned week that the terminal and the pages share: people, days, times, minutes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from functools import lru_cache

from weeksync.language.language import Language
from weeksync.message import Message, message
from weeksync.model.config import Config
from weeksync.model.fields import DayPart
from weeksync.model.week_plan import DayLoad, Piece

_IN_PART = {
    DayPart.MORNING: message("morning {minutes}"),
    DayPart.AFTERNOON: message("afternoon {minutes}"),
    DayPart.EVENING: message("evening {minutes}"),
}


class PlanWords:
    """How people, days and minutes are called in the language of a household."""

    def __init__(self, config: Config, language: Language) -> None:
        self.config: Config = config
        self.language: Language = language
        self._part = lru_cache(1024)(self._in_part)

    def text(self, sentence: Message) -> str:
        """The sentence, its dates as people write them."""
        return self.language.text(sentence, dates=True)

    def day(self, day: date) -> str:
        """A day near by: Wed 24 Mar."""
        return self.language.date(day, "weekday day month")

    def person(self, person_id: str) -> str:
        """A person's name."""
        person = self.config.person(person_id)
        return person.name if person is not None else person_id

    def people(self, ids: Iterable[str]) -> str:
        """Names as a list."""
        return self.language.listed([self.person(one) for one in ids])

    def letters(self, persons: Sequence[str]) -> str:
        """The letters of people behind a title, with a space before; "" for nobody."""
        known = [person.mark for person in self.config.people if person.id in persons]
        return f" [{' '.join(known)}]" if known else ""

    def quoted(self, titles: Iterable[str]) -> str:
        """Titles as a list, each in quotation marks."""
        return self.language.quoted(titles)

    def days(self, days: Iterable[date]) -> str:
        """Days as a list."""
        return self.language.listed([self.day(day) for day in days])

    def piece(self, piece: Piece) -> str:
        """A day with from-to."""
        times = self.language.times(piece.start, piece.end)
        return f"{self.day(piece.start.date())} {times}"

    def pieces(self, pieces: Iterable[Piece]) -> str:
        """Several as a list."""
        return self.language.listed([self.piece(one) for one in pieces])

    def load(self, load: DayLoad, to_come: int | None = None, *, parts: bool = False) -> str:
        """The minutes of a day: what is free, what of it can be planned, what is planned.

        `to_come` is what can be planned of a day under way from now on, told where it is less;
        with `parts` it is told what of the minutes lies in which part of the day.
        """
        said = [self._free(load, parts), self._plannable(load.plannable, to_come)]
        return self.language.joined([*said, self._planned(load, parts)])

    def _free(self, load: DayLoad, parts: bool) -> str:
        by_part = self.by_part((one.part, one.free) for one in load.parts) if parts else ""
        if not by_part:
            return self.text(message("{free} free", free=load.free))
        return self.text(message("{free} free ({parts})", free=load.free, parts=by_part))

    def _plannable(self, plannable: int, to_come: int | None) -> str:
        if to_come is None or to_come >= plannable:
            return self.text(message("{plannable} to plan", plannable=plannable))
        return self.text(
            message(
                "{plannable} to plan ({left} of them still to come)",
                plannable=plannable,
                left=to_come,
            )
        )

    def _planned(self, load: DayLoad, parts: bool) -> str:
        by_part = self.by_part((one.part, one.planned) for one in load.parts) if parts else ""
        if not by_part:
            return self.text(message("{planned} planned", planned=load.planned))
        return self.text(
            message("{planned} planned ({parts})", planned=load.planned, parts=by_part)
        )

    def by_part(self, minutes: Iterable[tuple[DayPart, int]]) -> str:
        """Minutes of the parts of a day, those that have any: morning 90, evening 120."""
        return self.language.joined(self._part(part, count) for part, count in minutes if count)

    def _in_part(self, part: DayPart, count: int) -> str:
        return self.text(Message(_IN_PART[part].text, {"minutes": count}))

    def hours(self, minutes: int) -> str:
        """Minutes as hours and minutes."""
        hours, rest = divmod(minutes, 60)
        if not rest:
            return self.text(message("{hours} h", hours=hours))
        return self.text(message("{hours} h {minutes} min", hours=hours, minutes=rest))

    def amount(self, minor: int, currency: str) -> str:
        """An amount in minor units; a plain number where no currency is named."""
        return self.language.money(minor, currency) if currency else self.language.number(minor)
