"""Requests to one server: login, redirects, patience, and errors in our own words.

Both kinds of source on the web go through a `Channel`. A name and a password go to the place
that `config.toml` names and to no other: not to another host, not to another port, not from
https to http, whatever a redirect or an answer says.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Collection, Mapping
from typing import Any

from niquests import Response

from weeksync.errors import SourceError, SourceRefused, WeeksyncError
from weeksync.fetch.address import checked, origin, place, redirected
from weeksync.fetch.counted import one_more
from weeksync.fetch.fault import Fault, FaultKind, as_error, classify
from weeksync.fetch.login import Anonymous, Login, kind_of
from weeksync.fetch.status import refusal, retry_after, status_error
from weeksync.fetch.wire import Connections, open_session
from weeksync.model.limits import PullLimits

ATTEMPTS = 3
"""How often a request is made before an error that may pass is taken for one that stays."""
BACK_OFF_SECONDS = 0.5
"""The first pause between two attempts; each further one is twice as long."""
LONGEST_PAUSE_SECONDS = 30.0
"""A server that asks for a longer pause than this is left alone until the next run."""
MOST_REDIRECTS = 5

_REDIRECTS = {301, 302, 303, 307, 308}
_PASSING = {429, 500, 502, 503, 504}

PasswordSource = Callable[[], str | None]
"""Asked for the password when a server wants one, at most once a pull."""


class Channel:
    """The way to one server during one pull; a context manager, and of one thread."""

    def __init__(
        self,
        source: str,
        address: str,
        limits: PullLimits,
        user: str = "",
        password: PasswordSource | None = None,
    ) -> None:
        self.source = source
        self.address = checked(source, address)
        self._limits = limits
        self._end = time.monotonic() + limits.budget_seconds
        self._home = origin(self.address)
        self._user = user
        self._password = password
        self._known_login: Login | None = None
        self._auth: Any = None
        self._connections = Connections()
        self._session = open_session(self._connections, limits.max_bytes)

    def __enter__(self) -> Channel:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def __repr__(self) -> str:
        return f"Channel({self.source!r}, {place(self.address)!r})"

    @property
    def login(self) -> str:
        """How the server let us in; see `login.kind_of`."""
        return kind_of(self._auth)

    def close(self) -> None:
        """Close every connection, also one that a request still waits on."""
        self._connections.shut()
        self._session.close()

    def request(
        self,
        method: str,
        url: str,
        *,
        headers: Mapping[str, str] | None = None,
        body: bytes = b"",
        expect: Collection[int] = (),
    ) -> Response:
        """The whole answer, of a 2xx status or of one in `expect`; raises SourceError.

        Every request made here only reads, or writes under a condition that the first success
        ends, so it may be repeated: after 429, 500, 502, 503, 504 and a broken connection, with
        growing pauses, at most `ATTEMPTS` times in all.
        """
        try:
            return self._patiently(method, url, headers or {}, body, expect)
        except Fault as fault:
            found = fault
        raise as_error(self.source, place(url), found, self._limits) from found

    def _patiently(
        self,
        method: str,
        url: str,
        headers: Mapping[str, str],
        body: bytes,
        expect: Collection[int],
    ) -> Response:
        for attempt in range(1, ATTEMPTS + 1):
            pause = BACK_OFF_SECONDS * 2 ** (attempt - 1)
            try:
                response = self._follow(method, url, headers, body)
            except Fault as fault:
                if fault.kind is not FaultKind.RESET or not self._may_wait(attempt, pause):
                    raise
            else:
                status = response.status_code or 0
                if 200 <= status < 300 or status in expect:
                    return response
                pause = max(pause, retry_after(response) or 0.0)
                if status not in _PASSING or not self._may_wait(attempt, pause):
                    raise self._refused(url, response)
            time.sleep(pause)
        raise AssertionError  # pragma: no cover - the last attempt returns or raises

    def _may_wait(self, attempt: int, seconds: float) -> bool:
        """Whether there is another attempt, and time for it after a pause of `seconds`."""
        in_time = time.monotonic() + seconds < self._end
        return attempt < ATTEMPTS and in_time and seconds <= LONGEST_PAUSE_SECONDS

    def _follow(self, method: str, url: str, headers: Mapping[str, str], body: bytes) -> Response:
        for _ in range(MOST_REDIRECTS + 1):
            response = self._signed_in(method, url, headers, body)
            target = response.headers.get("Location")
            if response.status_code not in _REDIRECTS or not target:
                return response
            if response.status_code == 303 and method != "GET":
                raise Fault(FaultKind.ELSEWHERE)
            url = redirected(url, str(target))
            if body and method == "PUT" and origin(url) != self._home:
                raise Fault(FaultKind.ELSEWHERE)  # nobody else is to have it
        raise Fault(FaultKind.LOOP)

    def _signed_in(
        self, method: str, url: str, headers: Mapping[str, str], body: bytes
    ) -> Response:
        if origin(url) != self._home:
            return self._send(method, url, headers, body, None)
        response = self._send(method, url, headers, body, self._auth)
        if response.status_code != 401 or self._auth is not None:
            return response
        login = self._login()
        challenge = str(response.headers.get("WWW-Authenticate", ""))
        for auth in login.answers(challenge) if login else ():
            response = self._send(method, url, headers, body, auth)
            if response.status_code != 401:
                self._auth = auth
                break
        return response

    def _login(self) -> Login | None:
        if self._known_login is None and self._user and self._password:
            try:
                secret = self._password()
            except SourceError:
                raise
            except WeeksyncError as error:
                raise SourceRefused(self.source, error.message) from error
            if secret is not None:
                self._known_login = Login(self._user, secret)
        return self._known_login

    def sign_in_unasked(self) -> bool:
        """Send name and password from now on, to a server that serves anybody, but little.

        False where there are none, or where they are sent already.
        """
        login = self._login() if self._auth is None else None
        if login is None:
            return False
        self._auth = login.basic()
        return True

    def _send(
        self, method: str, url: str, headers: Mapping[str, str], body: bytes, auth: Any
    ) -> Response:
        seconds = min(self._limits.timeout_seconds, self._end - time.monotonic())
        if seconds <= 0:
            raise Fault(FaultKind.BUDGET)
        one_more()
        try:
            return self._session.request(
                method,
                url,
                headers=dict(headers),
                data=body or None,
                auth=auth or Anonymous(),
                allow_redirects=False,
                timeout=seconds,
            )
        except Exception as error:
            found = classify(error, FaultKind.OTHER)
        if found.kind is FaultKind.TIMEOUT and seconds < self._limits.timeout_seconds:
            found = Fault(FaultKind.BUDGET)
        raise found  # outside of the except: the library's error is not in its chain

    def _refused(self, url: str, response: Response) -> SourceError:
        final = str(response.url or url)
        if response.status_code != 401:
            return status_error(self.source, place(final), response)
        sentence = refusal(
            place(final),
            at_home=origin(final) == self._home,
            user=bool(self._user),
            password=self._known_login is not None,
        )
        return SourceRefused(self.source, sentence)
