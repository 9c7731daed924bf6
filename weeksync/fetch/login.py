"""The name and the password of a source, and how they are given to a server that asks."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from niquests import PreparedRequest
from niquests.auth import AuthBase, BearerTokenAuth, HTTPBasicAuth, HTTPDigestAuth


class Anonymous(AuthBase):
    """No login at all. Given in place of None, so that ~/.netrc supplies none either."""

    def __call__(self, r: PreparedRequest) -> PreparedRequest:
        """The request as it is."""
        return r


class Login:
    """A name with its password; neither is in the `repr`."""

    def __init__(self, user: str, password: str) -> None:
        self._user = user
        self._password = password

    def __repr__(self) -> str:
        return "Login(…)"

    def answers(self, challenge: str) -> Iterator[Any]:
        """The ways to answer a WWW-Authenticate header, the strongest first.

        Digest is tried before basic, and basic after it where both are offered: some servers
        offer a digest they cannot check. Without any challenge (against RFC 9110, section
        11.6.1, but seen) basic is tried. Where only bearer is offered the password is the token.
        """
        offered = {name.lower() for name in _SCHEMES.findall(challenge)}
        if "digest" in offered:
            yield HTTPDigestAuth(self._user, self._password)
        if "basic" in offered or not offered:
            yield self.basic()
        if "bearer" in offered and "basic" not in offered:
            yield BearerTokenAuth(self._password)

    def basic(self) -> HTTPBasicAuth:
        """The name and the password as they are (RFC 7617)."""
        return HTTPBasicAuth(self._user, self._password)


def kind_of(auth: Any) -> str:
    """How a server lets us in: "none", "basic", or "other" for a way that begins with a question.

    The first two can be sent with the first request of the next run.
    """
    if auth is None:
        return "none"
    return "basic" if type(auth) is HTTPBasicAuth else "other"


_SCHEMES = re.compile(r"(?:^|,)\s*(basic|digest|bearer)\b", re.IGNORECASE)
