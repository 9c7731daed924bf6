"""Pull, build and nightly over real folders: what is kept, what is asked, what is shown."""

from __future__ import annotations

import os
import sqlite3
import stat
from collections.abc import Callable
from contextlib import closing
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

from tests.support.households import NOW, calendar, event, with_calendar, write_household
from weeksync.errors import BuildError, HouseholdError, StoreBusy, StoreDamaged, UsageError
from weeksync.fetch import Source, source_for
from weeksync.model.config import CalendarSource
from weeksync.model.problem import ProblemKind
from weeksync.model.pulled import IndexedObject, RawObject
from weeksync.store import Store
from weeksync.workflow import Context, Status, open_store, record, shown
from weeksync.workflow.build import build
from weeksync.workflow.mending import MOST_ASIDE
from weeksync.workflow.nightly import nightly
from weeksync.workflow.outcome import Outcome
from weeksync.workflow.pull import pull

DENTIST = event("dentist", "20270323T113000", "Dentist")


def run(folder: Path) -> Outcome:
    """A nightly run at NOW."""
    return nightly(Context.read(folder, NOW), wait=0)


def page(folder: Path, name: str = "2027-W12.html") -> str:
    """A page of the built site."""
    return (folder / "output" / "site" / name).read_text("utf-8")


def test_a_night_makes_a_page_for_each_week_and_month(tmp_path: Path) -> None:
    """Weeks around `now`, the months they touch, looking back, problems, cautions.

    The other weeks of these months have pages that say that they have none.
    """
    outcome = run(with_calendar(tmp_path, DENTIST))
    assert outcome.status is Status.FINE
    assert outcome.problems == ()
    names = {path.name for path in (tmp_path / "output" / "site").glob("*.html")}
    assert names == {
        *(f"2027-W{number:02}.html" for number in range(9, 18)),
        "2027-03.html",
        "2027-04.html",
        *(f"review-{one}.html" for one in ("2027-W11", "2027-W12", "2027-03", "2027")),
        "year-2027.html",
        "search.html",
        "index.html",
        "problems.html",
        "cautions.html",
    }
    assert "Dentist" in page(tmp_path)
    assert "Dentist" in page(tmp_path, "2027-03.html")


def test_the_same_inputs_and_the_same_now_give_the_same_bytes(tmp_path: Path) -> None:
    """A second night changes no file; another folder with the same files has the same pages."""
    first, second = tmp_path / "a", tmp_path / "b"
    for folder in (first, second):
        folder.mkdir()
        run(with_calendar(folder, DENTIST))
    files = {path.name: path.read_bytes() for path in (first / "output" / "site").iterdir()}
    assert files == {p.name: p.read_bytes() for p in (second / "output" / "site").iterdir()}
    before = os.readlink(first / "output" / "site")
    run(first)
    assert os.readlink(first / "output" / "site") == before


def test_a_missing_file_leaves_the_last_good_copy_on_the_page(tmp_path: Path) -> None:
    """The source is a problem with its remedy, the dentist is still there."""
    folder = with_calendar(tmp_path, DENTIST)
    run(folder)
    (folder / "family.ics").unlink()
    outcome = run(folder)
    assert outcome.status is Status.PROBLEMS
    assert [problem.kind for problem in outcome.problems] == [ProblemKind.SOURCE]
    assert "family" in str(outcome.problems[0])
    assert "Dentist" in page(folder)
    assert "family" in page(folder, "problems.html")


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"<!doctype html><title>Sign in</title>",
        calendar(DENTIST).encode()[:-30],
        b"\x1f\x8b\x08\x00",
    ],
    ids=["nothing", "html", "half", "gzip"],
)
def test_a_file_that_is_no_calendar_is_refused(tmp_path: Path, content: bytes) -> None:
    """Nothing at all, HTML, half a file: said, and the last good copy stays."""
    folder = with_calendar(tmp_path, DENTIST)
    run(folder)
    (folder / "family.ics").write_bytes(content)
    outcome = run(folder)
    assert outcome.status is Status.PROBLEMS
    assert "Dentist" in page(folder)


def test_one_failing_source_does_not_stop_the_others(tmp_path: Path) -> None:
    """Beside a missing file the other calendar is pulled and shown."""
    folder = with_calendar(tmp_path, DENTIST)
    config = folder / "config.toml"
    config.write_text(config.read_text() + '\n[[calendars]]\nid = "gone"\npath = "gone.ics"\n')
    outcome = run(folder)
    assert outcome.status is Status.PROBLEMS
    assert "Dentist" in page(folder)
    assert [problem.place.source for problem in outcome.problems] == ["gone"]


