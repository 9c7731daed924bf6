"""Who sends a request: the device by its token, the person by what they have unlocked."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response

from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.serve.access import Access
from weeksync.serve.answers import Wrong
from weeksync.serve.came import KEY, Came
from weeksync.serve.options import Options
from weeksync.serve.unlocked import Unlocked

COOKIE_SECONDS = 400 * 24 * 3600
"""The longest that browsers keep a cookie (RFC 6265bis section 5.5)."""


@dataclass(frozen=True, slots=True)
class Caller:
    """Whom a request is taken to be from."""

    signed_in: bool
    device: str = ""
    token: str = ""
    """The digest of the device's token; "" where no sign-in is asked for."""
    person: str | None = None
    """Who has unlocked their own pages with it."""


class Doors:
    """Reads and gives out cookies; `key` tells two households on one name apart."""

    def __init__(self, access: Access, options: Options, unlocked: Unlocked, key: str) -> None:
        self._access = access
        self._options = options
        self._unlocked = unlocked
        self._names = {"pages": f"weeksync-{key}", "own": f"weeksync-own-{key}"}

    @property
    def guarded(self) -> bool:
        """Whether one has to be signed in: not on a loopback that no device has come in by yet."""
        return not self._options.on_loopback or self._access.guarded()

    def caller(self, request: Request, *, use: bool = False) -> Caller:
        """Who that is; with `use`, an unlocked page counts as used now."""
        token = self._cookie(request, "pages")
        visitor = self._access.visitor(token, "pages") if token else None
        if visitor is None and self.guarded:
            return Caller(signed_in=False)
        mine = visitor.token if visitor is not None else ""
        secret, person = self._cookie(request, "own"), None
        if secret:
            person = self._unlocked.person(secret, mine, self._access.pin_salt, use=use)
        return Caller(True, visitor.device if visitor is not None else "", mine, person)

    def signed_in(self, request: Request, *, use: bool = False) -> Caller:
        """The same, and Wrong 401 for somebody who is not signed in."""
        caller = self.caller(request, use=use)
        if not caller.signed_in:
            raise Wrong(401, message("Sign this device in first."))
        return caller

    def sign_in(self, request: Request, response: Response, token: str) -> None:
        """Put the device's cookie into the answer."""
        self._set(request, response, "pages", token, COOKIE_SECONDS)

    def unlock(self, request: Request, response: Response, person: str, caller: Caller) -> None:
        """Put a new cookie of one's own into the answer; what was unlocked before is locked."""
        self._unlocked.lock(self._cookie(request, "own"))
        salt = self._access.pin_salt(person)
        self._set(request, response, "own", self._unlocked.add(person, caller.token, salt), None)

    def lock(self, request: Request, response: Response) -> None:
        """Lock, and take the cookie away."""
        self._unlocked.lock(self._cookie(request, "own"))
        self._set(request, response, "own", "", 0)

    def sign_out(self, request: Request, response: Response) -> None:
        """Revoke the device's token, and take both cookies away; may block."""
        token = self._cookie(request, "pages")
        if token:
            self._access.sign_out(token)
        self.lock(request, response)
        self._set(request, response, "pages", "", 0)

    def _cookie(self, request: Request, which: str) -> str:
        return request.cookies.get(self._name(request, which), "")

    def _name(self, request: Request, which: str) -> str:
        # __Host- (RFC 6265bis section 4.1.3.2): only this host itself, over TLS, can set it.
        return f"{'__Host-' if _came(request).secure else ''}{self._names[which]}"

    def _set(
        self, request: Request, response: Response, which: str, value: str, seconds: int | None
    ) -> None:
        response.set_cookie(
            self._name(request, which),
            value,
            max_age=seconds,
            path="/",
            secure=_came(request).secure,
            httponly=True,
            samesite="strict",
        )


def _came(request: Request) -> Came:
    found: Came = request.scope[KEY]
    return found
