"""Planning a week by forms: each deed is the one of its command, and nothing is lost on the way."""

from __future__ import annotations

import re
import shutil
import tomllib
from datetime import UTC, date, datetime
from html import unescape
from pathlib import Path

import pytest

from tests.support.households import write_household
from weeksync import demo
from weeksync.cli import main
from weeksync.household import read_household
from weeksync.model.household import latest_marks
from weeksync.model.week import IsoWeek
from weeksync.serve.desk import FormPage, GoTo, Sender, Unlock
from weeksync.site.plan_evening_steps import NAMES
from weeksync.workflow import evening
from weeksync.workflow.access import access_of
from weeksync.workflow.context import Context
from weeksync.workflow.undo import steps, take_back

SUNDAY = datetime(2027, 3, 28, 17, tzinfo=UTC)
"""Sunday evening in the demo, by then in summer time."""
W12, W13 = IsoWeek.parse("2027-W12"), IsoWeek.parse("2027-W13")
COMMON = Sender("kitchen", None)


def plain(page: FormPage) -> str:
    """The text of a page, without the signs that keep the order of scripts (UAX 9)."""
    return re.sub("[\u2066-\u2069]", "", unescape(page.content.decode()))


class Household:
    """The demo household on that evening, and who sends forms to it."""

    def __init__(self, folder: Path, sender: Sender = COMMON) -> None:
        self.folder = folder
        self.sender = sender
        self.now = SUNDAY

    @property
    def context(self) -> Context:
        """The household as its files are now."""
        return Context.read(self.folder, self.now)

    @property
    def files(self):  # type: ignore[no-untyped-def]  # the record, as it is read
        """What stands in its files."""
        return read_household(self.folder)

    def page(self, step: str, week: str = "2027-W13", **query: str) -> str:
        """The text of the page at a step."""
        answer = evening.show(self.context, week, {"step": step, **query}, self.sender)
        assert isinstance(answer, FormPage)
        return plain(answer)

    def send(self, do: str, **fields: str | tuple[str, ...]) -> FormPage | GoTo | Unlock | None:
        """What becomes of a form; a name may be written with _ for -."""
        given = {
            name.replace("_", "-"): (value,) if isinstance(value, str) else value
            for name, value in fields.items()
        }
        return evening.take(self.context, "2027-W13", {"do": (do,), **given}, self.sender)

    def task(self, name: str, step: str = "loose") -> str:
        """What a form of that step sends for a task."""
        found = re.search(rf'value="({re.escape(name)}\|[0-9a-f]*)"', self.page(step, task=name))
        assert found is not None, name
        return found[1]

    def placed(self, week: IsoWeek = W13) -> dict[str, tuple[date, str | None]]:
        """Task → (day, part) in the file of a week."""
        return {
            one.task: (one.date, one.part.value if one.part else None)
            for one in self.files.weeks[week].placed
        }


