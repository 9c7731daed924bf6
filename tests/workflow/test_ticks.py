"""Ticks of to-dos on real servers: what is written there, and what never is."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from datetime import timedelta
from itertools import count
from pathlib import Path

import pytest
from icalendar import Calendar

from tests.support.feeds import (
    Answer,
    Exchange,
    WebServer,
    redirect,
    relay,
    status,
    web_server,
)
from tests.support.keyboard import Keyboard
from tests.support.servers import PASSWORD, CalDavServer, radicale, xandikos
from tests.workflow.test_serving_rebuild import until
from tests.workflow.ticking import POTS, SEEDS, Ticking, todo
from weeksync.cli import main
from weeksync.message import Message
from weeksync.model.household import Mark
from weeksync.workflow.check import check
from weeksync.workflow.mark import take_marks
from weeksync.workflow.reader import Reader
from weeksync.workflow.tick_sender import SendPace, TickSender

pytestmark = pytest.mark.server

_numbers = count(1)


@pytest.fixture(scope="module", params=[radicale, xandikos], ids=["radicale", "xandikos"])
def server(request: pytest.FixtureRequest) -> Iterator[CalDavServer]:
    """Each of the servers; each test makes its own list in it."""
    with request.param() as running:
        yield running


@pytest.fixture(scope="module")
def one_server() -> Iterator[CalDavServer]:
    """For what does not depend on the server."""
    with radicale() as running:
        yield running


@pytest.fixture
def web() -> Iterator[WebServer]:
    """The relay."""
    with web_server() as running:
        yield running


def home_on(server: CalDavServer, web: WebServer, folder: Path) -> Ticking:
    """A household with one to-do and one that recurs, pulled."""
    title = f"list-{next(_numbers)}"
    path = server.make_calendar(title, title=title)
    home = Ticking(folder / "home", server, web, path, title)
    home.put("seeds", todo(SEEDS))
    home.put("pots", todo(POTS))
    assert not home.pull().problems
    return home


@pytest.fixture
def home(server: CalDavServer, web: WebServer, tmp_path: Path) -> Ticking:
    """On each server."""
    return home_on(server, web, tmp_path)


@pytest.fixture
def one_home(one_server: CalDavServer, web: WebServer, tmp_path: Path) -> Ticking:
    """On one server."""
    return home_on(one_server, web, tmp_path)


SET = (
    b"STATUS:",
    b"COMPLETED:",
    b"PERCENT-COMPLETE:",
    b"LAST-MODIFIED:",
    b"DTSTAMP:",
    b"SEQUENCE:",
)


def others(content: bytes) -> list[bytes]:
    """The lines that a tick does not set, in order."""
    return [line for line in content.splitlines(keepends=True) if not line.startswith(SET)]


def test_a_tick_is_completed_on_the_server(home: Ticking) -> None:
    """It shows at once, and nothing is sent before the next pull; then all else is as it was."""
    before = home.get()
    assert home.tick().new == 1
    assert home.task("Order seeds").done is not None
    assert home.get() == before
    assert home.pull().problems == ()
    after = home.get()
    assert others(after) == others(before)
    found = Calendar.from_ical(after).walk("VTODO")[0]
    assert (found["STATUS"], found["PERCENT-COMPLETE"]) == ("COMPLETED", 100)
    assert found["COMPLETED"].to_ical() == b"20270324T064300Z"
    assert home.steps() == ["taken", "about to write", "written"]
    puts = [one for one in home.web.seen if one.method == "PUT" and one.headers["Authorization"]]
    assert [one.headers["If-Match"] for one in puts] == [home.journal()[1]["tag_before"]]
    assert home.task("Order seeds").done is not None


def test_the_next_pull_finds_nothing_new(home: Ticking) -> None:
    """Text, tag and token were taken over together: no object is asked for once more.

    What the server lists as changed under the tag that we know is our own doing.
    """
    home.pull()  # from here on there is a sync-token, where the server has them
    home.tick()
    home.pull()
    home.pull()
    bodies = [one.body for one in home.web.seen]
    assert not any(b"calendar-multiget" in body for body in bodies)
    assert home.sent("GET", "PUT") == []
    assert not any(b"propfind" in body and b"getetag" in body for body in bodies)
    home.put("seeds", home.get().replace(b"Order seeds", b"Order more seeds"))
    home.pull()
    assert home.task("Order more seeds").done is not None


def test_one_time_of_a_series_is_completed_alone(home: Ticking) -> None:
    """The server gets an entry for that day; the others stay open, here and there."""
    assert home.tick("Water the pots 2027-03-24").new == 1
    home.pull()
    series, one = Calendar.from_ical(home.get("pots")).walk("VTODO")
    if "RRULE" not in series:  # servers put entries in an order of their own
        series, one = one, series
    assert "STATUS" not in series
    assert (one["RECURRENCE-ID"].to_ical(), one["STATUS"]) == (b"20270324", "COMPLETED")
    assert home.task("Water the pots 2027-03-24").done is not None
    assert home.task("Water the pots 2027-03-25").done is None


def test_what_was_ticked_can_be_opened_again(home: Ticking) -> None:
    """STATUS:NEEDS-ACTION is written, since the tick was ours."""
    before = home.get()
    home.tick()
    home.pull()
    home.tick(value="")
    assert home.task("Order seeds").done is None
    assert b"STATUS:COMPLETED" in home.get()
    home.pull()
    after = home.get()
    assert b"STATUS:NEEDS-ACTION" in after
    assert b"COMPLETED:" not in after
    assert b"PERCENT" not in after
    assert others(after) == others(before)
    assert home.task("Order seeds").done is None
    assert home.task("Order seeds").ticks


def test_a_tick_taken_back_in_time_is_never_sent(one_home: Ticking) -> None:
    """The latest mark holds, and where nothing was written nothing has to be undone."""
    one_home.tick()
    one_home.tick(value="")
    one_home.pull()
    assert one_home.sent("PUT", "GET") == []
    assert one_home.task("Order seeds").done is None


def between(home: Ticking, change: bytes | None) -> list[int]:
    """Somebody else writes or deletes the object just before our first PUT; statuses of ours."""
    statuses: list[int] = []

    def note(exchange: Exchange, real: Answer) -> Answer:
        if exchange.headers["Authorization"]:
            statuses.append(real[0])
        return real

    def put(exchange: Exchange) -> None:
        if exchange.headers["Authorization"] and not statuses:
            if change is None:
                home.server.delete(home.name("seeds"))
            else:
                home.put("seeds", change)
        relay(home.server.url, edit=note)(exchange)

    home.instead["PUT"] = put
    return statuses


def test_what_changed_meanwhile_is_ticked_as_it_is_now(home: Ticking) -> None:
    """412: the newer one is got, and the tick made in that; the other's change stays."""
    home.tick()
    statuses = between(home, todo(SEEDS.replace("Order seeds", "Order seeds and soil")))
    assert home.pull().problems == ()
    assert statuses[0] == 412
    assert statuses[1] < 300
    assert b"SUMMARY:Order seeds and soil\r\n" in home.get()
    assert b"STATUS:COMPLETED" in home.get()
    assert home.steps() == ["taken", "about to write", "about to write", "written"]
    assert home.task("Order seeds and soil").done is not None


