"""What a form has written can be taken back: the bytes of the files before and after each step.

The last steps lie in `state/undo.json`, readable by the household's own account alone, since
files hold what is only for some. A step is taken back only while each of its files is still what
it left: what somebody has written since is never lost.
"""

from __future__ import annotations

import base64
import json
import secrets
from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from pathlib import Path
from typing import Any

from weeksync.errors import EditRefused, HouseholdError, UsageError
from weeksync.household.files import replace_file
from weeksync.household.restoring import Changed, contents, differences, restore
from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.serve.addresses import is_form
from weeksync.site.record import UndoLine
from weeksync.workflow.context import Context

NAME = "undo.json"
FORMAT = 1
MOST_STEPS = 20
MOST_BYTES = 8 * 1024 * 1024
"""Older steps go where all together take more."""

OFFERED = timedelta(hours=12)
"""So long after it a step stands on the pages; the bound is ours."""
SAID = timedelta(minutes=1)
"""So long a page says that something was taken back."""


MOST_OF_NAME = 60
"""Signs of a title in the line that offers to take something back."""


@dataclass(frozen=True, slots=True)
class Step:
    """One thing that was written: `token` names it, `what` says it; `only_for` may know of it."""

    token: str
    what: Message
    at: datetime
    only_for: tuple[str, ...] = ()


@contextmanager
def undoable(context: Context, what: Message, only_for: Collection[str] = ()) -> Iterator[None]:
    """Keep what the block changes in the household's files, so that it can be taken back.

    A block that changes nothing leaves no step; one that ends with an error and has changed
    something does. `only_for` are the persons who may be told, without it everybody. A step that
    cannot be kept, on a full disk, is no error: what was to be written has been written.
    """
    before = contents(context.folder)
    try:
        yield
    finally:
        changes = differences(before, contents(context.folder))
        if changes:
            step = Step(secrets.token_hex(8), what, context.now, tuple(only_for))
            with suppress(OSError, HouseholdError):
                _write(context, [_as_plain(step, changes), *_read(context)])


def steps(context: Context, person: str | None = None) -> tuple[Step, ...]:
    """What can be taken back, the newest first, as far as that person may be told of it."""
    found = (_step(one) for one in _read(context) if one["files"])
    return tuple(one for one in found if _may_know(one, person))


def undo_line(context: Context, person: str | None, address: str) -> UndoLine | None:
    """The last step as a page offers to take it back; `address` is the page to come back to.

    None where there is none of today that the person may know of, or its files have changed.
    """
    kept = _read(context)
    if not kept or not kept[0]["files"]:
        kept = kept[1:]
    if not kept:
        return None
    step, now = _step(kept[0]), context.files.digests
    stands = all(
        (sha256(one.after).hexdigest() if one.after is not None else None) == now.get(name)
        for name, texts in kept[0]["files"].items()
        for one in (_changed(texts),)
    )
    if not stands or not _may_know(step, person) or context.now - step.at > OFFERED:
        return None
    return UndoLine(step.token, context.language.text(shortened(step.what)), address)


def said(context: Context, person: str | None) -> str:
    """That something has just been taken back, in the household's language; else ""."""
    kept = _read(context)
    if not kept or kept[0]["files"]:
        return ""
    step = _step(kept[0])
    if context.now - step.at > SAID or not _may_know(step, person):
        return ""
    return context.language.text(shortened(step.what))


def shortened(what: Message) -> Message:
    """The sentence with names of a length that a line of a page has room for."""
    values = {
        name: f"{value[: MOST_OF_NAME - 1]}…"
        if isinstance(value, str) and len(value) > MOST_OF_NAME
        else value
        for name, value in what.values.items()
    }
    return replace(what, values=values)


def inside(address: str, otherwise: str = "/edit/") -> str:
    """The address, where it is one of a page with forms; else `otherwise`."""
    return address if is_form(address) else otherwise


def take_back(context: Context, token: str, person: str | None = None) -> Message:
    """Put the files of that step back; returns the sentence that says so.

    UsageError, and nothing has changed, where there is no such step or a file has changed since.
    """
    kept = _read(context)
    plain = next((one for one in kept if one["token"] == token), None)
    step = _step(plain) if plain is not None else None
    if plain is None or step is None or not plain["files"] or not _may_know(step, person):
        raise UsageError(message("this cannot be taken back any more; change it where it stands"))
    try:
        restore(context.folder, {name: _changed(one) for name, one in plain["files"].items()})
    except EditRefused as error:
        raise UsageError(
            message(
                "{what}; it was left as it is: look at it and change it there",
                what=context.language.text(error.message),
            )
        ) from error
    done = message("Taken back: {what}", what=context.language.text(step.what))
    told = _as_plain(Step(secrets.token_hex(8), done, context.now, step.only_for), {})
    with suppress(OSError, HouseholdError):
        _write(context, [told, *(one for one in kept if one is not plain)])
    return done


def _may_know(step: Step, person: str | None) -> bool:
    return not step.only_for or person in step.only_for


def _place(context: Context) -> Path:
    return context.state / NAME


def _read(context: Context) -> list[dict[str, Any]]:
    """The steps as they are kept; what cannot be read is as nothing."""
    with suppress(OSError, ValueError, KeyError, TypeError):
        data = json.loads(_place(context).read_bytes())
        if data["format"] == FORMAT:
            found: list[dict[str, Any]] = data["steps"]
            for one in found:
                _step(one)
            return found
    return []


def _write(context: Context, found: list[dict[str, Any]]) -> None:
    kept: list[dict[str, Any]] = []
    size = 0
    told = [one for one in found[:1] if not one["files"]]
    for one in [*told, *(one for one in found if one["files"])][: MOST_STEPS + len(told)]:
        size += sum(len(text or "") for file in one["files"].values() for text in file)
        if kept and size > MOST_BYTES:
            break
        kept.append(one)
    context.state.mkdir(exist_ok=True)
    content = json.dumps({"format": FORMAT, "steps": kept}, ensure_ascii=False).encode()
    replace_file(_place(context), content, mode=0o600)


def _as_plain(step: Step, changes: Mapping[str, Changed]) -> dict[str, Any]:
    return {
        "token": step.token,
        "at": step.at.astimezone(UTC).isoformat(),
        "only_for": list(step.only_for),
        "what": {
            "text": step.what.text,
            "values": dict(step.what.values),
            "plural": step.what.plural,
            "count": step.what.count,
        },
        "files": {name: [_text(one.before), _text(one.after)] for name, one in changes.items()},
    }


def _step(plain: Mapping[str, Any]) -> Step:
    return Step(
        plain["token"],
        Message(**plain["what"]),
        datetime.fromisoformat(plain["at"]),
        tuple(plain["only_for"]),
    )


def _changed(texts: list[str | None]) -> Changed:
    before, after = (base64.b64decode(one) if one is not None else None for one in texts)
    return Changed(before, after)


def _text(content: bytes | None) -> str | None:
    return base64.b64encode(content).decode() if content is not None else None
