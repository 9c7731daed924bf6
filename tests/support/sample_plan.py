"""What is worked out about the sample's week 2027-W12, as records made by hand.

Everything that is only for Ines has "Secret" in its title; bedtimes, balances, the side business
and the reasons of lighter days have words of their own, so that a test can look for them.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from weeksync.message import message
from weeksync.model.engagement import (
    Clash,
    ClashKind,
    Engagement,
    HandOver,
    SleepWindow,
    Worked,
)
from weeksync.model.fields import DayPart
from weeksync.model.money_item import MoneyItem, MoneyKind
from weeksync.model.snapshot import LineKind, SnapshotLine
from weeksync.model.week_plan import (
    Attendance,
    BusinessWeek,
    Carried,
    Change,
    ChangeKind,
    ComingUp,
    DayLoad,
    LessonTally,
    LighterDays,
    LowestBalance,
    Piece,
    Proposal,
    ProposedBreak,
    ProposedHabit,
    ProposedPriority,
    ProposedTask,
    Standing,
    UnassignedTask,
    WeekPlan,
)

LONDON = ZoneInfo("Europe/London")
MONDAY = date(2027, 3, 22)
NOW = datetime(2027, 3, 24, 9, tzinfo=UTC)
PRIVATE = ("Secret", "secret", "Tin box", "Lie-in", "after the fever", "bulletin", "1,234.56")
"""Words that stand in what is worked out and may be on no common page."""

_SECRET = ("ines",)


def at(number: int, hours: str) -> datetime:
    """A time on a day of the week, 0 Monday."""
    return datetime.combine(MONDAY + timedelta(number), time.fromisoformat(hours), LONDON)


def day(number: int) -> date:
    """A day of the week, 0 Monday."""
    return MONDAY + timedelta(number)


def engaged(
    person: str, title: str, number: int, begins: str, ends: str, only_for: tuple[str, ...] = ()
) -> Engagement:
    """An engagement that is an occurrence of the sample's home calendar."""
    start, end = at(number, begins), at(number, ends)
    uid = f"{title.casefold().replace(' ', '-')}@saltmere.invalid"
    return Engagement(person, title, start, end, start, end, "home", uid, only_for=only_for)


OPTICIAN = engaged("ines", "Optician – Ines", 0, "10:00", "10:40")
CALL = engaged("ines", "Call with Nana Brice (moved)", 0, "10:30", "11:15")
STALL = engaged("ines", "Market stall", 5, "07:30", "13:30")
SWIMMING = engaged("ines", "Swimming lesson – Juno", 5, "09:00", "10:00")
DAY_SHIFT = engaged("dov", "Dov day shift", 3, "07:00", "19:00")
TRADERS = engaged("ines", "Traders meeting", 3, "19:00", "20:30")
LESSONS = engaged("ines", "Home lessons (spring term)", 2, "09:30", "12:00")
CHOIR = engaged("ines", "Choir – Pell", 2, "18:30", "20:00")
SECRET_VISIT = engaged("ines", "Secret visit", 5, "09:30", "10:00", _SECRET)


def _clash(kind: ClashKind, number: int, minutes: int, first: Engagement, second: Engagement,
           only_for: tuple[str, ...] = ()) -> Clash:  # fmt: skip
    where = second.start if kind is ClashKind.CLASH else first.end
    return Clash(kind, "ines", day(number), where, minutes, first, second, only_for)


CLASHES = (
    _clash(ClashKind.CLASH, 0, 10, OPTICIAN, CALL),
    _clash(ClashKind.TIGHT, 2, 5, LESSONS, CHOIR),
    _clash(ClashKind.CLASH, 5, 60, STALL, SWIMMING),
    _clash(ClashKind.CLASH, 5, 30, STALL, SECRET_VISIT, _SECRET),
)