@pytest.fixture(scope="module")
def pulled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo household with its calendars."""
    folder = demo.copy_to(tmp_path_factory.mktemp("demo") / "home")
    assert main(["pull", "--household", str(folder), "--now", SUNDAY.isoformat()]) == 0
    return folder


@pytest.fixture
def home(pulled: Path, tmp_path: Path) -> Household:
    """A copy of it for one test."""
    return Household(Path(shutil.copytree(pulled, tmp_path / "home")))


def went_on(answer: object, step: str) -> None:
    """The deed was done, and the page goes on at that step."""
    assert isinstance(answer, GoTo), getattr(answer, "content", answer)
    assert answer.address.startswith(f"/plan/2027-W13?step={step}")


def refused(answer: object, status: int) -> str:
    """The text of the page that says why nothing was done."""
    assert isinstance(answer, FormPage)
    assert answer.status == status
    return plain(answer)


# The address


@pytest.mark.parametrize(
    ("day", "week"), [(24, "2027-W12"), (26, "2027-W13"), (28, "2027-W13"), (29, "2027-W13")]
)
def test_the_plain_address_leads_to_the_week_that_is_planned_now(
    home: Household, day: int, week: str
) -> None:
    """From Friday on to the coming one."""
    home.now = SUNDAY.replace(day=day)
    assert evening.show(home.context, "", {}, COMMON) == GoTo(f"/plan/{week}")


def test_a_new_household_begins_with_what_is_coming(tmp_path: Path) -> None:
    """Not with closing a week in which it was not there yet."""
    new = Household(write_household(tmp_path / "new"))
    heading = 'id="step-heading" tabindex="-1">'
    assert f"{heading}What is coming" in new.page("")
    (new.folder / "weeks").mkdir()
    (new.folder / "weeks" / "2027-W12.toml").write_text('format = 1\nnotes = "Moved in."\n')
    assert f"{heading}Close the week" in new.page("")


def test_an_evening_begins_where_something_is_left(home: Household) -> None:
    """The first step of the last week with something to ask."""
    answer = evening.show(home.context, "2027-W13", {}, COMMON)
    assert isinstance(answer, FormPage)
    assert b'aria-labelledby="step-heading"' in answer.content
    assert 'id="step-heading" tabindex="-1">Loose ends' in plain(answer)
    assert evening.show(home.context, "nonsense", {}, COMMON) is None


def test_a_week_that_is_over_or_closed_is_not_planned_again(home: Household) -> None:
    """A clear word, and the way to one that can be planned."""
    over = evening.show(home.context, "2027-W11", {}, COMMON)
    assert "2027-W11 is over" in refused(over, 409)
    went_on(home.send("close"), "close")
    closed = refused(evening.show(home.context, "2027-W12", {}, COMMON), 409)
    assert "2027-W12 is closed" in closed
    assert 'href="/plan/2027-W13"' in closed
    sent = evening.take(home.context, "2027-W12", {"do": ("accept-all",)}, COMMON)
    assert "2027-W12 is closed" in refused(sent, 409)


# Loose ends


def test_loose_ends_are_those_left_over_and_those_of_the_ending_week(home: Household) -> None:
    """What has been carried long enough comes first; what was only due this week is there, too."""
    page = home.page("loose")
    titles = re.findall(r"<bdi>([^<]+)</bdi>", page[page.index("step-heading") :])
    assert titles[0] == "VAT-style sales sheet"
    assert "Term report Pell" in page
    assert "13 left" in page


@pytest.mark.parametrize(
    ("do", "fields", "key", "value"),
    [
        ("done", {}, "done", date(2027, 3, 28)),
        ("drop", {}, "dropped", date(2027, 3, 28)),
        ("date", {"date": "2027-04-20"}, "day", date(2027, 4, 20)),
        ("park", {"until": "2027-05-01"}, "not_before", date(2027, 5, 1)),
    ],
)
def test_a_loose_end_is_done_dropped_dated_or_set_aside(
    home: Household, do: str, fields: dict[str, str], key: str, value: date
) -> None:
    """Its entry says so, it is asked about no more, and all of it can be taken back."""
    before = (home.folder / "tasks.toml").read_bytes()
    went_on(home.send(do, task=home.task("sales-sheet"), **fields), "loose")
    (task,) = (one for one in home.files.tasks if one.id == "sales-sheet")
    assert getattr(task, key) == value
    assert (
        "VAT-style sales sheet"
        not in home.page("loose").partition("week-days")[0].partition('id="step-heading"')[2]
    )
    take_back(home.context, steps(home.context)[0].token)
    assert (home.folder / "tasks.toml").read_bytes() == before


def test_a_loose_end_is_put_where_there_is_room_or_on_a_day(home: Household) -> None:
    """As proposed, and by the table of buttons."""
    went_on(home.send("proposed", task=home.task("sales-sheet")), "loose")
    assert home.placed()["sales-sheet"][0] == date(2027, 4, 2)
    went_on(home.send("to", task=home.task("gate-latch"), to="2027-03-31/evening"), "loose")
    assert home.placed()["gate-latch"] == (date(2027, 3, 31), "evening")


def test_a_loose_end_is_split_and_its_mistakes_are_told(home: Household) -> None:
    """Two parts at least; minutes are a number."""
    task = home.task("sales-sheet")
    one = refused(home.send("split", task=task, part_0="Only one"), 422)
    assert "write at least two parts" in one
    assert 'value="Only one"' in one
    for minutes in ("soon", "1" * 5000):
        wrong = home.send("split", task=task, part_0="One", part_1="Two", minutes_0=minutes)
        assert "number of minutes" in refused(wrong, 422)
    went_on(home.send("split", task=task, part_0="Stubs", part_1="Sums", minutes_1="40"), "loose")
    titles = {one.title: one.estimate for one in home.files.tasks if one.open}
    assert (titles["Stubs"], titles["Sums"]) == (None, 40)


def test_a_loose_end_that_is_left_is_not_asked_about_twice(home: Household) -> None:
    """The file of the week that it was left over from says so; the task is as it was."""
    before = (home.folder / "tasks.toml").read_bytes()
    went_on(home.send("leave", task=home.task("kite")), "loose")
    assert (home.folder / "tasks.toml").read_bytes() == before
    assert [one.what for one in home.files.weeks[W12].settled] == ["task:kite"]
    assert "12 left" in home.page("loose")


@pytest.mark.parametrize(
    ("do", "field", "value", "said"),
    [
        ("date", "date", "soon", "is no date"),
        ("date", "date", "2027-03-01", "is over"),
        ("date", "date", "2999-01-01", "too far away"),
        ("date", "date", "0001-01-01", "is over"),
        ("park", "until", "2027-03-28", "is today"),
        ("to", "to", "2027-03-22/morning", "days that are to come"),
        ("to", "to", "2027-03-30/midnight", "part of the day"),
    ],
)
def test_what_cannot_be_is_said_beside_its_field(
    home: Household, do: str, field: str, value: str, said: str
) -> None:
    """Nothing is written then."""
    before = home.files
    page = refused(home.send(do, task=home.task("sales-sheet"), **{field: value}), 422)
    assert said in page
    assert "VAT-style sales sheet" in page
    assert home.files == before


# Two at once


def test_what_somebody_else_has_done_meanwhile_is_shown_and_can_be_done_all_the_same(
    home: Household,
) -> None:
    """409: nothing is written, both are told; sent again on purpose, it is done."""
    mine = home.task("sales-sheet")
    went_on(home.send("to", task=mine, to="2027-03-30/morning"), "loose")
    page = refused(home.send("to", task=mine, to="2027-03-31/evening"), 409)
    assert "has been put on" in page
    assert "30 Mar" in page
    assert home.placed()["sales-sheet"] == (date(2027, 3, 30), "morning")
    form = page.partition("Do it all the same")[0].rpartition("<form")[2]
    hidden = re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)">', form)
    again = {name: (value,) for name, value in hidden}
    went_on(evening.take(home.context, "2027-W13", again, COMMON), "loose")
    assert home.placed()["sales-sheet"] == (date(2027, 3, 31), "evening")


def test_two_people_who_place_different_tasks_are_not_in_each_others_way(home: Household) -> None:
    """Both pages were made before either of them was sent."""
    mine, yours = home.task("gate-latch", "days"), home.task("sales-sheet", "days")
    went_on(home.send("place", task=mine, to="2027-03-30/morning"), "days")
    went_on(home.send("place", task=yours, to="2027-03-30/afternoon"), "days")
    assert {"gate-latch", "sales-sheet"} <= set(home.placed())


def test_a_task_that_was_done_meanwhile_by_hand_is_gone(home: Household) -> None:
    """A file edited in an editor between page and form."""
    mine = home.task("sales-sheet")
    path = home.folder / "tasks.toml"
    text = path.read_text("utf-8")
    at = text.index('id = "sales-sheet"')
    path.write_text(f"{text[:at]}done = 2027-03-28\n{text[at:]}", "utf-8")
    edited = path.read_bytes()
    page = refused(home.send("drop", task=mine), 409)
    assert "<bdi>“VAT-style sales sheet” is done</bdi>" in page
    assert "Drop “VAT-style sales sheet”" in page
    assert path.read_bytes() == edited


def test_a_file_with_a_mistake_is_left_as_it_is(home: Household) -> None:
    """The deed is not done, and the page says which file it is."""
    mine = home.task("gate-latch", "days")
    path = home.folder / "weeks" / "2027-W13.toml"
    path.write_text(path.read_text("utf-8") + "\nnonsense = [\n", "utf-8")
    broken = path.read_bytes()
    answer = home.send("place", task=mine, to="2027-03-30/morning")
    page = refused(answer, 409)
    assert "weeks/2027-W13.toml" in page
    assert "“Mend gate latch” is planned for Tue 30 Mar" in page
    assert path.read_bytes() == broken


# The rest of the last week


def test_blanks_are_missed_or_not_recorded_and_asked_about_once(home: Household) -> None:
    """What nobody says stays not recorded, which is not missed."""
    assert "day-card" in home.page("marks")
    went_on(home.send("marks", **{"blank-day-card": "missed"}), "marks")
    marks = latest_marks(home.files.marks)
    assert {day for (thing, day), one in marks.items()
            if thing == "day-card" and one.value == "no"} >= {date(2027, 3, 24),
                                                               date(2027, 3, 25)}  # fmt: skip
    assert ("clear-table", date(2027, 3, 25)) not in marks
    assert "There is nothing to fill in" in home.page("marks")


def test_a_lesson_gets_a_day_or_is_let_be(home: Household) -> None:
    """With a day it is on the plan of that day; let be, nobody asks again this week."""
    page = home.page("lessons")
    assert re.search(r'value="2027-03-29">Mon 29 Mar[^<]* <small><bdi>Easter Monday</bdi>', page)
    assert re.search(r"<small><bdi>Ines, [0-9]+ min left</bdi></small>", page)
    was = re.findall(r'name="was" value="([0-9a-f]+)"', page)
    answer = home.send("make-up", lesson="pell-english", was=was[0], make_up="2027-04-05")
    went_on(answer, "lessons")
    (english,) = (one for one in home.files.lessons if one.id == "pell-english")
    assert english.make_up == (date(2027, 4, 5),)
    went_on(home.send("make-up", lesson="juno-maths", let="be"), "lessons")
    assert "1 left" in home.page("lessons")
    stale = home.send("make-up", lesson="pell-english", was=was[0], make_up="2027-04-06")
    assert "has been changed meanwhile" in refused(stale, 409)


def test_a_bill_is_paid_or_not_yet_and_amounts_stay_behind_the_pin(home: Household) -> None:
    """Locked, no amount is shown or taken; unlocked, one that differed is written down."""
    page = home.page("bills")
    assert "Milk and eggs" in page
    assert 'name="amount"' not in page
    (bill, *_), (was, *_) = (
        re.findall(rf'name="{name}" value="([^"]+)"', page) for name in ("bill", "was")
    )
    went_on(home.send("paid", bill=bill, was=was, on="2027-03-27", amount="9.99"), "bills")
    (milk,) = (one for one in home.files.bills if one.id == "milk")
    assert (milk.paid[-1].on, milk.paid[-1].amount) == (date(2027, 3, 27), None)
    home.sender = Sender("kitchen", "ines")
    page = home.page("bills")
    assert 'name="amount"' in page
    (bill,), (was,) = (
        re.findall(rf'name="{name}" value="([^"]+)"', page) for name in ("bill", "was")
    )
    wrong = home.send("paid", bill=bill, was=was, on="2027-03-28", amount="much")
    assert "write an amount as" in refused(wrong, 422)
    went_on(home.send("paid", bill=bill, was=was, on="2027-03-28", amount="9.99"), "bills")
    (milk,) = (one for one in home.files.bills if one.id == "milk")
    assert milk.paid[-1].amount == 999
    assert "No bill is waiting" in home.page("bills")


def test_answers_are_written_and_shown_to_who_unlocked_only(home: Household) -> None:
    """Whoever answers without a PIN adds below what stands there, and reads nothing of it."""
    first = home.send("answers", person="ines", answer_0="The four of us.", answer_1="")
    went_on(first, "questions")
    assert "The four of us." not in home.page("questions")
    assert "answered by Ines" in home.page("questions")
    went_on(home.send("answers", person="ines", answer_0="And the garden."), "questions")
    home.sender = Sender("kitchen", "ines")
    assert "And the garden." in home.page("questions")
    text = (home.folder / "reviews" / "2027-W12.md").read_text("utf-8")
    assert "The four of us." in text
    assert "And the garden." in text
    assert "write an answer" in refused(home.send("answers", answer_0=" "), 422)


def test_a_week_closed_twice_stays_as_it_was_closed(home: Household) -> None:
    """On its last evening, too; opened again, it can be closed again."""
    assert "ends tonight" in home.page("close")
    went_on(home.send("done", task=home.task("sales-sheet")), "loose")
    answer = home.send("close")
    went_on(answer, "close")
    assert isinstance(answer, GoTo)
    assert "&told=closed" in answer.address
    told = home.page("close", told="closed")
    assert "2027-W12 is closed</bdi>" in told
    assert "Take it back" not in told, "what was done before is not what was done now"
    path = home.folder / "archive" / "2027-W12.json"
    record = path.read_bytes()
    again = refused(home.send("close"), 409)
    assert "2027-W12 is closed already, since 28 Mar 2027, 18:00" in again
    assert "Take it back" not in again
    assert path.read_bytes() == record
    assert "Week 12 is closed since" in home.page("close")
    went_on(home.send("reopen"), "close")
    assert not path.exists()
    assert "2027-W12 is closed</bdi>" not in home.page("close", told="closed")
    home.now = SUNDAY.replace(day=26)
    assert "goes on until" in home.page("close")
    assert "can be closed from" in refused(home.send("close"), 422)


# The week to come


def test_what_is_coming_is_told_before_anything_is_placed(home: Household) -> None:
    """Clashes, and what needs lead time."""
    page = home.page("ahead")
    assert "“Market stall” and “Swimming lesson - Juno” overlap by 60 minutes" in page
    assert "Post the parcel" in page


def test_one_proposal_is_taken_with_its_priority_and_all_of_them(home: Household) -> None:
    """As far as its day has room for a priority."""
    went_on(home.send("accept", task=home.task("term-report-pell", "days")), "days")
    assert home.placed()["term-report-pell"][0] == date(2027, 3, 29)
    days = {one.date: one.priorities for one in home.files.weeks[W13].days}
    assert days[date(2027, 3, 29)] == ("Wave Tamsin off", "term-report-pell")
    went_on(home.send("accept-all"), "days")
    assert {"sales-sheet", "gate-latch", "bins-wash"} <= set(home.placed())
    assert max(len(one.priorities) for one in home.files.weeks[W13].days) == 2
    assert "Nothing is proposed any more" in refused(home.send("accept-all"), 409)
    assert home.files.weeks[W13].breaks == read_household(home.folder).weeks[W13].breaks


def test_a_task_is_placed_moved_made_a_priority_and_taken_off(home: Household) -> None:
    """Its places are replaced, never doubled; undo brings each step back."""
    went_on(home.send("place", task=home.task("gate-latch", "days"), to="2027-03-30/evening"),
            "days")  # fmt: skip
    went_on(home.send("place", task=home.task("gate-latch", "days"), to="2027-04-03"), "days")
    assert home.placed()["gate-latch"] == (date(2027, 4, 3), None)
    went_on(home.send("place", task=home.task("gate-latch", "days"), to="2027-04-03/priority"),
            "days")  # fmt: skip
    days = {one.date: one.priorities for one in home.files.weeks[W13].days}
    assert days[date(2027, 4, 3)] == ("gate-latch",)
    went_on(home.send("off", task=home.task("gate-latch", "days")), "days")
    assert "gate-latch" not in home.placed()
    take_back(home.context, steps(home.context)[0].token)
    assert home.placed()["gate-latch"] == (date(2027, 4, 3), None)


def test_a_day_has_two_priorities_and_no_third(home: Household) -> None:
    """In words of one's own, or a task; one is taken off before another is put on."""
    went_on(home.send("matter", day="2027-03-29", text="Rest  a while"), "days")
    third = home.send("matter", day="2027-03-29", text="And more")
    assert "take one off first" in refused(third, 422)
    went_on(home.send("matter-off", day="2027-03-29", text="Wave Tamsin off"), "days")
    days = {one.date: one.priorities for one in home.files.weeks[W13].days}
    assert days[date(2027, 3, 29)] == ("Rest a while",)
    gone = home.send("matter-off", day="2027-03-29", text="Wave Tamsin off")
    assert "has it no more" in refused(gone, 409)
    assert "write what matters" in refused(home.send("matter", day="2027-03-30", text=" "), 422)


