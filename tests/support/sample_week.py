"""The Marlowicks' week 2027-W12 as records, made by hand: what `plan` would hand to the pages.

The household is invented. Times, clashes, bills and the clock change are those of the demo's
expected values; the day parts, habits, meals and notes are made up for the pages.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from tests.support import sample_plan
from weeksync.language import Language, week_rule
from weeksync.message import message
from weeksync.model.config import Area, CalendarSource, Config, Household, Person
from weeksync.model.fields import DayPart, MarkKind, Weekday
from weeksync.model.household import CheckIn
from weeksync.model.money_item import MoneyItem, MoneyKind
from weeksync.model.occurrence import Occurrence
from weeksync.model.problem import Place, Problem, ProblemKind
from weeksync.model.pulled import SourceState
from weeksync.model.settings import Paper
from weeksync.model.spread import (
    BreakItem,
    CellState,
    Day,
    DayOccurrence,
    HabitCell,
    HabitRow,
    LeftOut,
    LeftOutReason,
    LessonItem,
    MonthPlan,
    PlanTask,
    Priority,
    Spread,
)
from weeksync.model.week import IsoWeek, Month, WeekRule
from weeksync.plan.month_spans import month_spans
from weeksync.site import SiteInput

ROOT = Path(__file__).resolve().parents[2]
LONDON = ZoneInfo("Europe/London")
W12 = IsoWeek(2027, 12)
MONDAY = date(2027, 3, 22)
TODAY = date(2027, 3, 24)


def config(
    locale: str = "en_GB", first: Weekday | None = None, paper: Paper | None = None
) -> Config:
    """The household's settings."""
    return Config(
        format=1,
        household=Household(
            name="The Marlowicks",
            time_zone="Europe/London",
            locale=locale,
            region="GB-ENG",
            first_weekday=first,
        ),
        people=(
            Person(id="ines", name="Ines"),
            Person(id="dov", name="Dov"),
            Person(id="pell", name="Pell", child=True),
            Person(id="juno", name="Juno", child=True),
            Person(id="nana", name="Nana Brice", letter="N", time_zone="America/St_Johns"),
        ),
        areas=(
            Area(id="home", name="Home", colour="moss", letter="H"),
            Area(id="lessons", name="Lessons", colour="straw", letter="L"),
            Area(id="stall", name="Stall", colour="clay", letter="S"),
            Area(id="work", name="Work", colour="harbour", letter="W"),
            Area(id="family", name="Family", colour="plum", letter="F"),
            Area(id="body", name="Body and rest", colour="fir", letter="B"),
        ),
        calendars=(
            CalendarSource(id="home", name="Home calendar", path="calendars/home.ics"),
            CalendarSource(id="rota", name="Dov's rota", path="calendars/rota.ics"),
            CalendarSource(id="stall", name="Stall", path="calendars/stall.ics"),
        ),
        paper=paper or Paper(),
    )


def at(day: date, hours: str, zone: ZoneInfo = LONDON) -> datetime:
    """A time of that day on the household's clock."""
    return datetime.combine(day, time.fromisoformat(hours), zone)


_EVENTS = (
    # day of the week, title, from, to, persons, area, zone of the event, busy
    (0, "Optician – Ines", "10:00", "10:40", "ines", "body", "Europe/London"),
    (0, "Call with Nana Brice (moved)", "10:30", "11:15", "ines nana", "family",
     "America/St_Johns"),
    (1, "Home lessons (spring term)", "09:30", "12:00", "ines pell juno", "lessons",
     "Europe/London"),
    (1, "Dentist – Juno", "11:30", "12:15", "ines juno", "body", "Europe/London"),
    (2, "Dov day shift", "07:00", "19:00", "dov", "work", "Europe/London"),
    (2, "Home lessons (spring term)", "09:30", "12:00", "ines pell juno", "lessons",
     "Europe/London"),
    (2, "Choir – Pell", "18:30", "20:00", "ines pell", "family", "Europe/London"),
    (3, "Dov day shift", "07:00", "19:00", "dov", "work", "Europe/London"),
    (3, "Home lessons (spring term)", "09:30", "12:00", "ines pell juno", "lessons",
     "Europe/London"),
    (3, "Traders meeting", "19:00", "20:30", "ines", "stall", "Europe/London"),
    (5, "Market stall", "07:30", "13:30", "ines", "stall", "Europe/London"),
    (5, "Swimming lesson – Juno", "09:00", "10:00", "ines juno", "body", "Europe/London"),
    (6, "Call with Nana Brice", "18:30", "19:15", "ines nana", "family", "America/St_Johns"),
)  # fmt: skip


