"""Check-ins written into `check-ins/2027-03-22.md`: the five fields of the head, and no more.

The text below the head, its comments, the order of its keys and keys we do not know stay as
they are. Where somebody else wrote meanwhile, or the head cannot be edited, nothing is
overwritten: the newer words are put below, under a heading of their own, and are read and shown
with the rest.
"""

from __future__ import annotations

import codecs
import hashlib
import re
from collections.abc import Callable
from contextlib import suppress
from datetime import date
from pathlib import Path

from weeksync.errors import EditRefused
from weeksync.household.editing import changed, content_of, held
from weeksync.household.files import replace_file
from weeksync.household.toml_edits import CannotEdit, with_value, written
from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.model.check_in import LABELS, CheckInFields
from weeksync.model.household import CheckIn
from weeksync.read import HEAD, read_check_in

MOST_BYTES = 256 * 1024
"""The largest file of one day that is written to; the bound is ours."""

MODE = 0o600
"""A new check-in is its writer's alone."""

ELSEWHERE = message("Written at the same time elsewhere")
"""The heading of words that were kept beside others."""

_FENCE = b"+++"
_MARKUP = re.compile(r"[\\`*_\[\]]|^ *(?=[-+#])|^ *[0-9]+(?=[.)])")
_ENTITIES = {"&": "&amp;", "<": "&lt;", ">": "&gt;"}


@dataclass(frozen=True, slots=True)
class HeldCheckIn:
    """The file of a person's day as it is: its name, its bytes (None: none yet), what it says."""

    name: str
    content: bytes | None
    fields: CheckInFields
    sound: bool = True
    """Whether the head has no mistake, so that all it says is known."""

    @property
    def seen(self) -> str:
        """The SHA-256 of the file in hex; "" where there is none."""
        return "" if self.content is None else hashlib.sha256(self.content).hexdigest()


@dataclass(frozen=True, slots=True)
class Written:
    """What became of a check-in.

    `saved`: the head says it now; else `why` says why it stands below the head, with what was
    there before. `held` is what the head says, `seen` the digest of the file as it is now.
    """

    name: str
    saved: bool
    seen: str
    held: CheckInFields
    why: Message | None = None


def held_check_in(folder: Path, person: str, default_person: str, day: date) -> HeldCheckIn:
    """The file that holds the person's check-in of the day, or is to hold it.

    `2027-03-22.md` is the default person's, `2027-03-22-dov.md` another's; a head may name
    somebody else, and one whose owner cannot be told is nobody's. EditRefused where a file
    cannot be read.
    """
    plain, named = f"check-ins/{day}.md", f"check-ins/{day}-{person}.md"
    order = (plain, named) if person == default_person else (named, plain)
    free = None
    for name in order:
        content = content_of(folder, name)
        if content is None:
            if free is None and (name == named or person == default_person):
                free = name
            continue
        read = read_check_in(name, content, default_person)
        if read.check_in is not None and read.check_in.person == person:
            return HeldCheckIn(name, content, _said(read.check_in), not read.problems)
    return HeldCheckIn(
        free or named, content_of(folder, free or named), CheckInFields(), bool(free)
    )


def write_check_in(
    folder: Path,
    person: str,
    default_person: str,
    day: date,
    fields: CheckInFields,
    seen: str,
    *,
    say: Callable[[Message], str] = str,
) -> Written:
    """Write what a person says of a day; empty fields are taken out of the file.

    `seen` is the digest of the file as the writer saw it (`HeldCheckIn.seen`). Where the file is
    another by now and something in it would be lost, its head stays, and the new words are kept
    below it: those that do not stand there yet. `say` puts the heading and the names of the
    fields into the household's language. EditRefused where the file is too large, changes in
    this moment, or cannot be read; HouseholdError where it cannot be written; then it is as it
    was.
    """
    with held(folder):
        before = held_check_in(folder, person, default_person, day)
        if before.content is None and fields.empty:
            return Written(before.name, saved=True, seen="", held=fields)
        new, why = _new_content(before, person, default_person, fields, seen, say)
        if new != before.content:
            _replace(folder, before, new)
        after = HeldCheckIn(before.name, new, fields if why is None else before.fields)
        return Written(after.name, why is None, after.seen, after.fields, why)


def _said(check_in: CheckIn) -> CheckInFields:
    return CheckInFields(**{key: getattr(check_in, key) for key in LABELS})


