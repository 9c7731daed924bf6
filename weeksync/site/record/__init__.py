"""Page records: all that a template gets to see, version 1.

A page is a template over one of the records named `…Page` and nothing else. Texts are ready to
show, in the household's language; what a template or a style sheet may want to decide by
(dates, ids, states, colours) stands beside them as plain values: dates as `2027-03-22`, instants
as ISO 8601 with an offset. A field of type `Markup` is HTML that has been cleaned; every other
text is plain and is escaped by the template. An absent text is "", an absent record None.

Later versions of weeksync add fields. One that is renamed, removed or given another meaning
raises `VERSION`, and the changelog says so.
"""

from weeksync.site.record.access import PinPage, SignInPage
from weeksync.site.record.base import VERSION, AreaMark, Link, Page, PersonMark, SourceLine, Stamp
from weeksync.site.record.enter import EnterBox, EnterItem, EnterList, EnterPage, EnterRow
from weeksync.site.record.form import (
    EditListPage,
    EditPage,
    EntryLine,
    EntryList,
    FormButton,
    FormField,
    FormFields,
    FormGroup,
    MistakeLine,
    Option,
    ServedPage,
    UndoLine,
)
from weeksync.site.record.lines import (
    BreakLine,
    EventLine,
    LessonLine,
    MoneyLine,
    PriorityLine,
    TaskLine,
)
from weeksync.site.record.lists import (
    AbsentPage,
    IndexPage,
    LeftOutGroup,
    LeftOutLine,
    MonthEntry,
    ProblemGroup,
    ProblemLine,
    ProblemsPage,
    WeekEntry,
)
from weeksync.site.record.month import MonthDay, MonthEvent, MonthPage, MonthRibbon, MonthWeek
from weeksync.site.record.own import (
    CheckInBox,
    CheckInPage,
    JournalBox,
    NoteBox,
    OwnWeekPage,
)
from weeksync.site.record.plan import (
    LessonBox,
    LessonRow,
    LoadLine,
    MeetLine,
    PlanBox,
    PlanLine,
    ProposedLine,
)
from weeksync.site.record.start import (
    FoundCalendar,
    StartOffer,
    StartPage,
    StartRow,
    StartStep,
)
from weeksync.site.record.style import StylePage, Tint
from weeksync.site.record.week import (
    DayBox,
    HabitCell,
    HabitLine,
    PartBox,
    RowLine,
    SmallMonth,
    SmallWeek,
    WeekPage,
)

__all__ = [
    "VERSION",
    "AbsentPage",
    "AreaMark",
    "BreakLine",
    "CheckInBox",
    "CheckInPage",
    "DayBox",
    "EditListPage",
    "EditPage",
    "EnterBox",
    "EnterItem",
    "EnterList",
    "EnterPage",
    "EnterRow",
    "EntryLine",
    "EntryList",
    "EventLine",
    "FormButton",
    "FormField",
    "FormFields",
    "FormGroup",
    "FoundCalendar",
    "HabitCell",
    "HabitLine",
    "IndexPage",
    "JournalBox",
    "LeftOutGroup",
    "LeftOutLine",
    "LessonBox",
    "LessonLine",
    "LessonRow",
    "Link",
    "LoadLine",
    "MeetLine",
    "MistakeLine",
    "MoneyLine",
    "MonthDay",
    "MonthEntry",
    "MonthEvent",
    "MonthPage",
    "MonthRibbon",
    "MonthWeek",
    "NoteBox",
    "Option",
    "OwnWeekPage",
    "Page",
    "PartBox",
    "PersonMark",
    "PinPage",
    "PlanBox",
    "PlanLine",
    "PriorityLine",
    "ProblemGroup",
    "ProblemLine",
    "ProblemsPage",
    "ProposedLine",
    "RowLine",
    "ServedPage",
    "SignInPage",
    "SmallMonth",
    "SmallWeek",
    "SourceLine",
    "Stamp",
    "StartOffer",
    "StartPage",
    "StartRow",
    "StartStep",
    "StylePage",
    "TaskLine",
    "Tint",
    "UndoLine",
    "WeekEntry",
    "WeekPage",
]