def test_what_somebody_else_completed_meanwhile_is_left_as_it_is(home: Ticking) -> None:
    """412, and there is nothing left to write; it cannot be opened again from here."""
    home.tick()
    theirs = todo(SEEDS + "STATUS:COMPLETED\r\nCOMPLETED:20270324T060000Z\r\n")
    statuses = between(home, theirs)
    assert home.pull().problems == ()
    assert statuses == [412]
    assert b"COMPLETED:20270324T060000Z" in home.get()
    assert home.steps()[-1] == "was so already"
    assert home.task("Order seeds").done is not None
    assert not home.task("Order seeds").ticks
    assert home.tick(value="").refused


def test_what_was_deleted_meanwhile_is_told_and_not_made_again(home: Ticking) -> None:
    """412, then 404: nothing is written, and that is said until a whole pull has seen it, too."""
    home.tick()
    statuses = between(home, None)
    told = home.pull().problems
    assert ["has it no longer" in str(one) for one in told] == [True]
    assert [one.place.source for one in told] == ["errands"]
    assert statuses == [412]
    assert home.name("seeds") not in home.server.names(home.path)
    del home.instead["PUT"]
    assert ["has it no longer" in str(one) for one in home.pull().problems] == [True]
    assert home.steps()[-1] == "gone"
    assert home.pull().problems == ()
    assert home.sent("PUT", "GET") == []