def _new_content(
    before: HeldCheckIn,
    person: str,
    default_person: str,
    fields: CheckInFields,
    seen: str,
    say: Callable[[Message], str],
) -> tuple[bytes, Message | None]:
    """(the file, why the words stand below its head and not in it)."""
    content = before.content
    if content is None:
        return _head(person, fields), None
    if seen != before.seen and fields.loses(before.fields):
        why = message(
            "the check-in was changed elsewhere meanwhile; both are kept: what you wrote stands "
            "below it in {file}",
            file=before.name,
        )
        return _with_block(content, fields, before.fields, say), why
    with suppress(CannotEdit):
        new = _edited(before, content, person, fields)
        if _is_right(before, new, default_person, fields):
            return new, None
    why = message(
        "{file} has a mistake (weeksync check names the line); what stands in it was left as it "
        "is, and what you wrote stands below",
        file=before.name,
    )
    return _with_block(content, fields, before.fields, say), why


def _head(person: str, fields: CheckInFields, newline: str = "\n") -> bytes:
    said = {key: value for key, value in fields.said().items() if value not in ("", None)}
    pairs = [f"{key} = {written(value)}" for key, value in said.items() if value is not None]
    lines = ["+++", "format = 1", f"person = {written(person)}", *pairs, "+++", ""]
    return newline.join(lines).encode()


def _edited(before: HeldCheckIn, content: bytes, person: str, fields: CheckInFields) -> bytes:
    """The file with the fields in its head; CannotEdit where just that cannot be done."""
    mark = codecs.BOM_UTF8 if content.startswith(codecs.BOM_UTF8) else b""
    plain = content.removeprefix(mark)
    newline = "\r\n" if b"\r\n" in plain else "\n"
    found = HEAD.match(plain)
    if found is None:
        if plain.startswith(_FENCE):
            raise CannotEdit  # a head that has no end
        return mark + _head(person, fields, newline) + newline.encode() + plain
    if not before.sound:
        raise CannotEdit
    # The keys of the head stand in no table; under a header they are edited like an entry's.
    header = f"[[head]]{newline}"
    text = header + found[1].decode()
    for key, value in fields.said().items():
        text = with_value(text, ("head", 0), key, None if value == "" else value)
    start, end = found.span(1)
    return mark + plain[:start] + text.removeprefix(header).encode() + plain[end:]


def _is_right(before: HeldCheckIn, new: bytes, default_person: str, fields: CheckInFields) -> bool:
    """Whether the new file says the fields, of the same person, and the same text below."""
    read = read_check_in(before.name, new, default_person).check_in
    old = read_check_in(before.name, before.content or b"", default_person).check_in
    if read is None or old is None or _said(read) != fields:
        return False
    return (read.person, read.text) == (old.person, old.text)


def _with_block(
    content: bytes, fields: CheckInFields, stands: CheckInFields, say: Callable[[Message], str]
) -> bytes:
    """The file with what is not in its head below everything else, unless it stands there."""
    newline = b"\r\n" if b"\r\n" in content else b"\n"
    above = stands.said()
    lines = []
    for key, value in fields.said().items():
        if value not in ("", None, above[key]):
            # Two blanks at the end of a line of Markdown break it.
            text = "  \n  ".join(_escaped(line) for line in str(value).split("\n"))
            lines.append(f"- {say(LABELS[key])}: {text}")
    block = "\n".join([f"**{say(ELSEWHERE)}**", "", *lines]).encode().replace(b"\n", newline)
    if not lines or content.rstrip().endswith(block) or block + newline in content:
        return content
    gap = newline if content.endswith(b"\n") else newline * 2
    return content + gap + block + newline


def _escaped(text: str) -> str:
    """A line as Markdown shows it: none of its signs is markup, wherever the line begins."""
    plain = _MARKUP.sub(_as_sign, text)
    return "".join(_ENTITIES.get(sign, sign) for sign in plain)


def _as_sign(found: re.Match[str]) -> str:
    # A digit is never escaped: of "1." it is the point that makes it a list.
    return found[0] + "\\" if found[0].strip(" 0123456789") == "" else "\\" + found[0]


def _replace(folder: Path, before: HeldCheckIn, new: bytes) -> None:
    if len(new) > MOST_BYTES:
        raise EditRefused(
            message("{file} is full; nothing was written to it. Shorten it", file=before.name)
        )
    if content_of(folder, before.name) != before.content:
        raise EditRefused(changed(before.name))
    with suppress(OSError):
        (folder / before.name).parent.mkdir(exist_ok=True)
    replace_file(folder / before.name, new, mode=MODE)
    if content_of(folder, before.name) != new:
        raise EditRefused(changed(before.name))