def test_a_calendar_that_is_suddenly_empty_is_kept_and_asked_about(tmp_path: Path) -> None:
    """The question shows the command; after it only what has happened already is left of it."""
    folder = with_calendar(tmp_path, DENTIST, event("choir", "20270326T190000", "Choir"))
    run(folder)
    (folder / "family.ics").write_text(calendar())
    outcome = run(folder)
    assert [problem.kind for problem in outcome.problems] == [ProblemKind.QUESTION]
    assert "weeksync pull --accept family" in str(outcome.problems[0])
    assert "Choir" in page(folder)
    context = Context.read(folder, NOW)
    with Store.open(context.state, write=True) as store:
        accepted = pull(context, store, accept=["family"])
        assert accepted.status is Status.FINE
        assert build(context, store).status is Status.FINE
    assert "Choir" not in page(folder)
    assert "Dentist" in page(folder)  # yesterday's


def test_losing_nine_tenths_of_the_future_is_asked_about(tmp_path: Path) -> None:
    """Ten coming events, one left: held back."""
    many = [event(f"e{n}", f"202704{n:02}T090000", f"Thing {n}") for n in range(1, 11)]
    folder = with_calendar(tmp_path, *many)
    run(folder)
    (folder / "family.ics").write_text(calendar(many[0]))
    outcome = run(folder)
    assert "1 of 10" in str(outcome.problems[0])
    assert "Thing 7" in page(folder, "2027-W14.html")


def test_a_broken_household_file_leaves_the_old_site(tmp_path: Path) -> None:
    """Broken TOML in config.toml ends the run with every mistake; the pages stay."""
    folder = with_calendar(tmp_path, DENTIST)
    run(folder)
    config = folder / "config.toml"
    config.write_text(config.read_text() + "\n[broken\n")
    with pytest.raises(HouseholdError) as caught:
        run(folder)
    assert any(problem.place.line for problem in caught.value.problems)
    assert "Dentist" in page(folder)


def test_a_mistake_in_another_file_is_on_the_page_of_problems(tmp_path: Path) -> None:
    """One bad task is left out and named with its line; the others are shown."""
    folder = with_calendar(tmp_path, DENTIST)
    (folder / "tasks.toml").write_text(
        'format = 1\n\n[[tasks]]\ntitle = "Good task"\ndue = 2027-03-25\n\n'
        '[[tasks]]\ntitle = "Bad task"\ndue = "2027-02-30"\n'
    )
    outcome = run(folder)
    assert outcome.status is Status.PROBLEMS
    [problem] = outcome.problems
    assert problem.place.file == "tasks.toml"
    assert problem.place.line is not None
    line = (folder / "tasks.toml").read_text().splitlines()[problem.place.line - 1]
    assert "2027-02-30" in line
    assert "Good task" in page(folder)
    assert f"tasks.toml:{problem.place.line}" in page(folder, "problems.html")


def test_a_household_without_any_calendar_gets_full_pages(tmp_path: Path) -> None:
    """Appointments and tasks by hand are enough."""
    folder = write_household(
        tmp_path,
        appointments_toml='format = 1\n[[appointments]]\ntitle = "Chimney sweep"\n'
        'person = "ann"\nstart = 2027-03-25T09:00:00\nminutes = 45\n',
    )
    outcome = run(folder)
    assert outcome.status is Status.FINE
    assert "Chimney sweep" in page(folder)
    assert 'id = "chimney-sweep-' in (folder / "appointments.toml").read_text()


def test_a_broken_template_of_ones_own_leaves_the_old_site(tmp_path: Path) -> None:
    """The error names the template; nothing of the site has moved."""
    folder = with_calendar(tmp_path, DENTIST)
    run(folder)
    (folder / "own").mkdir()
    (folder / "own" / "week.html").write_text("{% if %}")
    config = folder / "config.toml"
    config.write_text(config.read_text().replace("[site]", '[site]\ntemplates = "own"'))
    with pytest.raises(BuildError, match=r"week\.html"):
        run(folder)
    assert "Dentist" in page(folder)


def test_two_runs_at_once_are_one_too_many(tmp_path: Path) -> None:
    """The second says so and changes nothing; reading goes on."""
    folder = with_calendar(tmp_path, DENTIST)
    run(folder)
    context = Context.read(folder, NOW)
    with Store.open(context.state, write=True):
        with pytest.raises(StoreBusy):
            run(folder)
        spread, _ = shown(context, "this")
    assert spread.days[1].occurrences[0].occurrence.title == "Dentist"


