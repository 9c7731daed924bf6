"""Deeds that plan the week to come: places, priorities, breaks, lighter days, rows and notes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from functools import partial

from weeksync.household import Choice, TaskChange, change_tasks, choose, evening_edits
from weeksync.household.evening_edits import OwnWords, cell_of
from weeksync.message import Message, counted, message
from weeksync.model.chosen import LighterWeek
from weeksync.model.fields import DayPart, Weekday
from weeksync.model.spread import PlanTask
from weeksync.model.week_plan import Proposal
from weeksync.site.plan_evening_next import NEW_ROW, lighter_value
from weeksync.workflow import carry
from weeksync.workflow.carry import LeftOver
from weeksync.workflow.confirm import confirm
from weeksync.workflow.evening_sitting import Deed, Meanwhile, Missaid, Sitting
from weeksync.workflow.placing import Chosen, Put, place_on, task_in_file, write_choice
from weeksync.workflow.propose import Proposed, choice_of

MOST_CELL, MOST_NOTES = 2_000, 20_000
"""Characters of a cell and of the notes; the bounds are ours."""


# Places


def place(sitting: Sitting) -> Deed:
    """Put the chosen task on a day, in a part of it, or make it a priority of that day."""
    day, part = sitting.place("to")
    what = _put(sitting, sitting.title(), day, part)
    one = sitting.task(what)
    only_for = one.task.only_for
    then = _after(sitting, one.task.id)
    if part == "priority":
        return Deed(what, _as_priority(sitting, one, day), only_for, then)
    where = DayPart(part) if part else None
    return Deed(what, lambda: carry.do(sitting.context, one, day, where), only_for, then)


def _put(sitting: Sitting, title: str, day: date, part: str) -> Message:
    if part == "priority":
        return message("“{title}” is a priority of {day}", title=title, day=sitting.said(day))
    return message("“{title}” is planned for {day}", title=title, day=sitting.said(day))


def _as_priority(sitting: Sitting, one: LeftOver, day: date) -> Callable[[], object]:
    """A priority of a day; a task that does not stand on the day yet is put on it, too."""
    _check_room(sitting, day, "to")
    context = sitting.context
    stands = any(
        task.id == one.task.id and task.chosen
        for shown in sitting.evening.spread.days
        if shown.date == day
        for task in shown.tasks
    )
    puts = [] if stands else [Put(one.task, (place_on(context, one.task, day),))]
    return partial(write_choice, context, Chosen(puts, [(day, one.task.id)]))


def _check_room(sitting: Sitting, day: date, name: str) -> None:
    most = sitting.context.config.planning.priorities_a_day
    here = next(one for one in sitting.evening.spread.days if one.date == day)
    if len(here.priorities) >= most:
        raise Missaid(
            {
                name: counted(
                    "{day} has {count} priority already; take it off first",
                    "{day} has {count} priorities already; take one off first",
                    len(here.priorities),
                    day=day.isoformat(),
                )
            }
        )


def _after(sitting: Sitting, task: str) -> str:
    """The task that comes next in the list of those without a place: the page goes on with it."""
    plan = sitting.evening.spread.plan
    tasks = plan.proposal.tasks if plan is not None and plan.proposal is not None else ()
    names = [one.task for one in tasks if one.standing.value != "chosen"]
    if task not in names:
        return ""
    left = [*names[names.index(task) + 1 :], *names[: names.index(task)]]
    return left[0] if left else ""


def accept(sitting: Sitting) -> Deed:
    """Put one task where it is proposed, with the priority that goes with it."""
    one = sitting.task(message("Take “{title}” as proposed", title=sitting.title()))
    title, only_for = one.task.title, one.task.only_for
    what = message("“{title}” is planned as proposed", title=title)
    chosen = _choice(sitting, [one.task.id], what)
    then = _after(sitting, one.task.id)
    return Deed(what, partial(write_choice, sitting.context, chosen), only_for, then)


def accept_all(sitting: Sitting) -> Deed:
    """Put all that is proposed where it is proposed; breaks are taken by themselves."""
    what = message("All that was proposed is planned")
    chosen = replace(_choice(sitting, [], what), breaks=())
    if not chosen.puts and not chosen.priorities:
        raise Meanwhile((message("Nothing is proposed any more."),), what, again=False)
    reserved = {name for put in chosen.puts for name in put.task.only_for}
    return Deed(what, partial(write_choice, sitting.context, chosen), tuple(sorted(reserved)))


def accept_breaks(sitting: Sitting) -> Deed:
    """Write down the breaks that are proposed."""
    what = message("The proposed breaks are planned")
    chosen = Chosen(breaks=_choice(sitting, [], what).breaks)
    return Deed(what, partial(write_choice, sitting.context, chosen))


def _choice(sitting: Sitting, names: list[str], wish: Message) -> Chosen:
    """What taking the proposal would write: only what a day still has room for as a priority."""
    evening = sitting.evening
    plan = evening.spread.plan
    proposal = plan.proposal if plan is not None else None
    if proposal is None:
        raise Meanwhile((message("Nothing is proposed for this week."),), wish, again=False)
    tasks = {one.id: one for one in evening.open_tasks}
    for one in evening.loose:
        tasks[one.task.id] = one.task
    proposal = _within(proposal, tasks)
    if names and not any(one.task in names and one.pieces for one in proposal.tasks):
        raise Meanwhile((message("There is no room for it any more."),), wish, again=False)
    found = Proposed(evening.week, evening.spread, proposal, tasks, ())
    chosen = choice_of(sitting.context, found, names)
    return replace(chosen, priorities=_with_room(sitting, chosen))


def _within(proposal: Proposal, tasks: dict[str, PlanTask]) -> Proposal:
    """The proposal with the tasks that the sender may see."""
    return replace(
        proposal,
        tasks=tuple(one for one in proposal.tasks if one.task in tasks),
        priorities=tuple(one for one in proposal.priorities if one.task in tasks),
    )


def _with_room(sitting: Sitting, chosen: Chosen) -> list[tuple[date, str]]:
    """The priorities that their days have room for."""
    most = sitting.context.config.planning.priorities_a_day
    counts = {day.date: len(day.priorities) for day in sitting.evening.spread.days}
    found = []
    for day, text in chosen.priorities:
        if counts.get(day, 0) < most:
            counts[day] = counts.get(day, 0) + 1
            found.append((day, text))
    return found


def off(sitting: Sitting) -> Deed:
    """Take a task off its days in the week, from today on."""
    one = sitting.task(message("Take “{title}” off its day", title=sitting.title()))
    title, only_for = one.task.title, one.task.only_for
    what = message("“{title}” is taken off its day", title=title)
    return Deed(what, lambda: _take_off(sitting, one), only_for)


def _take_off(sitting: Sitting, one: LeftOver) -> None:
    context, week, today = sitting.context, sitting.evening.week, sitting.context.today
    name = one.task.id
    file = context.files.weeks.get(week)
    placed = file.placed if file is not None else ()
    seen = [place for place in placed if place.task == name and place.date >= today]
    if seen:
        choose(context.folder, week, Choice(since=today, placed={name: ()}, seen={name: seen}))
    task = task_in_file(context, name)
    if task is not None and task.day is not None and task.day in context.rule.days(week):
        change_tasks(context.folder, [TaskChange(task, {"day": None, "part": None})])


# Priorities


def matter(sitting: Sitting) -> Deed:
    """Make what is proposed, or words of one's own, a priority of a day."""
    day = _day_of_week(sitting)
    text = " ".join(sitting.text("text").split())
    if not text:
        raise Missaid({"text": message("write what matters on that day")})
    if len(text) > 200:
        raise Missaid({"text": message("write at most {most} characters", most=200)})
    _check_room(sitting, day, "text")
    tasks = {one.id: one for one in sitting.evening.open_tasks}
    for one in sitting.evening.loose:
        tasks[one.task.id] = one.task
    task = tasks.get(text)
    title = task.title if task is not None else text
    what = _put(sitting, title, day, "priority")
    chosen = Chosen(priorities=[(day, text)])
    only_for = task.only_for if task is not None else ()
    return Deed(what, partial(write_choice, sitting.context, chosen), only_for)


