"""A build makes only what has changed, and what it leaves is what a build from nothing would make.

A copy of the demo household lives through a series of single changes. After each, its pages are
held byte for byte against those of a build that has the same files and the same store, but nothing
it could go by and nowhere to take a page from.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from weeksync import demo
from weeksync.store import Store
from weeksync.workflow.build import Built, make
from weeksync.workflow.build_weeks import build_weeks
from weeksync.workflow.close import close_week
from weeksync.workflow.context import Context
from weeksync.workflow.kept_expansions import KeptExpansions
from weeksync.workflow.opening import open_store
from weeksync.workflow.pull import pull

Trees = dict[str, bytes]

DENTIST = "20270323T113000", "20270323T121500"
NEW = """BEGIN:VEVENT
UID:one-more@saltmere.invalid
DTSTAMP:20270301T090000Z
DTSTART;TZID=Europe/London:20270415T140000
DTEND;TZID=Europe/London:20270415T150000
SUMMARY:Fence posts arrive
END:VEVENT
END:VCALENDAR"""
FAR = NEW.replace("one-more", "far").replace("20270415", "20270512")
TODO = """BEGIN:VTODO
UID:form@saltmere.invalid
DTSTAMP:20270301T090000Z
DUE;TZID=Europe/London:20270325T120000
SUMMARY:Hand in the form
END:VTODO
END:VCALENDAR"""
OTHER = """BEGIN:VCALENDAR
VERSION:2.0
PRODID:-//test//EN
BEGIN:VEVENT
UID:{uid}@saltmere.invalid
DTSTAMP:20270301T090000Z
DTSTART:{start}
DTEND:{end}
SEQUENCE:{sequence}
SUMMARY:{title}
STATUS:CONFIRMED
END:VEVENT
END:VCALENDAR
"""


@dataclass
class Home:
    """The household of the demo, its pages, and the instant it is."""

    folder: Path
    scratch: Path
    now: datetime = demo.NOW
    colds: int = 0

    @property
    def output(self) -> Path:
        """Where its pages are."""
        return self.scratch / "shown"

    def edit(self, name: str, change: Callable[[str], str]) -> None:
        """Change a file; it has to be another one then."""
        place = self.folder / name
        before = place.read_bytes().decode()
        after = change(before)
        assert after != before
        place.write_bytes(after.encode())

    def night(self) -> Built:
        """Pull and build, as a night does."""
        context = Context.read(self.folder, self.now, output=self.output, may_be_kept=True)
        with open_store(context) as store:
            pull(context, store)
            made = make(context, store)
        context.keep()
        return made

    def from_nothing(self) -> Trees:
        """The pages of the same files and store, made where none were made before."""
        self.colds += 1
        folder, output = self.scratch / f"cold-{self.colds}", self.scratch / f"out-{self.colds}"
        shutil.copytree(self.folder, folder, symlinks=True)
        with Store.open(folder / "state", write=True) as store:
            store.save_units({}, store.units().keys())
        context = Context.read(folder, self.now, output=output)
        with open_store(context) as store:
            make(context, store)
        return tree(output)


def tree(output: Path) -> Trees:
    """Every file that is shown, by its path."""
    return {
        path.relative_to(output.resolve()).as_posix(): path.read_bytes()
        for name in ("site", "own")
        for path in sorted((output.resolve() / name).rglob("*"))
        if path.is_file()
    }


def weeks_of(units: tuple[str, ...]) -> set[str]:
    """The weeks among the units."""
    return {one.removeprefix("week ") for one in units if one.startswith("week ")}


@pytest.fixture(scope="module")
def start(tmp_path_factory: pytest.TempPathFactory) -> Home:
    """The demo with eleven weeks, as its first night left it."""
    scratch = tmp_path_factory.mktemp("making")
    folder = demo.copy_to(scratch / "home", "")
    home = Home(folder, scratch)
    home.edit(
        "config.toml",
        lambda text: text.replace("weeks_back = 10", "weeks_back = 2").replace(
            "weeks_ahead = 14", "weeks_ahead = 8"
        ),
    )
    (folder / "calendars" / "second.ics").write_text(_crlf(OTHER.format(**_COPY)))
    home.edit(
        "config.toml",
        lambda text: text.replace(
            "[[rules]]",
            '[[calendars]]\nid = "second"\npath = "calendars/second.ics"\n\n[[rules]]',
            1,
        ),
    )
    home.night()
    return home


def _comment(text: str) -> str:
    return text + "\n# nothing new\n"


_COPY = {
    "uid": "optician",
    "start": "20270322T100000Z",
    "end": "20270322T104000Z",
    "sequence": 0,
    "title": "Optician",
}


def _crlf(text: str) -> str:
    return text.replace("\n", "\r\n")


@pytest.fixture
def home(start: Home, tmp_path: Path) -> Home:
    """A copy of that household and of its pages, to change."""
    return _copied(start, tmp_path)


@pytest.fixture(scope="module")
def again(start: Home, tmp_path_factory: pytest.TempPathFactory) -> Home:
    """Everything made for the second time: of each unit it is known by now what it was made of."""
    home = _copied(start, tmp_path_factory.mktemp("again"))
    home.edit("config.toml", _comment)
    home.night()
    return home


def _copied(home: Home, place: Path) -> Home:
    shutil.copytree(home.folder, place / "home")
    shutil.copytree(home.output, place / "shown", symlinks=True)
    return replace(home, folder=place / "home", scratch=place)


def _moved(home: Home) -> None:
    home.edit(
        "calendars/home.ics",
        lambda text: text.replace(DENTIST[0], "20270324T113000").replace(
            DENTIST[1], "20270324T121500"
        ),
    )


def _added(home: Home) -> None:
    home.edit("calendars/home.ics", lambda text: text.replace("END:VCALENDAR", _crlf(NEW)))


def _removed(home: Home) -> None:
    home.edit("calendars/home.ics", _without_optician)


def _without_optician(text: str) -> str:
    head, _, rest = text.partition("UID:optician@")
    return head.removesuffix("BEGIN:VEVENT\r\n") + rest.partition("END:VEVENT\r\n")[2]


def _todo(home: Home) -> None:
    home.edit("calendars/home.ics", lambda text: text.replace("END:VCALENDAR", _crlf(TODO)))


def _series(home: Home) -> None:
    home.edit("calendars/home.ics", lambda text: text.replace("Call with Nana Brice\r", "Nana\r"))


def _far_revision(home: Home) -> None:
    """The copy of one event says that it was put off by weeks: it goes from where it stood."""
    later = {**_COPY, "start": "20270505T100000Z", "end": "20270505T104000Z", "sequence": 5}
    (home.folder / "calendars/second.ics").write_text(_crlf(OTHER.format(**later)))


def _task(home: Home) -> None:
    home.edit("tasks.toml", lambda text: text.replace("Order jars and labels", "Order jars"))


def _mark(home: Home) -> None:
    line = "stretch,2027-03-10,ines,25,2027-03-24T05:00:00+00:00,2027-03-24T05:00:02+00:00,tablet\n"
    home.edit("marks/2027-W10.csv", lambda text: text + line)


def _habit(home: Home) -> None:
    home.edit("habits.toml", lambda text: text.replace('title = "Sleep"', 'title = "Rest"', 1))


def _appointment(home: Home) -> None:
    home.edit("appointments.toml", lambda text: text.replace("minutes = 60", "minutes = 75", 1))


def _far_appointment(home: Home) -> None:
    more = (
        '\n[[appointments]]\nid = "far"\ntitle = "Far"\nstart = 2027-05-12T10:00:00\nminutes = 30\n'
    )
    home.edit("appointments.toml", lambda text: text + more)


def _far_event(home: Home) -> None:
    home.edit("calendars/home.ics", lambda text: text.replace("END:VCALENDAR", _crlf(FAR)))


def _to_prepare(home: Home) -> None:
    """A birthday: a rule has a gift thought of three weeks before."""
    party = FAR.replace("Fence posts arrive", "Birthday of Wren").replace("20270512", "20270415")
    home.edit("calendars/home.ics", lambda text: text.replace("END:VCALENDAR", _crlf(party)))


def _shorter_break(home: Home) -> None:
    """It ends with the last row of March, and no longer goes on behind it."""
    home.edit("terms.toml", lambda text: text.replace("end = 2027-04-12", "end = 2027-04-04"))


def _settings(home: Home) -> None:
    home.edit("config.toml", lambda text: text.replace('name = "Ines"', 'name = "Inés"'))


def _closed(home: Home) -> None:
    context = Context.read(home.folder, home.now, output=home.output)
    close_week(context, context.rule.week_of(context.today).shifted(-2))


def _template(home: Home) -> None:
    (home.folder / "mine").mkdir()
    (home.folder / "mine" / "week.html").write_text(
        '{% extends "weeksync/week.html" %}{% block title %}Ours{% endblock %}', "utf-8"
    )
    home.edit("config.toml", lambda text: text.replace("[site]", '[site]\ntemplates = "mine"'))


def _hidden_template(home: Home) -> None:
    """A template includes a hidden one, which is changed after a night."""
    _template(home)
    (home.folder / "mine" / "week.html").write_text(
        '{% extends "weeksync/week.html" %}{% block title %}{% include ".ours" %}{% endblock %}'
    )
    (home.folder / "mine" / ".ours").write_text("Ours")
    home.night()
    (home.folder / "mine" / ".ours").write_text("Mine")


def _lost_links(home: Home) -> None:
    """Among the templates lie a link that leads nowhere, and one that leads back."""
    _template(home)
    (home.folder / "mine" / "old.html").symlink_to("gone.html")
    (home.folder / "mine" / "again").symlink_to(".")


def _failing(home: Home) -> None:
    (home.folder / "calendars" / "rota.ics").write_text("<html>not now</html>")


def _spoilt(home: Home) -> None:
    """Somebody writes into pages, and one is gone."""
    site = (home.output / "site").resolve()
    (site / "2027-W14.html").write_text("nothing")
    (site / "2027-04.html").unlink()
    (site / "year-2027.html").write_text("")


def _by(days: float) -> Callable[[Home], None]:
    def later(home: Home) -> None:
        home.now += timedelta(days=days)

    return later


def _both(*changes: Callable[[Home], None]) -> Callable[[Home], None]:
    def all_of_them(home: Home) -> None:
        for change in changes:
            change(home)

    return all_of_them


CHANGES: dict[str, Callable[[Home], None]] = {
    "an event moved": _moved,
    "an event added": _added,
    "an event removed": _removed,
    "a to-do added": _todo,
    "a copy put off by weeks": _far_revision,
    "a task renamed": _task,
    "a mark of two weeks ago": _mark,
    "a habit renamed": _habit,
    "an appointment longer": _appointment,
    "an appointment further ahead than is looked": _far_appointment,
    "an event to be prepared, one further ahead than is looked": _both(_to_prepare, _far_event),
    "a break that ends with a row": _shorter_break,
    "a person renamed": _settings,
    "a week closed": _closed,
    "a week closed, and events of it renamed": _both(_closed, _series),
    "a template of their own": _template,
    "a hidden template": _hidden_template,
    "a link among templates that leads nowhere": _lost_links,
    "a source that fails": _failing,
    "pages spoilt, and a minute later": _both(_spoilt, _by(1 / 1440)),
    "in the hours that can be planned": _by(0.2),
    "the next day": _by(1),
    "the next Monday, and an event added": _both(_by(5), _added),
    "a month later": _by(31),
}


@pytest.mark.parametrize("change", CHANGES.values(), ids=CHANGES)
def test_what_stays_is_what_would_be_made(home: Home, change: Callable[[Home], None]) -> None:
    """Whatever has changed, the pages are those of a build from nothing."""
    change(home)
    home.night()
    found, wanted = tree(home.output), home.from_nothing()
    assert found.keys() == wanted.keys()
    assert [name for name in wanted if found[name] != wanted[name]] == []


# What is planned, and what is made


WEEKLY = "BEGIN:VTODO\r\nUID:w\r\nDTSTART:20270601T090000Z\r\nDUE:20270601T100000Z\r\n"


def test_a_first_build_that_did_not_end_leaves_nothing_of_its_window(
    start: Home, tmp_path: Path
) -> None:
    """Expansions are kept as they are made, and to-dos of longer ones are not those of shorter."""
    home = Home(demo.copy_to(tmp_path / "home", ""), tmp_path / "one", start.now)
    todo = f"{WEEKLY}RRULE:FREQ=WEEKLY\r\nSUMMARY:Water the seedlings\r\nEND:VTODO\r\n"
    home.edit("calendars/home.ics", lambda text: text.replace("END:VCAL", f"{todo}END:VCAL"))
    context = Context.read(home.folder, home.now, output=home.output)
    with open_store(context) as store:
        pull(context, store)
        KeptExpansions(context, store, (date(2026, 12, 1), date(2027, 8, 1))).settle()
    home.edit("config.toml", lambda text: text.replace("weeks_ahead = 14", "weeks_ahead = 3"))
    other = Home(tmp_path / "other", tmp_path / "two", start.now)
    shutil.copytree(home.folder, other.folder, ignore=shutil.ignore_patterns("state"))
    home.night()
    other.night()
    assert tree(home.output) == tree(other.output)


def test_nothing_changed_is_nothing_planned(home: Home) -> None:
    """The same files a minute later: every page stays, but for those that tell the time."""
    home.now += timedelta(minutes=1)
    built = home.night()
    assert built.planned == ("page site/index.html",)  # it says when each source was pulled


def test_one_event_is_planned_where_it_can_be_seen(again: Home, tmp_path: Path) -> None:
    """An event of a far week: its week and those whose look ahead reaches it are planned."""
    home = _copied(again, tmp_path)
    _far_event(home)
    built = home.night()
    assert weeks_of(built.rendered) == {"2027-W19"}
    assert [one for one in built.rendered if one.startswith("month")] == ["month 2027-05"]
    assert weeks_of(built.planned) <= {f"2027-W{number}" for number in range(13, 20)}
    assert not [one for one in built.planned if one.startswith(("review", "year"))]


def test_what_was_made_once_may_be_made_for_nothing_the_next_time(home: Home) -> None:
    """Of what is made for the first time nobody tells of what; the third time it is told apart."""
    _far_event(home)
    built = home.night()
    ahead = weeks_of(built.planned)
    assert weeks_of(built.rendered) == ahead > {"2027-W19"}
    assert tree(home.output) == home.from_nothing()
    home.edit("calendars/home.ics", lambda text: text.replace("Fence posts", "Fence post"))
    built = home.night()
    assert weeks_of(built.planned) == ahead
    assert weeks_of(built.rendered) == {"2027-W19"}


def test_a_break_that_goes_on_beyond_a_month_is_seen_in_it(again: Home, tmp_path: Path) -> None:
    """On the days that March shows nothing has changed, but that it ends with them."""
    home = _copied(again, tmp_path)
    _shorter_break(home)
    assert "month 2027-03" in home.night().rendered
    assert tree(home.output) == home.from_nothing()


def test_where_nothing_is_prepared_only_the_week_is_planned(home: Home) -> None:
    """Without rules that prepare anything an event is nobody's business before its week."""
    home.edit("config.toml", _nothing_prepared)
    home.night()
    _far_event(home)
    built = home.night()
    assert weeks_of(built.planned) == {"2027-W19"}
    assert weeks_of(built.rendered) == {"2027-W19"}