def _part(hours: str) -> DayPart:
    return (
        DayPart.MORNING
        if hours < "12:00"
        else DayPart.AFTERNOON
        if hours < "18:00"
        else DayPart.EVENING
    )


def occurrence(
    title: str, start: datetime | date, end: datetime | date, **more: object
) -> Occurrence:
    """An occurrence of the home calendar."""
    made = Occurrence(
        source="home",
        collection="home.ics",
        uid=f"{title.casefold().replace(' ', '-')}@saltmere.invalid",
        identity="",
        title=title,
        start=start,
        end=end,
    )
    return replace(made, **more)  # type: ignore[arg-type]


def _occurrences(number: int) -> tuple[DayOccurrence, ...]:
    day = MONDAY + timedelta(days=number)
    found = [*_whole_days(day)]
    if number in (5, 6):  # the night shift that began the evening before
        found.append(_night(day - timedelta(days=1), from_before=True))
    dough = occurrence("Bread dough", at(day, "07:00"), at(day, "07:10"), busy=False, area="home")
    found.append(DayOccurrence(dough, DayPart.MORNING))
    for which, title, start, end, persons, area, zone in _EVENTS:
        if which == number:
            made = occurrence(
                title,
                at(day, start),
                at(day, end),
                persons=tuple(persons.split()),
                area=area,
                zone=zone,
            )
            found.append(DayOccurrence(made, _part(start)))
    if number in (4, 5):
        found.append(_night(day, from_before=False))
    if number == 1:
        found[-1] = found[-1]._replace(
            occurrence=replace(
                found[-1].occurrence,
                place="2 Ferrier Row, Saltmere Cross",
                link="https://dentist.saltmere.invalid/juno",
            ),
        )
    return tuple(found)


def _night(day: date, *, from_before: bool) -> DayOccurrence:
    made = occurrence(
        "Dov night shift",
        at(day, "19:00"),
        at(day + timedelta(days=1), "07:00"),
        persons=("dov",),
        area="work",
        zone="Europe/London",
    )
    return DayOccurrence(
        made,
        DayPart.MORNING if from_before else DayPart.EVENING,
        from_before=from_before,
        goes_on=not from_before,
    )


def _whole_days(day: date) -> list[DayOccurrence]:
    found = []
    if day == date(2027, 3, 25):
        books = occurrence(
            "Library books due", day, day + timedelta(days=1), busy=False, area="home"
        )
        found.append(DayOccurrence(books, None))
    if date(2027, 3, 26) <= day <= date(2027, 3, 29):
        cousin = occurrence(
            "Cousin Tamsin staying",
            date(2027, 3, 26),
            date(2027, 3, 30),
            busy=False,
            area="family",
        )
        first, last = day == date(2027, 3, 26), day == date(2027, 3, 29)
        found.append(DayOccurrence(cousin, None, from_before=not first, goes_on=not last))
    return found


def _money(day: date) -> tuple[MoneyItem, ...]:
    items = (
        MoneyItem(MoneyKind.BILL, "broadband", "Broadband", date(2027, 3, 24), date(2027, 3, 24),
                  3150, "GBP", paid_on=date(2027, 3, 24)),
        MoneyItem(MoneyKind.PAY, "dov-pay", "Dov's pay", date(2027, 3, 25), date(2027, 3, 28),
                  211840, "GBP", person="dov"),
        MoneyItem(MoneyKind.STEP, "boat", "Boat week", date(2027, 3, 25), date(2027, 3, 26),
                  13334, "GBP"),
        MoneyItem(MoneyKind.BILL, "pitch", "Stall pitch", date(2027, 3, 26), date(2027, 3, 26),
                  4200, "GBP", collected=False, business=True),
        MoneyItem(MoneyKind.BILL, "gift", "Secret present", date(2027, 3, 23), date(2027, 3, 23),
                  7777, "GBP", only_for=("ines",)),
    )  # fmt: skip
    return tuple(item for item in items if item.day == day)


