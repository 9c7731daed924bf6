"""Who may come in where the pages are served: devices, one-time codes and PINs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from weeksync.errors import UsageError
from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.serve_settings import Serve
from weeksync.serve import Access, Device, Options, sign_in_address
from weeksync.serve.options import is_loopback
from weeksync.workflow.context import Context

FORMAT = 1
KIND = "weeksync.devices"


@dataclass(frozen=True, slots=True)
class Code:
    """A one-time code for a device.

    `link` opens the home address and signs the device in, "" where `[serve]` does not say how
    tablets write it. `here_only`: it leads to this machine alone.
    """

    code: str
    link: str
    here_only: bool


def access_of(context: Context) -> Access:
    """Devices, codes and PINs of the household."""
    return Access(context.state / "access.json")


def add_device(context: Context, name: str, person: str | None) -> Code:
    """A code that lets a device in once; UsageError for a person or a name that cannot be."""
    if person is not None:
        known_person(context, person)
    code = access_of(context).add(name, person or "")
    address = home_address(context.config.serve)
    here_only = not context.config.serve.address and is_loopback(context.config.serve.host)
    return Code(code, sign_in_address(address, code) if address else "", here_only)


def home_address(serve: Serve) -> str:
    """The address that tablets open; "" where nothing says how they write it."""
    if not serve.address and serve.host in {"0.0.0.0", "::"}:  # noqa: S104 - compared only
        return ""
    options = Options(host=serve.host, port=serve.port, address=serve.address)
    scheme = "https" if serve.certificate and not serve.address else ""
    return options.own_address.replace("http", scheme, 1) if scheme else options.own_address


def known_person(context: Context, person: str) -> str:
    """The person's name; UsageError where `config.toml` has nobody of that id."""
    found = context.config.person(person)
    if found is None:
        raise UsageError(
            message(
                'config.toml has no "{value}"; it has: {known}',
                value=person,
                known=", ".join(one.id for one in context.config.people),
            )
        )
    return found.name


def as_devices_record(devices: Sequence[Device], pins: frozenset[str]) -> dict[str, Any]:
    """Devices and the persons with a PIN, as JSON has them; no code and no token is in it."""
    return {
        "format": FORMAT,
        "kind": KIND,
        "devices": [
            {
                "name": one.name,
                "person": one.person,
                "added_at": one.added_at.isoformat(timespec="seconds"),
                "may": [str(scope) for scope in one.scopes],
                "code_waiting": one.pending,
            }
            for one in devices
        ],
        "pins": sorted(pins),
    }
