"""The journal of what was sent to calendar servers: appended, on the disk, and read again."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

from weeksync.household.portable import Portable
from weeksync.household.sent import append_sent, read_sent
from weeksync.model.config import Config
from weeksync.model.sent import Sent, SentStep
from weeksync.read.checked import checked

AT = datetime(2027, 12, 31, 23, 30, tzinfo=UTC)
LINE = Sent(
    at=AT,
    step=SentStep.WRITTEN,
    id="todo-0123456789abcdef",
    day=date(2027, 12, 31),
    value="done",
    made=datetime(2027, 12, 31, 23, 20, 0, 250_000, tzinfo=UTC),
    source="errands",
    collection="/ines/errands/",
    uid="säen, ‘früh’",
    identity="20271231",
    title="Säen",
    object="/ines/errands/a.ics",
    properties={"STATUS": "NEEDS-ACTION", "COMPLETED": ""},
    tag_before='"1"',
    tag_after='"2"',
    guard="If-Match",
)


def test_what_is_appended_is_read_as_it_was(tmp_path: Path) -> None:
    """By year, in order; nothing of it is lost on the way."""
    taken = replace(LINE, step=SentStep.TAKEN, value="", identity="", properties={}, tag_after="")
    later = replace(LINE, at=AT.replace(year=2028))
    append_sent(tmp_path, [LINE, taken])
    append_sent(tmp_path, [later])
    assert sorted(one.name for one in (tmp_path / "sent").iterdir()) == ["2027.jsonl", "2028.jsonl"]
    assert read_sent(tmp_path) == (LINE, taken, later)
    first = (tmp_path / "sent" / "2027.jsonl").read_text().splitlines()[0]
    assert first == '{"format": 1}'


def test_a_line_that_was_cut_off_is_passed_over_and_ended(tmp_path: Path) -> None:
    """What stands behind it is on a line of its own."""
    append_sent(tmp_path, [LINE])
    file = tmp_path / "sent" / "2027.jsonl"
    whole = file.read_bytes()
    file.write_bytes(whole + whole.splitlines()[1][:40])
    append_sent(tmp_path, [LINE])
    assert read_sent(tmp_path) == (LINE, LINE)
    assert file.read_bytes().startswith(whole)


def test_lines_of_a_later_weeksync_are_passed_over(tmp_path: Path) -> None:
    """A step that is not known here says nothing, and does no harm."""
    append_sent(tmp_path, [LINE])
    file = tmp_path / "sent" / "2027.jsonl"
    odd = file.read_bytes().replace(b'"written"', b'"folded"')
    file.write_bytes(odd + b"[]\nnull\n\xff\xfe\n")
    assert read_sent(tmp_path) == ()


def test_it_moves_along_with_the_household() -> None:
    """What was written to a server is nowhere else."""
    config = checked(
        Config,
        {
            "format": 1,
            "household": {"name": "x", "time_zone": "UTC"},
            "people": [{"id": "ann", "name": "Ann"}],
        },
    )
    assert Portable.of(config).has("sent/2027.jsonl")
