"""The part of `config.toml` that says who is told how a night went."""

from __future__ import annotations

from typing import Annotated
from urllib.parse import urlsplit

from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.mistake import Mistake
from weeksync.model.record import Checked, Record


def _check_url(value: str) -> str:
    if not value:
        return value
    try:
        parts = urlsplit(value)
        usable = parts.scheme in {"http", "https"} and bool(parts.hostname) and " " not in value
    except ValueError:
        usable = False
    if not usable:
        raise Mistake(
            message("{key} = {value} is no address on the web"),
            message("write http or https, as https://monitor.home.arpa/weeksync"),
        )
    return value


Address = Annotated[str, Checked(_check_url)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Notify(Record):
    """Who is told how a night went; cron's mail comes besides."""

    well_url: Address = ""
    """An address asked for after each night that went well: its absence tells of a dead machine."""
    failed_url: Address = ""
    """An address asked for after each night with problems."""
    failed_command: tuple[str, ...] = ()
    """A command run then, as a list of words; {status} is the exit status, the problems come in by
    standard input, without anything private."""
