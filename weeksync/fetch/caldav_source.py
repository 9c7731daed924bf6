"""All calendars of an account on a CalDAV server, or those that were chosen."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping, Sequence

from weeksync.errors import SourceError
from weeksync.fetch.address import place
from weeksync.fetch.channel import Channel, PasswordSource
from weeksync.fetch.dav import Dav, Declined
from weeksync.fetch.dav_discovery import Calendar, Listing, choose, find_calendars
from weeksync.fetch.dav_look import remembering
from weeksync.fetch.dav_pull import pull_calendar
from weeksync.message import message
from weeksync.model.limits import PullLimits
from weeksync.model.problem import Place, Problem, ProblemKind
from weeksync.model.pulled import KnownCollection, Pulled, PulledCollection


class CalDavSource:
    """A CalDAV server; an address without a scheme is one by https."""

    def __init__(
        self,
        source: str,
        address: str,
        names: Sequence[str],
        user: str,
        password: PasswordSource,
    ) -> None:
        self.id = source
        self._address = address if "://" in address else f"https://{address}"
        self._names = tuple(names)
        self._user = user
        self._password = password

    def __repr__(self) -> str:
        return f"CalDavSource({self.id!r})"

    def pull(self, known: Mapping[str, KnownCollection], limits: PullLimits) -> Pulled:
        """What changed in each calendar; see `Source.pull`.

        A calendar that may not be read is a problem, and its last good copy stays; one that is
        gone is left out once the server's list of calendars no longer has it.
        """
        with Channel(self.id, self._address, limits, self._user, self._password) as channel:
            server = Dav(channel)
            listings: list[Listing] = []
            calendars, problems = self._chosen(server, listings.extend)
            collections: list[PulledCollection] = []
            failed: SourceError | None = None
            for calendar in calendars:
                try:
                    collection, found = pull_calendar(
                        server, calendar, known.get(calendar.name, KnownCollection()), self._account
                    )
                except Declined as declined:
                    failed = failed or declined.error
                    kept, found = self._declined(server, calendar, declined, known)
                    collections += kept
                else:
                    collections.append(collection)
                problems += found
            login = channel.login
        if not collections and failed is not None:
            raise failed
        if not problems:  # the next run has to find out anew what is wrong, and say so
            collections = [*remembering(collections, calendars, listings, self._names, login)]
        return Pulled(self.id, tuple(collections), problems)

    @property
    def _account(self) -> str:
        """Tells one account of `config.toml` from another: tokens and tags hold for one only."""
        return hashlib.sha256(f"{self._user}\n{self._address}".encode()).hexdigest()[:16]

    def _chosen(
        self, server: Dav, read: Callable[[Sequence[Listing]], None] = lambda _: None
    ) -> tuple[tuple[Calendar, ...], tuple[Problem, ...]]:
        return choose(self.id, place(self._address), find_calendars(server, read), self._names)

    def _declined(
        self,
        server: Dav,
        calendar: Calendar,
        declined: Declined,
        known: Mapping[str, KnownCollection],
    ) -> tuple[tuple[PulledCollection, ...], tuple[Problem, ...]]:
        """What becomes of a calendar that the server lists and does not hand out.

        Raises SourceError where it is more than this one calendar.
        """
        if declined.status in {404, 410}:
            again, _ = self._chosen(server)
            if all(calendar.name != other.name for other in again):
                return (), ()
        elif declined.status != 403:
            raise declined.error
        what = message(
            'the calendar "{calendar}" is listed at {place}, but not handed out ({status}); its'
            " last good copy is shown, ask its owner or choose other calendars in config.toml",
            calendar=calendar.title,
            place=place(self._address),
            status=declined.status,
        )
        problem = Problem(ProblemKind.SOURCE, what, Place(source=self.id))
        have = known.get(calendar.name)
        if have is None:
            return (), (problem,)
        same = PulledCollection(calendar.name, calendar.title, calendar.colour, have.token)
        return (same,), (problem,)
