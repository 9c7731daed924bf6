"""How a request came: from where, to which name, over what; and whether from our own pages."""

from __future__ import annotations

from starlette.datastructures import Headers
from starlette.types import Scope

from weeksync.lazy import dataclass
from weeksync.serve.options import DEFAULT_PORTS, Options, plain_address

KEY = "weeksync.came"


@dataclass(frozen=True, slots=True)
class Came:
    """What is believed of a request's way here."""

    scheme: str
    host: str
    """The Host header, or what the proxy says it was."""
    client: str
    """The IP address it is from."""
    arrived_at: str
    """The IP address of this machine it came to."""
    origin: str
    """The Origin header; "" where there is none."""
    fetch_site: str
    """Sec-Fetch-Site (Fetch Metadata), "" where the browser sends none."""
    fetch_mode: str
    fetch_dest: str

    @property
    def secure(self) -> bool:
        """Whether it came over TLS."""
        return self.scheme == "https"

    @property
    def own_origin(self) -> str:
        """The origin of our pages as this browser has them (RFC 6454 section 6.2)."""
        host = self.host.lower().removesuffix(f":{DEFAULT_PORTS[self.scheme]}")
        return f"{self.scheme}://{host}"

    @property
    def from_own_page(self) -> bool:
        """Whether a browser says that one of our own pages sent it.

        A page with `no-referrer` posts its forms with `Origin: null` (Fetch, section 3.1): then
        only Sec-Fetch-Site, which no script can set, tells them from others.
        """
        if self.fetch_site not in {"", "same-origin"}:
            return False
        if self.origin in {"", "null"}:
            return self.fetch_site == "same-origin"
        return self.origin == self.own_origin

    @property
    def is_taken_by_another_site(self) -> bool:
        """Whether another site's page wants it for itself, and not as a page to go to."""
        if self.fetch_site not in {"cross-site", "same-site"}:
            return False
        return self.fetch_mode != "navigate" or self.fetch_dest not in {"document", ""}


def came(scope: Scope, options: Options) -> Came:
    """Read it off the request; X-Forwarded-… only of the trusted proxy, its last value."""
    headers = Headers(scope=scope)
    client = plain_address((scope.get("client") or ("", 0))[0])
    scheme, host = str(scope["scheme"]), headers.get("host", "")
    if options.trusted_proxy and client == options.trusted_proxy:
        forwarded = _last(headers, "x-forwarded-proto")
        scheme = forwarded if forwarded in DEFAULT_PORTS else scheme
        host = _last(headers, "x-forwarded-host") or host
        client = _last(headers, "x-forwarded-for") or client
    return Came(
        scheme=scheme,
        host=host,
        client=client,
        arrived_at=plain_address((scope.get("server") or ("", 0))[0]),
        origin=headers.get("origin", ""),
        fetch_site=headers.get("sec-fetch-site", ""),
        fetch_mode=headers.get("sec-fetch-mode", ""),
        fetch_dest=headers.get("sec-fetch-dest", ""),
    )


def _last(headers: Headers, name: str) -> str:
    values = headers.getlist(name)
    return values[-1].rpartition(",")[2].strip() if values else ""