def matter_off(sitting: Sitting) -> Deed:
    """Take a priority off its day."""
    day, text = _day_of_week(sitting), sitting.text("text")
    here = next(one for one in sitting.evening.spread.days if one.date == day)
    found = next((one for one in here.priorities if text in (one.task, one.title)), None)
    wish = message("Take a priority off {day}", day=day.isoformat())
    if found is None:
        raise Meanwhile((message("The day has it no more."),), wish, again=False)
    what = message(
        "“{title}” is no priority of {day} any more", title=found.title, day=sitting.said(day)
    )
    folder, week = sitting.context.folder, sitting.evening.week
    value = found.task or found.title
    return Deed(what, lambda: evening_edits.take_priority(folder, week, day, value), found.only_for)


def _day_of_week(sitting: Sitting) -> date:
    day = sitting.day("day")
    if day not in [one.date for one in sitting.evening.spread.days]:
        raise Missaid({"day": message("choose one of the days that are to come")})
    return day


# Lighter days


def lighter(sitting: Sitting) -> Deed:
    """Days on which less is asked of somebody."""
    context = sitting.context
    people = [one.id for one in context.config.people if one.id in sitting.fields.get("person", ())]
    mistakes: dict[str, Message] = {}
    if not people:
        mistakes["person"] = message("say of whom less is asked")
    first, last = sitting.day("start", coming=False), sitting.day("end", coming=False)
    days = context.rule.days(sitting.evening.week)
    if last < first:
        mistakes["end"] = message("the last day lies before the first")
    elif last < days[0] or first > days[-1]:
        mistakes["start"] = message("choose days of the week that is planned")
    reason = " ".join(sitting.text("reason").split())[:300]
    if mistakes:
        raise Missaid(mistakes)
    entry = LighterWeek(
        person=people[0] if len(people) == 1 else tuple(people),
        start=first,
        end=last,
        reason=reason,
    )
    names = context.language.listed([one.name for one in context.config.people if one.id in people])
    what = message("Lighter days for {names}", names=names)
    return Deed(
        what, lambda: evening_edits.add_lighter(context.folder, sitting.evening.week, entry)
    )