def test_what_was_cancelled_meanwhile_is_told(one_home: Ticking) -> None:
    """412: a cancelled to-do is not completed."""
    one_home.tick()
    between(one_home, todo(SEEDS + "STATUS:CANCELLED\r\n"))
    assert "was cancelled" in str(one_home.pull().problems[0])
    assert b"STATUS:CANCELLED" in one_home.get()
    assert one_home.steps()[-1] == "cancelled"
    assert one_home.pull().problems == ()


def test_what_changes_without_end_waits(one_home: Ticking) -> None:
    """It is tried a few times and told; the next run tries again."""
    one_home.tick()
    one_home.instead["PUT"] = status(412)
    assert "again and again" in str(one_home.pull().problems[0])
    assert one_home.sent("PUT") == ["PUT"] * 4
    assert one_home.task("Order seeds").done is not None
    del one_home.instead["PUT"]
    assert one_home.pull().problems == ()
    assert b"STATUS:COMPLETED" in one_home.get()


@pytest.mark.parametrize("code", [403, 405])
def test_a_list_that_can_only_be_read_is_named(one_home: Ticking, code: int) -> None:
    """The tick stays here, is tried with each pull, and written once that is allowed."""
    one_home.tick()
    one_home.tick("Water the pots 2027-03-24")
    one_home.instead["PUT"] = status(code)
    for _ in range(2):
        (told,) = one_home.pull().problems
        assert f"“{one_home.title}” can be read and not written ({code})" in str(told)
        assert "ask its owner" in str(told.remedy)
        assert one_home.sent("PUT") == ["PUT"]
        assert one_home.task("Order seeds").done is not None
    del one_home.instead["PUT"]
    assert one_home.pull().problems == ()
    assert b"STATUS:COMPLETED" in one_home.get()
    assert b"STATUS:COMPLETED" in one_home.get("pots")


def test_the_log_has_a_line_for_each_tick(
    one_home: Ticking, capsys: pytest.CaptureFixture[str]
) -> None:
    """Refused, while the server is off, and written; by the id, since a title is private."""
    one_home.tick()
    todo_id = one_home.task("Order seeds").id

    def lines() -> list[str]:
        now = one_home.context().now.isoformat()
        main(["pull", "--household", str(one_home.folder), "--now", now, "--log", "info"])
        logged = [one for one in capsys.readouterr().err.splitlines() if "source=errands" in one]
        assert not any("seeds" in one for one in logged)
        return [one.partition(" ")[2] for one in logged if "tick=" in one]

    one_home.instead["PUT"] = status(403)
    assert lines() == [f"warning source=errands tick={todo_id} outcome=refused"]
    off = dict.fromkeys(["GET", "PUT", "PROPFIND", "REPORT"], status(503, Retry_After="600"))
    one_home.instead.update(off)
    assert lines() == [f"warning source=errands tick={todo_id} outcome=waits"]
    one_home.instead.clear()
    assert lines() == [f"info source=errands tick={todo_id} outcome=written"]
    assert lines() == []


def test_a_server_that_is_off_is_waited_for(one_home: Ticking) -> None:
    """The tick stands here, `check` counts it, and it is written when the server is there again."""
    one_home.tick()
    off = dict.fromkeys(["GET", "PUT", "PROPFIND", "REPORT"], status(503, Retry_After="600"))
    one_home.instead.update(off)
    assert one_home.pull().problems
    assert one_home.sent("PUT", "GET") == []
    assert one_home.task("Order seeds").done is not None
    said = [str(one) for one in check(one_home.context(), offline=True).done]
    assert "1 tick waits to be written to errands." in said
    one_home.instead.clear()
    assert one_home.pull().problems == ()
    assert b"STATUS:COMPLETED" in one_home.get()
    said = [str(one) for one in check(one_home.context(), offline=True).done]
    assert not any("waits to be written" in one for one in said)
    assert "1 tick was written to errands in the last 7 days; sent/ has them all." in said


