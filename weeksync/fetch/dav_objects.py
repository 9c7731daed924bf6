"""The objects of a calendar, in batches as large as the server can bear."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple
from urllib.parse import urljoin

from caldav.elements import cdav, dav

from weeksync.fetch.dav import Dav, Declined
from weeksync.fetch.dav_discovery import Calendar
from weeksync.fetch.dav_xml import short_name
from weeksync.fetch.text import flaw
from weeksync.message import Message, message
from weeksync.model.problem import Place, Problem, ProblemKind
from weeksync.model.pulled import RawObject

BATCH = 200
"""Objects in one calendar-multiget."""
_SMALLER = {400, 403, 404, 405, 413, 415, 422, 500, 501, 507}
"""Answers to a multiget after which less is asked for at once, and in the end each by GET."""
_FAILING_IN_A_ROW = 3
"""Objects that answer with 500 one after the other until it is the server and not the objects."""


class Listed(NamedTuple):
    """An object in a listing: its href as the server wrote it, and its ETag, "" for none."""

    href: str
    tag: str


class Objects:
    """Fetches objects of one calendar; `found`, `gone` and `problems` are filled by `fetch`.

    The bytes are those of the answer. Inside of XML a server may leave out the carriage returns
    (RFC 4791, section 9.6), so an object that came by multiget can have other line ends than
    the same one by GET.
    """

    def __init__(self, server: Dav, calendar: Calendar) -> None:
        self._server = server
        self._calendar = calendar
        self._size = BATCH
        self._failing = 0
        self.found: list[RawObject] = []
        self.gone: set[str] = set()
        self.problems: list[Problem] = []

    def fetch(self, wanted: Mapping[str, Listed]) -> None:
        """Get all of `wanted`; raises SourceError or Declined where the server as a whole fails."""
        self._batch(wanted, list(wanted))

    def _batch(self, wanted: Mapping[str, Listed], names: Sequence[str]) -> None:
        """By multiget; what is missing in the answer (asked minus returned) one by one."""
        if not names:
            return
        if self._size and len(names) > self._size:
            self._in_parts(wanted, names, self._size)
            return
        try:
            missing = self._multiget(wanted, names) if self._size else names
        except Declined as declined:
            if declined.status not in _SMALLER:
                raise
            half = len(names) // 2
            if declined.status != 500:  # that one is an object's fault: later batches may be large
                self._size = min(self._size, half)
            if half:
                self._in_parts(wanted, names, half)
                return
            missing = names
        for name in missing:
            self._get(name, wanted[name])

    def _in_parts(self, wanted: Mapping[str, Listed], names: Sequence[str], size: int) -> None:
        for start in range(0, len(names), size):
            self._batch(wanted, names[start : start + size])

    def _multiget(self, wanted: Mapping[str, Listed], names: Sequence[str]) -> list[str]:
        """Take what a multiget returns; the names that it does not return whole."""
        answer = self._server.multiget(self._calendar.url, (wanted[name].href for name in names))
        missing = dict.fromkeys(names)
        for resource in answer.resources:
            if resource.name not in missing:
                continue
            if resource.status in {404, 410}:
                self.gone.add(resource.name)
                del missing[resource.name]
            elif data := resource.text(cdav.CalendarData):
                tag = resource.text(dav.GetEtag) or wanted[resource.name].tag
                self._take(resource.name, tag, data.encode())
                del missing[resource.name]
        return list(missing)

    def _get(self, name: str, entry: Listed) -> None:
        try:
            answer = self._server.get(urljoin(self._calendar.url, entry.href))
        except Declined as declined:
            if declined.status in {404, 410}:
                self.gone.add(name)
                return
            self._failing = self._failing + 1 if declined.status >= 500 else 0
            if self._failing >= _FAILING_IN_A_ROW:
                raise declined.error from declined
            self._problem(
                message(
                    'the server does not hand out the object {name} of "{calendar}" ({status});'
                    " its last good copy is shown",
                    name=short_name(name),
                    calendar=self._calendar.title,
                    status=declined.status,
                )
            )
        else:
            self._failing = 0
            tag = str(answer.headers.get("ETag", "")) or entry.tag
            self._take(name, tag, answer.content or b"")

    def _take(self, name: str, tag: str, content: bytes) -> None:
        if flaw(content) is None:
            self.found.append(RawObject(name, tag, content))
            return
        self._problem(
            message(
                'the object {name} of "{calendar}" is no whole calendar text; its last good copy'
                " is shown, look at it in the program that wrote it",
                name=short_name(name),
                calendar=self._calendar.title,
            )
        )

    def _problem(self, what: Message) -> None:
        place = Place(source=self._server.channel.source)
        self.problems.append(Problem(ProblemKind.OBJECT, what, place))
