"""The check: files, sources, zone data, and what would be left out; nothing is changed."""

from __future__ import annotations

from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor

from weeksync import zones
from weeksync.calendar import index_object
from weeksync.fetch import source_for
from weeksync.household import password, password_problems
from weeksync.message import Message, counted, message
from weeksync.model.config import CalendarSource
from weeksync.model.problem import Problem, ProblemKind
from weeksync.model.pulled import Pulled, UidGroup
from weeksync.model.spread import LeftOut, LeftOutReason
from weeksync.store import Store
from weeksync.workflow import holiday_memo
from weeksync.workflow.context import Context
from weeksync.workflow.gather import gather
from weeksync.workflow.guard import questions_about
from weeksync.workflow.outcome import Outcome
from weeksync.workflow.source_problems import source_problem
from weeksync.workflow.ticks import waiting_lines
from weeksync.workflow.window import Window, week_of

Groups = dict[str, tuple[UidGroup, ...]]
_Answer = tuple[tuple[Message, ...], tuple[Problem, ...]]


def check(context: Context, *, offline: bool = False) -> Outcome:
    """Look at everything a build would use and say what was found.

    Sources are asked (as a first pull would, nothing is kept) unless `offline`.
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
    for lines, met in answers:
        done += lines
        problems += met
    done += ticks
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
        questions = questions_about(source, before, _groups(pulled), context.today)
    except Exception as error:  # whatever it is, the other sources are asked
        return (), (source_problem(source, error),)
    names = ", ".join(one.title or source.label for one in pulled.collections)
    objects = sum(len(one.changed) for one in pulled.collections)
    line = counted(
        "Calendar {source} answers: {count} object in {names}.",
        "Calendar {source} answers: {count} objects in {names}.",
        objects,
        source=source.id,
        names=names,
    )
    return (line,), (*warnings, *pulled.problems, *questions)


def _groups(pulled: Pulled) -> Groups:
    """What the source has now, by the names and titles of its collections."""
    found: Groups = {}
    for one in pulled.collections:
        indexed = (index_object(pulled.source, raw)[0] for raw in one.changed)
        found[one.name] = tuple(group for each in indexed for group in each.groups)
    return found


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
