"""What waits for a server: the latest mark of a to-do, and what the journal says of it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from weeksync.model.household import Mark
from weeksync.model.occurrence import TodoItem
from weeksync.model.sent import Sent, SentStep, Tick
from weeksync.plan.task_records import todo_id
from weeksync.plan.ticked import ticked
from weeksync.workflow.ticks import Ledger, latest_ticks

DAY = date(2027, 3, 24)
AT = datetime(2027, 3, 24, 7, tzinfo=UTC)
TODO = TodoItem("errands", "/list/", "seeds", "", "Order seeds", due=date(2027, 3, 26))
THING = todo_id(TODO)
LISTS = {("errands", "/list/")}


def mark(value: str = "done", minutes: int = 0) -> Mark:
    """A mark of that many minutes after seven."""
    at = AT + timedelta(minutes=minutes)
    return Mark(THING, DAY, "", value, at, at, "kitchen")


def line(step: SentStep, one: Mark, completed: str | None = None) -> Sent:
    """A line of the journal about a mark; `completed` is what was set, "" for taken away."""
    said = {} if completed is None else {"STATUS": "x", "COMPLETED": completed}
    return Sent(
        AT, step, THING, DAY, one.value, one.counts_from, "errands", "/list/", "seeds",
        properties=said,
    )  # fmt: skip


TAKEN = line(SentStep.TAKEN, mark())
WRITTEN = line(SentStep.WRITTEN, mark(), "20270324T070000Z")


def test_the_latest_mark_holds_whatever_its_day() -> None:
    """As for every task; other marks are none of these."""
    early = replace(mark(minutes=1), day=DAY - timedelta(days=2))
    marks = [mark(""), early, replace(mark(minutes=5), id="water"), mark("", minutes=-1)]
    assert latest_ticks(marks) == {THING: early}


@pytest.mark.parametrize(
    ("journal", "one", "waits"),
    [
        ([TAKEN], mark(), True),
        ([TAKEN, line(SentStep.BEGUN, mark(), "20270324T070000Z")], mark(), True),
        ([TAKEN, line(SentStep.REFUSED, mark())], mark(), True),
        ([TAKEN, line(SentStep.CHANGED, mark())], mark(), True),
        ([TAKEN, WRITTEN], mark(), False),
        ([TAKEN, line(SentStep.ALREADY, mark())], mark(), False),
        ([TAKEN, line(SentStep.GONE, mark())], mark(), False),
        ([TAKEN, line(SentStep.CANCELLED, mark())], mark(), False),
        ([TAKEN, WRITTEN], mark(minutes=5), True),
        ([TAKEN], mark("", 5), False),
        ([TAKEN, WRITTEN], mark("", 5), True),
        ([TAKEN, line(SentStep.BEGUN, mark(), "20270324T070000Z")], mark("", 5), True),
        ([TAKEN, line(SentStep.ALREADY, mark())], mark("", 5), False),
        ([WRITTEN, line(SentStep.WRITTEN, mark("", 5), "")], mark("", 5), False),
        ([WRITTEN, line(SentStep.WRITTEN, mark("", 5), "")], mark("", 9), False),
        ([WRITTEN, line(SentStep.ANEW, mark("", 5))], mark("", 9), False),
    ],
)
def test_what_the_journal_does_not_settle_waits(
    journal: list[Sent], one: Mark, waits: bool
) -> None:
    """A tick taken back is only written where the tick was, or may have been."""
    assert Ledger.of(journal).waits(one) is waits


@pytest.mark.parametrize(
    ("todo", "tick", "done", "ticks"),
    [
        (TODO, None, None, True),
        (TODO, Tick(DAY, done=True, waits=True, ours=False), DAY, True),
        (TODO, Tick(DAY, done=True, waits=False, ours=True), None, True),
        (replace(TODO, completed=DAY), None, DAY, False),
        (replace(TODO, completed=DAY), Tick(DAY, done=True, waits=False, ours=True), DAY, True),
        (replace(TODO, completed=DAY), Tick(DAY, done=True, waits=False, ours=False), DAY, False),
        (replace(TODO, completed=DAY), Tick(DAY, done=False, waits=True, ours=True), None, True),
        (replace(TODO, status="CANCELLED"), Tick(DAY, True, True, False), None, False),
        (replace(TODO, collection="/other/"), Tick(DAY, True, True, False), None, False),
    ],
)
def test_what_waits_holds_over_what_the_server_had(
    todo: TodoItem, tick: Tick | None, done: date | None, ticks: bool
) -> None:
    """What is written does not: then the server's word is the newer one."""
    (shown,) = ticked([todo], LISTS, {THING: tick} if tick else {})
    assert (shown.completed, shown.ticks) == (done, ticks)
    assert shown.open is (done is None and todo.status != "CANCELLED")