def lighter_off(sitting: Sitting) -> Deed:
    """Take lighter days away."""
    wish = message("Take lighter days away")
    value = sitting.text("lighter")
    entry = next(
        (one for one in sitting.evening.written.lighter if lighter_value(one) == value), None
    )
    if entry is None:
        raise Meanwhile((message("They are not there any more."),), wish, again=False)
    folder, week = sitting.context.folder, sitting.evening.week
    return Deed(
        message("Lighter days are taken away"),
        lambda: evening_edits.take_lighter(folder, week, entry),
    )


# Rows and notes


def rows(sitting: Sitting) -> Deed:
    """The cells that were changed, and the notes; Meanwhile where one says something else now."""
    cells: dict[tuple[str, Weekday], str] = {}
    seen: dict[tuple[str, Weekday], str] = {}
    file, stale = sitting.evening.written, []
    for name, title in _row_titles(sitting):
        for weekday in Weekday:
            field = f"{name}-{weekday.value}"
            if field not in sitting.fields:
                continue
            text, was = _cell(sitting, field), sitting.text(f"was-{field}")
            if text == was:
                continue
            stands = cell_of(file, title, weekday)
            if stands.strip() not in (was, text):
                stale.append(
                    message("“{title}”: somebody has written “{text}” meanwhile",
                            title=title, text=stands)
                )  # fmt: skip
            cells[title, weekday], seen[title, weekday] = text, stands
    notes = _notes(sitting, stale)
    if stale:
        raise Meanwhile(tuple(stale), None, again=True)
    words = OwnWords(cells, seen, notes)
    folder, week = sitting.context.folder, sitting.evening.week
    return Deed(
        message("Rows and notes of {week} are written", week=str(week)),
        lambda: evening_edits.write_own_words(folder, week, words),
    )


def _row_titles(sitting: Sitting) -> list[tuple[str, str]]:
    """(name of its fields, title) of each row that was sent."""
    found = [
        (name.removeprefix("title-"), values[-1])
        for name, values in sitting.fields.items()
        if name.startswith("title-row-") and values
    ]
    new = " ".join(sitting.text(NEW_ROW).split())[:300]
    wants = any(sitting.text(f"{NEW_ROW}-{weekday.value}") for weekday in Weekday)
    if wants and not new:
        raise Missaid({NEW_ROW: message("give the new row a name, as Meals")})
    return [*found, (NEW_ROW, new)] if new else found


def _cell(sitting: Sitting, field: str) -> str:
    text = sitting.text(field).replace("\t", " ")
    if len(text) > MOST_CELL:
        raise Missaid({field: message("write at most {most} characters", most=MOST_CELL)})
    return text


def _notes(sitting: Sitting, stale: list[Message]) -> tuple[str, str] | None:
    if "notes" not in sitting.fields:
        return None
    text, was = sitting.text("notes").replace("\t", " "), sitting.text("was-notes")
    if len(text) > MOST_NOTES:
        raise Missaid({"notes": message("write at most {most} characters", most=MOST_NOTES)})
    stands = sitting.evening.written.notes
    if text == was:
        return None
    if stands.strip() not in (was, text):
        stale.append(message("Somebody has changed the notes meanwhile"))
    return stands, text


def agree(sitting: Sitting) -> Deed:
    """What the week shows now is what later changes are counted from, as `weeksync confirm`."""
    context, week = sitting.context, sitting.evening.week
    what = message("{week} is agreed on", week=str(week))
    return Deed(what, lambda: confirm(context, week), kept=False, tells="agreed")