def test_a_day_that_is_too_full_says_by_how_much(home: Household) -> None:
    """And what to move."""
    for name in ("sales-sheet", "stall-stock-count"):
        went_on(home.send("place", task=home.task(name, "days"), to="2027-03-31/morning"), "days")
    page = home.page("days")
    assert "162 min too much" in page
    assert "move “" in page


def test_lighter_days_are_somebodys_and_can_be_taken_away(home: Household) -> None:
    """Dates in the week, and in their order."""
    given = {"start": "2027-03-29", "end": "2027-03-30", "reason": "after the nights"}
    assert "say of whom" in refused(home.send("lighter", **given), 422)
    wrong = home.send("lighter", person=("dov",), start="2027-03-30", end="2027-03-29")
    assert "before the first" in refused(wrong, 422)
    went_on(home.send("lighter", person=("dov", "ines"), **given), "habits")
    (lighter,) = home.files.weeks[W13].lighter
    assert lighter.person == ("ines", "dov")
    value = re.search(r'name="lighter" value="([^"]+)"', home.page("habits"))
    assert value is not None
    went_on(home.send("lighter-off", lighter=value[1]), "habits")
    assert home.files.weeks[W13].lighter == ()


# Rows and notes


def form_of(page: str) -> dict[str, tuple[str, ...]]:
    """The fields of the form of rows as a browser would send them untouched."""
    form = page[page.index("rows-form") :].partition("</form>")[0]
    hidden = re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)">', form)
    texts = re.findall(r'<textarea[^>]* name="([^"]+)"[^>]*>\n?(.*?)</textarea>', form, re.S)
    return {name: (value,) for name, value in [*hidden, *texts]}


