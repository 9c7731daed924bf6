"""Forms of entries: what is typed is read as people mean it, and what cannot be is told."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

import pytest

from tests.support.households import NOW, write_household
from tests.workflow.edit_desk import FormDesk, mistakes, summary
from weeksync.serve.desk import FormAnswer, FormPage, GoTo, Sender, Unlock
from weeksync.workflow import edit_forms
from weeksync.workflow.context import Context
from weeksync.workflow.edit_forms import KINDS
from weeksync.workflow.edit_saving import place_for

MONEY = """\
format = 1
currency = "GBP" # pounds

[[pay_days]]
id = "pay"
title = "Pay"
first = 2027-01-29
repeats = "FREQ=MONTHLY;BYMONTHDAY=-1"

[[bills]]
id = "rent"
title = "Rent"
amount = 81500 # since the spring
first = 2026-09-01
repeats = "FREQ=MONTHLY;BYMONTHDAY=1"
paid = [
  { due = 2027-03-01, on = 2027-03-01 },
]
"""
HABITS = """\
format = 1

[[habits]]
id = "water"
title = "Water"
person = "ann"
kind = "count" # glasses
target = 6
pauses = [{ start = 2027-02-01, end = 2027-02-07, reason = "Away" }]

[[habits]]
id = "own"
title = "Something of her own"
person = "ann"
only_for = ["ann"]
"""
TERMS = """\
format = 1

[[terms]]
id = "spring"
name = "Spring"
start = 2027-01-04
end = 2027-03-26

[[lessons]]
id = "maths"
child = "bo"
subject = "Maths"
days = ["monday"]
terms = ["spring"]
"""
MARKS = """\
id,date,person,value,recorded_at,received_at,device
water,2027-03-22,ann,4,2027-03-22T08:00:00Z,2027-03-22T08:00:00Z,
"""


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A household with money, habits, terms and one mark; no tasks, no appointments."""
    write_household(tmp_path, money_toml=MONEY, habits_toml=HABITS, terms_toml=TERMS)
    (tmp_path / "marks").mkdir()
    (tmp_path / "marks" / "2027-W12.csv").write_text(MARKS)
    return tmp_path


def new(
    home: Path, name: str, /, unlocked: str | None = None, **typed: str | tuple[str, ...]
) -> FormAnswer | None:
    """What becomes of the form of a new entry that is filled in so."""
    desk = FormDesk(home, unlocked)
    fields = desk.untouched(KINDS[name], "")
    filled = {key: (text,) if isinstance(text, str) else text for key, text in typed.items()}
    return desk.take(name, {**fields, **filled})


def change(
    home: Path, name: str, key: str, /, unlocked: str | None = None, **typed: str
) -> FormAnswer | None:
    """What becomes of the form of an entry in which so much is typed anew."""
    desk = FormDesk(home, unlocked)
    fields = desk.untouched(KINDS[name], key)
    return desk.take(name, {**fields, **{field: (text,) for field, text in typed.items()}})


def test_a_first_task_makes_its_file(home: Path) -> None:
    """With the format, an id that stays, and what was typed."""
    assert new(home, "tasks", title="  Mend the gate ", due="2027-03-27", estimate="45") == GoTo(
        "/edit/tasks"
    )
    text = (home / "tasks.toml").read_text()
    assert text.startswith("format = 1\n\n[[tasks]]\nid = ")
    found = FormDesk(home).read("tasks.toml", "Mend the gate")
    assert found.pop("id").startswith("mend-the-gate-")
    assert found == {"title": "Mend the gate", "due": date(2027, 3, 27), "estimate": 45}


def test_mistakes_stand_beside_their_fields_with_what_was_typed(home: Path) -> None:
    """All of them at once; nothing is written; the summary on top leads to each."""
    answer = new(home, "tasks", due="2027-02-30", estimate="half an hour", notes="Kept <b>so")
    assert mistakes(answer) == {
        "title": "there is nothing here yet; write a few words",
        "due": "“2027-02-30” is no date; write year-month-day, as 2027-03-22",
        "estimate": "“half an hour” is no number; write digits, as 30",
    }
    assert isinstance(answer, FormPage)
    page = answer.content.decode()
    assert 'href="#f-due"' in page
    assert 'value="half an hour"' in page
    assert "Kept &lt;b&gt;so" in page
    assert 'aria-describedby="m-due" aria-invalid="true"' in page
    assert not (home / "tasks.toml").exists()