def test_a_week_ahead_hangs_on_those_before_it_by_what_they_have_a_place_for(home: Home) -> None:
    """An event of next week that displaces no task: the weeks after it are not planned again."""
    home.edit("config.toml", _nothing_prepared)
    home.night()
    later = NEW.replace("20270415T14", "20270331T21").replace("20270415T15", "20270331T22")
    home.edit("calendars/home.ics", lambda text: text.replace("END:VCALENDAR", _crlf(later)))
    assert weeks_of(home.night().planned) == {"2027-W13"}


def test_a_task_that_finds_its_place_elsewhere_moves_the_weeks_after_it(home: Home) -> None:
    """All of next week is taken: what had a place in it is proposed later, as from nothing."""
    full = NEW.replace("20270415T140000", "20270329T060000").replace("20270415T15", "20270404T18")
    home.edit("calendars/home.ics", lambda text: text.replace("END:VCALENDAR", _crlf(full)))
    built = home.night()
    assert {"2027-W13", "2027-W14"} <= weeks_of(built.rendered)
    assert tree(home.output) == home.from_nothing()


def test_a_mark_moves_its_week_and_what_looks_back_on_it(again: Home, tmp_path: Path) -> None:
    """A mark of two weeks ago: its week, and the spans that hold it; not the weeks around it."""
    home = _copied(again, tmp_path)
    _mark(home)
    built = home.night()
    assert weeks_of(built.rendered) == {"2027-W10"}
    reviews = {one for one in built.rendered if one.startswith("review")}
    assert {"review week 2027-W10", "review month 2027-03", "review year 2027"} <= reviews
    assert "review week 2027-W11" not in reviews


