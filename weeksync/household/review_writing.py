"""Answers of a week written into the head of `reviews/2027-W12.md`.

The text below the head, comments and other keys stay as they are. Where somebody else wrote
another answer meanwhile, both stay in the file, one below the other.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from weeksync.errors import EditRefused
from weeksync.household.answers import FOLDER
from weeksync.household.editing import changed, content_of, held
from weeksync.household.files import replace_file
from weeksync.household.toml_edits import CannotEdit, with_entry, with_value, written
from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.household import ReviewAnswer
from weeksync.model.week import IsoWeek
from weeksync.read import HEAD
from weeksync.read.reviews import ReadAnswers, read_answers

MODE = 0o600
"""A new file is its writer's alone."""

MOST_BYTES = 256 * 1024
"""The largest file that is written to; the bound is ours, as of check-ins."""


@dataclass(frozen=True, slots=True)
class HeldAnswers:
    """The file of a person's week as it is: its name, its bytes (None: none yet), what it says."""

    name: str
    content: bytes | None
    answers: tuple[ReviewAnswer, ...] = ()

    @property
    def seen(self) -> str:
        """The SHA-256 of the file in hex; "" where there is none."""
        return "" if self.content is None else hashlib.sha256(self.content).hexdigest()

    def to(self, question: str) -> str:
        """The last answer to a question, "" where there is none."""
        return next((one.answer for one in reversed(self.answers) if one.question == question), "")


def held_answers(folder: Path, person: str, default_person: str, week: IsoWeek) -> HeldAnswers:
    """What stands there of a person and week; EditRefused where the file cannot be read."""
    plain, named = f"{FOLDER}/{week}.md", f"{FOLDER}/{week}-{person}.md"
    order = (plain, named) if person == default_person else (named, plain)
    free = None
    for name in order:
        content = content_of(folder, name)
        if content is None:
            if free is None and (name == named or person == default_person):
                free = name
            continue
        read = _read(name, content, default_person)
        if not read.person or (read.person == person and read.problems):
            raise _mistaken(read)
        if read.person == person:
            return HeldAnswers(name, content, read.answers)
    name = free or named
    return HeldAnswers(name, content_of(folder, name))


def write_answers(
    folder: Path,
    person: str,
    default_person: str,
    week: IsoWeek,
    answers: Mapping[str, str],
    seen: str,
) -> HeldAnswers:
    """Write question → answer; the file as it is afterwards.

    `seen` is the digest of the file as the writer saw it: where it is another by now, an answer
    that says something else is kept, and the new one stands below it. EditRefused where the file
    has a mistake, is too large or changes in this moment; HouseholdError where it cannot be
    written: it is as it was then.
    """
    with held(folder):
        before = held_answers(folder, person, default_person, week)
        new = _new_content(before, person, answers, keep=seen != before.seen)
        if new is None or new == before.content:
            return before
        read = _read(before.name, new, default_person)
        if read.person != person or len(new) > MOST_BYTES:
            raise _mistaken(read)
        if content_of(folder, before.name) != before.content:
            raise EditRefused(changed(before.name))
        with suppress(OSError):
            (folder / FOLDER).mkdir(exist_ok=True, mode=0o700)
        replace_file(folder / before.name, new, mode=MODE)
        return HeldAnswers(before.name, new, read.answers)


def _read(name: str, content: bytes, default_person: str) -> ReadAnswers:
    return read_answers(name, content, default_person)


def _mistaken(read: ReadAnswers) -> EditRefused:
    return EditRefused(
        message("{file} was left as it is: it has a mistake, or is too large", file=read.name),
        tuple(read.problems),
    )


def _new_content(
    before: HeldAnswers, person: str, answers: Mapping[str, str], *, keep: bool
) -> bytes | None:
    """The new file; None where there is nothing to write."""
    said = {question: one for question, one in answers.items() if one != before.to(question)}
    if not said:
        return None
    content = before.content
    if content is None:
        head = f"format = 1\nperson = {written(person)}\n"
        return f"+++\n{_edited(head, before, said, keep)}+++\n".encode()
    found = HEAD.search(content)
    if found is None:
        raise EditRefused(message("{file} was left as it is", file=before.name))
    start, end = found.span(1)
    try:
        text = _edited(found[1].decode(), before, said, keep)
    except (CannotEdit, UnicodeDecodeError) as error:
        raise EditRefused(message("{file} was left as it is", file=before.name)) from error
    return content[:start] + text.encode() + content[end:]


def _edited(text: str, before: HeldAnswers, said: Mapping[str, str], keep: bool) -> str:
    """The head with the answers in it; CannotEdit where just that cannot be done."""
    places = {one.question: place for place, one in enumerate(before.answers)}
    for question, answer in said.items():
        place = places.get(question)
        if place is None or (keep and before.to(question).strip()):
            if answer:
                text = with_entry(text, "answers", {"question": question, "answer": answer})
        else:
            text = with_value(text, ("answers", place), "answer", answer)
    return text