def test_only_cells_that_were_changed_are_written(home: Household) -> None:
    """Untouched, nothing is; a new row needs a name."""
    path = home.folder / "weeks" / "2027-W13.toml"
    before = path.read_bytes()
    fields = form_of(home.page("rows"))
    went_on(evening.take(home.context, "2027-W13", fields, COMMON), "rows")
    assert path.read_bytes() == before
    unnamed = {**fields, "new-monday": ("Rye",)}
    page = refused(evening.take(home.context, "2027-W13", unnamed, COMMON), 422)
    assert "give the new row a name" in page
    assert "Rye" in page
    named = {**unnamed, "new": ("Loaves",), "row-0-tuesday": ("Pie",), "notes": ("Quiet.\n\nYes",)}
    went_on(evening.take(home.context, "2027-W13", named, COMMON), "rows")
    file = home.files.weeks[W13]
    assert {row.title: dict(row.cells) for row in file.rows} == {
        "Meals": {"monday": "What is left of Sunday", "tuesday": "Pie",
                  "wednesday": "Early, before choir: rice"},
        "Loaves": {"monday": "Rye"},
    }  # fmt: skip
    assert file.notes == "Quiet.\n\nYes"


def test_a_cell_that_two_have_written_keeps_both_in_sight(home: Household) -> None:
    """What was typed stands in the field, what stands in the file beside it; saved again, it is
    mine, and the other cell of theirs stays."""
    fields = form_of(home.page("rows"))
    theirs = {**fields, "row-0-tuesday": ("Their pie",), "row-0-friday": ("Their fish",)}
    went_on(evening.take(home.context, "2027-W13", theirs, COMMON), "rows")
    mine = {**fields, "row-0-tuesday": ("My soup",), "row-0-thursday": ("My beans",)}
    page = refused(evening.take(home.context, "2027-W13", mine, COMMON), 409)
    assert "Their pie" in page
    assert "My soup" in page
    again = form_of(page)
    assert again["row-0-friday"] == ("Their fish",)
    went_on(evening.take(home.context, "2027-W13", again, COMMON), "rows")
    (meals,) = (row for row in home.files.weeks[W13].rows if row.title == "Meals")
    assert [meals.cells[day] for day in ("tuesday", "thursday", "friday")] == [
        "My soup", "My beans", "Their fish",
    ]  # fmt: skip