def test_a_new_day_leaves_what_is_over_and_what_is_far(home: Home) -> None:
    """On Thursday the weeks before this one are not made again, nor those further ahead than the
    household looks."""
    home.now += timedelta(days=1)
    built = home.night()
    this, ahead = 12, Context.read(home.folder, home.now).config.planning.look_ahead_weeks
    near = {f"2027-W{number}" for number in range(this - 1, this + ahead + 1)}
    assert weeks_of(built.rendered) <= near
    assert not [one for one in built.planned if one == "week 2027-W10"]


def test_on_monday_a_week_comes_in_and_one_goes_and_no_page_beside_them_changes(home: Home) -> None:
    """The edges of the window lead where they led: to a page, or to one that says there is none.

    Those of one's own lead only to pages there are; here there are none.
    """
    home.edit("config.toml", lambda text: text.replace("own_pages = true", "own_pages = false"))
    home.edit("config.toml", _nothing_prepared)
    home.night()
    assert b"2027-W21.html" in (home.output / "site" / "2027-W20.html").read_bytes()
    assert b"no page yet" in (home.output / "site" / "2027-W21.html").read_bytes()
    home.now += timedelta(days=5)
    built = home.night()
    edges = {f"2027-W{number:02}" for number in (8, 9, 10, 20, 21, 22)}
    assert weeks_of(built.rendered) & edges == {"2027-W21"}
    assert "page site/2027-W10.html" in built.rendered
    assert "month 2027-05" not in built.rendered
    assert tree(home.output) == home.from_nothing()