_TASKS = (
    # day, title, area, person, part, estimate, due in days, carried, done
    (0, "Order jars and labels", "stall", "ines", DayPart.AFTERNOON, 90, 0, 0, True),
    (0, "Stall stock count", "stall", "ines", None, 240, 0, 1, False),
    (1, "Term report Pell", "lessons", "ines", DayPart.EVENING, 240, 0, 0, False),
    (2, "Easter parcel to Nana", "family", "ines", DayPart.AFTERNOON, 60, 0, 0, False),
    (2, "Term report Juno", "lessons", "ines", None, 240, 0, 0, False),
    (3, "Mend gate latch", "home", "dov", None, 120, 0, 2, False),
    (3, "Beds and room for cousin", "home", "ines", DayPart.AFTERNOON, 150, 0, 0, False),
    (4, "Stall float and price cards", "stall", "ines", DayPart.AFTERNOON, 90, 0, 0, False),
)


def _tasks(number: int) -> tuple[PlanTask, ...]:
    day = MONDAY + timedelta(days=number)
    made = tuple(
        PlanTask(
            id=title.casefold().replace(" ", "-"),
            title=title,
            area=area,
            persons=(person,),
            due=day + timedelta(days=due),
            estimate=estimate,
            part=part,
            shown_on=day,
            carried=carried,
            done=day if done else None,
            overdue=number < 2 and not done,
            notes="Ask at the *quay* first." if title == "Mend gate latch" else "",
        )
        for which, title, area, person, part, estimate, due, carried, done in _TASKS
        if which == number
    )
    if number == 1:
        made += (PlanTask("wrap", "Wrap the secret present", shown_on=day, only_for=("ines",)),)
    return made


_PRIORITIES = {
    0: (("Order jars and labels", True),),
    1: (("Term report Pell", False), ("Juno to the dentist", True)),
    2: (("Easter parcel to Nana", False),),
    3: (("Beds and room for cousin", False), ("Papers for the traders", False)),
    5: (("Market stall", False),),
    6: (("Rest", False),),
}
_MEALS = ("Soup, bread", "Fish pie", "Pasta", "Leek tart", "*Hot cross buns*, stew",
          "Stall leftovers", "Lamb with Tamsin")  # fmt: skip


def day_of(number: int) -> Day:
    """One of the seven days, with everything on it."""
    day = MONDAY + timedelta(days=number)
    lessons = number in (1, 2, 3)
    return Day(
        date=day,
        week=W12,
        minutes=1380 if number == 6 else 1440,
        holidays=("Good Friday",) if number == 4 else (),
        term="Spring term" if number < 4 else "",
        term_week=11 if number < 4 else None,
        term_break="" if number < 4 else "Easter break",
        priorities=tuple(Priority(title, done=done) for title, done in _PRIORITIES.get(number, ())),
        occurrences=_occurrences(number),
        tasks=_tasks(number),
        money=_money(day),
        lessons=(
            LessonItem("pell-maths", "pell", "Maths", 40, done=True if number == 1 else None),
            LessonItem("juno-reading", "juno", "Reading", 30, make_up=number == 3),
        )
        if lessons
        else (),
        breaks=(BreakItem("15:30", 10, "walk to the quay", "ines"),) if number != 5 else (),
        own=(("Meals", _MEALS[number]), ("Who cooks", "Dov" if number in (0, 6) else "Ines")),
        check_ins=(
            CheckIn(day, "ines", "steady", 3, "slept through", "a short list", "the bread rose",
                    "Two things *today*, not five.\n\n<script>alert(1)</script>"),
        )
        if number < 3
        else (),
        problems=(
            Problem(ProblemKind.NOTICE, message("the clocks change: this day has 23 hours")),
        )
        if number == 6
        else (),
    )  # fmt: skip