def test_a_week_that_is_agreed_on_lists_what_changes_after_it(home: Household) -> None:
    """From that moment on, as after `weeksync confirm`."""
    assert "say that it is agreed on" in home.page("done")
    assert "weeksync print 2027-W13" in home.page("done")
    own = re.findall(r'<p class="reason"><bdi>([^<]+)', home.page("days"))
    assert "proposed where it stood" not in home.page("days")
    went_on(home.send("agree"), "done")
    days = home.page("days")
    assert days.count("proposed where it stood") == 1
    assert re.findall(r'<p class="reason"><bdi>([^<]+)', days) == own
    assert "2027-W13 is agreed on</bdi>" in home.page("done", told="agreed")
    assert "What has changed since 28 Mar 2027, 18:00" in home.page("done")
    assert (home.folder / "snapshots" / "2027-W13.json").exists()


def test_two_weeks_ahead_there_is_nothing_to_look_back_on(home: Household) -> None:
    """Bills are those of this week, and no question is asked of a week that has not begun."""
    assert "Week 14 has not begun" in home.page("questions", "2027-W15")
    assert home.page("bills", "2027-W15").count("It is paid") == 2


# Who may see what


def test_what_is_only_for_somebody_is_on_no_page_but_theirs(home: Household) -> None:
    """Tasks and habits with their titles, whatever the step; unlocked, they can be placed."""
    reserved = [one for one in home.files.tasks if one.only_for and one.open]
    assert reserved, "the demo has a task that is only for somebody"
    hidden = [one.title for one in reserved] + ["A page for the letter drawer"]
    for step in NAMES:
        page = home.page(step)
        assert [title for title in hidden if title in page] == []
    one = reserved[0]
    assert "no longer open" in refused(
        home.send("place", task=f"{one.id}|", to="2027-03-30/morning"), 409
    )
    home.sender = Sender("kitchen", one.only_for[0])
    assert one.title in home.page("days")
    went_on(home.send("place", task=home.task(one.id, "days"), to="2027-03-30/evening"), "days")
    assert steps(home.context) == ()
    assert len(steps(home.context, one.only_for[0])) == 1