def test_a_row_that_cannot_be_read_means_that_all_of_it_is_made(home: Home) -> None:
    """What is noted of a week is damaged: the week is made again, and noted."""
    with Store.open(home.folder / "state", write=True) as store:
        store.save_units({"week 2027-W14": ("", "", "{", "[]")}, ())
    assert weeks_of(home.night().rendered) == {"2027-W14"}
    assert weeks_of(home.night().rendered) == set()


def test_a_page_somebody_wrote_into_is_made_again(home: Home) -> None:
    """Only that unit, whatever else is there."""
    (home.output / "site" / "2027-W14.html").resolve().write_text("nothing")
    built = home.night()
    assert [one for one in built.rendered if not one.startswith("page")] == ["week 2027-W14"]
    assert b"<html" in (home.output / "site" / "2027-W14.html").read_bytes()


def test_pages_that_stay_are_the_same_files(home: Home) -> None:
    """A mirror moves nothing of them: the file itself is the one of the generation before."""
    before = (home.output / "site" / "2027-W15.html").stat()
    _mark(home)
    home.night()
    after = (home.output / "site" / "2027-W15.html").stat()
    assert (after.st_ino, after.st_mtime_ns) == (before.st_ino, before.st_mtime_ns)


def _nothing_prepared(text: str) -> str:
    return "".join(line for line in text.splitlines(True) if not line.startswith("prepare"))


def test_a_few_weeks_made_at_once_are_those_of_a_whole_build(home: Home) -> None:
    """After a mark its week is made before all others, from a part of the calendars."""
    _mark(home)
    context = Context.read(home.folder, home.now, output=home.output)
    week = context.rule.week_of(context.today)
    with open_store(context) as store:
        assert build_weeks(context, store, {week.shifted(-2), week.shifted(2)}) is not None
    found, wanted = tree(home.output), home.from_nothing()
    names = [
        f"{kind}2027-W{number}.html" for kind in ("", "enter-", "review-") for number in (10, 14)
    ]
    names = [f"site/{name}" for name in names if f"site/{name}" in wanted]
    assert len(names) == 4
    assert [name for name in names if found[name] != wanted[name]] == []
