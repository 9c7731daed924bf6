"""Sentences about a planned week, in the words of the terminal and the pages alike."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from weeksync.language import Language
from weeksync.language.plan_sentences import PlanSentences
from weeksync.message import message
from weeksync.model.config import Config
from weeksync.model.engagement import Clash, ClashKind, Engagement, SleepWindow
from weeksync.model.fields import DayPart
from weeksync.model.week_plan import (
    BusinessWeek,
    Carried,
    ComingUp,
    DayLoad,
    LighterDays,
    LowestBalance,
    PartLoad,
    Piece,
    UnassignedTask,
)
from weeksync.read.checked import checked

LONDON = ZoneInfo("Europe/London")
WEDNESDAY = date(2027, 3, 24)
CONFIG = checked(
    Config,
    {
        "format": 1,
        "household": {"name": "The Marlowicks", "time_zone": "Europe/London", "region": "GB-ENG"},
        "people": [{"id": "ines", "name": "Ines"}, {"id": "dov", "name": "Dov"}],
        "areas": [{"id": "home", "name": "Home", "colour": "moss", "letter": "H"}],
    },
)
SAY = PlanSentences(CONFIG, Language("en_GB"))


def at(hours: int, minutes: int = 0) -> datetime:
    """A time on the Wednesday."""
    return datetime(2027, 3, 24, hours, minutes, tzinfo=LONDON)


def engaged(title: str, start: datetime, end: datetime) -> Engagement:
    """An engagement of Ines."""
    return Engagement("ines", title, start, end, start, end)


FIRST = engaged("Market", at(9), at(10))
SECOND = engaged("Swimming", at(10), at(11))


@pytest.mark.parametrize(
    ("kind", "minutes", "said"),
    [
        (ClashKind.CLASH, 5, "Ines, Wed 24 Mar 10:00: “Market” and “Swimming” overlap by "
                             "5 minutes"),
        (ClashKind.TIGHT, 5, "Ines, Wed 24 Mar 10:00: 5 minutes between “Market” and “Swimming” "
                             "are tight"),
        (ClashKind.TOUCHING, 0, "Ines, Wed 24 Mar 10:00: “Swimming” begins when “Market” ends"),
    ],
)  # fmt: skip
def test_how_engagements_meet(kind: ClashKind, minutes: int, said: str) -> None:
    """Clash, tight and touching have sentences of their own."""
    assert SAY.clash(Clash(kind, "ines", WEDNESDAY, at(10), minutes, FIRST, SECOND)) == said


def test_one_minute_is_singular() -> None:
    """In sentences about what meets and about tasks that are nobody's."""
    clash = Clash(ClashKind.CLASH, "ines", WEDNESDAY, at(10), 1, FIRST, SECOND)
    assert SAY.clash(clash).endswith("overlap by 1 minute")
    tight = clash._replace(kind=ClashKind.TIGHT)
    assert SAY.clash(tight).endswith("1 minute between “Market” and “Swimming” is tight")
    task = UnassignedTask("rope", "New rope", WEDNESDAY, 1)
    assert SAY.unassigned(task) == "Wed 24 Mar: “New rope”, 1 minute, is nobody's"


def test_three_at_one_moment_are_told_and_two_are_not() -> None:
    """Two at one moment are told by their clash already."""
    loads = [DayLoad("ines", WEDNESDAY, 0, 0, 0, overlap=count) for count in (0, 1, 2, 3)]
    assert list(SAY.at_once(loads)) == ["Ines, Wed 24 Mar: 3 at one moment at most"]


def test_minutes_of_the_parts_of_a_day() -> None:
    """Free and planned ones beside their sums; a part without any is left out."""
    parts = (
        PartLoad(DayPart.MORNING, 90, 0),
        PartLoad(DayPart.AFTERNOON, 270, 240),
        PartLoad(DayPart.EVENING, 120, 0),
    )
    load = DayLoad("ines", WEDNESDAY, 480, 288, 360, parts)
    assert SAY.load(load, parts=True) == (
        "480 free (morning 90, afternoon 270, evening 120), 288 to plan, "
        "360 planned (afternoon 240)"
    )
    assert SAY.load(load) == SAY.load(load, 288) == "480 free, 288 to plan, 360 planned"
    assert SAY.load(load, 249) == "480 free, 288 to plan (249 of them still to come), 360 planned"
    nothing = DayLoad("ines", WEDNESDAY, 0, 0, 0, tuple(PartLoad(part, 0, 0) for part in DayPart))
    assert SAY.load(nothing, parts=True) == "0 free, 0 to plan, 0 planned"


