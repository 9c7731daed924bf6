"""The journal of what was sent to calendar servers: `sent/2027.jsonl`, kept for good.

One JSON object a line, filed by the year it was written in (UTC), only ever appended to and on the
disk before the next step. A line that a crash cut off is ended, and passed over.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from contextlib import suppress
from datetime import UTC, date, datetime
from pathlib import Path

from weeksync.errors import EditRefused
from weeksync.household.files import MOST_BYTES
from weeksync.message import message
from weeksync.model.sent import Sent, SentStep

FOLDER = "sent"
_HEAD = b'{"format": 1}\n'


def read_sent(folder: Path) -> tuple[Sent, ...]:
    """Every line of the journal that can be read, in the order it was written.

    EditRefused where a file of it cannot be read: without it nobody knows what was written.
    """
    from weeksync.household.editing import content_of

    found: list[Sent] = []
    try:
        names = sorted(one.name for one in (folder / FOLDER).iterdir())
    except OSError:
        return ()
    for name in names:
        if name.startswith(".") or not name.endswith(".jsonl"):
            continue
        for line in (content_of(folder, f"{FOLDER}/{name}") or b"").splitlines():
            one = _sent(line)
            if one is not None:
                found.append(one)
    return tuple(found)


def append_sent(folder: Path, lines: Iterable[Sent]) -> None:
    """Put lines at the end of the journal; HouseholdError where they cannot be written."""
    from weeksync.household.editing import content_of, held
    from weeksync.household.mark_writing import put_behind

    by_file: dict[str, list[Sent]] = {}
    for line in lines:
        by_file.setdefault(f"{FOLDER}/{line.at.astimezone(UTC).year:04}.jsonl", []).append(line)
    if not by_file:
        return
    with held(folder):
        with suppress(OSError):
            (folder / FOLDER).mkdir(exist_ok=True)
        for name, several in sorted(by_file.items()):
            before = content_of(folder, name) or b""
            mended = b"\n" if before and not before.endswith(b"\n") else b""
            content = mended + (b"" if before else _HEAD) + b"".join(map(_line, several))
            if len(before) + len(content) > MOST_BYTES:
                raise EditRefused(
                    message(
                        "{file} is full; nothing was written to it. Give it another name in sent/",
                        file=name,
                    )
                )
            put_behind(folder / name, name, content, len(before))


def _line(one: Sent) -> bytes:
    said = {
        "at": _moment(one.at),
        "step": one.step.value,
        "id": one.id,
        "date": one.day.isoformat(),
        "value": one.value,
        "recorded_at": _moment(one.made),
        "source": one.source,
        "collection": one.collection,
        "object": one.object,
        "uid": one.uid,
        "recurrence_id": one.identity,
        "title": one.title,
        "set": dict(one.properties),
        "tag_before": one.tag_before,
        "tag_after": one.tag_after,
        "guard": one.guard,
    }
    kept = {key: value for key, value in said.items() if value or key == "value"}
    return json.dumps(kept, ensure_ascii=False).encode() + b"\n"


def _moment(at: datetime) -> str:
    return at.astimezone(UTC).isoformat()


def _sent(line: bytes) -> Sent | None:
    try:
        said = json.loads(line)
        texts = {key: str(said.get(key, "")) for key in _TEXTS}
        return Sent(
            at=datetime.fromisoformat(said["at"]),
            step=SentStep(said["step"]),
            id=str(said["id"]),
            day=date.fromisoformat(said["date"]),
            value=str(said["value"]),
            made=datetime.fromisoformat(said["recorded_at"]),
            uid=str(said["uid"]),
            identity=str(said.get("recurrence_id", "")),
            properties={str(key): str(value) for key, value in said.get("set", {}).items()},
            **texts,
        )
    except (ValueError, KeyError, TypeError, AttributeError):
        return None


_TEXTS = ("source", "collection", "object", "title", "tag_before", "tag_after", "guard")
