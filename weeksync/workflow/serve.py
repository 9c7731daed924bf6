"""A run of `weeksync serve`, from its settings to its end."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from weeksync.errors import UsageError, WeeksyncError
from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.model.mistake import Mistake
from weeksync.model.serve_settings import Serve
from weeksync.read.checked import checked
from weeksync.serve import Options, run
from weeksync.serve.options import check
from weeksync.workflow.access import access_of
from weeksync.workflow.build import build
from weeksync.workflow.certificate import certificate_folder, renew_certificate
from weeksync.workflow.context import Context
from weeksync.workflow.opening import open_store
from weeksync.workflow.reader import Reader
from weeksync.workflow.rebuild import Rebuilder
from weeksync.workflow.serving import HouseholdDesk
from weeksync.workflow.tick_sender import TickSender

if TYPE_CHECKING:
    from pydantic import ValidationError

WAIT = 60.0
"""Seconds to wait for another run before the first pages can be made."""


DAY = 24 * 60 * 60.0


@dataclass(frozen=True, slots=True)
class Asked:
    """What the command line says in place of `[serve]`; None where it says nothing."""

    host: str | None = None
    port: int | None = None
    address: str | None = None
    certificate: str | None = None
    certificate_key: str | None = None


def serve(
    reader: Reader,
    context: Context,
    asked: Asked,
    *,
    ready: Callable[[str], None],
    complain: Callable[[Message], None],
) -> None:
    """Serve the household until SIGTERM or SIGINT, and keep its pages up to date.

    Where there are no pages yet they are made first. `ready` gets the address to open once
    requests are taken, `complain` what goes wrong while serving, which goes on. UsageError where
    it may not start; other errors where there are no pages and none can be made.
    """
    options, access = options_of(context, asked), access_of(context)
    _renew(context, complain)
    check(options, access)
    if not (context.output / "site" / "index.html").is_file():
        with open_store(context, wait=WAIT) as store:
            build(context, store)
    rebuilder = Rebuilder(reader, context, complain=complain)
    sender = TickSender(reader, complain=complain)
    over = threading.Event()
    daily = threading.Thread(target=_each_day, args=(reader, complain, over), daemon=True)
    rebuilder.start()
    sender.start()
    daily.start()
    try:
        run(HouseholdDesk(reader, rebuilder, sender.ask), access, options, ready=ready)
    finally:
        over.set()
        sender.stop()
        rebuilder.stop()
        daily.join()


def _each_day(reader: Reader, complain: Callable[[Message], None], over: threading.Event) -> None:
    """The certificate, looked after for as long as the run lasts."""
    while not over.wait(DAY):
        try:
            context = reader.read(give_ids=False)
        except WeeksyncError:
            continue  # told by who makes the pages
        _renew(context, complain)


def _renew(context: Context, complain: Callable[[Message], None]) -> None:
    try:
        renew_certificate(context)
    except WeeksyncError as error:  # the one there is may hold for weeks yet
        complain(error.message)


def options_of(context: Context, asked: Asked | None = None) -> Options:
    """`[serve]`, with what was asked for in its place; paths from the household folder on.

    UsageError where what was asked for cannot be.
    """
    asked, settings = asked or Asked(), context.config.serve
    given = {key: value for key in _KEYS if (value := getattr(asked, key)) is not None}
    from pydantic import ValidationError

    try:
        wanted = checked(Serve, {**settings.values(), **given})
    except ValidationError as error:
        raise _wrong(error) from error
    return Options(
        host=wanted.host,
        port=settings.port if asked.port is None else asked.port,
        address=wanted.address,
        certificate=_path(context, wanted.certificate),
        certificate_key=_path(context, wanted.certificate_key),
        trusted_proxy=wanted.trusted_proxy,
        tls_folder=certificate_folder(context),
        lock_minutes=wanted.lock_minutes,
    )


_KEYS = ("host", "address", "certificate", "certificate_key")


def _wrong(error: ValidationError) -> UsageError:
    """What the model says of the value, with the option in place of the key."""
    first = error.errors()[0]
    key, mistake = "".join(map(str, first["loc"])), first.get("ctx", {}).get("error")
    if not isinstance(mistake, Mistake):
        raise error
    named = {"key": f"--{key}", "value": f'"{first["input"]}"'} if key else {}
    return UsageError(
        message(
            "{what}; {remedy}",
            what=str(replace(mistake.what, values={**mistake.what.values, **named})),
            remedy=str(mistake.remedy),
        )
    )


def _path(context: Context, written: str) -> Path | None:
    return context.folder / Path(written).expanduser() if written else None