def test_show_needs_no_pages_and_no_pull_and_writes_nothing(tmp_path: Path) -> None:
    """With a filled store any span of days is computed, with the record's agreed keys."""
    folder = with_calendar(tmp_path, DENTIST)
    context = Context.read(folder, NOW)
    with Store.open(context.state, write=True) as store:
        pull(context, store)
    before = {path: path.stat().st_mtime_ns for path in folder.rglob("*")}
    spread, problems = shown(context, "2027-03-20/2027-03-24")
    result = record(context, spread, problems)
    assert result["from"] == result["days"][0]["date"] == "2027-03-20"
    assert len(result["days"]) == 5
    [found] = result["days"][3]["occurrences"]
    assert found["title"] == "Dentist"
    assert found["start"] == "2027-03-23T11:30:00+00:00"
    assert found["end"] == "2027-03-23T12:30:00+00:00"
    assert (found["zone"], found["uid"], found["source"]) == ("Europe/London", "dentist", "family")
    assert (found["all_day"], found["busy"], found["person"]) == (False, True, "ann")
    ignored = {"state", "store.sqlite3", "store.sqlite3-wal", "store.sqlite3-shm"}
    after = {path: path.stat().st_mtime_ns for path in folder.rglob("*")}
    assert {p: t for p, t in before.items() if p.name not in ignored} == {
        p: t for p, t in after.items() if p.name not in ignored
    }


def test_show_of_a_person_or_area_that_is_not_there_is_wrong_use(tmp_path: Path) -> None:
    """The message lists the ones that are."""
    context = Context.read(write_household(tmp_path), NOW)
    with pytest.raises(UsageError, match="ann, bo"):
        shown(context, "this", person="carl")
    with pytest.raises(UsageError, match="home"):
        shown(context, "this", area="garden")


def test_an_unknown_source_is_wrong_use(tmp_path: Path) -> None:
    """`pull --source` and `--accept` name calendars of config.toml."""
    context = Context.read(with_calendar(tmp_path, DENTIST), NOW)
    with Store.open(context.state, write=True) as store, pytest.raises(UsageError, match="family"):
        pull(context, store, only=["familly"])


def test_the_state_folder_is_private(tmp_path: Path) -> None:
    """What the calendars say is for the household's own eyes."""
    folder = with_calendar(tmp_path, DENTIST)
    run(folder)
    assert stat.S_IMODE((folder / "state").stat().st_mode) == 0o700


def test_a_mistake_in_the_list_of_calendars_loses_no_copy(tmp_path: Path) -> None:
    """The entry cannot be used this night; its last good copy is there when it is mended."""
    folder = with_calendar(tmp_path, DENTIST)
    run(folder)
    config = folder / "config.toml"
    good = config.read_text()
    config.write_text(good.replace('person = "ann"', "person = 7"))
    assert run(folder).status is Status.WRONG_USE
    config.write_text(good)
    (folder / "family.ics").unlink()
    run(folder)
    assert "Dentist" in page(folder)


def test_a_damaged_state_database_is_set_aside_and_pulled_again(tmp_path: Path) -> None:
    """A build names the command; a night does it by itself, says so, and keeps the old file."""
    folder = with_calendar(tmp_path, DENTIST)
    run(folder)
    for extra in ("-wal", "-shm"):
        (folder / "state" / f"store.sqlite3{extra}").unlink(missing_ok=True)
    (folder / "state" / "store.sqlite3").write_bytes(b"no database at all" * 400)
    context = Context.read(folder, NOW)
    with pytest.raises(StoreDamaged, match="weeksync pull --rebuild"), open_store(context):
        pass
    assert "Dentist" in page(folder)
    outcome = run(folder)
    assert outcome.status is Status.PROBLEMS
    [problem] = outcome.problems
    assert "was damaged" in str(problem)
    assert "Dentist" in page(folder)
    assert run(folder).status is Status.FINE
    [aside] = (folder / "state").glob("store.sqlite3.2027*Z")
    assert aside.read_bytes().startswith(b"no data")
    assert aside.name in str(problem)


def _in_bytes(file: Path, *changes: tuple[bytes, bytes]) -> None:
    content = file.read_bytes()
    for old, new in changes:
        assert old in content
        content = content.replace(old, new, 1)
    file.write_bytes(content)