def test_minutes_of_a_day() -> None:
    """What is free, to plan, planned; what is too much, and what to move where that is known."""
    assert SAY.load(DayLoad("ines", WEDNESDAY, 480, 288, 360)) == (
        "480 free, 288 to plan, 360 planned"
    )
    assert SAY.too_much(72) == "72 too much"
    assert SAY.too_much(72, ["Report", "Parcel"]) == "72 too much; move “Report” and “Parcel”"
    assert SAY.hours(450) == "7 h 30 min"
    assert SAY.hours(2820) == "47 h"
    task = UnassignedTask("rope", "New rope", WEDNESDAY, 30)
    assert SAY.unassigned(task) == "Wed 24 Mar: “New rope”, 30 minutes, is nobody's"


def test_pieces_have_a_day_and_times() -> None:
    """From-to as the locale joins a range."""
    said = SAY.pieces((Piece(at(9), at(10), DayPart.MORNING),))
    assert said.startswith("Wed 24 Mar 09:00")
    assert said.endswith("10:00")


def test_bedtimes_that_are_alike_share_a_line() -> None:
    """Two evenings in one sentence; the note is told once, after them."""
    note = message("for adults 7 hours or more are advised")
    evenings = [SleepWindow("ines", at(22).date() - back, at(22, 30) - back, FIRST, 6.5, note)
                for back in (timedelta(days=1), timedelta(0))]  # fmt: skip
    short = SleepWindow("dov", WEDNESDAY, at(23), SECOND, 7, room=120)
    assert list(SAY.bedtimes([*evenings, short])) == [
        "Ines: by 22:30 for 6.5 hours before “Market” (Tue 23 Mar and Wed 24 Mar)",
        "Dov: 120 minutes are left for sleep before “Swimming” (Wed 24 Mar)",
        "for adults 7 hours or more are advised",
    ]


def test_the_day_of_a_bedtime_after_the_evening() -> None:
    """After a night of work one sleeps on the next day, and that is the day named."""
    late = SleepWindow("ines", WEDNESDAY - timedelta(days=1), at(8), SECOND, 7)
    assert list(SAY.bedtimes([late])) == [
        "Ines: by 08:00 for 7 hours before “Swimming” (Wed 24 Mar)"
    ]


def test_lighter_days_name_only_tasks_with_a_title() -> None:
    """What is hidden from the reader has no title there, and is passed over."""
    one = LighterDays("dov", WEDNESDAY, date(2027, 3, 25), "two nights",
                      lessons=(("maths", WEDNESDAY),), piled_up=("latch", "secret"))  # fmt: skip
    assert list(SAY.lighter(one, {"latch": "Mend gate latch"})) == [
        "Dov, 24\u2009–\u200925 Mar 2027: two nights",
        "1 lesson to make up",
        "piled up: “Mend gate latch”; weeksync carry --spread or --park settles it",
    ]


def test_tasks_money_and_what_comes_up() -> None:
    """The terminal puts the letters of people behind the title, pages mark them otherwise."""
    assert SAY.carried(Carried("t", "Sales sheet", 3, True), " [I]") == (
        "Sales sheet [I]: carried 3 weeks; to be decided: weeksync carry"
    )
    balance = LowestBalance("House", "GBP", WEDNESDAY, None, WEDNESDAY, 58390, unknown=1)
    assert SAY.balance(balance) == (
        "House: £583.90 at the lowest, on Wed 24 Mar (1 item has no amount)"
    )
    assert SAY.business(BusinessWeek("", 5, 0)) == "side business: 5 in, 0 out"
    parcel = ComingUp(date(2027, 4, 21), WEDNESDAY, "Nana's birthday", "Post the parcel")
    assert SAY.coming_up(parcel, SAY.letters(["ines"])) == (
        "begin Wed 24 Mar: Post the parcel: Nana's birthday [I] (Wed 21 Apr)"
    )
    assert SAY.room(1, "2027-W12") == "1 task has room: weeksync propose 2027-W12"
    assert SAY.late(2) == "at least 2 tasks will be late"
