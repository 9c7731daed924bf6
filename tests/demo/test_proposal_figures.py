"""The proposed week against `expected.json`: the four feeds and the nine tasks, on their Monday."""

from __future__ import annotations

import json
from datetime import date, datetime
from itertools import pairwise
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from weeksync import demo
from weeksync.model.week_plan import Proposal, Standing
from weeksync.workflow import Context, open_store, shown
from weeksync.workflow.pull import pull

EXPECTED: dict[str, Any] = json.loads((Path(__file__).parent / "expected.json").read_text("utf-8"))
MONDAY = datetime(2027, 3, 22, tzinfo=ZoneInfo("Europe/London"))


def nine_tasks() -> str:
    """`tasks.toml` with the nine tasks of the figures and nothing else."""
    text = "format = 1\n"
    for number, (title, minutes, due) in enumerate(EXPECTED["tasks"]["tasks"]):
        day = date(2027, 3, int(due.split()[1]))
        text += (
            f'\n[[tasks]]\nid = "t{number}"\ntitle = "{title}"\nperson = "ines"\n'
            f"due = {day}\nestimate = {minutes}\n"
        )
    return text


@pytest.fixture(scope="module")
def proposal(tmp_path_factory: pytest.TempPathFactory) -> Proposal:
    """What is proposed for 2027-W12 before anything of it is over."""
    home = demo.copy_to(tmp_path_factory.mktemp("demo") / "household")
    for name in ("appointments", "routines", "habits", "money", "terms"):
        (home / f"{name}.toml").unlink()
    for file in (home / "weeks").iterdir():
        file.unlink()
    (home / "tasks.toml").write_text(nine_tasks(), "utf-8")
    context = Context.read(home, MONDAY)
    with open_store(context) as store:
        pull(context, store)
    plan = shown(context, "2027-W12")[0].plan
    assert plan is not None
    assert plan.proposal is not None
    return plan.proposal


def test_the_fewest_late(proposal: Proposal) -> None:
    """One, as Moore and Hodgson's algorithm and trying everything say; and which."""
    late = [one.title for one in proposal.tasks if one.standing is Standing.LATE]
    assert late == EXPECTED["tasks"]["moore_hodgson_late"]
    assert proposal.late == EXPECTED["tasks"]["brute_force_min_late"]


def test_all_others_are_done_before_they_are_due(proposal: Proposal) -> None:
    """Each in gaps that are free, whole, and told in one line."""
    others = [one for one in proposal.tasks if one.standing is not Standing.LATE]
    assert len(others) == 8
    for one in others:
        assert one.standing is Standing.PLACED
        assert one.due is not None
        assert one.pieces[-1].end.date() <= one.due
        assert str(one.reason).startswith(f"due {one.due}: {one.minutes} of ")


def test_each_day_keeps_its_share(proposal: Proposal) -> None:
    """No day is given more than may be planned, no two pieces overlap, none meets an engagement."""
    pieces = sorted((piece.start, piece.end) for one in proposal.tasks for piece in one.pieces)
    assert all(first[1] <= second[0] for first, second in pairwise(pieces))
    caps = EXPECTED["tasks"]["capacity_min_by_day"]
    for offset, most in enumerate(caps):
        inside = [span for span in pieces if span[0].date().day == 22 + offset]
        assert sum(int((end - start).total_seconds()) // 60 for start, end in inside) <= most
    busy = [
        (datetime.fromisoformat(one["start_utc"]), datetime.fromisoformat(one["end_utc"]))
        for one in EXPECTED["busy"]
        if one["who"] == "Ines"
    ]
    assert not [1 for low, high in busy for start, end in pieces if start < high and low < end]
