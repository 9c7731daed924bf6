"""The pull: every source into the store, each on its own, none able to stop the others.

A server is first asked in a few words whether anything has changed (`lean.look`), as it is in a
quiet night; where the answer is no, or none that leaves no doubt, no library is needed to ask more.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Collection, Generator, Mapping
from contextlib import closing, suppress
from dataclasses import replace
from datetime import date, datetime
from functools import cache

from weeksync.errors import HouseholdError, SourceUnreachable, StoreError, UsageError
from weeksync.fetch import source_for
from weeksync.fetch.counted import one_more
from weeksync.household import password, password_problems
from weeksync.lazy import dataclass
from weeksync.message import Message, counted, message
from weeksync.model.config import CalendarSource
from weeksync.model.limits import ReadLimits
from weeksync.model.problem import Problem
from weeksync.model.pulled import (
    IndexedObject,
    KnownCollection,
    Pulled,
    PulledCollection,
)
from weeksync.store import Store
from weeksync.workflow.context import Context
from weeksync.workflow.guard import questions_about
from weeksync.workflow.leaps import over_by
from weeksync.workflow.losses import may_lose
from weeksync.workflow.outcome import Outcome, Status, is_configuration
from weeksync.workflow.progress import Progress, Silent
from weeksync.workflow.run_log import RunLog
from weeksync.workflow.source_problems import source_problem
from weeksync.workflow.ticks import waiting
from weeksync.workflow.vanished import vanished


@dataclass(frozen=True, slots=True)
class _Taken:
    """One source's pull, ready to be stored."""

    pulled: Pulled
    indexed: tuple[tuple[str, IndexedObject], ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class _Fetched:
    """What a source brought, and what to know of its password."""

    pulled: Pulled
    warnings: tuple[Problem, ...]
    unchanged: bool = False
    """Whether it has nothing new; then only names and tokens of its collections are there."""


def pull(
    context: Context,
    store: Store,
    *,
    only: Collection[str] = (),
    accept: Collection[str] = (),
    progress: Progress | None = None,
    log: RunLog | None = None,
    stored: Callable[[CalendarSource], None] | None = None,
) -> Outcome:
    """Pull every source (or `only` those), and store what each brings in one transaction.

    A source that fails keeps its last good copy. One that would lose nearly everything is held
    back with a question, unless it is in `accept`. Unknown ids are a UsageError. `log` gets a line
    for each. All servers together have `run_seconds` of `[pull]`. `stored` is called with each
    source that answered, when what it brought is in the store.
    """
    end = time.monotonic() + context.config.pull.run_seconds
    sources = _chosen(context, {*only, *accept})
    show = progress or Silent()
    show.start(message("Pulling calendars"), len(sources))
    log = log or RunLog(context)
    problems: list[Problem] = []
    failed = 0
    well: list[str] = []
    known = {source.id: store.known(source.id) for source in sources}
    by = over_by(context, store)

    def fetched(one: CalendarSource) -> _Fetched | Exception:
        try:
            return log.watched(one.id, _fetch, context, one, known[one.id], end)
        except Exception as error:  # whatever it is, the other sources go on
            return error

    with closing(_each(sources, fetched, context.config.pull.at_once)) as each:
        for source, ready in each:
            good, met = _keep(context, store, source, ready, accept, by)
            failed += not good
            well += [source.id] if good else []
            problems += met
            log.kept(source.id, ready.pulled if isinstance(ready, _Fetched) and good else None, met)
            if good and stored is not None:
                stored(source)
            show.step()
    problems += _write_ticks(context, store, well, end, log)
    log.sources(store.states(), store.object_counts(), store.entry_counts(), context.now)
    whole = len(sources) == len(context.config.calendars)
    if (
        whole
        and not failed
        and not any(is_configuration(problem) for problem in context.files.problems)
    ):
        # A copy is dropped only when what stands in its place is there: an id may have been
        # changed, and with a mistake in it the list of calendars is not what the user means.
        store.forget({source.id for source in context.config.calendars})
    order = {source.id: number for number, source in enumerate(context.config.calendars)}
    problems.sort(key=lambda one: (order.get(one.place.source, -1), str(one)))
    nothing = bool(sources) and failed == len(sources)
    return Outcome.of(
        [_summary(len(sources) - failed, len(sources))] if sources else [],
        problems,
        Status.NOTHING_DONE if nothing and not _has_copy(store) else Status.FINE,
    )


def _each(
    sources: Collection[CalendarSource],
    fetched: Callable[[CalendarSource], _Fetched | Exception],
    at_once: int,
) -> Generator[tuple[CalendarSource, _Fetched | Exception], None, None]:
    """Each source with what it brought, as soon as that is there: servers are waited for in threads
    of their own, files are read meanwhile, one after the other."""
    files = ((one, fetched(one)) for one in sources if one.path)
    servers = [one for one in sources if not one.path]
    if not servers:
        yield from files
        return
    from concurrent.futures import ThreadPoolExecutor, as_completed

    with ThreadPoolExecutor(max_workers=at_once) as pool:
        asked = {pool.submit(fetched, one): one for one in servers}
        yield from files
        for ready in as_completed(asked):
            yield asked[ready], ready.result()


def _write_ticks(
    context: Context, store: Store, well: Collection[str], end: float, log: RunLog
) -> tuple[Problem, ...]:
    """What was ticked here and waits, where `config.toml` says so and the source has answered."""
    ticking = {one.id for one in context.config.calendars if one.tick_todos}
    if not ticking <= set(well):
        with suppress(HouseholdError):  # a journal that cannot be read is told by `tick_problems`
            waits = [one for one in waiting(context, store) if one.place.source not in well]
            for one in waits:
                log.ticks(one.place.source, [(one.mark.id, None)])
    if not ticking & set(well):
        return ()
    from weeksync.workflow.write_ticks import write_ticks  # a library for HTTP comes with it

    return write_ticks(context, store, well, seconds=max(_left(end), LEAST_SECONDS), log=log)


def _chosen(context: Context, asked: set[str]) -> tuple[CalendarSource, ...]:
    calendars = context.config.calendars
    unknown = sorted(asked - {source.id for source in calendars})
    if unknown:
        raise UsageError(
            message(
                'there is no calendar with the id "{value}"; config.toml has: {known}',
                value=unknown[0],
                known=", ".join(source.id for source in calendars) or "–",
            )
        )
    return tuple(source for source in calendars if not asked or source.id in asked)


def _fetch(
    context: Context, source: CalendarSource, known: dict[str, KnownCollection], end: float
) -> _Fetched:
    """Network and files, no store: servers in threads. A server has time until `end`."""

    @cache
    def secret() -> str | None:
        return password(source, context.folder)

    warnings = password_problems(source, context.folder)
    limits = context.limits
    if not source.path:  # which nobody has to wait for
        if _left(end) <= 0:
            raise _too_late(context, source)
        tokens = _look(context, source, known, secret, end)
        if tokens is not None:
            same = tuple(PulledCollection(name, token=token) for name, token in tokens.items())
            return _Fetched(Pulled(source.id, same), warnings, unchanged=True)
        limits = replace(limits, budget_seconds=min(limits.budget_seconds, _left(end)))
    try:
        pulled = source_for(source, context.folder, secret).pull(known, limits)
    except SourceUnreachable as error:
        if source.path or _left(end) > 0:
            raise
        raise _too_late(context, source) from error
    return _Fetched(pulled, warnings, unchanged=bool(source.path) and _is_same(pulled, known))


def _is_same(pulled: Pulled, known: Mapping[str, KnownCollection]) -> bool:
    """Whether files brought nothing new, and nothing is to be said of them."""
    return (
        not pulled.problems
        and {one.name for one in pulled.collections} == known.keys()
        and not any(one.changed or one.gone for one in pulled.collections)
    )


LEAST_SECONDS = 5.0
"""For ticks, where what a server has took all the time there was: they wait long enough."""


def _left(end: float) -> float:
    return end - time.monotonic()


def _too_late(context: Context, source: CalendarSource) -> SourceUnreachable:
    return SourceUnreachable(
        source.id,
        message(
            "the calendar “{calendar}” was not done within the {seconds} s that all of them"
            " together have; try again later, or raise run_seconds under [pull] in config.toml",
            calendar=source.label,
            seconds=context.config.pull.run_seconds,
        ),
    )


def _look(
    context: Context,
    source: CalendarSource,
    known: dict[str, KnownCollection],
    secret: Callable[[], str | None],
    end: float,
) -> dict[str, str] | None:
    from weeksync.lean.look import Kept, Online, tokens_if_unchanged

    online = Online(source.url, source.caldav, source.choose, source.user, secret, one_more)
    kept = {name: Kept(one.token, one.tags) for name, one in known.items()}
    return tokens_if_unchanged(online, kept, min(context.limits.timeout_seconds, _left(end)))


def _keep(
    context: Context,
    store: Store,
    source: CalendarSource,
    ready: _Fetched | Exception,
    accept: Collection[str],
    by: datetime,
) -> tuple[bool, list[Problem]]:
    """Store one source's pull, or note why not: (whether it answered, what to know of it).

    What it no longer has is kept where it was over `by` then.
    """
    try:
        if isinstance(ready, Exception):
            raise ready
        pulled, warnings = ready.pulled, ready.warnings
        if ready.unchanged:
            met = _lasting(store, source)
            store.renew(source.id, pulled.collections, context.now, met)
            return True, [*warnings, *met]
        taken = _index(store, pulled, context.expand_limits.read)
    except StoreError:
        raise
    except Exception as error:  # whatever it is, the other sources go on
        met = [source_problem(source, error), *_lasting(store, source)]
        store.record_failure(source.id, met, context.now)
        return False, met
    questions = (
        []
        if source.id in accept
        else _questions(store, source, taken, by.date(), context.expand_limits.read)
    )
    if questions:
        questions += _lasting(store, source)
        store.record_failure(source.id, questions, context.now)
        return True, questions
    met = [*taken.problems, *_lasting(store, source, pulled)]
    over = vanished(context, store, pulled, taken.indexed, by)
    store.apply(pulled, taken.indexed, context.local_now, met, over)
    return True, [*warnings, *met]


def _lasting(store: Store, source: CalendarSource, pulled: Pulled | None = None) -> list[Problem]:
    """Problems of stored objects that `pulled` leaves as they are: they are still there."""
    state = store.states().get(source.id)
    if state is None or not state.problems:
        return []
    stay = {name for one in store.known(source.id).values() for name in one.tags}
    for one in pulled.collections if pulled is not None else ():
        stay -= one.gone | {raw.name for raw in one.changed}
    return [problem for problem in state.problems if problem.place.object in stay]


def _index(store: Store, pulled: Pulled, limits: ReadLimits, *, whole: bool = False) -> _Taken:
    """With `whole` all groups of each object, else those that may have changed where that can be
    told."""
    indexed: list[tuple[str, IndexedObject]] = []
    problems = list(pulled.problems)
    for collection in pulled.collections:
        for raw in collection.changed:
            from weeksync.calendar import index_object  # all that reads calendars comes with it
            from weeksync.calendar.pieces import LARGE

            before = None
            if not whole and len(raw.content) >= LARGE:
                before = store.in_pieces(pulled.source, collection.name, raw.name)
            one, met = index_object(pulled.source, raw, limits, before)
            indexed.append((collection.name, one))
            problems += met
    return _Taken(pulled, tuple(indexed), tuple(problems))


def _questions(
    store: Store, source: CalendarSource, taken: _Taken, today: date, limits: ReadLimits
) -> list[Problem]:
    if not may_lose(store, taken.pulled, taken.indexed, today):
        return []
    titles = store.collections(source.id)
    titles |= {one.name: one.title for one in taken.pulled.collections}
    whole = _index(store, taken.pulled, limits, whole=True)
    before = store.groups(source.id)
    after = store.preview_groups(taken.pulled, whole.indexed)
    return questions_about(source, before, after, today, titles)


def _has_copy(store: Store) -> bool:
    return any(state.last_good is not None for state in store.states().values())


def _summary(good: int, all_of_them: int) -> Message:
    if good == all_of_them:
        return counted("Pulled {count} calendar source.", "Pulled {count} calendar sources.", good)
    return message("Pulled {good} of {all} calendar sources.", good=good, all=all_of_them)
