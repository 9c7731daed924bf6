"""What a kept snapshot does to a week: changes told, cancelled events struck through, no moves."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

from tests.support.plans import LONDON, all_day, at, files, planner, timed
from weeksync.model.files import Task
from weeksync.model.occurrence import Occurrence
from weeksync.model.snapshot import LineKind, Snapshot, SnapshotLine
from weeksync.model.spread import LeftOut, LeftOutReason, Spread
from weeksync.model.week import IsoWeek
from weeksync.model.week_plan import ChangeKind, Piece, Standing, WeekPlan
from weeksync.plan.confirmed import Confirmed
from weeksync.plan.planner import Planner
from weeksync.plan.proposal import moves
from weeksync.plan.snapshot import lines, take

W12, W13 = IsoWeek(2027, 12), IsoWeek(2027, 13)
PRINTED = datetime(2027, 3, 21, 18, tzinfo=UTC)
PIANO = timed("Piano", at("2027-03-24 16:00"), 30)
CANCELLED = LeftOut(replace(PIANO, cancelled=True), LeftOutReason.CANCELLED)
REPORT = Task(id="report", title="Report", due=date(2027, 3, 27), estimate=60, person="ines")


def printed(
    *occurrences: Occurrence, week: IsoWeek = W12, tasks: tuple[Task, ...] = ()
) -> Snapshot:
    """The snapshot of a week with these occurrences."""
    return take(planner(files(tasks=tasks), occurrences).week(week), PRINTED)


def later(*snapshots: Snapshot, left_out: tuple[LeftOut, ...] = ()) -> Planner:
    """The household once it has these snapshots and an event has been cancelled."""
    kept = {one.iso_week: one for one in snapshots}
    return planner(files(snapshots=kept), left_out=left_out)


def plan_of(spread: Spread) -> WeekPlan:
    """The plan of a week."""
    assert spread.plan is not None
    return spread.plan


def shown(spread: Spread) -> list[tuple[str, bool]]:
    """(title, cancelled) of what is on the days of a spread."""
    found = (one.occurrence for day in spread.days for one in day.occurrences)
    return [(one.title, one.cancelled) for one in found]


def test_a_cancelled_event_that_was_printed_is_struck_through() -> None:
    """It stands where it stood, is told as gone, and is not among what was left out."""
    asked = later(printed(PIANO), left_out=(CANCELLED,))
    spread = asked.week(W12)
    assert shown(spread) == [("Piano", True)]
    assert spread.left_out == asked.left_out == ()
    (change,) = plan_of(spread).changes
    assert (change.kind, change.title) == (ChangeKind.GONE, "Piano")
    assert plan_of(spread).confirmed == PRINTED


def test_a_cancelled_event_that_was_never_printed_is_left_out() -> None:
    """Without a snapshot, and where that of the week does not have it."""
    for snapshots in ((), (printed(),), (printed(week=W13),)):
        asked = later(*snapshots, left_out=(CANCELLED,))
        spread = asked.week(W12)
        assert shown(spread) == []
        assert spread.left_out == asked.left_out == (CANCELLED,)


def test_a_cancelled_event_is_struck_only_in_weeks_that_showed_it() -> None:
    """A stay over two weeks, of which one was printed."""
    stay = all_day("Cousin", date(2027, 3, 26), 6)
    gone = LeftOut(replace(stay, cancelled=True), LeftOutReason.CANCELLED)
    asked = later(printed(stay), left_out=(gone,))
    assert shown(asked.week(W12)) == [("Cousin", True)] * 3
    assert shown(asked.week(W13)) == []
    assert asked.week(W13).left_out == (gone,)


def test_once_confirmed_again_it_is_gone_for_good() -> None:
    """The next snapshot does not have what was only struck through."""
    spread = later(printed(PIANO), left_out=(CANCELLED,)).week(W12)
    again = later(take(spread, PRINTED), left_out=(CANCELLED,)).week(W12)
    assert shown(again) == []
    assert plan_of(again).changes == ()


def test_a_cancelled_event_takes_no_time() -> None:
    """Struck through on the page, it leaves the day as free as it was."""
    piano = replace(PIANO, persons=("ines",))
    gone = LeftOut(replace(piano, cancelled=True), LeftOutReason.CANCELLED)
    free = [one.free for one in plan_of(later().week(W12)).loads]
    spread = later(printed(piano), left_out=(gone,)).week(W12)
    assert shown(spread) == [("Piano", True)]
    assert [one.free for one in plan_of(spread).loads] == free


def test_a_week_without_a_snapshot_has_no_changes() -> None:
    """Nothing was confirmed that could have changed; other spans have no plan at all."""
    asked = later(printed(PIANO))
    assert (plan_of(asked.week(W13)).confirmed, plan_of(asked.week(W13)).changes) == (None, ())
    assert asked.span(date(2027, 3, 22), date(2027, 3, 23)).plan is None


def test_where_a_task_was_proposed_is_kept() -> None:
    """The snapshot holds the pieces of the proposal, as the next proposal wants them."""
    spread = planner(files(tasks=(REPORT,))).week(W12)
    proposal = plan_of(spread).proposal
    assert proposal is not None
    pieces = {one.task: one.pieces for one in proposal.tasks if one.pieces}
    assert pieces
    assert Confirmed({W12: take(spread, PRINTED)}).pieces(LONDON) == pieces


def test_a_proposal_moves_nothing_that_was_confirmed() -> None:
    """A report proposed for Wednesday and confirmed there stays, though Thursday has an hour."""
    first = plan_of(planner(files(tasks=(REPORT,))).week(W12)).proposal
    assert first is not None
    (piece,) = first.tasks[0].pieces
    thursday = Piece(at("2027-03-25 14:00"), at("2027-03-25 15:00"), piece.part)
    moved = SnapshotLine(
        kind=LineKind.PROPOSED, key="proposed|report", day=date(2027, 3, 25), title="Report",
        start="14:00", end="15:00", part=piece.part,
    )  # fmt: skip
    assert piece != thursday
    snapshot = Snapshot(format=1, week=str(W12), taken_at=PRINTED, lines=(moved,))
    spread = planner(files(tasks=(REPORT,), snapshots={W12: snapshot})).week(W12)
    again = plan_of(spread).proposal
    assert again is not None
    assert again.tasks[0].pieces == (thursday,)


def test_a_piece_without_times_is_no_piece() -> None:
    """A file somebody wrote into does not stop a week."""
    line = SnapshotLine(kind=LineKind.PROPOSED, key="proposed|x", day=date(2027, 3, 25), title="X",
                        start="soon")  # fmt: skip
    snapshot = Snapshot(format=1, week=str(W12), taken_at=PRINTED, lines=(line,))
    assert Confirmed({W12: snapshot}).pieces(LONDON) == {}
    clock = replace(line, start="09:00", end="10:00")
    snapshot = replace(snapshot, lines=(clock,))
    assert Confirmed({W12: snapshot}).pieces(LONDON) == {}


def test_what_is_proposed_is_no_change() -> None:
    """A snapshot with proposals against a week in which the task is done."""
    snapshot = printed(tasks=(REPORT,))
    assert any(line.kind is LineKind.PROPOSED for line in snapshot.lines)
    done = replace(REPORT, done=date(2027, 3, 23))
    spread = planner(files(tasks=(done,), snapshots={W12: snapshot})).week(W12)
    assert plan_of(spread).changes == ()
    assert not any(line.kind is LineKind.PROPOSED for line in lines(spread))


def test_what_is_late_stays_where_it_was_confirmed() -> None:
    """An overdue report, proposed for the first gap there is and confirmed, is no new proposal."""
    late = replace(REPORT, due=date(2027, 3, 15))
    first = plan_of(planner(files(tasks=(late,))).week(W12)).proposal
    assert first is not None
    assert [one.standing for one in first.tasks] == [Standing.LATE]
    snapshot = printed(tasks=(late,))
    again = plan_of(planner(files(tasks=(late,), snapshots={W12: snapshot})).week(W12)).proposal
    assert again is not None
    assert [(one.standing, one.pieces) for one in again.tasks] == [
        (Standing.LATE, first.tasks[0].pieces)
    ]
    assert str(again.tasks[0].reason) == (
        "to be done by 2027-03-15; as it stood when the week was confirmed"
    )
    assert again.late == 1
    assert moves(again, Confirmed({W12: snapshot}).pieces(LONDON)) == ()
