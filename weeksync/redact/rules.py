"""What the household has said may be shown of something: the allow-list itself.

Who may speak of an event are the rules of `config.toml` (else its calendar) and its area; of an
appointment its entry, rules and area; of a to-do its calendar, rules and area; of a task its entry,
`[sharing] tasks` and its area; of a habit its entry and its area. Nobody speaking is nothing; where
several speak, the least that one of them says holds.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import field

from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.model.config import Area, Config, Rule
from weeksync.model.files import Appointment, Habit, Task
from weeksync.model.matching import Traits, condition_of, plain_traits
from weeksync.model.occurrence import Occurrence
from weeksync.model.shared import SharedArea, ShownAs
from weeksync.model.sharing_settings import MayShare
from weeksync.model.spread import PlanTask

NO_RULE = message("no rule lets it through")
AREA_WORD, BUSY_WORD = "area", "busy"
"""What `share_as` of an entry may be besides a word."""


@dataclass(frozen=True, slots=True)
class Said:
    """One voice: the most that may be shown, and who says so."""

    level: MayShare
    why: Message


@dataclass(frozen=True, slots=True)
class Ruling:
    """The most that may be shown of something; `word` stands in place of its title, "" for none."""

    level: MayShare = MayShare.NOTHING
    word: str = ""
    why: Message = NO_RULE


@dataclass(frozen=True, slots=True)
class Look:
    """What is to stand on the page for something, without its time and its persons."""

    shown_as: ShownAs = ShownAs.NOTHING
    label: str = ""
    area: SharedArea | None = None
    why: Message = field(default_factory=lambda: NO_RULE)

    @property
    def hidden(self) -> bool:
        """Nothing is to stand there."""
        return self.shown_as is ShownAs.NOTHING


@dataclass(frozen=True, slots=True)
class _Spoken:
    """What the rules of `config.toml` that match say together; None where they say nothing."""

    share: Said | None = None
    word: str = ""
    away: bool | None = None


class Rules:
    """The household's word about sharing as it is today."""

    def __init__(self, config: Config) -> None:
        self._config = config
        self._calendars = {one.id: one for one in config.calendars}
        self._areas = {one.id: one for one in config.areas}
        self._rules = [(condition_of(rule), rule) for rule in config.rules]
        self._released = {_same(title): title for title in config.sharing.released}
        self._known: dict[Traits, _Spoken] = {}

    def away(self, one: Occurrence) -> bool | None:
        """Whether the rules of today call it away; None where none speaks of that."""
        return self._spoken((one.source, one.title, one.categories, one.attendees)).away

    def of_event(self, one: Occurrence) -> Ruling:
        """What may be shown of a calendar's event."""
        calendar = self._calendars.get(one.source)
        if calendar is None:
            return Ruling(why=message("its calendar is no longer in config.toml"))
        spoken = self._spoken((one.source, one.title, one.categories, one.attendees))
        own = spoken.share
        if own is None and calendar.share is not None:
            own = _said_by_calendar(calendar.share, calendar.label)
        word = spoken.word or calendar.share_as
        return self._least([own, self._area_says(one.area)], word)

    def of_appointment(self, one: Occurrence, entry: Appointment | None) -> Ruling:
        """What may be shown of an appointment, whose entry of today is `entry`."""
        if entry is None:
            return Ruling(why=message("it is no longer in appointments.toml"))
        spoken = self._spoken((one.source, entry.title, one.categories, one.attendees))
        own, word = _of_entry(entry.share, entry.share_as)
        return self._least([own, spoken.share, self._area_says(one.area)], word or spoken.word)

    def of_todo(self, task: PlanTask) -> Ruling:
        """What may be shown of a calendar's to-do, once its title is released."""
        calendar = self._calendars.get(task.source)
        if calendar is None:
            return Ruling(why=message("its calendar is no longer in config.toml"))
        if calendar.share_tasks is None:
            return Ruling()
        own = _said_by_calendar(calendar.share_tasks, calendar.label)
        spoken = self._spoken((task.source, task.title, (), ()))
        return self._least([own, spoken.share, self._area_says(task.area)], spoken.word)

    def of_task(self, task: PlanTask, entry: Task | None) -> Ruling:
        """What may be shown of a task of `tasks.toml`, whose entry of today is `entry`."""
        if entry is None:
            return Ruling(why=message("it is no longer in tasks.toml"))
        own, word = _of_entry(entry.share, entry.share_as)
        if own is None:
            return Ruling(why=message("it is not released"))
        most = self._config.sharing.tasks
        listed = None
        if most is not None:
            why = message("[sharing] says tasks = {level}", level=most.value)
            listed = Said(most, why)
        return self._least([own, listed, self._area_says(task.area)], word)

    def of_habit(self, entry: Habit) -> Ruling:
        """What may be shown of a habit."""
        own, word = _of_entry(entry.share, entry.share_as)
        if own is None:
            return Ruling(why=message("it is not released"))
        return self._least([own, self._area_says(entry.area)], word)

    def released(self, title: str) -> str:
        """The title as the household released it, "" where it did not.

        Compared without regard to case and spacing; what is shown is the household's own spelling.
        """
        return self._released.get(_same(title), "")

    def look(self, ruling: Ruling, title: str, area: str | None, *, busy: bool = False) -> Look:
        """What stands on the page: the most that the ruling allows and that there is.

        `title` is the released one, "" where it is not; `busy` where it takes somebody's time.
        """
        level, shown = ruling.level, self.area(area)
        if level is MayShare.TITLE and title:
            return Look(ShownAs.TITLE, title, shown, ruling.why)
        if level.rank >= MayShare.WORD.rank and ruling.word:
            return Look(ShownAs.WORD, ruling.word, None, ruling.why)
        if level.rank >= MayShare.AREA.rank and shown is not None:
            return Look(ShownAs.AREA, shown.name, shown, ruling.why)
        if level is MayShare.NOTHING:
            return Look(why=ruling.why)
        if busy:
            return Look(ShownAs.BUSY, "", None, ruling.why)
        return Look(why=message("it takes no time, and there is nothing else that may be shown"))

    def area(self, area: str | None) -> SharedArea | None:
        """The area as shared pages show it; None where there is none of that id today."""
        found = self._areas.get(area or "")
        if found is None:
            return None
        name = found.share_as or found.name
        return SharedArea(name, name.strip()[:1].upper(), str(found.colour))

    def roles(self, persons: Iterable[str]) -> tuple[str, ...]:
        """The words for these persons, each once; () where persons are left out."""
        if self._config.sharing.persons != "roles":
            return ()
        people = {one.id: one.role for one in self._config.people}
        return tuple(sorted({role for one in persons if (role := people.get(one, ""))}))

    def _area_says(self, area: str | None) -> Said | None:
        found: Area | None = self._areas.get(area or "")
        if found is None or found.share is None:
            return None
        level = found.share
        return Said(
            level,
            message("the area “{area}” says share = {level}", area=found.name, level=level.value),
        )

    def _least(self, voices: Sequence[Said | None], word: str) -> Ruling:
        spoken = [one for one in voices if one is not None]
        if not spoken:
            return Ruling()
        least = min(spoken, key=lambda one: one.level.rank)
        return Ruling(least.level, word, least.why)

    def _spoken(self, traits: Traits) -> _Spoken:
        found = self._known.get(traits)
        if found is None:
            found, plain = _Spoken(), plain_traits(traits)
            for number, (holds, rule) in enumerate(self._rules, 1):
                if holds(plain):
                    found = _with_rule(found, rule, number)
            self._known[traits] = found
        return found


def _with_rule(found: _Spoken, rule: Rule, number: int) -> _Spoken:
    share = found.share
    if rule.share is not None:
        level = rule.share.value
        share = Said(
            rule.share,
            message(
                "rule {number} of config.toml says share = {level}", number=number, level=level
            ),
        )
    return _Spoken(
        share, rule.share_as or found.word, found.away if rule.away is None else rule.away
    )


def _said_by_calendar(level: MayShare, label: str) -> Said:
    return Said(
        level,
        message("the calendar “{calendar}” says {level}", calendar=label, level=level.value),
    )


def _of_entry(share: bool, share_as: str) -> tuple[Said | None, str]:
    """(what the entry says, the word in place of its title)."""
    if not share:
        return None, ""
    why = message("its entry says share = true")
    if share_as == AREA_WORD:
        return Said(MayShare.AREA, why), ""
    if share_as == BUSY_WORD:
        return Said(MayShare.BUSY, why), ""
    return Said(MayShare.WORD if share_as else MayShare.TITLE, why), share_as


def _same(title: str) -> str:
    return " ".join(unicodedata.normalize("NFC", title).casefold().split())
