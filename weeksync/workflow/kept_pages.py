"""The pages of closed weeks, made once: what was published last is taken over as it is.

A page of a closed week is a function of its record and of what makes pages. Both are in the digest
that is kept with the digest of the page; where neither has moved, and the page that is shown is
still that page, nothing is rendered.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import replace
from functools import cached_property
from pathlib import Path

from weeksync.lazy import dataclass
from weeksync.model.archive import ClosedWeek
from weeksync.model.week import IsoWeek
from weeksync.plan import views
from weeksync.site import SiteInput, absent_pages, frozen_own_page, frozen_page, neighbours
from weeksync.store import Store
from weeksync.workflow.context import Context
from weeksync.workflow.outcome import unique
from weeksync.workflow.program import program_print

_Make = Callable[[ClosedWeek], bytes]


@dataclass
class KeptPages:
    """The pages of the closed weeks of a household, as they are to be published into its output."""

    context: Context
    store: Store

    def of(self, inputs: SiteInput, weeks: tuple[IsoWeek, ...]) -> SiteInput:
        """The inputs with the pages of closed weeks, and with those beside them that are absent.

        `weeks` are the ones that have pages without being closed. A record that is damaged gives
        no page, but the page that is shown stays where the week has no other.
        """
        saved = self.store.page_digests()
        digests: dict[str, str] = {}
        site = self._tree("site", self._common, weeks, saved, digests)
        own: dict[str, bytes] = {}
        if self.context.config.site.own_pages:
            own = self._tree("own", self._own, weeks, saved, digests)
        if self.store.writable and digests != saved:
            self.store.save_page_digests(digests)
        with_page = {week for week in self.context.archive.weeks if f"{week}.html" in site}
        beside = {one for week in with_page for one in neighbours(week)}
        absent = sorted(beside - with_page - set(weeks))
        inputs = replace(
            inputs,
            elsewhere=inputs.elsewhere | with_page,
            problems=unique((*inputs.problems, *self.context.archive.problems)),
        )
        return replace(
            inputs,
            kept=site | absent_pages(inputs, absent, "absent"),
            own_kept=own | absent_pages(inputs, absent, "own-absent") if own else {},
        )

    def _tree(
        self,
        tree: str,
        make: _Make,
        live: tuple[IsoWeek, ...],
        saved: dict[str, str],
        digests: dict[str, str],
    ) -> dict[str, bytes]:
        """The pages of one tree; what they were made from is noted in `digests`."""
        pages = {}
        for week in sorted(self.context.archive.weeks):
            name, place = f"{week}.html", f"{tree}/{week}.html"
            shown = self._shown(place)
            if shown is not None and saved.get(place) == self._digest(week, shown):
                pages[name], digests[place] = shown, saved[place]
            elif (found := self.context.archive.get(week)) is not None:
                pages[name] = make(found)
                digests[place] = self._digest(week, pages[name])
            elif shown is not None and week not in live:
                pages[name] = shown
        return pages

    def _common(self, closed: ClosedWeek) -> bytes:
        return frozen_page(closed, views.common(closed.spread), templates_of(self.context))

    def _own(self, closed: ClosedWeek) -> bytes:
        return frozen_own_page(closed, closed.spread, templates_of(self.context))

    def _shown(self, place: str) -> bytes | None:
        try:
            return (self.context.output / place).read_bytes()
        except OSError:
            return None

    def _digest(self, week: IsoWeek, page: bytes) -> str:
        parts = (self.context.archive.digest(week), self._ours, hashlib.sha256(page).hexdigest())
        return hashlib.sha256(" ".join(parts).encode()).hexdigest()

    @cached_property
    def _ours(self) -> str:
        """The digest of all that makes pages from records, the household's templates included."""
        return hashlib.sha256(" ".join(made_with(self.context)).encode()).hexdigest()


def templates_of(context: Context) -> Path | None:
    """The household's own folder of templates."""
    templates = context.config.site.templates
    return context.folder / templates if templates else None


def made_with(context: Context) -> tuple[str, str]:
    """What makes pages, whatever they are made of: the prints of code and of own templates."""
    return program_print(), templates_print(context)


def templates_print(context: Context) -> str:
    """The digest of the household's own templates, "" without a folder of them.

    Of all that a template can include: hidden files, and what lies behind links, too. What cannot
    be read counts by its name; that it cannot is said where a page needs it.
    """
    folder = templates_of(context)
    return _print_of(folder) if folder is not None else ""


def has_hidden(folder: Path) -> bool:
    """Whether any file below a folder is hidden, or lies where only compilers put anything."""
    return any(
        part == "__pycache__" or part.startswith(".")
        for path in _files(folder)
        for part in path.relative_to(folder).parts
    )


def _print_of(folder: Path) -> str:
    """The SHA-256 (hex) of names and contents of all files below a folder."""
    found = hashlib.sha256()
    for path in sorted(_files(folder)):
        found.update(os.fsencode(path.relative_to(folder)) + b"\0")
        with suppress(OSError):
            if path.is_file():  # from a pipe nothing might come for ever
                found.update(hashlib.sha256(path.read_bytes()).digest())
    return found.hexdigest()


def _files(folder: Path) -> Iterator[Path]:
    met = set()  # a link may lead back to where it lies
    for at, names, files in os.walk(folder, followlinks=True):
        met.add(os.path.realpath(at))
        names[:] = [one for one in names if os.path.realpath(os.path.join(at, one)) not in met]
        yield from (Path(at, one) for one in files)