def _in_rows(file: Path, statement: str) -> None:
    with sqlite3.connect(file) as connection:
        connection.execute(statement)
    connection.close()


DAMAGE: dict[str, Callable[[Path], None]] = {
    "no text": lambda file: _in_bytes(file, (b"CREATE TABLE source", b"CREATE T\xceBLE s\xceurce")),
    "a column": lambda file: _in_bytes(file, (b"new.object", b"new.kbject")),
    "a day": lambda file: _in_rows(
        file, "UPDATE occurrence SET last_day = replace(last_day, '-0', '- ')"
    ),
    "sums": lambda file: _in_rows(file, "UPDATE expansion SET days = zeroblob(length(days))"),
    "a moment": lambda file: _in_rows(file, "UPDATE source SET last_good = 'never'"),
}


@pytest.mark.parametrize("damage", DAMAGE.values(), ids=DAMAGE)
def test_no_damage_keeps_a_night_from_its_pages(
    tmp_path: Path, damage: Callable[[Path], None]
) -> None:
    """Whatever it is that cannot be read: at the latest the night after next all is well."""
    folder = with_calendar(tmp_path, DENTIST)
    run(folder)
    file = folder / "state" / "store.sqlite3"
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    damage(file)
    for title in ("Optician", "Haircut"):
        (folder / "family.ics").write_text(calendar(DENTIST.replace("Dentist", title)))
        assert run(folder).status in {Status.FINE, Status.PROBLEMS}
        assert title in page(folder)
    assert run(folder).status is Status.FINE


def test_a_disk_that_damages_a_database_every_night_is_not_filled(tmp_path: Path) -> None:
    """The last few stay, for whoever wants to look at one."""
    folder = with_calendar(tmp_path, DENTIST)
    file = folder / "state" / "store.sqlite3"
    for _ in range(MOST_ASIDE + 2):
        run(folder)
        for extra in ("-wal", "-shm"):
            file.with_name(f"{file.name}{extra}").unlink(missing_ok=True)
        file.write_bytes(b"no database at all" * 400)
    assert "was damaged" in str(run(folder).problems[0])
    assert len([*file.parent.glob("store.sqlite3.2027*Z*")]) == MOST_ASIDE
    assert "Dentist" in page(folder)


def test_groups_are_made_anew_when_the_rules_have_changed(tmp_path: Path) -> None:
    """Groups of an earlier version's rules do not stay."""
    folder = with_calendar(tmp_path, DENTIST)
    run(folder)
    context = Context.read(folder, NOW)
    with Store.open(context.state, write=True) as store:
        before = store.groups("family")
        store.set("rules", "0")
        [stored] = store.objects("family")
        raw = RawObject(stored.name, stored.tag, stored.content)
        bare = IndexedObject(raw, stored.digest, ())
        store.regroup("family", [(stored.collection, bare)])
        assert store.groups("family") == {}
    with open_store(context) as store:
        assert store.groups("family") == before


PRIVATE = {
    "money_toml": 'format = 1\ncurrency = "GBP"\n[[bills]]\ntitle = "Gas"\namount = 98765.43\n'
    "first = 2027-03-24\n",
    "tasks_toml": 'format = 1\n[[tasks]]\nid = "quiet-surprise"\ntitle = "Quiet surprise"\n'
    'only_for = ["ann"]\ndue = "2027-02-31"\n',
    "appointments_toml": "format = 1\n[[appointments]]\ntitle = Hidden supper\n"
    "start = 2027-03-24\n",
}


def test_no_value_of_a_private_file_hangs_on_the_common_pages(tmp_path: Path) -> None:
    """Mistakes are on the page of problems with place and remedy; what was written is not."""
    folder = write_household(tmp_path, **PRIVATE)
    (folder / "weeks").mkdir()
    (folder / "weeks" / "2027-W12.toml").write_text(
        'format = 1\n[[days]]\ndate = 2027-03-24\npriorities = ["quiet-surprise", "Bake"]\n'
    )
    (folder / "check-ins").mkdir()
    (folder / "check-ins" / "2027-03-24.md").write_text(
        '+++\nformat = 1\nenergy = "drained"\n+++\nPoured out.\n'
    )
    (folder / "marks").mkdir()
    (folder / "marks" / "2027-W12.csv").write_text(
        "id,date,person,value,recorded_at,received_at,device\nsecret-habit,never,ann,lots,,,\n"
    )
    outcome = run(folder)
    assert outcome.status is Status.PROBLEMS
    spoken = " ".join(map(str, outcome.problems))
    for value in ("98765.43", "2027-02-31", "drained"):
        assert value in spoken
    site = tmp_path / "output" / "site"
    pages = "".join(path.read_text("utf-8") for path in site.glob("*.html"))
    for value in ("98765", "02-31", "drained", "urprise", "supper", "Poured", "secret-habit"):
        assert value not in pages
    for place in ("money.toml:6", "tasks.toml:6", "check-ins/2027-03-24.md:3"):
        assert place in pages
    assert "Bake" in page(folder)


