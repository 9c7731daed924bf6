"""Single objects of a CalDAV server, read and written back; nothing is ever deleted or made anew.

A PUT has an If-Match, so that it takes nobody's change away (RFC 9110 section 13.1.1). Where the
server gives no strong tag (section 8.8.1), the bytes are compared once more at the last moment, and
If-Match has a `*`: the object is still never made where it is gone. A PUT that got no answer may
be repeated: if the first one came through, the tag is no longer that one, and the second does
nothing. It is not sent on to another host than the one in `config.toml`.
"""

from __future__ import annotations

import re
from enum import Enum, auto
from types import TracebackType
from typing import Self
from urllib.parse import urljoin

from weeksync.errors import SourceUnusable
from weeksync.fetch.address import place
from weeksync.fetch.channel import Channel, PasswordSource
from weeksync.fetch.status import status_error
from weeksync.fetch.text import flaw, sentence
from weeksync.lazy import dataclass
from weeksync.model.limits import PullLimits
from weeksync.model.pulled import RawObject

_STRONG = re.compile(r'"[\x21\x23-\x7e\x80-\xff]*"')
_GONE = {404, 410}
_MOVED_ON = {404, 409, 410, 412}
"""What a conditional PUT is answered with where the object is not the one it is meant for."""
_READ_ONLY = {403, 405, 501}
_OTHERS = {400, 413, 415, 422, 423, 428, 507}


class Put(Enum):
    """What became of a PUT."""

    WRITTEN = auto()
    CHANGED = auto()
    """The server has another version, or none any more."""
    READ_ONLY = auto()


@dataclass(frozen=True, slots=True)
class PutAnswer:
    """What became of a PUT, and the status it was answered with; 0 where none was sent."""

    put: Put
    status: int = 0


def is_strong(tag: str) -> bool:
    """Whether equal tags mean equal bytes."""
    return _STRONG.fullmatch(tag) is not None


class Objects:
    """The objects of one source on its server; a context manager. All methods raise SourceError."""

    def __init__(
        self, source: str, address: str, limits: PullLimits, user: str, password: PasswordSource
    ) -> None:
        whole = address if "://" in address else f"https://{address}"
        self._channel = Channel(source, whole, limits, user, password)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        traceback: TracebackType | None,
    ) -> None:
        self._channel.close()

    def get(self, name: str) -> RawObject | None:
        """The object as the server has it now, byte for byte; None where it has it no longer."""
        url = self._url(name)
        answer = self._channel.request("GET", url, expect=_GONE)
        if answer.status_code in _GONE and self._channel.sign_in_unasked():
            answer = self._channel.request("GET", url, expect=_GONE)
        if answer.status_code in _GONE:
            return None
        content = answer.content or b""
        found = flaw(content)
        if found is not None:
            raise SourceUnusable(self._channel.source, sentence(found, place(url)))
        return RawObject(name, str(answer.headers.get("ETag", "")).strip(), content)

    def put(self, before: RawObject, content: bytes) -> PutAnswer:
        """Put `content` in the place of the object, if it is still the one that was got."""
        tag = before.tag
        if not is_strong(tag):
            again = self.get(before.name)
            if again is None or again.content != before.content:
                return PutAnswer(Put.CHANGED)
            tag = "*"
        url = self._url(before.name)
        headers = {"Content-Type": "text/calendar; charset=utf-8", "If-Match": tag}
        expect = _MOVED_ON | _READ_ONLY | _OTHERS
        answer = self._channel.request("PUT", url, headers=headers, body=content, expect=expect)
        status = answer.status_code or 0
        if status in _MOVED_ON:
            return PutAnswer(Put.CHANGED, status)
        if status in _READ_ONLY:
            return PutAnswer(Put.READ_ONLY, status)
        if status in _OTHERS:
            raise status_error(self._channel.source, place(url), answer)
        return PutAnswer(Put.WRITTEN, status)

    def _url(self, name: str) -> str:
        return urljoin(self._channel.address, name)
