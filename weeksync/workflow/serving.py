"""`weeksync serve`: the household as the server asks for it, and a run from start to end."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path

from weeksync.message import Message
from weeksync.serve.desk import FormAnswer, Held, OwnPage, Refused, Saved, Sender, Taken
from weeksync.site.access import access_page
from weeksync.site.frame import household_key
from weeksync.workflow import check_in, forms
from weeksync.workflow.context import Context
from weeksync.workflow.feed import feed_of
from weeksync.workflow.marks_served import receive_marks
from weeksync.workflow.own_on_demand import page_for
from weeksync.workflow.reader import Reader
from weeksync.workflow.rebuild import Rebuilder
from weeksync.workflow.visible import as_seen_by
from weeksync.workflow.window import Window

_OF_CLOSED_WEEKS = ("year-", "search/")


class HouseholdDesk:
    """The `weeksync.serve.desk.Desk` of one household; `rebuilder` keeps its pages, `marked` is
    called when something was marked.

    What is asked for is answered from the files as they are at that moment; names and language
    are those of the last build that went well.
    """

    def __init__(
        self,
        reader: Reader,
        rebuilder: Rebuilder,
        marked: Callable[[], None] = lambda: None,
    ) -> None:
        self._reader = reader
        self._rebuilder = rebuilder
        self._marked = marked

    @property
    def _known(self) -> Context:
        return self._rebuilder.context

    @property
    def site_folder(self) -> Path:
        """The built site, behind its link."""
        return self._known.output / "site"

    @property
    def household_key(self) -> str:
        """What the pages of this household say in `data-home`."""
        return household_key(self._known.config)

    @property
    def people(self) -> Mapping[str, str]:
        """id → name of everybody in `config.toml`, in its order."""
        return {one.id: one.name for one in self._known.config.people}

    def text(self, sentence: Message) -> str:
        """The sentence in the household's language."""
        return self._known.language.text(sentence)

    @property
    def language(self) -> tuple[str, str]:
        """(the value of an HTML `lang`, the value of `dir`)."""
        return self._known.language.tag, self._known.language.direction

    def render(self, template: str, values: Mapping[str, object]) -> bytes:
        """A page for signing in or a PIN; TemplateError where its template is broken."""
        templates = self._known.config.site.templates
        own = self._known.folder / templates if templates else None
        return access_page(self._known.language, template, values, own)

    def take(self, lines: bytes, persons: frozenset[str], device: str) -> Taken:
        """Write marks; they are on the disk when this returns, the pages come after it."""
        context = as_seen_by(self._reader.read(give_ids=False), persons)
        received = receive_marks(context, lines, self._reader.now(), device)
        self._rebuilder.touched(received.weeks)
        if received.new:
            self._marked()
        shown = set(Window.of(context).weeks)
        return Taken(
            received.new,
            received.known,
            tuple(Refused(one.place, one.what, one.remedy) for one in received.refused),
            tuple(f"{week}.html" for week in received.weeks if week in shown),
            received.notices,
        )

    def check_in(self, person: str, fields: Mapping[str, object], seen: str) -> Saved | Held:
        """Write a check-in, or say what has come between."""
        context = self._reader.read(give_ids=False)
        taken = check_in.take(context, person, {**fields, "seen": seen})
        if taken.text is not None:
            return Held(taken.text, {**taken.held, "seen": taken.seen})
        return Saved(taken.seen)

    def own_page(self, person: str, path: str, query: Mapping[str, str]) -> OwnPage | None:
        """A page of that person; None where there is none."""
        made = page_for(self._context(path), person, path, query)
        return OwnPage(made) if made is not None else None

    def feed(self, person: str) -> bytes | None:
        """The plan of a person; None where there is nobody of that id."""
        context = self._reader.read(give_ids=False)
        return feed_of(context, person) if context.config.person(person) is not None else None

    def form(self, path: str, query: Mapping[str, str], sender: Sender) -> FormAnswer | None:
        """A page with a form; None where there is none."""
        return forms.show(self._context(path), path, query, sender)

    def _context(self, path: str) -> Context:
        """The household as its files are now; for what is made of closed weeks as it was read for
        the last build: to read ten years of marks and check-ins takes as long as all the rest."""
        if path.startswith(_OF_CLOSED_WEEKS):
            return replace(self._known, now=self._reader.now().replace(microsecond=0))
        return self._reader.read(give_ids=False)

    def submit(
        self, path: str, fields: Mapping[str, tuple[str, ...]], sender: Sender
    ) -> FormAnswer | None:
        """Do what was filled in; the pages are looked at at once, and made after it."""
        try:
            return forms.take(self._reader.read(), path, fields, sender)
        finally:
            self._rebuilder.touched(())
            self._marked()

    def on_built(self, tell: Callable[[tuple[str, ...]], None]) -> None:
        """Ask to be told which pages have changed."""
        self._rebuilder.on_built(tell)