def test_a_journal_is_on_ones_own_pages_only(tmp_path: Path) -> None:
    """A diary does not hang in the kitchen."""
    diary = (
        "BEGIN:VJOURNAL\r\nUID:j1\r\nDTSTAMP:20270101T000000Z\r\nDTSTART;VALUE=DATE:20270323\r\n"
        "SUMMARY:Dear diary\r\nDESCRIPTION:It rained.\r\nEND:VJOURNAL\r\n"
    )
    folder = with_calendar(tmp_path, DENTIST, diary)
    config = folder / "config.toml"
    config.write_text(config.read_text().replace("[site]", "[site]\nown_pages = true"))
    assert run(folder).status is Status.FINE
    assert "Dear diary" not in page(folder)
    assert "Dear diary" not in page(folder, "2027-03.html")
    own = folder / "output" / "own"
    assert "Dear diary" in (own / "2027-W12.html").read_text()
    assert "It rained." in (own / "2027-W12.html").read_text()
    assert stat.S_IMODE(own.stat().st_mode) == 0o700


def test_an_error_nobody_foresaw_stays_with_its_source(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The other calendar is pulled; the problem tells the kind of error and no text of it."""
    folder = with_calendar(tmp_path, DENTIST)
    config = folder / "config.toml"
    config.write_text(config.read_text() + '\n[[calendars]]\nid = "odd"\npath = "odd.ics"\n')
    (folder / "odd.ics").write_text(calendar(event("o", "20270324T090000", "Odd thing")))
    real = source_for

    def faulty(one: CalendarSource, *more: Any) -> Source:
        if one.id == "odd":
            raise KeyError("hunter2")
        return real(one, *more)

    monkeypatch.setattr(import_module("weeksync.workflow.pull"), "source_for", faulty)
    outcome = run(folder)
    assert outcome.status is Status.PROBLEMS
    [problem] = outcome.problems
    assert "KeyError" in str(problem)
    assert "hunter2" not in str(problem)
    assert "Dentist" in page(folder)


def test_notes_of_an_appointment_are_on_ones_own_page(tmp_path: Path) -> None:
    """What was written beside an appointment is for its people, not for the kitchen."""
    folder = write_household(
        tmp_path,
        appointments_toml='format = 1\n[[appointments]]\ntitle = "Sweep"\n'
        'start = 2027-03-25T09:00:00\nminutes = 45\nnotes = "Key under the *pot*"\n',
    )
    config = folder / "config.toml"
    config.write_text(config.read_text().replace("[site]", "[site]\nown_pages = true"))
    run(folder)
    assert "Key under the" not in page(folder)
    own = (folder / "output" / "own" / "2027-W12.html").read_text()
    assert "Key under the <em>pot</em>" in own


def test_what_is_wrong_in_an_object_is_told_until_it_is_mended(tmp_path: Path) -> None:
    """Also on nights when nothing changed, and when the source fails in between."""
    folder = with_calendar(tmp_path, DENTIST)
    files = folder / "many"
    files.mkdir()
    (files / "good.ics").write_text(calendar(DENTIST))
    broken = calendar(event("b", "20270324T090000", "Bees")).replace("END:VEVENT\r\n", "")
    (files / "bad.ics").write_text(broken)
    config = folder / "config.toml"
    config.write_text(config.read_text().replace('path = "family.ics"', 'path = "many"'))
    for _ in range(2):
        outcome = run(folder)
        assert outcome.status is Status.PROBLEMS
        assert any("bad.ics" in str(problem) for problem in outcome.problems)
    files.rename(folder / "away")
    assert any("bad.ics" in str(problem) for problem in run(folder).problems)
    (folder / "away").rename(files)
    assert any("bad.ics" in str(problem) for problem in run(folder).problems)
    (files / "bad.ics").write_text(calendar(event("b", "20270324T090000", "Bees")))
    assert run(folder).status is Status.FINE
    assert "Bees" in page(folder)