@pytest.mark.parametrize("value", ["done", ""])
def test_killed_between_the_put_and_the_note(one_home: Ticking, value: str) -> None:
    """The server has it, nobody noted it: the next run finds it there and comes to the same end."""
    one_home.tick()
    if not value:
        one_home.pull()
        one_home.tick(value="")
    before = len(one_home.steps())
    command = [sys.executable, "-m", "weeksync", "pull", "--household", str(one_home.folder)]
    real = relay(one_home.server.url)
    running: list[subprocess.Popen[bytes]] = []

    def kill(exchange: Exchange, answer: Answer) -> Answer:
        if exchange.headers["Authorization"]:
            running[0].kill()
        return answer

    one_home.instead["PUT"] = relay(one_home.server.url, edit=kill)
    one_home.web.seen.clear()
    at = one_home.context().now.isoformat()
    running.append(subprocess.Popen([*command, "--now", at]))
    assert running[0].wait(60) == -signal.SIGKILL
    assert one_home.sent("PUT") == ["PUT"]
    assert one_home.steps()[before:] == ["about to write"]
    written = one_home.get()
    assert (b"STATUS:COMPLETED" in written) is (value == "done")
    one_home.instead["PUT"] = real
    assert one_home.pull().problems == ()
    assert one_home.sent("PUT") == []
    assert one_home.get() == written
    assert one_home.steps()[-1] == ("written" if value else "was so already")
    assert (one_home.task("Order seeds").done is not None) is (value == "done")
    assert one_home.task("Order seeds").ticks
    one_home.pull()
    assert one_home.sent("PUT", "GET") == []


@pytest.mark.parametrize("lines", [(), ("tick_todos = true", 'tick_only = ["Elsewhere"]')])
def test_nothing_is_ever_sent_to_a_list_that_is_not_switched_on(
    one_home: Ticking, lines: tuple[str, ...]
) -> None:
    """Its to-dos cannot be ticked, and ticks from when it was on stay here."""
    one_home.tick()
    one_home.write_config(*lines)
    assert not one_home.task("Order seeds").ticks
    assert one_home.task("Order seeds").done is None
    thing = one_home.task("Water the pots 2027-03-24").id
    (refused,) = one_home.send(thing).refused
    assert "to-do of a calendar" in str(refused.what)
    assert one_home.pull().problems == ()
    assert {one.method for one in one_home.web.seen} <= {"PROPFIND", "REPORT", "GET"}
    assert one_home.sent("PUT", "GET", "DELETE", "POST") == []
    assert b"COMPLETED" not in one_home.get()
    told = [str(one.remedy) for one in check(one_home.context(), offline=True).problems]
    assert told == ([f"write one of {one_home.title}"] if lines else [])


def test_without_strong_tags_the_bytes_are_compared(one_home: Ticking) -> None:
    """A weak tag does not stand for bytes (RFC 9110 section 8.8.1): they are got at the last
    moment, and `If-Match: *` sees to it that nothing is made anew."""

    def weak(_: Exchange, real: Answer) -> Answer:
        tag = {name: f"W/{value}" for name, value in real[1].items() if name.lower() == "etag"}
        return real[0], {**real[1], **tag}, real[2]

    one_home.tick()
    one_home.instead["GET"] = relay(one_home.server.url, edit=weak)
    assert one_home.pull().problems == ()
    assert one_home.sent("GET", "PUT") == ["GET", "GET", "PUT", "GET"]
    (put,) = (
        one for one in one_home.web.seen if one.method == "PUT" and one.headers["Authorization"]
    )
    assert put.headers["If-Match"] == "*"
    assert one_home.journal()[-1]["guard"] == "compared"
    assert b"STATUS:COMPLETED" in one_home.get()


def test_what_was_reopened_on_the_server_is_open_here(one_home: Ticking) -> None:
    """The tick was written; what was said there later is newer."""
    one_home.tick()
    one_home.pull()
    one_home.put("seeds", todo(SEEDS + "STATUS:NEEDS-ACTION\r\n"))
    one_home.pull()
    assert one_home.task("Order seeds").done is None
    assert one_home.sent("PUT") == []
    one_home.tick()
    one_home.pull()
    assert b"STATUS:COMPLETED" in one_home.get()


def test_what_was_ticked_for_an_earlier_day_is_done_at_its_end(one_home: Ticking) -> None:
    """Of a mark for Monday, made on Wednesday, only the day is known."""
    context = one_home.context()
    monday = context.today - timedelta(days=2)
    thing = one_home.task("Order seeds").id
    mark = Mark(thing, monday, "", "done", context.now, context.now, "paper")
    assert take_marks(context, [mark]).new == 1
    assert one_home.task("Order seeds").done == monday
    one_home.pull()
    assert b"COMPLETED:20270322T235959Z" in one_home.get()
    assert one_home.task("Order seeds").done == monday


