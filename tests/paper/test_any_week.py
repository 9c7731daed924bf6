"""Whatever a week holds: all of it is on its pages, in bounds, and no text lies on another."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.paper.binder_kit import check_words, layout, texts
from tests.support import sample_week
from weeksync.model.fields import DayPart
from weeksync.model.sheets import SIZES, SizeName
from weeksync.model.spread import DayOccurrence, PlanTask, Spread
from weeksync.model.week import IsoWeek
from weeksync.paper.day_pages import day_pages
from weeksync.paper.document import Page
from weeksync.paper.layout import Layout
from weeksync.paper.marks import Words
from weeksync.paper.week_pages import spread_pages, week_page

QUIET = sample_week.quiet(IsoWeek(2027, 20))
WORDS = (
    "piano",
    "Rindfleischetikettierung",
    "a",
    "step/ladder",
    "45\u00a0min",
    "مفكرة",
    "–",
    "St.",
)
PARTS = (None, *DayPart)


@st.composite
def weeks(draw: Any) -> tuple[Spread, list[str]]:
    """A week of any fullness, and a word of each of its things that stands nowhere else."""
    tokens: list[str] = []

    def title() -> str:
        tokens.append(f"Q{len(tokens):03}Z")
        rest = draw(st.lists(st.sampled_from(WORDS), max_size=draw(st.sampled_from((2, 6, 40)))))
        return " ".join((tokens[-1], *rest))

    days = []
    for day in QUIET.days:
        events = []
        for part in draw(st.lists(st.sampled_from(PARTS), max_size=7)):
            if part is None:
                whole = sample_week.occurrence(title(), day.date, day.date.replace(day=28))
                events.append(DayOccurrence(whole, None))
            else:
                start = sample_week.at(day.date, "10:00")
                made = sample_week.occurrence(title(), start, start, area="home", place="Quay 7")
                events.append(DayOccurrence(made, part))
        tasks = tuple(
            PlanTask(f"t{at}", title(), area="stall", persons=("ines",), part=part)
            for at, part in enumerate(draw(st.lists(st.sampled_from(PARTS), max_size=9)))
        )
        days.append(replace(day, occurrences=tuple(events), tasks=tasks))
    undated = tuple(PlanTask(f"u{at}", title()) for at in range(draw(st.integers(0, 9))))
    return replace(QUIET, days=tuple(days), undated=undated), tokens


def overlapping(on: Layout, page: Page) -> list[tuple[str, str]]:
    """Pairs of lines of which one is printed over the other."""
    places = [place for words in page.words() for place in _places(on, words)]
    return [
        (one[4], other[4])
        for one, other in combinations(places, 2)
        if one[0] < other[2] - 0.3
        and other[0] < one[2] - 0.3
        and one[1] < other[3] - 0.3
        and other[1] < one[3] - 0.3
    ]


def _places(on: Layout, words: Words) -> list[tuple[float, float, float, float, str]]:
    """(left, top, right, bottom, text) of each line, the height being that of its letters."""
    found = []
    letters = words.size_pt * 25.4 / 72 * 0.72
    for at, line in enumerate(words.lines):
        strong = f"{words.strong} " if at == 0 and words.strong else ""
        width = on.measure.width_mm(line, words.size_pt, bold=words.bold)
        width += on.measure.width_mm(strong, words.size_pt, bold=True) if strong else 0.0
        spare = words.box.w - width
        left = words.box.x + {"start": 0.0, "end": spare, "centre": spare / 2}[words.align]
        top = words.box.y + at * words.line_mm + (words.line_mm - letters) / 2
        found.append((left, top, left + width, top + letters, strong + line))
    return found


@settings(max_examples=25, suppress_health_check=[HealthCheck.too_slow])
@given(weeks(), st.sampled_from(sorted(SIZES)), st.sampled_from(("en_GB", "ar_EG")), st.booleans())
def test_everything_is_on_the_pages_and_nothing_on_top_of_it(
    week: tuple[Spread, list[str]], size: SizeName, locale: str, large: bool
) -> None:
    """On spreads, one-page weeks and day pages, of every size, from either side, in large print."""
    spread, tokens = week
    style: dict[str, Any] = (
        {"type_pt": 14.0, "row_mm": 8.0, "tick_mm": 5.0, "large": True} if large else {}
    )
    on = layout("A5" if large and SIZES[size][0] < 130 else size, locale, **style)
    undated = {task.title.partition(" ")[0] for task in spread.undated}
    for pages, wanted in (
        (spread_pages(on, spread), tokens),
        (week_page(on, spread), tokens),
        (day_pages(on, spread), [one for one in tokens if one not in undated]),
    ):
        said = " ".join(text for page in pages for text in texts(page))
        assert [one for one in wanted if said.count(one) != 1] == []
        check_words(on, pages)
        for page in pages:
            assert overlapping(on, page) == []


def test_a_text_on_another_is_seen() -> None:
    """What the test above looks for is found where it is."""
    on = layout()
    page = spread_pages(on, QUIET)[0].with_marks(
        on.write(20, 100, 60, "Optician"), on.write(25, 101, 60, "Dentist")
    )
    assert overlapping(on, page) == [("Optician", "Dentist")]
