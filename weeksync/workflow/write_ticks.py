"""Ticks of to-dos written to the servers they lie on, where `config.toml` switched that on.

    collect   what waits, and the object it is for            store, read only
    send      each object got, edited, put under If-Match     network
    keep      texts, tags and tokens, then the journal        store

Nothing is ever deleted or made anew. A kill at any moment leads to the same end: what is on the
server already is found there, by the COMPLETED that follows from the mark alone.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Collection, Iterable, Iterator
from dataclasses import field, replace
from functools import partial

from weeksync.calendar import index_object
from weeksync.calendar.todo_edit import TodoState, complete_todo, look_at_todo, reopen_todo, utc
from weeksync.errors import HouseholdError, WeeksyncError
from weeksync.fetch.dav_write import Objects, Put, PutAnswer, is_strong
from weeksync.fetch.own_changes import with_own_changes
from weeksync.household import password
from weeksync.household.sent import append_sent
from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.config import CalendarSource
from weeksync.model.problem import Place, Problem, ProblemKind
from weeksync.model.pulled import RawObject
from weeksync.model.sent import Sent, SentStep
from weeksync.store import Store
from weeksync.store.written import WrittenObject
from weeksync.workflow import tick_words
from weeksync.workflow.context import Context
from weeksync.workflow.run_log import RunLog
from weeksync.workflow.ticks import COMPLETED, Waiting, completed_at, tick_lists, waiting

MOST_TRIES = 4
"""How often an object that others change meanwhile is got anew in one run."""

NEEDS_ACTION = {"STATUS": "NEEDS-ACTION", COMPLETED: "", "PERCENT-COMPLETE": ""}


@dataclass(frozen=True, slots=True)
class Job:
    """A tick that waits, with the object of the store that its to-do lies in.

    `objects` are all that have its UID: none where it is gone, more than one where it is unclear.
    """

    tick: Waiting
    calendar: str
    objects: tuple[tuple[str, str, str], ...]
    """(collection, name, tag)"""


@dataclass
class Sending:
    """What came of the jobs of one source."""

    source: CalendarSource
    tokens: dict[str, str]
    lines: list[Sent] = field(default_factory=list)
    written: list[WrittenObject] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    read_only: set[str] = field(default_factory=set)
    unreached: bool = False
    """Whether the server did not answer as it should: it may in a while."""

    def tell(self, what: Problem) -> None:
        """One more thing to know."""
        self.problems.append(what)

    def ends(self, jobs: Iterable[Job]) -> Iterator[tuple[str, SentStep | None]]:
        """(id of the to-do, what became of its tick in this run, None where it just waits)."""
        steps = {line.id: line.step for line in self.lines}
        for job in jobs:
            yield job.tick.mark.id, steps.get(job.tick.mark.id)


def collect(
    context: Context, store: Store, sources: Collection[str] | None = None
) -> list[tuple[Sending, list[Job]]]:
    """The jobs of each source that has some; only of `sources`, where they are given."""
    lists = tick_lists(context, store)
    ticks = waiting(context, store)
    found = []
    for source in context.config.calendars:
        own = [one for one in ticks if one.place.source == source.id]
        if not own or (sources is not None and source.id not in sources):
            continue
        known, titles = store.known(source.id), store.collections(source.id)
        wanted = {one.place.uid for one in own}
        places: dict[str, set[tuple[str, str, str]]] = {}
        for collection, name, group in store.grouped(source.id):
            if group.uid in wanted and (source.id, collection) in lists:
                tag = known[collection].tags.get(name, "")
                places.setdefault(group.uid, set()).add((collection, name, tag))
        jobs = []
        for one in own:
            objects = tuple(sorted(places.get(one.place.uid, ())))
            collection = objects[0][0] if objects else one.place.collection
            jobs.append(Job(one, titles.get(collection) or source.label, objects))
        found.append((Sending(source, {name: one.token for name, one in known.items()}), jobs))
    return found


def send(
    context: Context, sending: Sending, jobs: Iterable[Job], seconds: float = math.inf
) -> None:
    """Write the ticks of one source, in so many seconds at most.

    What goes wrong with it is among its problems.
    """
    source, limits = sending.source, context.limits
    limits = replace(limits, budget_seconds=min(limits.budget_seconds, seconds))
    try:
        with Objects(
            source.id,
            source.address,
            limits,
            source.user,
            lambda: password(source, context.folder),
        ) as objects:
            for job in jobs:
                if not job.objects or job.objects[0][0] not in sending.read_only:
                    _send(context, sending, objects, job)
    except WeeksyncError as error:
        sending.unreached = True
        sending.tell(_problem(source, error))
    except Exception as error:  # whatever it is, the run goes on, and the tick waits
        sending.tell(tick_words.fault(source, error))


def keep(context: Context, store: Store, sending: Sending) -> None:
    """Take over what the server has now, then note in the journal what was done."""
    store.take_written(sending.source.id, sending.written, sending.problems, context.now)
    try:
        append_sent(context.folder, sending.lines)
    except HouseholdError as error:  # the next run finds on the server what was written
        sending.tell(_problem(sending.source, error))


def write_ticks(
    context: Context,
    store: Store,
    sources: Collection[str] | None = None,
    *,
    seconds: float = math.inf,
    log: RunLog | None = None,
) -> tuple[Problem, ...]:
    """All of it, with a store that is open for writing; what there is to know of it.

    `seconds` are for all servers together; `log` is told what became of each tick.
    """
    end = time.monotonic() + seconds
    problems: list[Problem] = []
    try:
        found = collect(context, store, sources)
    except HouseholdError as error:  # without the journal nobody knows what was written
        return error.problems
    for sending, jobs in found:
        send(context, sending, jobs, max(end - time.monotonic(), 1.0))
        keep(context, store, sending)
        problems += sending.problems
        if log is not None:
            log.ticks(sending.source.id, sending.ends(jobs))
    return tuple(problems)


def _send(context: Context, sending: Sending, objects: Objects, job: Job) -> None:
    end = partial(_end, context, sending, job)
    if not job.objects:
        return end(SentStep.GONE)
    if len(job.objects) > 1:
        return sending.tell(tick_words.unclear(sending.source, job.tick.place.title, job.calendar))
    _, name, _ = job.objects[0]
    for _ in range(MOST_TRIES):
        found = objects.get(name)
        if found is None:
            # Not settled before a whole pull has said so, too.
            return sending.tell(_told(sending, job, SentStep.GONE))
        if (answer := _attempt(context, sending, objects, job, found, end)) is None:
            return None
        if answer.put is Put.READ_ONLY:
            sending.read_only.add(job.objects[0][0])
            sending.tell(tick_words.read_only(sending.source, job.calendar, answer.status))
            sending.lines.append(job.tick.line(SentStep.REFUSED, context.now, object=name))
            return None
    sending.lines.append(job.tick.line(SentStep.CHANGED, context.now, object=name))
    return sending.tell(_told(sending, job, SentStep.CHANGED))


def _attempt(
    context: Context,
    sending: Sending,
    objects: Objects,
    job: Job,
    found: RawObject,
    end: Callable[..., None],
) -> PutAnswer | None:
    """One try with the object as it is on the server now; None where nothing is left to do."""
    tick = job.tick
    uid, identity, tz = tick.place.uid, tick.place.identity, context.tz
    at = completed_at(context, tick.mark)
    seen = look_at_todo(found.content, uid, identity, tz)
    said = {"STATUS": "COMPLETED", COMPLETED: utc(at), "PERCENT-COMPLETE": "100"}
    step = _without_writing(tick, seen.state, seen.completed, utc(at))
    if step is not None:
        ours = {**said, COMPLETED: seen.completed} if step is SentStep.WRITTEN else {}
        end(step, found, found, properties=ours)
        return None
    if tick.done:
        new = complete_todo(found.content, uid, identity, tz, at, context.now)
    else:
        new, said = reopen_todo(found.content, uid, identity, tz, context.now), NEEDS_ACTION
    if new is None or seen.state is TodoState.UNCLEAR:
        sending.tell(tick_words.unclear(sending.source, tick.place.title, job.calendar))
        return None
    guard = "If-Match" if is_strong(found.tag) else "compared"
    about = {"object": found.name, "properties": said, "tag_before": found.tag, "guard": guard}
    collection = job.objects[0][0]
    begun = tick.line(SentStep.BEGUN, context.now, collection=collection, **about)
    append_sent(context.folder, [begun])
    answer = objects.put(found, new)
    if answer.put is not Put.WRITTEN:
        return answer
    after = objects.get(found.name)
    end(SentStep.WRITTEN, found, after, properties=said, guard=guard)
    wanted = TodoState.DONE if tick.done else TodoState.OPEN
    if after is None or look_at_todo(after.content, uid, identity, tz).state is not wanted:
        sending.tell(tick_words.not_kept(sending.source, tick.place.title, job.calendar))
    return None


def _without_writing(
    tick: Waiting, state: TodoState, completed: str, wanted: str
) -> SentStep | None:
    """How a tick ends for which nothing is to be written; None where something is.

    WRITTEN where what stands there is what we wrote, and were not there to note.
    """
    if state is TodoState.GONE:
        return SentStep.GONE
    if state is TodoState.CANCELLED:
        return SentStep.CANCELLED
    if tick.done and state is TodoState.DONE:
        return SentStep.WRITTEN if completed in {wanted, tick.ours} else SentStep.ALREADY
    if not tick.done and state is TodoState.OPEN:
        return SentStep.ALREADY
    if not tick.done and state is TodoState.DONE and completed != tick.ours:
        return SentStep.ANEW
    return None


def _end(
    context: Context,
    sending: Sending,
    job: Job,
    step: SentStep,
    before: RawObject | None = None,
    after: RawObject | None = None,
    **more: object,
) -> None:
    """The tick is settled: the store gets the object as it is on the server, then the journal."""
    if step in {SentStep.GONE, SentStep.CANCELLED, SentStep.ANEW}:
        sending.tell(_told(sending, job, step))
    tags = {"tag_before": before.tag if before else "", "tag_after": after.tag if after else ""}
    if before is not None and after is not None:
        collection, name, known = job.objects[0]
        token = with_own_changes(sending.tokens.get(collection, ""), [name])
        sending.tokens[collection] = token
        one, _ = index_object(sending.source.id, after, context.expand_limits.read)
        instead_of = {known, before.tag, *(_tags(sending, name))}
        sending.written.append(WrittenObject(collection, one, frozenset(instead_of), token))
        more = {"collection": collection, "object": name, **tags, **more}
    sending.lines.append(job.tick.line(step, context.now, **more))


def _tags(sending: Sending, name: str) -> Iterable[str]:
    """Tags under which the object is taken over earlier in this run."""
    return (one.one.raw.tag for one in sending.written if one.one.raw.name == name)


def _told(sending: Sending, job: Job, step: SentStep) -> Problem:
    return tick_words.ended(sending.source, job.tick.place.title, job.calendar, step)


def _problem(source: CalendarSource, error: WeeksyncError) -> Problem:
    return Problem(
        ProblemKind.SOURCE,
        error.message,
        Place(source=source.id),
        message("what was ticked is kept, and written when that is possible"),
    )
