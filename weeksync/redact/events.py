"""Events and appointments of a week, each let through by a rule or not there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.model.files import Appointment
from weeksync.model.occurrence import Occurrence
from weeksync.model.shared import Decision, ItemKind, SharedEvent
from weeksync.model.sharing_settings import MayShare
from weeksync.model.spread import Day
from weeksync.redact.away import may_be_away, says_at_home
from weeksync.redact.rules import Look, Rules, Ruling
from weeksync.redact.times import OnDay, on_day
from weeksync.redact.vetoes import AWAY, MAY_BE_AWAY, ONLY_FOR, Copies, veto


@dataclass(frozen=True, slots=True)
class Seen:
    """An occurrence, what may stand there for it, and why."""

    occurrence: Occurrence
    look: Look
    release: str = ""
    days: tuple[date, ...] = ()

    @property
    def decision(self) -> Decision:
        """For the household's own list."""
        one = self.occurrence
        return Decision(
            kind=ItemKind.EVENT if one.source else ItemKind.APPOINTMENT,
            title=one.title,
            days=self.days,
            shown_as=self.look.shown_as,
            label=self.look.label,
            why=self.look.why,
            release=self.release,
            only_for=one.only_for,
        )


class Events:
    """Judges occurrences by the household's word of today, and by all copies of each."""

    def __init__(
        self, rules: Rules, copies: Copies, appointments: Mapping[str, Appointment]
    ) -> None:
        self._rules, self._copies, self._appointments = rules, copies, appointments

    def seen(self, days: Sequence[Day]) -> list[Seen]:
        """Each occurrence of the days once, in order, with the days it stands on."""
        where: dict[Occurrence, list[date]] = {}
        for day in days:
            for one in day.occurrences:
                where.setdefault(one.occurrence, []).append(day.date)
        return [self._seen(one, tuple(dates)) for one, dates in where.items()]

    def _seen(self, one: Occurrence, days: tuple[date, ...]) -> Seen:
        copies = self._copies.of(one)
        entry = self._appointments.get(one.uid) if one.source == "" else None
        why = self._never(copies, self._copies.of_series(one), entry)
        if why is not None:
            return Seen(one, Look(why=why), days=days)
        ruling = self._ruling(copies, entry)
        title = self._title(one, entry)
        look = self._rules.look(ruling, title, one.area, busy=one.busy)
        release = ""
        if ruling.level is MayShare.TITLE and not title and one.title:
            release = entry.id if entry is not None else one.title
            look = _not_yet(look)
        elif entry is not None and not entry.share:
            release = entry.id
        return Seen(one, look, release, days)

    def _never(
        self,
        copies: Sequence[Occurrence],
        series: Sequence[Occurrence],
        entry: Appointment | None,
    ) -> Message | None:
        spoken = [self._rules.away(one) for one in copies]
        if any(one is True for one in spoken) or (entry is not None and entry.away):
            return AWAY
        found = veto(copies, series)
        if found is not None:
            return found
        if entry is not None and entry.only_for:
            return ONLY_FOR
        at_home = all(says_at_home(one, entry) for one in spoken)
        return MAY_BE_AWAY if any(may_be_away(one, at_home=at_home) for one in copies) else None

    def _ruling(self, copies: Sequence[Occurrence], entry: Appointment | None) -> Ruling:
        """The least that is said of any copy: one calendar may say less than another."""
        first = copies[0]
        if first.source == "":
            return self._rules.of_appointment(first, entry)
        return min(map(self._rules.of_event, copies), key=lambda one: one.level.rank)

    def _title(self, one: Occurrence, entry: Appointment | None) -> str:
        """The title as it was released, "" where it was not."""
        if entry is not None and entry.share:
            return "" if entry.share_as else entry.title
        return self._rules.released(entry.title if entry is not None else one.title)


def _not_yet(look: Look) -> Look:
    """A look, with the word that the title would be there if it were released."""
    if look.hidden:
        return Look(why=message("its title is not released, and it has nothing else to show"))
    return Look(look.shown_as, look.label, look.area, message("its title is not released"))


def of_day(day: Day, seen: Mapping[Occurrence, Seen], rules: Rules) -> list[OnDay]:
    """What is let through on a day, still with its times."""
    found = []
    for one in day.occurrences:
        look = seen[one.occurrence].look
        if not look.hidden:
            roles = rules.roles(one.occurrence.persons)
            event = SharedEvent(look.shown_as, look.label, look.area, roles)
            found.append(on_day(event, one, day.date))
    return found