@pytest.mark.parametrize("day", ["9999-12-31", "2200-01-01", "1899-12-31"])
def test_a_day_outside_of_the_years_that_are_worked_with_is_none(home: Path, day: str) -> None:
    """The day after the last one that Python knows is no day at all."""
    answer = new(home, "appointments", title="x", day=day, last_day=day)
    assert "is no date" in mistakes(answer)["day"]
    assert not (home / "appointments.toml").exists()


@pytest.mark.parametrize(
    ("name", "typed", "field", "said"),
    [
        ("tasks", {"title": "x", "priority": "12"}, "priority", "priority = 12 is too large"),
        ("tasks", {"title": "x", "repeats": "week"}, "repeats", "a task that repeats has no due"),
        ("tasks", {"title": "x", "person": "cy"}, "person", "is nobody of config.toml"),
        ("tasks", {"title": "x" * 301}, "title", "is too long"),
        (
            "habits",
            {"title": "x", "person": "ann", "days": "monday", "times_a_week": "3"},
            "times_a_week",
            "days and times_a_week are both given",
        ),
        (
            "habits",
            {"title": "x", "person": "ann", "pauses-0-start": "2027-03-09",
             "pauses-0-end": "2027-03-02"},
            "pauses-0-start",
            "lies before start",
        ),
        ("bills", {"title": "x", "first": "2027-04-01", "until": "2027-03-01"}, "until", "before"),
        ("bills", {"title": "x", "first": "2027-04-01", "currency": "pound"}, "currency", "ISO"),
        (
            "appointments",
            {"title": "x", "day": "2027-04-01", "from": "10:00", "until": "11:00", "minutes": "5"},
            "minutes",
            "end and minutes are both given",
        ),
        (
            "appointments",
            {"title": "x", "day": "2027-04-01", "from": "10:00", "last_day": "2027-04-03"},
            "until",
            "no time at which it ends",
        ),
        (
            "bills",
            {"title": "x", "first": "2027-04-01", "repeats": "own", "repeats_rule": "FREQ=HOURLY"},
            "repeats",
            "is no RRULE of RFC 5545",
        ),
    ],
)  # fmt: skip
def test_what_check_says_stands_beside_the_field(
    home: Path, name: str, typed: dict[str, str], field: str, said: str
) -> None:
    """Rules of one value, of an entry, and between files: the same words as `weeksync check`."""
    before = FormDesk(home).tree()
    assert said in mistakes(new(home, name, **typed))[field]
    assert FormDesk(home).tree() == before


def test_a_mistake_in_another_file_is_told_with_its_place(home: Path) -> None:
    """A term that lessons name is not taken out from under them."""
    text = (home / "terms.toml").read_text()
    (home / "terms.toml").write_text(text.replace("2027-01-04", "2027-03-25"))
    desk = FormDesk(home)
    place = place_for(desk.words, KINDS["terms"], "spring")
    assert place is not None
    answer = desk.take("terms", desk.sent(place, {"do": ("out",)}))
    assert 'terms.toml: terms = "spring" is no term of terms.toml' in summary(answer)


def test_amounts_are_typed_as_the_language_writes_them(home: Path) -> None:
    """Pounds and pence in, pence in the file; the comment behind the old one stays."""
    assert change(home, "bills", "rent", "ann", amount="£1,020.50") == GoTo("/edit/bills")
    assert "amount = 102050 # since the spring\n" in (home / "money.toml").read_text()
    answer = change(home, "bills", "rent", "ann", amount="82,50")
    assert mistakes(answer) == {"amount": "“82,50” is no amount; write it as 42.50"}


def test_an_empty_amount_keeps_what_stands_for_whoever_does_not_see_it(home: Path) -> None:
    """Whoever sees it and empties it takes it away."""
    assert change(home, "bills", "rent", None, title="The rent") == GoTo("/edit/bills")
    assert FormDesk(home).read("money.toml", "The rent")["amount"] == 81500
    assert change(home, "bills", "rent", "ann", amount="") == GoTo("/edit/bills")
    assert "amount" not in FormDesk(home).read("money.toml", "The rent")