def test_anothers_pay_has_no_amount_on_the_page_of_who_unlocked(home: Household) -> None:
    """As on pages of one's own: what is everybody's and one's own has one."""
    home.sender = Sender("kitchen", "ines")
    home.now = SUNDAY.replace(day=21)
    week = home.page("done", "2027-W12").partition('class="week-days"')[2]
    assert "£312.00" in week  # the four-weekly pay of Ines
    assert "£1,890.00" not in week  # that of Dov
    home.sender = COMMON
    assert "£" not in home.page("done", "2027-W12")


@pytest.mark.parametrize("locale", ["en_GB", "de_DE", "ar_EG", "en_US"])
def test_a_household_with_nothing_in_it_gets_through_the_evening(
    tmp_path: Path, locale: str
) -> None:
    """Whatever its language, its first weekday and its direction."""
    folder = write_household(tmp_path / "small")
    config = folder / "config.toml"
    config.write_text(re.sub('locale = "[^"]*"', f'locale = "{locale}"', config.read_text()))
    small = Household(folder)
    for step in NAMES:
        assert 'id="step-heading"' in small.page(step)
    for do in ("marks", "rows"):
        assert isinstance(small.send(do), GoTo)
    assert refused(small.send("accept-all"), 409)


def test_whoever_has_a_pin_is_asked_for_it(home: Household) -> None:
    """And led back; without any PIN nothing offers it."""
    assert "unlock=1" not in home.page("bills")
    access_of(home.context).set_pin("ines", "2468")
    assert "unlock=1" in home.page("bills")
    asked = evening.show(home.context, "2027-W13", {"step": "bills", "unlock": "1"}, COMMON)
    assert asked == Unlock()


def test_sources_and_other_files_are_left_alone(home: Household) -> None:
    """An evening of placing writes into the week's file, and the counts of carried tasks."""

    def bytes_of() -> dict[str, bytes]:
        return {
            str(path.relative_to(home.folder)): path.read_bytes()
            for path in home.folder.rglob("*")
            if path.is_file() and "state" not in path.parts
        }

    before = bytes_of()
    went_on(home.send("accept-all"), "days")
    went_on(home.send("matter", day="2027-04-03", text="Bread"), "days")
    after = bytes_of()
    assert {name for name in after if after[name] != before.get(name)} == {
        "tasks.toml",
        "weeks/2027-W13.toml",
    }
    data = tomllib.loads(after["tasks.toml"].decode())
    assert all(set(one) for one in data["tasks"])
