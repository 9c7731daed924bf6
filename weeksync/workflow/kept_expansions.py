"""Each calendar's expansion, kept and brought up to date: only what changed is expanded again.

An expansion is kept part by part, a part being what one UID gives. Where parts do not depend on
each other it is `plain`: what changed is expanded alone and put in the place of what was there,
and a window that has moved asks only for the parts that reach beyond what both have. Everything
else, limits that come into play above all, is expanded whole, for then what is near goes first.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from datetime import date

from weeksync import zones
from weeksync.calendar import RULES_VERSION, Expansion
from weeksync.model.config import CalendarSource
from weeksync.model.expanded import Change, DueParts, KeptExpansion, KeptHead
from weeksync.model.limits import ExpandLimits, Spent
from weeksync.model.occurrence import Occurrence
from weeksync.store import Store
from weeksync.store.rows import Fill
from weeksync.workflow.context import Context

Window = tuple[date, date]

_FEW = 200
"""Parts that are expanded alone however few there are besides."""


class KeptExpansions:
    """The expansions of a household's calendars over the days [start, end).

    Without `notes` those of kept rows are left empty: pages do not show them, and they are most of
    what would lie in memory.
    """

    def __init__(
        self, context: Context, store: Store, window: Window, *, notes: bool = True
    ) -> None:
        self._context, self._store, self._notes = context, store, notes
        self.window = window
        self._heads = store.expansion_heads()
        self._begun: dict[str, Expansion] = {}
        # The week and not the day: within it what is near stays the same.
        self._near = context.rule.start(context.today)
        self._plain_key = _digest(
            str(RULES_VERSION),
            zones.tzdata_version(),
            context.config.household.time_zone,
            repr(context.expand_limits),
        )

    @property
    def is_new(self) -> bool:
        """Whether none is kept."""
        return not self._heads

    def begin(self, source: CalendarSource) -> None:
        """Expand a calendar of which nothing is kept, for `all` of this object.

        Just after its pull: its texts are in memory as they were read (`calendar.lately`).
        """
        expansion, kept = self._whole(source, self.window, self._context.expand_limits)
        if kept.plain:  # else it hangs on what others take
            self._store.save_expansion(source.id, kept)
            self._begun[source.id] = expansion

    def all(self) -> Iterator[tuple[CalendarSource, Expansion]]:
        """Each calendar and what it says about the window; kept rows where there are some.

        A kept expansion of a longer window stays so. Where the store is only read, and what it has
        is out of date, what is found is not kept.
        """
        if self._begun:
            self._heads = self._store.expansion_heads()
        spent: list[Spent] = []
        for source in self._context.config.calendars:
            limits = self._context.expand_limits.left_of(spent)
            found = self._one(source, limits)
            spent.append(found.spent)
            yield source, found

    def settle(self) -> None:
        """Bring every kept expansion to exactly the window; StoreError where it is only read."""
        spent: list[Spent] = []
        for source in self._context.config.calendars:
            limits = self._context.expand_limits.left_of(spent)
            head = self._usable(source, limits)
            if head is None or head.touched or head.window != self.window:
                found = self._made(source, head, self.window, limits)
                spent.append(found if isinstance(found, Spent) else found.spent)
            else:
                spent.append(head.spent)

    def within(self, spans: Sequence[Window], fill: Fill) -> tuple[Occurrence, ...] | None:
        """What touches any of these spans of the window, without notes, filled in, and else as
        `all` has it; None where something of it is not kept."""
        spent: list[Spent] = []
        found: list[Occurrence] = []
        for source in self._context.config.calendars:
            limits = self._context.expand_limits.left_of(spent)
            head = self._usable(source, limits)
            its = self._store.load_spans(source.id, self._key(source, limits), spans, fill)
            if head is None or its is None:
                return None
            spent.append(head.spent)
            found += its
        return tuple(found)

    def _one(self, source: CalendarSource, limits: ExpandLimits) -> Expansion:
        head = self._usable(source, limits)
        kept = head is not None and head.covers(self.window) and not head.touched
        begun = self._begun.pop(source.id, None)
        if kept and begun is not None:
            return begun
        if not kept:
            target = self._to_keep(source)
            if target is None:
                return self._whole(source, self.window, limits)[0]
            found = self._made(source, head, target, limits)
            if isinstance(found, Expansion) and target == self.window:
                return found
        loaded = self._store.load_expansion(
            source.id, self._key(source, limits), *self.window, notes=self._notes
        )
        # Rows of a zone that is gone: what expands them says so.
        return Expansion(*loaded) if loaded else self._whole(source, self.window, limits)[0]

    def _to_keep(self, source: CalendarSource) -> Window | None:
        """The days that are kept from now on; None where what is kept stays as it is."""
        old = self._heads.get(source.id)
        if not self._store.writable:
            return None
        if old is not None and old.covers(self.window):
            return old.window
        return None if old is not None and _far_longer(old, self.window) else self.window

    def _usable(self, source: CalendarSource, limits: ExpandLimits) -> KeptHead | None:
        """The kept expansion, if what it depends on besides its texts is still the same."""
        head = self._heads.get(source.id)
        if head is None:
            return None
        if head.plain:
            good = head.key == self._plain_key and _reach(limits, head.spent)
        else:
            good = head.key == self._odd_key(limits)
        return head if good else None

    def _key(self, source: CalendarSource, limits: ExpandLimits) -> str:
        head = self._heads.get(source.id)
        return self._plain_key if head is None or head.plain else self._odd_key(limits)

    def _odd_key(self, limits: ExpandLimits) -> str:
        return _digest(self._plain_key, repr(limits), self._near.isoformat())

    def _made(
        self, source: CalendarSource, head: KeptHead | None, window: Window, limits: ExpandLimits
    ) -> Spent | Expansion:
        """Keep the expansion over a window: what it spent, or all of it where it was made anew."""
        if head is not None and head.plain:
            spent = self._brought_up(source, head, window, limits)
            if spent is not None:
                self._heads[source.id] = KeptHead(
                    head.key, *window, spent, plain=True, touched=False
                )
                return spent
        expansion, kept = self._whole(source, window, limits)
        self._store.save_expansion(source.id, kept)
        self._heads[source.id] = KeptHead(kept.key, *window, kept.spent, kept.plain, touched=False)
        return expansion

    def _whole(
        self, source: CalendarSource, window: Window, limits: ExpandLimits
    ) -> tuple[Expansion, KeptExpansion]:
        """The expansion made anew, and as it is to be kept."""
        from weeksync.calendar.expand import expand_whole

        objects, tz = self._store.objects(source.id), self._context.tz
        found = expand_whole(objects, *window, tz, limits, self._near)
        spent = found.expansion.spent
        # What lies behind the limits of reading is in no group, and they may have been others.
        plain = found.plain and self._store.entries(source.id) == spent.entries
        key = self._plain_key if plain else self._odd_key(limits)
        kept = KeptExpansion(
            key, window, tz.key, found.parts, found.problems, spent, plain, found.zones
        )
        return found.expansion, kept

    def _brought_up(
        self, source: CalendarSource, head: KeptHead, window: Window, limits: ExpandLimits
    ) -> Spent | None:
        """Expand what is due and keep it with the rest; None where all has to be made anew."""
        inside = None
        if head.window != window:
            inside = max(head.start, window[0]), min(head.end, window[1])
            if inside[0] >= inside[1]:
                return None
        due = self._store.due_parts(source.id, window, inside)
        if len(due.made) > max(due.stay, _FEW):
            return None
        change = self._change(source, due, window, limits, moved=inside is not None)
        if change is None:
            return None
        self._store.update_expansion(source.id, change)
        return change.spent

    def _change(
        self,
        source: CalendarSource,
        due: DueParts,
        window: Window,
        limits: ExpandLimits,
        *,
        moved: bool,
    ) -> Change | None:
        """What is due, expanded; None where it is not as if all had been expanded together."""
        from weeksync.calendar import tzids
        from weeksync.calendar.expand import MOST_PROBLEMS, expand_whole

        tz = self._context.tz
        kept_zones = tzids.settled(due.zones, *window, tz) if moved else due.zones
        for some in (True, False):
            objects = self._store.objects_with(source.id, due.made, some=some)
            chosen = kept_zones or ()
            found = expand_whole(objects, *window, tz, limits, only=due.made, chosen=chosen)
            if not found.expansion.problems:
                break
            # Where they stand is told from the whole text.
        zones = None if kept_zones is None else tzids.together(kept_zones, found.zones)
        took = found.expansion.spent
        spent = Spent(due.room + took.occurrences, due.steps + took.steps, due.entries)
        problems = due.problems + len(found.expansion.problems)
        if (
            not found.plain
            or zones is None
            or problems > MOST_PROBLEMS
            or not _reach(limits, spent)
        ):
            return None
        return Change(window, spent, zones, found.parts, due.gone | due.made)


def _far_longer(head: KeptHead, window: Window) -> bool:
    """Whether what is kept is worth more than the window: a look at some other days."""
    return (head.end - head.start) > 2 * (window[1] - window[0])


def _reach(limits: ExpandLimits, spent: Spent) -> bool:
    """Whether none of the limits of a source comes into play where so much is spent."""
    return (
        spent.occurrences <= limits.per_source
        and spent.steps <= limits.steps_per_source
        and spent.entries < limits.entries_per_source
    )


def _digest(*parts: str) -> str:
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()
