"""The check: files, sources, zone data, and what would be left out; nothing is changed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

from weeksync import zones
from weeksync.calendar import index_object
from weeksync.calendar.expand import expand
from weeksync.fetch import source_for
from weeksync.household import password, password_problems
from weeksync.lazy import dataclass
from weeksync.message import Message, counted, message
from weeksync.model.config import CalendarSource
from weeksync.model.problem import Problem, ProblemKind
from weeksync.model.pulled import Pulled, StoredObject, UidGroup
from weeksync.model.spread import LeftOut, LeftOutReason
from weeksync.store import Store
from weeksync.workflow import holiday_memo
from weeksync.workflow.context import Context
from weeksync.workflow.gather import gather
from weeksync.workflow.guard import questions_about
from weeksync.workflow.outcome import Outcome
from weeksync.workflow.source_problems import source_problem
from weeksync.workflow.status import night_in_brief
from weeksync.workflow.ticks import waiting_lines
from weeksync.workflow.window import Window, week_of

Groups = dict[str, tuple[UidGroup, ...]]


@dataclass(frozen=True, slots=True)
class _Answer:
    """What a source said when it was asked; `objects` are the names of what it has now, None where
    it did not answer."""

    lines: tuple[Message, ...]
    problems: tuple[Problem, ...]
    objects: frozenset[str] | None = None


def check(context: Context, *, offline: bool = False) -> Outcome:
    """Look at everything a build would use and say what was found.

    Sources are asked (as a first pull would, nothing is kept) unless `offline`; what they have now
    is read and expanded as a build would.
    """
    window = Window.of(context)
    with Store.open(context.state, write=False) as store:
        holiday_memo.recall(store)
        gathered = gather(context, store, window.first, window.last)
        groups = {one.id: store.groups(one.id) for one in context.config.calendars}
        answers = () if offline else _ask_all(context, groups)
        ticks = waiting_lines(context, store)
    planner = gathered.planner
    # Asked just now, a source's own answer counts, not what its last pull left.
    old = set() if offline else {ProblemKind.SOURCE, ProblemKind.QUESTION}
    problems = [one for one in gathered.problems if one.kind not in old]
    problems = [one for one in problems if not _is_asked(one, context, answers)]
    for week in window.weeks:
        problems += week_of(context, planner, week).problems
    list(context.archive)  # every record is looked at, those without a page in the window, too
    problems += context.archive.problems
    done = [
        message("Household “{name}”: its files were read.", name=context.config.household.name),
        message("Zone data: tzdata {version}.", version=zones.tzdata_version()),
    ]
    words = context.language.about_words()
    done += [words] if words is not None else []
    for answer in answers:
        done += answer.lines
        problems += answer.problems
    done += ticks
    night = night_in_brief(context)
    done += night.done
    problems += night.problems
    done += _left_out(gathered.left_out)
    return Outcome.of(done, problems)


def _ask_all(context: Context, groups: Mapping[str, Groups]) -> tuple[_Answer, ...]:
    with ThreadPoolExecutor(max_workers=context.config.pull.at_once) as pool:
        return tuple(
            pool.map(lambda one: _ask(context, one, groups[one.id]), context.config.calendars)
        )


def _ask(context: Context, source: CalendarSource, before: Groups) -> _Answer:
    try:
        one = source_for(source, context.folder, lambda: password(source, context.folder))
        pulled = one.pull({}, context.limits)
        warnings = password_problems(source, context.folder)
        groups, met = _read(context, pulled)
        questions = questions_about(source, before, groups, context.today)
    except Exception as error:  # whatever it is, the other sources are asked
        return _Answer((), (source_problem(source, error),))
    names = ", ".join(one.title or source.label for one in pulled.collections)
    entries = sum(len(held) for held in groups.values())
    line = counted(
        "Calendar {source} answers: {count} entry in {names}.",
        "Calendar {source} answers: {count} entries in {names}.",
        entries,
        source=source.id,
        names=names,
    )
    names_of_objects = frozenset(raw.name for one in pulled.collections for raw in one.changed)
    return _Answer((line,), (*warnings, *pulled.problems, *met, *questions), names_of_objects)


def _read(context: Context, pulled: Pulled) -> tuple[Groups, tuple[Problem, ...]]:
    """What the source has now, by its collections, and what of it cannot be read or shown."""
    groups: Groups = {}
    problems: list[Problem] = []
    objects: list[StoredObject] = []
    for one in pulled.collections:
        held: list[UidGroup] = []
        for raw in one.changed:
            indexed, met = index_object(pulled.source, raw, context.expand_limits.read)
            held += indexed.groups
            problems += met
            place = (pulled.source, one.name, raw.name, raw.tag, indexed.digest)
            objects.append(StoredObject(*place, raw.content))
        groups[one.name] = tuple(held)
    window = Window.of(context)
    end = window.last + timedelta(days=1)
    found = expand(objects, window.first, end, context.tz, context.expand_limits)
    return groups, (*problems, *found.problems)


def _is_asked(problem: Problem, context: Context, answers: Sequence[_Answer]) -> bool:
    """Whether it is about something that a source has just been asked about: then what is known
    from the last pull does not count, and what vanished since and is kept does."""
    for source, answer in zip(context.config.calendars, answers, strict=False):
        if source.id == problem.place.source and answer.objects is not None:
            return not problem.place.object or problem.place.object in answer.objects
    return False


def _left_out(left_out: tuple[LeftOut, ...]) -> list[Message]:
    """A line each, those that are cancelled first."""
    wanted = (LeftOutReason.CANCELLED, LeftOutReason.SAME)
    return [_line(one) for reason in wanted for one in left_out if one.reason is reason]


def _line(one: LeftOut) -> Message:
    values = {
        "title": one.occurrence.title.strip() or one.occurrence.uid,
        "day": one.occurrence.start.isoformat()[:10],
        "source": one.occurrence.source,
    }
    if one.reason is LeftOutReason.CANCELLED:
        return message("Left out, cancelled: {title}, {day} ({source})", **values)
    return message("Left out, the same in another calendar: {title}, {day} ({source})", **values)