LOADS = tuple(
    DayLoad(person, day(number), free, free * 60 // 100, planned, to_move=moved)
    for person, number, free, planned, moved in (
        ("ines", 0, 645, 240, ()), ("ines", 1, 555, 540, ("term-report-pell",)),
        ("ines", 2, 480, 360, ("term-report-juno", "plan")), ("ines", 3, 510, 270, ()),
        ("ines", 4, 720, 90, ()), ("ines", 5, 390, 0, ()), ("ines", 6, 675, 0, ()),
        ("dov", 0, 720, 0, ()), ("dov", 2, 60, 0, ()), ("dov", 4, 0, 30, ()),
    )
)  # fmt: skip


def _task(task: str, title: str, standing: Standing, reason: str, pieces: tuple[Piece, ...] = (),
          person: str = "ines", only_for: tuple[str, ...] = ()) -> ProposedTask:  # fmt: skip
    return ProposedTask(
        task, title, person, standing, message(reason), 60, pieces=pieces, only_for=only_for
    )


def _piece(number: int, begins: str, ends: str, part: DayPart) -> Piece:
    return Piece(at(number, begins), at(number, ends), part)


PROPOSAL = Proposal(
    since=NOW,
    tasks=(
        _task("term-report-juno", "Term report Juno", Standing.CHOSEN, "chosen",
              (_piece(2, "12:10", "16:10", DayPart.AFTERNOON),)),
        _task("sheet", "Sales sheet for the year", Standing.LATE, "200 minutes are missing",
              (_piece(3, "08:00", "08:36", DayPart.MORNING),
               _piece(4, "12:00", "13:42", DayPart.AFTERNOON))),
        _task("mend-gate-latch", "Mend gate latch", Standing.PLACED, "120 of 396 minutes",
              (_piece(4, "08:00", "10:00", DayPart.MORNING),), "dov"),
        _task("rope", "New rope for the swing", Standing.UNPLACED, "waits for: dry weather"),
        _task("plan", "Secret plan", Standing.PLACED, "Secret reason",
              (_piece(4, "09:00", "09:30", DayPart.MORNING),), only_for=_SECRET),
        _task("over", "Of yesterday", Standing.PLACED, "too late to propose",
              (_piece(1, "09:00", "09:30", DayPart.MORNING),)),
    ),
    priorities=(
        ProposedPriority(day(4), "sheet", "Sales sheet for the year", message("due soon"),
                         ("ines",)),
        ProposedPriority(day(5), "plan", "Secret plan", message("Secret reason"), ("ines",),
                         _SECRET),
    ),
    habits=(
        ProposedHabit("scales", "Scales", "pell", (day(3), day(5)), message("most room")),
        ProposedHabit("stretch", "Stretch", "ines", (day(6),), message("after a night"),
                      DayPart.AFTERNOON),
        ProposedHabit("journal", "Secret journal", "ines", (day(4),), message("most room"),
                      only_for=_SECRET),
    ),
    breaks=(
        ProposedBreak("ines", at(3, "12:00"), 10, "open the window", message("after 150 minutes")),
        ProposedBreak("ines", at(4, "12:00"), 10, "Secret break", message("after"), _SECRET),
    ),
    late=1,
)  # fmt: skip


def _line(kind: LineKind, title: str, number: int, start: str = "", text: str = "") -> SnapshotLine:
    return SnapshotLine(kind, f"{kind}|{title}", day(number), title, start=start, text=text)


CHANGES = (
    Change(ChangeKind.MOVED, day(0), "Optician – Ines", persons=("ines",),
           was=_line(LineKind.EVENT, "Optician – Ines", 0, "09:30"),
           now=_line(LineKind.EVENT, "Optician – Ines", 0, "10:00")),
    Change(ChangeKind.CHANGED, day(3), "Meals",
           was=_line(LineKind.ROW, "Meals", 3, text="Lentil bake"),
           now=_line(LineKind.ROW, "Meals", 3, text="*Leek* tart")),
    Change(ChangeKind.NEW, day(4), "Secret visit", only_for=_SECRET,
           now=_line(LineKind.EVENT, "Secret visit", 4)),
)  # fmt: skip

COMING_UP = (
    ComingUp(date(2027, 4, 3), day(3), "Market stall", "Order jars", ("ines",)),
    ComingUp(date(2027, 4, 21), date(2027, 3, 31), "Nana's birthday", "Post the parcel"),
    ComingUp(date(2027, 4, 8), day(4), "Secret gift", "Choose it", ("ines",), only_for=_SECRET),
)

_BREAKFAST = engaged("ines", "Lie-in over", 4, "08:00", "08:30")


def plan() -> WeekPlan:
    """The whole plan of the week, what is only for some included."""
    return WeekPlan(
        loads=LOADS,
        unassigned=(
            UnassignedTask("rope", "New rope for the swing", day(4), 30),
            UnassignedTask("wrap", "Wrap the secret present", day(1), 30),
        ),
        clashes=CLASHES,
        hand_overs=(HandOver(day(3), at(3, "19:00"), 0, DAY_SHIFT, TRADERS),),
        worked=(Worked("ines", 450), Worked("dov", 2820), Worked("pell", 0)),
        sleep=(
            SleepWindow("ines", day(3), at(3, "22:30"), _BREAKFAST, 6.5,
                        message("advice for adults: 7 hours or more (bulletin of 2015)")),
        ),
        proposal=PROPOSAL,
        carried=(
            Carried("sheet", "Sales sheet for the year", 3, True, ("ines",)),
            Carried("plan", "Secret plan", 2, False, ("ines",), _SECRET),
        ),
        lighter=(
            LighterDays("dov", day(5), day(6), "after the fever",
                        pay_before=(
                            MoneyItem(MoneyKind.BILL, "pitch", "Stall pitch", day(4), day(4),
                                      123456, "GBP", collected=False),
                            MoneyItem(MoneyKind.BILL, "gift", "Secret present", day(4), day(4),
                                      1, "GBP", only_for=_SECRET),
                        ),
                        piled_up=("mend-gate-latch", "wrap"),
                        reserved=(("wrap", _SECRET),)),
        ),
        balances=(LowestBalance("Tin box", "GBP", day(0), day(6), day(2), 123456),),
        business=(BusinessWeek("GBP", 123456, 6600),),
        lessons=(LessonTally("pell", "Maths", "Spring term", 22, 10, 1, 11),),
        attendance=(Attendance("pell", "Spring term", 31, 15, 16),),
        coming_up=COMING_UP,
        confirmed=datetime(2027, 3, 21, 18, 40, tzinfo=UTC),
        changes=CHANGES,
    )  # fmt: skip
