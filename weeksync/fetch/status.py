"""The error behind an HTTP status, and how long the server asks us to wait."""

from __future__ import annotations

from datetime import UTC, datetime
from email.utils import parsedate_to_datetime

from niquests import Response

from weeksync.errors import (
    SourceBusy,
    SourceError,
    SourceMissing,
    SourceRefused,
    SourceUnusable,
)
from weeksync.message import Message, message


def status_error(source: str, where: str, response: Response) -> SourceError:
    """The error for an answer that is no success, but for a 401; `where` is safe to show."""
    status = response.status_code or 0
    if status == 403:
        return SourceRefused(
            source,
            message(
                "{place} does not let this account read the calendar (403); ask its owner to"
                " share it",
                place=where,
            ),
        )
    if status in {404, 410}:
        return SourceMissing(
            source,
            message(
                "{place} has nothing at this address ({status}); look at it in config.toml",
                place=where,
                status=status,
            ),
        )
    if status == 429 or status >= 500:
        return SourceBusy(
            source,
            message(
                "{place} cannot answer now ({status}); the next run asks again",
                place=where,
                status=status,
            ),
            retry_after(response),
        )
    return SourceUnusable(
        source,
        message(
            "{place} answers with status {status} and no calendar; look at the address",
            place=where,
            status=status,
        ),
    )


def refusal(where: str, *, at_home: bool, user: bool, password: bool) -> Message:
    """The sentence for a 401: of the place in `config.toml`, or of one that it led us to."""
    if not at_home:
        return message(
            "{place} asks for a name and a password, but it is not the place in config.toml, so"
            " they are not sent there; write that address in config.toml if you trust it",
            place=where,
        )
    if not user:
        return message(
            "{place} asks for a name and a password (401); add user and password_file to this"
            " calendar in config.toml",
            place=where,
        )
    if not password:
        return message(
            "{place} asks for a password (401) and there is none for this user; add password_file,"
            " password_command or password_env to this calendar in config.toml",
            place=where,
        )
    return message(
        "{place} does not accept the name and the password (401); look at user and at the"
        " password of this calendar in config.toml",
        place=where,
    )


def retry_after(response: Response) -> float | None:
    """The seconds of a Retry-After header (RFC 9110, section 10.2.3), None where it says none.

    A date is counted from the answer's own Date: the two clocks may differ.
    """
    value = str(response.headers.get("Retry-After", "")).strip()
    if value.isascii() and value.isdigit():
        return float(min(int(value[:12]), 10**9))
    then = _http_date(value)
    if then is None:
        return None
    now = _http_date(str(response.headers.get("Date", ""))) or datetime.now(UTC)
    return max(0.0, (then - now).total_seconds())


def _http_date(text: str) -> datetime | None:
    try:
        moment = parsedate_to_datetime(text)
    except (ValueError, TypeError):
        return None
    return moment if moment.tzinfo is not None else moment.replace(tzinfo=UTC)