def test_the_journal_has_no_secret(one_home: Ticking) -> None:
    """What was written, where and when, and neither a password nor an address of the server."""
    one_home.tick()
    one_home.pull()
    text = (one_home.folder / "sent" / "2027.jsonl").read_text()
    assert PASSWORD not in text
    assert "http" not in text
    last = one_home.journal()[-1]
    assert last["object"] == one_home.name("seeds")
    assert (last["uid"], last["source"], last["title"]) == ("seeds", "errands", "Order seeds")
    assert last["tag_before"] != last["tag_after"]
    assert last["set"] == {
        "STATUS": "COMPLETED",
        "COMPLETED": "20270324T064300Z",
        "PERCENT-COMPLETE": "100",
    }


def test_a_tick_is_written_soon_while_pages_are_served(one_home: Ticking) -> None:
    """By a thread of its own, which also takes over what the server has then."""
    told: list[Message] = []
    pace = SendPace(quiet=0.05, again=0.2, longest=0.2)
    config = one_home.folder / "config.toml"
    config.write_text(f'{config.read_text()}\n[log]\nfile = "state/log.txt"\n')
    reader = Reader(one_home.folder, lambda: one_home.now + timedelta(minutes=1))
    sender = TickSender(reader, complain=told.append, pace=pace)
    sender.start()
    try:
        one_home.web.seen.clear()
        one_home.instead["GET"] = status(503, Retry_After="600")
        one_home.tick()
        sender.ask()
        until(lambda: bool(told))
        del one_home.instead["GET"]  # tried again without being asked
        until(lambda: one_home.steps()[-1] == "written")
        log = one_home.folder / "state" / "log.txt"
        until(lambda: log.exists() and "outcome=written" in log.read_text())
    finally:
        sender.stop()
    assert b"STATUS:COMPLETED" in one_home.get()
    assert one_home.task("Order seeds").done is not None
    one_home.pull()
    assert one_home.sent("GET", "PUT") == []


def test_a_week_from_paper_has_the_to_dos_that_can_be_ticked(one_home: Ticking) -> None:
    """Each on its day as printed, to be done and not dropped; done ones leave the lists."""

    def typing() -> Keyboard:
        return Keyboard("mark", folder=one_home.folder, now=one_home.context().now.isoformat())

    with typing() as keys:
        keys.types("/1")
        assert "“Water the pots” lies in a calendar, and can only be done" in keys.types("1")
        assert "Water the pots" in keys.types("")
        keys.ends_input()
        assert keys.end() == 0
        assert "1 mark, written down." in keys.seen
    assert one_home.pull().problems == ()
    assert b"RECURRENCE-ID;VALUE=DATE:20270322" in one_home.get("pots")
    with typing() as keys:
        keys.until("1/2  Tue")
        keys.ends_input()
        assert keys.end() == 0


def test_a_tick_by_command_and_from_a_file(
    one_home: Ticking, capsys: pytest.CaptureFixture[str]
) -> None:
    """`weeksync mark` takes both, and says where a to-do can only be done."""
    thing = one_home.task("Order seeds").id
    common = ["--household", str(one_home.folder), "--now", one_home.context().now.isoformat()]
    assert main(["mark", thing, "later", *common]) == 2
    assert "can only be done" in capsys.readouterr().err
    assert main(["mark", thing, "done", *common]) == 0
    assert "Order seeds" in capsys.readouterr().out
    assert main(["mark", thing, "done", *common]) == 0
    assert "stands there already" in capsys.readouterr().out
    assert main(["mark", thing, "--undo", *common]) == 0
    assert one_home.task("Order seeds").done is None
    saved = one_home.folder / "saved.jsonl"
    at = one_home.context().now.isoformat()
    saved.write_text(
        json.dumps(
            {"id": thing, "date": at[:10], "value": "done", "recorded_at": at, "device": "kitchen"}
        )
    )
    common[-1] = at
    assert main(["mark", "--from", str(saved), *common]) == 0
    assert one_home.task("Order seeds").done is not None
    one_home.pull()
    assert b"STATUS:COMPLETED" in one_home.get()


def test_an_answer_that_is_lost_costs_nothing(one_home: Ticking) -> None:
    """The PUT is repeated, does nothing under its old tag, and what stands there is found."""
    lost: list[int] = []

    def put(exchange: Exchange) -> None:
        def lose(_: Exchange, real: Answer) -> Answer:
            lost.append(real[0])
            exchange.close(reset=True)
            return real

        known = bool(exchange.headers["Authorization"])
        relay(one_home.server.url, edit=lose if known and not lost else same)(exchange)

    def same(_: Exchange, real: Answer) -> Answer:
        return real

    one_home.tick()
    one_home.instead["PUT"] = put
    assert one_home.pull().problems == ()
    assert lost[0] < 300
    assert one_home.steps() == ["taken", "about to write", "written"]
    assert one_home.get().count(b"STATUS:COMPLETED") == 1
    assert one_home.task("Order seeds").ticks


