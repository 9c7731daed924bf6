"""From the shared week to what its page shows, with the words of its language."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from weeksync.language import Language
from weeksync.language.day_parts import PART_NAMES
from weeksync.message import Message, message
from weeksync.model.fields import DayPart
from weeksync.model.shared import (
    SharedArea,
    SharedDay,
    SharedEvent,
    SharedHabit,
    SharedTask,
    SharedWeek,
    ShownAs,
)
from weeksync.sharing.record import (
    AreaSign,
    DayBox,
    Form,
    HabitRow,
    Line,
    Part,
    SharedPage,
    SharedTint,
)

_PARTS = (None, DayPart.MORNING, DayPart.AFTERNOON, DayPart.EVENING)
_WEEKEND = 5
_PLAIN = "plain"

ALWAYS = message(
    "This page was made by rules that let through what somebody chose, and nothing else. It does "
    "not promise that nobody can tell whose week it is."
)
KNOWN = message(
    "Who knows these people may recognise them by what they do, and on which days of the week."
)
TIMED = message("The times tell when somebody was out, or at home, and may be so again.")
PARTED = message("The day parts tell roughly when somebody was out, and may be so again.")
ROLES = message("The words for persons tell how many kinds of people live here, and who does what.")
DATED = message(
    "The week is named: what happened elsewhere on those days, as a fair or a match, can be laid "
    "beside it."
)
HABITS = message("The rows of dots tell what somebody cares about, and on which days they kept it.")
BLANK = message(
    "An empty place tells nothing: nothing was there, or it was left out, paused or not recorded."
)
SEVERAL = message(
    "Several such weeks side by side tell more than one: what comes again shows the rhythm of a "
    "house."
)


def page_of(
    shared: SharedWeek,
    language: Language,
    tints: Sequence[SharedTint],
    form: Form = "page",
    *,
    dark: bool = False,
) -> SharedPage:
    """The record for the template; `language` is that of the shared week."""
    say = language.text
    used = {area.colour for area in shared.areas}
    parted = any(line.part is not None for line in _lines(shared))
    return SharedPage(
        language=language.tag,
        direction=language.direction,
        heading=_heading(shared, language),
        form=form,
        dark=dark,
        days=tuple(_day(day, language, parted=parted) for day in shared.days),
        habits=tuple(_habit(habit, language) for habit in shared.habits),
        areas=tuple(sign for area in shared.areas if (sign := _sign(area)) is not None),
        timed=any(isinstance(line, SharedEvent) and line.start for line in _lines(shared)),
        infer=tuple(say(sentence) for sentence in inferred(shared)),
        tints=tuple(tint for tint in tints if tint.name in used),
    )


def _heading(shared: SharedWeek, language: Language) -> str:
    if not shared.week:
        return language.text(message("A week"))
    year, _, number = shared.week.partition("-W")
    return language.text(
        message("Week {number}, {year}", number=int(number), year=language.digits(year))
    )


def inferred(shared: SharedWeek) -> Iterator[Message]:
    """What a stranger may still infer from this very page, most general first."""
    lines = [*_lines(shared)]
    events = [line for line in lines if isinstance(line, SharedEvent)]
    yield ALWAYS
    if lines or shared.habits:
        yield KNOWN
    if any(event.start for event in events):
        yield TIMED
    elif any(line.part is not None for line in lines) or any(event.all_day for event in events):
        yield PARTED
    if any(line.roles for line in lines) or any(habit.role for habit in shared.habits):
        yield ROLES
    if shared.habits:
        yield HABITS
    if shared.week:
        yield DATED
    yield BLANK
    yield SEVERAL


def _lines(shared: SharedWeek) -> Iterator[SharedEvent | SharedTask]:
    for day in shared.days:
        yield from day.events
        yield from day.tasks


def _day(day: SharedDay, language: Language, *, parted: bool) -> DayBox:
    """A day; `parted` where day parts are shown at all, so that all days have the same tiles."""
    parts = []
    for part in _PARTS:
        lines = [_event(one, language) for one in day.events if one.part == part]
        lines += [_task(one, language) for one in day.tasks if one.part == part]
        if lines:
            name = language.text(PART_NAMES[part]) if part is not None else ""
            parts.append(Part(part.value if part is not None else "day", name, tuple(lines)))
    return DayBox(
        name=language.weekday(day.weekday),
        short=language.weekday(day.weekday, "abbreviated"),
        weekend=day.weekday >= _WEEKEND,
        parts=tuple(parts),
        tiles=tuple(_tile(parts, part) for part in _PARTS if part is not None)
        if parted
        else (_tile(parts, None),),
    )


def _tile(parts: Iterable[Part], part: DayPart | None) -> tuple[str, ...]:
    """The tints of a day part, each once; what takes the whole day colours each of them."""
    wanted = {"day"} if part is None else {"day", part.value}
    found = (
        line.area.colour if line.area is not None else _PLAIN
        for one in parts
        if one.id in wanted
        for line in one.lines
    )
    return tuple(dict.fromkeys(found))


def _event(event: SharedEvent, language: Language) -> Line:
    bare = event.shown_as is ShownAs.BUSY
    times = f"{event.start}\u2013{event.end}" if event.start and event.end else event.start
    return Line(
        kind="event",
        text=language.text(message("busy")) if bare else event.label,
        area=_sign(event.area),
        roles=", ".join(event.roles),
        times=times,
        bare=bare,
        done=False,
    )


def _task(task: SharedTask, language: Language) -> Line:
    return Line(
        kind="task",
        text=task.label,
        area=_sign(task.area),
        roles=", ".join(task.roles),
        times="",
        bare=False,
        done=task.done,
    )


def _habit(habit: SharedHabit, language: Language) -> HabitRow:
    marked = tuple(
        (language.weekday(day, "abbreviated"), done) for day, done in enumerate(habit.marked)
    )
    return HabitRow(habit.label, _sign(habit.area), habit.role, marked)


def _sign(area: SharedArea | None) -> AreaSign | None:
    return AreaSign(area.name, area.letter, area.colour) if area is not None else None