def test_a_rule_is_chosen_simply_and_kept_where_nobody_changes_it(home: Path) -> None:
    """Every second week on two days; the last day of each month; a rule of one's own."""
    new(home, "tasks", title="Bins", due="2027-03-29", repeats="week", repeats_every="2",
        repeats_on=("MO", "TH"), repeats_until="2027-12-31")  # fmt: skip
    rule = FormDesk(home).read("tasks.toml", "Bins")["repeats"]
    assert rule == "FREQ=WEEKLY;INTERVAL=2;BYDAY=MO,TH;UNTIL=20271231"
    new(home, "bills", title="Club", first="2027-04-01", repeats="month-weekday")
    assert FormDesk(home).read("money.toml", "Club")["repeats"] == "FREQ=MONTHLY;BYDAY=1TH"
    before = (home / "money.toml").read_text()
    change(home, "pay-days", "pay", title="Her pay")
    assert (home / "money.toml").read_text() == before.replace('"Pay"', '"Her pay"')


def test_the_times_of_an_appointment(home: Path) -> None:
    """Over midnight, the whole day, several days: the end is the first that no longer belongs."""
    moments = {
        "Night": {"from": "22:00", "until": "06:00"},
        "Day": {},
        "Days": {"last_day": "2027-04-03"},
        "Open": {"from": "10:00"},
    }
    for title, typed in moments.items():
        assert new(home, "appointments", title=title, day="2027-04-01", **typed) == GoTo(
            "/edit/appointments"
        )
    found = {
        title: (entry["start"], entry.get("end"))
        for title in moments
        for entry in [FormDesk(home).read("appointments.toml", title)]
    }
    assert found == {
        "Night": (datetime(2027, 4, 1, 22), datetime(2027, 4, 2, 6)),
        "Day": (date(2027, 4, 1), None),
        "Days": (date(2027, 4, 1), date(2027, 4, 4)),
        "Open": (datetime(2027, 4, 1, 10), None),
    }


def test_what_has_marks_ends_and_is_not_taken_out(home: Path) -> None:
    """The form says why, and a form that asks for it all the same is not answered."""
    desk = FormDesk(home)
    page = desk.show("habits", id="water")
    assert page is not None
    assert "Something has been marked for it" in page
    assert "Take it out" not in page
    place = place_for(desk.words, KINDS["habits"], "water")
    assert place is not None
    assert desk.take("habits", desk.sent(place, {"do": ("out",)})) is None
    assert desk.take("habits", desk.sent(place, {"do": ("end",)})) == GoTo("/edit/habits")
    assert desk.read("habits.toml", "Water")["end"] == date(2027, 3, 24)


def test_what_has_no_history_is_taken_out_with_its_lines_alone(home: Path) -> None:
    """And is there again when that is taken back."""
    new(home, "habits", title="Walk", person="bo")
    before = FormDesk(home).tree()
    desk = FormDesk(home)
    key = desk.read("habits.toml", "Walk")["id"]
    place = place_for(desk.words, KINDS["habits"], key)
    assert place is not None
    assert desk.take("habits", desk.sent(place, {"do": ("out",)})) == GoTo("/edit/habits")
    assert (home / "habits.toml").read_text() == HABITS
    page = desk.show("habits")
    assert page is not None
    assert "Taken out: “Walk”" in page
    token = page.partition('name="token" value="')[2].partition('"')[0]
    desk.take("undo", {"token": (token,), "next": ("/edit/habits",)})
    assert FormDesk(home).tree() == before


def test_a_habit_that_has_ended_goes_on_with_a_pause_for_the_time_between(home: Path) -> None:
    """Days on which nobody asked for it do not count against anybody."""
    text = HABITS.replace("target = 6\n", "target = 6\nend = 2027-03-14\n")
    (home / "habits.toml").write_text(text)
    desk = FormDesk(home)
    place = place_for(desk.words, KINDS["habits"], "water")
    assert place is not None
    assert desk.take("habits", desk.sent(place, {"do": ("again",)})) == GoTo("/edit/habits")
    found = desk.read("habits.toml", "Water")
    assert "end" not in found
    assert found["pauses"][-1] == {"start": date(2027, 3, 15), "end": date(2027, 3, 23)}


def test_a_file_changed_meanwhile_is_told_with_both(home: Path) -> None:
    """Nothing is written; saving once more on purpose keeps what was typed."""
    desk = FormDesk(home)
    fields = desk.untouched(KINDS["habits"], "water") | {"title": ("Glasses of water",)}
    (home / "habits.toml").write_text(HABITS.replace("Water", "Wasser"))
    answer = desk.take("habits", fields)
    assert isinstance(answer, FormPage)
    assert answer.status == 409
    page = answer.content.decode()
    assert "habits.toml has changed meanwhile." in page
    assert 'value="Glasses of water"' in page
    assert "In the file now: <bdi>Wasser</bdi>" in page
    assert "Glasses" not in (home / "habits.toml").read_text()
    digest = page.partition('name="seen.habits.toml" value="')[2].partition('"')[0]
    assert desk.take("habits", fields | {"seen.habits.toml": (digest,)}) == GoTo("/edit/habits")
    assert "Glasses of water" in (home / "habits.toml").read_text()


