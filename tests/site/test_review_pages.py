"""Pages that look back: what they show, to whom, and how they are drawn; under the checkers."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from playwright.sync_api import Browser

from tests.support import sample_week
from tests.support.checkers import axe, html_mistakes
from tests.support.chromium import chromium, looking
from weeksync.cli import main
from weeksync.language.review_sentences import ReviewSentences
from weeksync.model.fields import MarkKind
from weeksync.model.review import Figures, HabitReview, Review, SpanKind, SpanName
from weeksync.site.review_charts import chart, scale
from weeksync.site.words import Words
from weeksync.workflow.context import Context
from weeksync.workflow.own_on_demand import page_for

pytestmark = pytest.mark.browser

INSTANT = "2027-03-24T05:40:00+00:00"
WEDNESDAY = datetime.fromisoformat(INSTANT).astimezone(UTC)
NAMES = ("review-2027-W11.html", "review-2027-03.html", "cautions.html")
PRIVATE = ("Sleep", "Water", "Steps", "a little flat", "energy", "letter drawer")
"""Words of health figures, check-ins and what is only for Ines."""


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's household in `home`, its pages in `out`."""
    folder = tmp_path_factory.mktemp("demo")
    words = ["demo", "--to", str(folder / "out"), "--household", str(folder / "home")]
    assert main([*words, "--now", INSTANT]) == 0
    return folder


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One Chromium for all tests of this file."""
    with chromium() as running:
        yield running


def test_common_pages_have_nothing_private(demo: Path) -> None:
    """No health figure, no check-in, nothing that is only for some; one's own have it all."""
    site, own = demo / "out/site", demo / "out/own"
    pages = sorted(path.name for path in site.glob("review-*.html"))
    assert pages == sorted(path.name for path in own.glob("review-*.html"))
    assert {"review-2027-W12.html", "review-2027-02.html"} < set(pages)
    assert "review-2027-W13.html" not in pages  # it has not begun
    for name in pages:
        text = (site / name).read_text("utf-8")
        assert [word for word in PRIVATE if word in text] == []
    text = (own / "review-2027-W11.html").read_text("utf-8")
    assert [word for word in PRIVATE if word not in text] == []


def test_weeks_and_months_lead_there_and_every_link_has_its_page(demo: Path) -> None:
    """A week to come leads to no review; in both trees no link leads nowhere."""
    for tree, names in (("site", ("2027-W12", "2027-03")), ("own", ("2027-W12",))):
        folder = demo / "out" / tree
        for name in names:
            assert f'href="review-{name}.html"' in (folder / f"{name}.html").read_text("utf-8")
        assert "review-" not in (folder / "2027-W13.html").read_text("utf-8")
        start = (folder / "index.html").read_text("utf-8")
        assert re.findall(r'href="review-([^"]+)\.html"', start) == [
            "2027-W11", "2027-W12", "2027-02", "2027-03", "2027", "term-spring-2027",
        ]  # fmt: skip
        for path in (*folder.glob("review-*.html"), *folder.glob("2027-*.html")):
            text = path.read_text("utf-8")
            assert 'href="cautions.html"' in text
            for href in re.findall(r'href="([^"#:]+)', text):
                # The sign-in is a page of `weeksync serve`, and offered only there.
                assert (folder / href).is_file() or href == "/sign-in", (path.name, href)


def test_a_chart_says_the_same_as_its_table(demo: Path) -> None:
    """Water of 2027-W11: 7 7 7 7 6 8 6, a point and a row for each, the target as a line."""
    text = (demo / "out/own/review-2027-W11.html").read_text("utf-8")
    (water,) = (one for one in text.split("<article") if "Water</bdi>" in one)
    heights = [float(y) for y in re.findall(r'cy="([0-9.]+)"', water)]
    rows = re.findall(r'<th scope="?row"?>[^<]*(?:</th>)?<td><bdi>([^<]*)</bdi>', water)
    assert rows == [f"{glasses} glasses" for glasses in (7, 7, 7, 7, 6, 8, 6)]
    target = float(re.findall(r'class="?target"?[^>]* y1="?([0-9.]+)', water)[0])
    assert [height < target for height in heights] == [False] * 5 + [True, False]
    assert [height == target for height in heights] == [True] * 4 + [False] * 3


def test_a_chart_by_weeks_lists_no_week_that_is_to_come() -> None:
    """On the first day of a year no day is over: only the week with a figure stands in it."""
    inputs = sample_week.inputs()
    words, say = Words(inputs), ReviewSentences(inputs.config, inputs.language)
    days = tuple(date(2028, 1, 1) + timedelta(days=at) for at in range(366))
    none: tuple[None, ...] = (None,) * 365
    habit = HabitReview(
        "water", "Water", "ines", MarkKind.COUNT, figures=Figures((7.0, *none), (None, *none), 1)
    )
    review = Review(SpanName(SpanKind.YEAR, "2028", days[0], days[-1]), days, over=0)
    drawn = chart(words, say, habit, review)
    assert drawn is not None
    assert [row[2] for row in drawn.rows] == ["1"]
    later = chart(words, say, habit, replace(review, over=20))
    assert later is not None
    assert [row[2] for row in later.rows] == ["1", "0", "0", "0"]


FIGURES = st.integers(0, 10**9).map(lambda one: one / 1000) | st.floats(0, 1e6)
"""What marks may say, and what a target may."""


@given(FIGURES, FIGURES)
def test_a_scale_holds_every_figure_in_few_steps(one: float, other: float) -> None:
    """Whatever the figures: both lie on it, and it has one to four steps."""
    low, high, step = scale(min(one, other), max(one, other))
    slack = 1e-6 * max(abs(high), 1)
    assert low - slack <= min(one, other) <= max(one, other) <= high + slack
    assert 1 <= round((high - low) / step) <= 4


@pytest.mark.parametrize("person", ["ines", "dov"])
def test_on_demand_a_person_sees_only_their_own(demo: Path, person: str) -> None:
    """Served pages of one's own: health and check-ins of nobody else; nothing that has not been."""
    context = Context.read(demo / "home", WEDNESDAY, give_ids=False)
    for name in NAMES:
        page = page_for(context, person, name, {})
        assert page is not None
        assert (b"a little flat" in page) is (person == "ines" and name != "cautions.html")
        assert (b"letter drawer" in page) is (person == "ines" and name != "cautions.html")
        assert b"Sight-singing" not in page
    for name in ("review-2027-W13.html", "review-2027-W99.html", "review-2019-03.html"):
        assert page_for(context, person, name, {}) is None


def test_html_validate_finds_nothing(demo: Path, tmp_path: Path) -> None:
    """Both trees."""
    paths = [demo / "out" / tree / name for tree in ("site", "own") for name in NAMES]
    assert html_mistakes(paths, tmp_path) == []


@pytest.mark.parametrize("look", ["light", "dark", "print"])
def test_axe_finds_nothing_and_nothing_runs_sideways(
    demo: Path, browser: Browser, look: str
) -> None:
    """At 1280, 800 and 390 pixels, with a table open."""
    for name in NAMES:
        with looking(browser, now=WEDNESDAY) as page:
            if look == "print":
                page.emulate_media(media="print")
            else:
                page.emulate_media(color_scheme="dark" if look == "dark" else "light")
            page.goto((demo / "out/own" / name).as_uri())
            for width in (1280, 800, 390):
                page.set_viewport_size({"width": width, "height": 900})
                assert page.evaluate("document.documentElement.scrollWidth") <= width
            if name != "cautions.html" and look != "print":
                page.locator("summary").first.click()
            assert axe(page, touched=look != "print") == []
