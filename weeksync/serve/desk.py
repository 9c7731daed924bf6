"""What `weeksync serve` asks of the household: the `Desk`, and the answers it gives.

`serve` knows HTTP, sign-in and nothing of files; `workflow` implements the desk and hands it in.
Every method may be called from any thread and may block: `serve` calls them in worker threads,
never two `take`, `check_in` or `submit` at once. Errors the desk raises on purpose:

    UsageError       the input is not what it should be                     → 400
    WeeksyncError    any other: a file could not be written or read now     → 503, sent once more
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Protocol

from weeksync.lazy import dataclass
from weeksync.message import Message


@dataclass(frozen=True, slots=True)
class Refused:
    """A mark that was not written: its line in the body, from 0, and why."""

    place: int
    text: Message
    remedy: Message | None = None


@dataclass(frozen=True, slots=True)
class Taken:
    """What became of the marks of one request."""

    new: int = 0
    known: int = 0
    """Marks that were there already, and are counted once."""
    refused: tuple[Refused, ...] = ()
    pages: tuple[str, ...] = ()
    """Names of the pages that the marks touch, as `2027-W12.html`; their rebuild may come later
    and is told through `on_built`."""
    notices: tuple[Message, ...] = ()
    """What else there is to say, as that a mark is for a closed week and does not count yet."""


@dataclass(frozen=True, slots=True)
class Saved:
    """A check-in stands in its file; `seen` is the digest of the file as it is now."""

    seen: str


@dataclass(frozen=True, slots=True)
class Held:
    """The file had changed since the form was made: nothing is lost, both are kept.

    `text` says so and what to do; `held` is what the file says, with its digest as `seen`, ready
    for JSON.
    """

    text: Message
    held: Mapping[str, object]


@dataclass(frozen=True, slots=True)
class OwnPage:
    """A page of one person, rendered on demand; it is never cached."""

    content: bytes
    """UTF-8, as HTML."""


@dataclass(frozen=True, slots=True)
class Sender:
    """Who asks for a form, or sends one."""

    device: str
    """The signed-in device; "" on a loopback where none is set up."""
    person: str | None = None
    """Who has unlocked their own pages on it, None where nobody has."""


@dataclass(frozen=True, slots=True)
class FormPage:
    """A page with a form, as HTML in UTF-8.

    `status` is 200, 409 where a file has changed since the form was made, or 422 where something
    that was filled in is mistaken; both times the page has what was typed, and nothing is written.
    """

    content: bytes
    status: int = 200


@dataclass(frozen=True, slots=True)
class GoTo:
    """It is done: where to go on, as "/plan/2027-W12#priorities", a path of this server."""

    address: str


@dataclass(frozen=True, slots=True)
class Unlock:
    """It is for somebody who unlocks their own pages first."""


FormAnswer = FormPage | GoTo | Unlock


class Desk(Protocol):
    """What the household can do for `serve`."""

    @property
    def site_folder(self) -> Path:
        """The built site, behind its link: it is resolved anew with each request."""

    @property
    def household_key(self) -> str:
        """`Page.key`: what a page of this household says in `data-home`."""

    @property
    def people(self) -> Mapping[str, str]:
        """id → name of everybody in `config.toml`, in its order."""

    def text(self, sentence: Message) -> str:
        """The sentence in the household's language."""

    @property
    def language(self) -> tuple[str, str]:
        """(the value of an HTML `lang`, the value of `dir`), as ("en-GB", "ltr")."""

    def render(self, template: str, values: Mapping[str, object]) -> bytes:
        """`site.access.access_page`: a page on the way in, or what stands beside it.

        `sign_in.html` and `pin.html` with the fields of their records that are not the
        language's, `sign_in.js` and `access.css` with none.
        """

    def take(self, lines: bytes, persons: frozenset[str], device: str) -> Taken:
        """Write marks: JSON lines as `read.read_arriving` reads them, at most 256 KiB, 2000 lines.

        Marks of what is `only_for` somebody are taken where one of `persons` may see it; else
        their answer is that for an id that nobody knows. `device` is the signed-in device's name,
        "" where none is set up. UsageError where the body is no marks at all. The pages are built
        afterwards: `take` does not wait for that.
        """

    def check_in(self, person: str, fields: Mapping[str, object], seen: str) -> Saved | Held:
        """Write a check-in where its file is still the one of the digest `seen` ("" for no file).

        `fields` are `day`, `feeling`, `energy`, `why`, `help`, `gratitude` as JSON gave them:
        texts, numbers or None. UsageError for a day or a value that cannot be.
        """

    def own_page(self, person: str, path: str, query: Mapping[str, str]) -> OwnPage | None:
        """The page of that person at `/own/<path>`, as `2027-W12.html`, `index.html` or
        `check-in.html` (query `day`); None where there is none."""

    def feed(self, person: str) -> bytes | None:
        """The plan of a person as text/calendar; None where there is nobody of that id."""

    def form(self, path: str, query: Mapping[str, str], sender: Sender) -> FormAnswer | None:
        """The form at `/<path>`, as "plan/2027-W12" or "edit/tasks"; None where there is none."""

    def submit(
        self, path: str, fields: Mapping[str, tuple[str, ...]], sender: Sender
    ) -> FormAnswer | None:
        """Do what was filled in: name → values as sent, in their order. Never two at once."""

    def on_built(self, tell: Callable[[tuple[str, ...]], None]) -> None:
        """Ask to be told of the changed pages' names after each rebuild; `tell` may be called
        from any thread, returns at once and raises nothing."""