_HABITS = (
    # id, title, area, person, part, kind, unit, target, times a week, cells
    ("sleep", "Sleep", "body", "ines", None, MarkKind.HOURS, "h", 7.0, None, "7.5 6 7"),
    ("stretch", "Stretch", "body", "ines", DayPart.MORNING, MarkKind.YES_NO, "", None, None,
     "yes no yes"),
    ("water", "Water", "body", "ines", None, MarkKind.COUNT, "glasses", 8.0, None, "8 5 ?"),
    ("read", "Read aloud", "lessons", "juno", DayPart.AFTERNOON, MarkKind.YES_NO, "", None, None,
     "yes yes ? . . - -"),
    ("scales", "Scales", "lessons", "pell", DayPart.AFTERNOON, MarkKind.MINUTES, "min", 15.0, 4,
     "20 . 15"),
    ("steps", "Steps", "body", "dov", None, MarkKind.COUNT, "steps", 8000.0, None, "9120 ? 4300"),
    ("till", "Count the till", "stall", "ines", DayPart.EVENING, MarkKind.YES_NO, "", None, None,
     ". . . . . _ ."),
    ("lights", "Lights out by half past ten", "body", "ines", DayPart.EVENING, MarkKind.YES_NO,
     "", None, None, "yes no no"),
)  # fmt: skip


def _cell(day: date, text: str, target: float | None) -> HabitCell:
    states = {
        ".": CellState.NOT_DUE,
        "-": CellState.PAUSED,
        "_": CellState.OPEN,
        "?": CellState.NOT_RECORDED,
        "no": CellState.MISSED,
    }
    if text in states:
        return HabitCell(day, states[text], "no" if text == "no" else "")
    short = target is not None and text != "yes" and float(text) < target
    return HabitCell(day, CellState.MISSED if short else CellState.MARKED, text)


def _habit(one: tuple[object, ...]) -> HabitRow:
    id_, title, area, person, part, kind, unit, target, times, cells = one
    texts = str(cells).split()
    texts += ["_"] * (7 - len(texts))
    made = tuple(
        _cell(MONDAY + timedelta(days=index), text, target)  # type: ignore[arg-type]
        for index, text in enumerate(texts)
    )
    return HabitRow(
        id=id_, title=title, area=area, person=person, part=part, kind=kind, unit=unit,  # type: ignore[arg-type]
        target=target, times_a_week=times, cells=made,  # type: ignore[arg-type]
        due=times or sum(cell.state not in (CellState.NOT_DUE, CellState.PAUSED) for cell in made),  # type: ignore[arg-type]
        marked=sum(cell.state is CellState.MARKED for cell in made),
        boxes=tuple(
            number for number, cell in enumerate(made, 1)
            if cell.state not in (CellState.NOT_DUE, CellState.PAUSED)
        ),
    )  # fmt: skip


def spread() -> Spread:
    """The whole of 2027-W12, what is only for some included."""
    return Spread(
        week=W12,
        days=tuple(day_of(number) for number in range(7)),
        habits=(
            *(_habit(one) for one in _HABITS),
            replace(_habit(("journal", "Secret journal", None, "ines", None, MarkKind.YES_NO, "",
                            None, None, "yes")), only_for=("ines",)),
        ),
        undated=(
            PlanTask("sheet", "Sales sheet for the year", area="stall", persons=("ines",),
                     estimate=300, due=date(2027, 3, 30), carried=3, overdue=False),
            PlanTask("rope", "New rope for the swing", area="home", waits_for="dry weather"),
            PlanTask("plan", "Secret plan", only_for=("ines",)),
        ),
        notes="Tamsin comes by the **10:42**; Dov sleeps until noon on Saturday.",
        decisions=(
            message("“{title}” has been carried {weeks} weeks: drop it, split it or give it a date",
                    title="Sales sheet for the year", weeks=3),
        ),
        own_decisions=((("ines",), message("Secret plan needs a date")),),
        plan=sample_plan.plan(),
    )  # fmt: skip


def quiet(week: IsoWeek, rule: WeekRule | None = None) -> Spread:
    """A week with next to nothing on it."""
    days = (rule or WeekRule()).days(week)
    return Spread(
        week=week,
        days=tuple(Day(day, week, 1440, occurrences=tuple(_whole_days(day))) for day in days),
    )