def test_a_redirect_takes_no_to_do_to_another_host(one_home: Ticking) -> None:
    """Neither its text nor a password; the tick waits, and that is said."""
    with web_server() as elsewhere:
        elsewhere.other = status(201)
        one_home.tick()
        one_home.instead["PUT"] = redirect(f"{elsewhere.url}/theirs.ics", 307)
        (told,) = one_home.pull().problems
        assert "sends us to an address that is not followed" in str(told)
        assert elsewhere.seen == []
    assert one_home.steps()[-1] == "about to write"
    del one_home.instead["PUT"]
    assert one_home.pull().problems == ()
    assert one_home.steps()[-1] == "written"


def test_a_journal_that_cannot_be_used_stops_neither_pull_nor_pages(one_home: Ticking) -> None:
    """Nothing is sent without it, and what is wrong with it is told."""
    one_home.tick()
    journal = one_home.folder / "sent" / "2027.jsonl"
    aside = journal.rename(journal.with_suffix(".aside"))
    journal.mkdir()
    (told,) = one_home.pull().problems
    assert told.place.file == "sent/2027.jsonl"
    assert one_home.sent("GET", "PUT") == []
    assert not one_home.task("Order seeds").ticks
    assert told in check(one_home.context(), offline=True).problems
    journal.rmdir()
    aside.rename(journal)
    assert one_home.pull().problems == ()
    assert b"STATUS:COMPLETED" in one_home.get()


def test_a_full_disk_before_the_put_sends_nothing(
    one_home: Ticking, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The journal is written first; where it cannot be, the tick waits."""
    one_home.tick()
    journal = one_home.folder / "sent" / "2027.jsonl"
    journal.chmod(0o400)
    if os.access(journal, os.W_OK):  # root may write everywhere: a limit of the process holds it
        monkeypatch.setattr("weeksync.household.sent.MOST_BYTES", journal.stat().st_size)
    (told,) = one_home.pull().problems
    assert "sent/2027.jsonl" in str(told)
    assert one_home.sent("PUT") == []
    monkeypatch.undo()
    journal.chmod(0o600)
    assert one_home.pull().problems == ()
    assert b"STATUS:COMPLETED" in one_home.get()


def test_a_list_that_is_switched_off_later_is_asked_nothing_more(one_home: Ticking) -> None:
    """What waits for it waits on, without a word, also where another list is switched on."""
    other = f"{one_home.title}-too"
    path = one_home.server.make_calendar(other, title=other)
    one_home.server.put(f"{path}one.ics", todo(SEEDS.replace("seeds", "soil")))
    one_home.path = "/ines/"
    choose = f'choose = ["{one_home.title}", "{other}"]'
    one_home.write_config(choose, "tick_todos = true")
    one_home.pull()
    one_home.tick("Order seeds")
    one_home.tick("Order soil")
    one_home.write_config(choose, "tick_todos = true", f'tick_only = ["{other}"]')
    assert one_home.pull().problems == ()
    assert b"STATUS:COMPLETED" in one_home.server.get(f"{path}one.ics")
    assert not any(
        one_home.title + "/" in one.path for one in one_home.web.seen if "ics" in one.path
    )
    assert one_home.task("Order seeds").done is None
    one_home.write_config(choose, "tick_todos = true")
    assert one_home.pull().problems == ()
    assert one_home.task("Order seeds").done is not None


def test_a_list_that_is_gone_is_told(one_home: Ticking) -> None:
    """What waited for it can be written nowhere; that is settled when the loss is accepted."""
    other = f"{one_home.title}-too"
    path = one_home.server.make_calendar(other, title=other)
    one_home.server.put(f"{path}one.ics", todo(SEEDS.replace("seeds", "soil")))
    gone, one_home.path = one_home.path, "/ines/"
    one_home.write_config(f'choose = ["{one_home.title}", "{other}"]', "tick_todos = true")
    one_home.pull()
    one_home.tick("Order seeds")
    one_home.server.delete(gone)
    for accept in (False, True):
        told = one_home.pull(accept=accept).problems
        assert sum("has it no longer" in str(one) for one in told) == 1
    assert one_home.steps()[-1] == "gone"
    assert not any("has it no longer" in str(one) for one in one_home.pull().problems)
