"""The notation of rows on the page says what it says to `weeksync mark`: the same, word by word."""

from __future__ import annotations

import json
import re
import subprocess
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from tests.model.test_mark_rows import FIGURES, MISTAKES, TICKS, WEEK
from weeksync.model.fields import MarkKind
from weeksync.model.mark_rows import RowMistake, is_ticked, row_values
from weeksync.site.enter import sentences

SCRIPT = Path(__file__).resolve().parents[2] / "site_templates" / "paper_rows.js"

READER = """
const { rowValues, isTicked } = new Function(process.argv[1] + "; return paperRows")();
require("readline").createInterface({ input: process.stdin }).on("line", (line) => {
  const [text, asked, kind] = JSON.parse(line);
  let answer;
  try {
    answer = { values: [...rowValues(text, asked, kind)], ticked: isTicked(text, kind) };
  } catch (mistake) {
    answer = mistake instanceof Error ? { fault: String(mistake) }
      : { word: mistake.word, remedy: mistake.remedy || null };
  }
  console.log(JSON.stringify(answer));
});
"""


class Reader:
    """The script of the page in a process of Node, asked row by row."""

    def __init__(self, process: subprocess.Popen[str]) -> None:
        self._process = process

    def read(self, text: str, asked: Sequence[int], kind: MarkKind) -> dict[str, Any]:
        """What the script makes of a row."""
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.write(json.dumps([text, list(asked), kind.value]) + "\n")
        self._process.stdin.flush()
        answer: dict[str, Any] = json.loads(self._process.stdout.readline())
        return answer


@contextmanager
def running() -> Iterator[Reader]:
    """Node with the script; it ends with the block."""
    with subprocess.Popen(
        ["node", "-e", READER, SCRIPT.read_text("utf-8")],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        encoding="utf-8",
    ) as process:
        yield Reader(process)
        assert process.stdin is not None
        process.stdin.close()


@pytest.fixture(scope="module")
def reader() -> Iterator[Reader]:
    """One process for all rows of this file."""
    with running() as found:
        yield found


def in_python(text: str, asked: Sequence[int], kind: MarkKind) -> dict[str, Any]:
    """What `weeksync mark` makes of it, in the same form."""
    try:
        values = row_values(text, asked, kind)
    except RowMistake as mistake:
        remedy = f"remedy-{kind.value}" if mistake.remedy is not None else None
        return {"word": mistake.word, "remedy": remedy}
    return {
        "values": sorted([number, value] for number, value in values.items()),
        "ticked": is_ticked(text, kind),
    }


def agree(reader: Reader, text: str, asked: Sequence[int], kind: MarkKind) -> dict[str, Any]:
    """Both readings are the same; gives it."""
    theirs = reader.read(text, asked, kind)
    if "values" in theirs:
        theirs["values"].sort()
    assert theirs == in_python(text, asked, kind), (text, asked, kind)
    return theirs


KNOWN = [
    *((MarkKind.YES_NO, typed) for typed in TICKS),
    *((kind, typed) for kind, typed, _ in FIGURES),
    *MISTAKES,
]


@pytest.mark.parametrize(("kind", "typed"), KNOWN)
def test_every_example_of_the_notation_is_read_alike(
    reader: Reader, kind: MarkKind, typed: str
) -> None:
    """Those of the notation's own tests, mistakes among them."""
    agree(reader, typed, WEEK, kind)


ASKED = st.sets(st.integers(1, 7), min_size=1).map(sorted)
LONG_LIST = st.integers(8, 14).map(lambda count: list(range(1, count + 1)))
PIECES = st.sampled_from(
    ["*", "=", "==", "-", "~", "/", "x", "X", "+", ".", ",", " ", "*10", "*100", "*1000", "7+"],
) | st.sampled_from(
    [
        "\u00a0",
        "a",
        "\u0661",
        "\u06f7",
        "\u096b",
        "\u0e53",
        "\u0663\u066b\u0665",
        "\u060c",
        "00",
        "7.5",
        "7,25",
        "1440",
        "1000001",
        "1.0625",
    ],
)
TYPED = st.lists(st.one_of(PIECES, st.integers(0, 99).map(str)), max_size=9).map("".join)


@settings(max_examples=1500, deadline=None)
@given(text=TYPED, asked=st.one_of(ASKED, LONG_LIST), kind=st.sampled_from(list(MarkKind)))
@example(text="7777", asked=[1, 2, 3, 4], kind=MarkKind.COUNT)
@example(text="1.5", asked=[3], kind=MarkKind.SCALE)
@example(text="x1,4", asked=[1, 4], kind=MarkKind.MINUTES)
def test_whatever_is_typed_is_read_alike(
    reader: Reader, text: str, asked: list[int], kind: MarkKind
) -> None:
    """The same boxes with the same values, or the same mistake with the same remedy."""
    agree(reader, text, asked, kind)


@settings(max_examples=400, deadline=None)
@given(
    cells=st.lists(
        st.one_of(st.integers(0, 99_999).map(str), st.just("-"), st.just("=")),
        min_size=1,
        max_size=7,
    ),
    joint=st.sampled_from(["", " ", "  "]),
    factor=st.sampled_from(["", "*10", " *100"]),
    kind=st.sampled_from([MarkKind.COUNT, MarkKind.MINUTES, MarkKind.HOURS, MarkKind.SCALE]),
)
def test_rows_of_figures_are_read_alike(
    reader: Reader, cells: list[str], joint: str, factor: str, kind: MarkKind
) -> None:
    """With blanks and without, each length of row."""
    agree(reader, joint.join(cells) + factor, list(range(1, len(cells) + 1)), kind)


def test_both_readings_are_drawn(reader: Reader) -> None:
    """The comparison would be worth nothing if all that is drawn were mistakes."""
    taken = agree(reader, "7+76+7766+", WEEK, MarkKind.HOURS)
    assert taken["values"][0] == [1, "7.5"]
    told = agree(reader, "2000 1", WEEK, MarkKind.MINUTES)
    assert told == {"word": "value", "remedy": "remedy-minutes"}


def test_every_sentence_the_script_names_is_on_the_page() -> None:
    """A mistake without words would say nothing."""
    text = SCRIPT.read_text("utf-8") + SCRIPT.with_name("enter.js").read_text("utf-8")
    named = set(re.findall(r'(?:mistaken|said)\("([a-z-]+)"', text))
    assert named
    assert named <= set(sentences())