def month(which: Month, rule: WeekRule | None = None) -> MonthPlan:
    """A month with the days of W12 in it and the neighbours all but empty."""
    used = rule or WeekRule()
    full = {day.date: day for day in spread().days}
    start, weeks = used.start(which.first), []
    while start <= which.last:
        days = tuple(
            full.get(day) or _bare(day) for day in (start + timedelta(days=n) for n in range(7))
        )
        weeks.append((used.week_of(start), days))
        start += timedelta(days=7)
    spans = tuple(month_spans(days, lambda day: _bare(day).term_break) for _, days in weeks)
    return MonthPlan(which, tuple(weeks), spans, sample_plan.COMING_UP)


def _bare(day: date) -> Day:
    found = _whole_days(day)
    if day.weekday() == 5:
        stall = occurrence("Market stall", at(day, "07:30"), at(day, "13:30"), area="stall")
        found.append(DayOccurrence(stall, DayPart.MORNING))
    if day == date(2027, 2, 28):
        found.append(
            DayOccurrence(
                occurrence("Pell – birthday", day, day + timedelta(days=1), area="family"), None
            )
        )
    holidays = ("Easter Monday",) if day == date(2027, 3, 29) else ()
    return Day(day, IsoWeek.of(day), 1440, holidays=holidays, occurrences=tuple(found))


def _cells(row: HabitRow, shown: tuple[date, ...]) -> tuple[HabitCell, ...]:
    """The cells of the days shown, where these are not Monday to Sunday."""
    known = {cell.day: cell for cell in row.cells}
    return tuple(known.get(day) or HabitCell(day, CellState.NOT_DUE) for day in shown)


def inputs(
    locale: str = "en_GB", first: Weekday | None = None, paper: Paper | None = None
) -> SiteInput:
    """A site of three weeks and two months, one source of which is stale."""
    used = config(locale, first, paper)
    rule = week_rule(locale, "GB-ENG", first)
    refused = Problem(
        ProblemKind.SOURCE,
        message("the server answered {status}", status=503),
        Place(source="rota"),
        message("nothing to do if it answers again by tomorrow"),
    )
    week = spread()
    days = {day.date: day for day in week.days}
    shown = rule.days(W12)
    week = replace(
        week,
        days=tuple(days.get(day) or Day(day, W12, 1440) for day in shown),
        habits=tuple(replace(row, cells=_cells(row, shown)) for row in week.habits),
    )
    spreads = (quiet(W12.shifted(-1), rule), week, quiet(W12.shifted(1), rule))
    return SiteInput(
        config=used,
        language=Language(locale),
        weeks=spreads,
        months=(month(Month(2027, 3), rule), month(Month(2027, 4), rule)),
        today=TODAY,
        problems=(
            refused,
            Problem(
                ProblemKind.MISTAKE,
                message('due = "{value}" is no date', value="2027-02-30"),
                Place("tasks.toml", 14),
                message("write a day that exists, as {example}", example="2027-02-28"),
            ),
            Problem(
                ProblemKind.QUESTION,
                message("{source} is suddenly empty", source="Stall"),
                Place(source="stall"),
                message("weeksync pull --accept {source} takes the empty calendar", source="stall"),
            ),
            Problem(ProblemKind.NOTICE, message("the clocks change on {day}", day="28 March")),
        ),
        states=(
            SourceState("home", last_good=datetime(2027, 3, 24, 4, 30, tzinfo=UTC)),
            SourceState(
                "rota",
                last_tried=datetime(2027, 3, 24, 4, 30, tzinfo=UTC),
                last_good=datetime(2027, 3, 21, 4, 30, tzinfo=UTC),
                failed=True,
                problems=(refused,),
            ),
            SourceState("stall", last_good=datetime(2027, 3, 24, 4, 30, tzinfo=UTC)),
        ),
        left_out=(
            LeftOut(
                occurrence(
                    "Piano – Pell",
                    at(TODAY, "16:00"),
                    at(TODAY, "16:30"),
                    cancelled=True,
                ),
                LeftOutReason.CANCELLED,
            ),
        ),
        tzdata="2026f",
        version="0.1.0",
        own_weeks=spreads,
    )


def rule_of(locale: str) -> WeekRule:
    """How the sample's region shows weeks in that locale."""
    return week_rule(locale, "GB-ENG", None)
