"""All calendars of an account on a CalDAV server, or those that were chosen."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping, Sequence

from weeksync.errors import SourceBusy, SourceError, SourceMissing, SourceUnreachable
from weeksync.fetch.address import place
from weeksync.fetch.channel import Channel, PasswordSource
from weeksync.fetch.dav import Dav, Declined
from weeksync.fetch.dav_discovery import Calendar, Listing, choose, find_calendars
from weeksync.fetch.dav_look import remembering
from weeksync.fetch.dav_pull import pull_calendar
from weeksync.fetch.fault import Fault, FaultKind
from weeksync.message import message
from weeksync.model.limits import PullLimits
from weeksync.model.problem import Place, Problem, ProblemKind
from weeksync.model.pulled import KnownCollection, Pulled, PulledCollection

_FAILING_IN_A_ROW = 3
"""Calendars that cannot be had one after the other until it is the server and not they."""


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

        One that cannot be had is a problem, and its last good copy stays, as long as another one
        can; else its error is raised, and so it is where the time for all of them is up. One that
        is gone is left out once the server's list of calendars no longer has it.
        """
        with Channel(self.id, self._address, limits, self._user, self._password) as channel:
            server = Dav(channel)
            listings: list[Listing] = []
            calendars, problems = self._chosen(server, listings.extend)
            collections: list[PulledCollection] = []
            failed: list[SourceError] = []  # one after the other
            first, good = None, False
            for calendar in calendars:
                have = known.get(calendar.name)
                one = self._one(server, calendar, have or KnownCollection(), failed)
                if isinstance(one, SourceError):
                    first = first or one
                    failed.append(one)
                    problems += (self._missed(calendar, one),)
                    if have is not None:
                        collections.append(_as_it_was(calendar, have))
                elif one is not None:
                    failed, good = [], True
                    collections.append(one[0])
                    problems += one[1]
            login = channel.login
        if first is not None and not good:
            raise first
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

    def _one(
        self,
        server: Dav,
        calendar: Calendar,
        have: KnownCollection,
        before: Sequence[SourceError],
    ) -> tuple[PulledCollection, tuple[Problem, ...]] | SourceError | None:
        """What changed in one calendar, with its problems; None where it is gone.

        `before` are the errors of the calendars right before it. Raises SourceError where it is
        more than this one: the time for the source is up.
        """
        if _is_the_server(before):
            return before[-1]
        try:
            return pull_calendar(server, calendar, have, self._account)
        except Declined as declined:
            error = declined.error
        except SourceError as failed:
            error = failed
        if _is_out_of_time(error):
            raise error
        if isinstance(error, SourceMissing):
            try:
                again, _ = self._chosen(server)
            except SourceError as failed:
                return failed
            if all(calendar.name != other.name for other in again):
                return None
        return error

    def _missed(self, calendar: Calendar, error: SourceError) -> Problem:
        what = message(
            "the calendar “{calendar}” of this account could not be pulled and stays as it was",
            calendar=calendar.title,
        )
        return Problem(ProblemKind.SOURCE, what, Place(source=self.id), error.message)


def _as_it_was(calendar: Calendar, have: KnownCollection) -> PulledCollection:
    """With its token of before: what is missed now comes when it can be had again."""
    return PulledCollection(calendar.name, calendar.title, calendar.colour, have.token)


def _is_out_of_time(error: SourceError) -> bool:
    cause = error.__cause__
    return isinstance(cause, Fault) and cause.kind is FaultKind.BUDGET


def _is_the_server(in_a_row: Sequence[SourceError]) -> bool:
    """Whether what failed is more than these calendars: the others are not asked any more."""
    troubles = [one for one in in_a_row if isinstance(one, SourceBusy | SourceUnreachable)]
    return len(troubles) >= _FAILING_IN_A_ROW