def test_an_entry_that_is_gone_by_now_can_be_added_anew(home: Path) -> None:
    """What was typed is not lost with it."""
    desk = FormDesk(home)
    fields = desk.untouched(KINDS["lessons"], "maths") | {"subject": ("Sums",)}
    (home / "terms.toml").write_text(TERMS.partition("[[lessons]]")[0])
    answer = desk.take("lessons", fields)
    assert isinstance(answer, FormPage)
    assert answer.status == 409
    page = answer.content.decode()
    assert "is gone: saving adds it anew" in page
    assert 'value="Sums"' in page
    assert 'name="id" value=""' in page


def test_a_file_with_a_broken_line_is_left_and_told(home: Path) -> None:
    """With the line, as check has it; nothing that was typed is lost."""
    (home / "tasks.toml").write_text("format = 1\n[[tasks]]\ntitle = Gate\n")
    answer = new(home, "tasks", title="Beans")
    assert "tasks.toml" in summary(answer)
    assert isinstance(answer, FormPage)
    assert b'value="Beans"' in answer.content
    assert (home / "tasks.toml").read_text() == "format = 1\n[[tasks]]\ntitle = Gate\n"


def test_a_comment_inside_a_list_is_not_lost(home: Path) -> None:
    """What can only be changed with it is left, and said."""
    text = HABITS.replace("pauses = [{", "pauses = [ # winter\n{")
    (home / "habits.toml").write_text(text)
    answer = change(home, "habits", "water", **{"pauses-0-end": "2027-02-09"})
    assert "change it in an editor" in summary(answer)
    assert (home / "habits.toml").read_text() == text


def test_what_is_only_for_one_is_for_the_others_as_what_there_never_was(home: Path) -> None:
    """Neither its form, nor its saving, nor what was saved is told to anybody else."""
    own = FormDesk(home, "ann")
    fields = own.untouched(KINDS["habits"], "own") | {"title": ("Her own",)}
    for other in (None, "bo"):
        desk = FormDesk(home, other)
        assert desk.show("habits", id="own") is None
        answer = desk.take("habits", fields)
        assert isinstance(answer, FormPage)
        assert answer.status == 409
        assert b"In the file now" not in answer.content
    assert own.take("habits", fields) == GoTo("/edit/habits")
    for person, told in (("ann", True), ("bo", False), (None, False)):
        page = FormDesk(home, person).show("")
        assert page is not None
        assert ("Saved: “Her own”" in page) == told


def test_amounts_are_a_pin_away(home: Path) -> None:
    """The page says so and leads there; who has unlocked is not asked again."""
    page = FormDesk(home).show("bills", id="rent")
    assert page is not None
    assert 'href="/edit/bills?id=rent&amp;unlock=1"' in page
    query = {"id": "rent", "unlock": "1"}
    context = FormDesk(home).context
    assert edit_forms.show(context, "bills", query, Sender("", None)) == Unlock()
    assert isinstance(edit_forms.show(context, "bills", query, Sender("", "ann")), FormPage)


def test_an_entry_typed_by_hand_gets_its_id_before_its_form_is_asked_for(home: Path) -> None:
    """Else its link would lead nowhere once the id is written in."""
    (home / "tasks.toml").write_text('format = 1\n\n[[tasks]]\ntitle = "By hand" # new\n')
    desk = FormDesk(home)
    page = edit_forms.show(Context.read(home, NOW, give_ids=False), "tasks", {}, Sender("", None))
    assert isinstance(page, FormPage)
    key = desk.read("tasks.toml", "By hand")["id"]
    assert f"id={key}" in page.content.decode()


def test_a_long_title_is_cut_where_it_is_only_told(home: Path) -> None:
    """It stands whole in its file."""
    assert new(home, "tasks", title="long " * 50) == GoTo("/edit/tasks")
    page = FormDesk(home).show("habits")
    assert page is not None
    told = page.partition("Added: “")[2].partition("”")[0]
    assert len(told) == 60
    assert told.endswith("…")
    assert ("long " * 50).strip() in (home / "tasks.toml").read_text()
