"""The planned week in Chromium: it stays within the window and leaves the paper free."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pypdf
import pytest
from playwright.sync_api import Browser, expect

from tests.support import sample_plan, sample_week
from tests.support.chromium import ARGUMENTS, CHROMIUM, chromium, looking
from tests.support.sample_week import at, occurrence
from weeksync.model.fields import DayPart
from weeksync.model.settings import Paper
from weeksync.model.spread import Day, DayOccurrence, PlanTask
from weeksync.model.week_plan import Piece
from weeksync.read.checked import checked
from weeksync.site import SiteInput
from weeksync.site.pages import pages

pytestmark = pytest.mark.browser

WEDNESDAY = datetime(2027, 3, 24, 9, tzinfo=UTC)
SIZES = [(1280, 800), (800, 1280), (1024, 768), (390, 844)]
"""A tablet on its side and upright, a smaller one, a phone."""

OUTSIDE = """() => [...document.querySelectorAll('main *')]
  .filter((e) => !e.closest('.vh, svg, thead, h3, .shapes'))
  .filter((e) => { const r = e.getBoundingClientRect();
    return r.width && (r.right > innerWidth + 1 || r.left < -1); })
  .map((e) => e.outerHTML.slice(0, 120))"""


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One Chromium for all tests of this file."""
    with chromium() as running:
        yield running


def written(folder: Path, inputs: SiteInput) -> Path:
    """The common site as files."""
    for file, content in pages(inputs).items():
        (folder / file).write_bytes(content)
    return folder


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sample's site."""
    return written(tmp_path_factory.mktemp("planned"), sample_week.inputs())


def _busy_day(day: Day) -> Day:
    events = tuple(
        DayOccurrence(
            occurrence(f"Appointment {n:02}", at(day.date, f"{n + 7:02}:00"),
                       at(day.date, f"{n + 7:02}:50"), persons=("ines",), area="home"),
            DayPart.MORNING if n < 5 else DayPart.AFTERNOON if n < 11 else DayPart.EVENING,
        )
        for n in range(12)
    )  # fmt: skip
    tasks = tuple(
        PlanTask(f"{day.date}-{n}", f"Errand number {n:02}", persons=("ines",), estimate=15)
        for n in range(25)
    )
    return replace(day, occurrences=events, tasks=tasks)


def busy() -> SiteInput:
    """Twelve events and 25 tasks a day, and as many proposals as there are tasks."""
    inputs, plan = sample_week.inputs(), sample_plan.plan()
    proposed = tuple(
        sample_plan.PROPOSAL.tasks[2]._replace(
            task=f"p{number}-{n}",
            title=f"Proposed errand {n:02}",
            pieces=(Piece(at(sample_plan.day(number), f"{8 + n // 4:02}:{n % 4 * 15:02}"),
                          at(sample_plan.day(number), f"{8 + n // 4:02}:{n % 4 * 15 + 14:02}"),
                          DayPart.AFTERNOON),),
        )
        for number in range(2, 7)
        for n in range(25)
    )  # fmt: skip
    full = replace(plan, proposal=replace(sample_plan.PROPOSAL, tasks=proposed))
    week = inputs.weeks[1]
    week = replace(week, days=tuple(map(_busy_day, week.days)), plan=full)
    return replace(inputs, weeks=(inputs.weeks[0], week, inputs.weeks[2]))


@pytest.fixture(scope="module")
def busy_site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The site of the busy week."""
    return written(tmp_path_factory.mktemp("busy"), busy())


@pytest.mark.parametrize("which", ["site", "busy_site"])
@pytest.mark.parametrize(("width", "height"), SIZES)
def test_the_plan_stays_within_the_window(
    browser: Browser, which: str, width: int, height: int, request: pytest.FixtureRequest
) -> None:
    """Measures, proposals, boxes and ribbons, on the screens that hang and lie about."""
    folder: Path = request.getfixturevalue(which)
    with looking(browser, now=WEDNESDAY, width=width, height=height) as page:
        for name in ("2027-W12", "2027-03"):
            page.goto((folder / f"{name}.html").as_uri())
            assert page.evaluate(OUTSIDE) == [], name
            wide = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
            assert page.evaluate(wide) <= 0, name
        page.goto((folder / "2027-W12.html").as_uri())
        slips = page.locator(".slip")
        lefts = {round(box["x"]) for one in slips.all() if (box := one.bounding_box())}
        assert (len(lefts) == 1) == (width < 720)


@pytest.mark.parametrize("width", [390, 1280])
def test_twice_as_large_letters_break_nothing(browser: Browser, site: Path, width: int) -> None:
    """The browser's own letters set to 32 px: the layout of a narrower page, no sideways scroll.

    WCAG 2.2, 1.4.4: text grows to 200 percent without loss.
    """
    large = browser.browser_type.launch(
        executable_path=CHROMIUM, args=[*ARGUMENTS, "--blink-settings=defaultFontSize=32"]
    )
    with looking(large, now=WEDNESDAY, width=width) as page:
        for name in ("2027-W12", "2027-03"):
            page.goto((site / f"{name}.html").as_uri())
            assert page.evaluate("getComputedStyle(document.documentElement).fontSize") == "30px"
            assert page.evaluate(OUTSIDE) == [], name
            tops = page.locator("article.day").evaluate_all(
                "(days) => days.map((day) => day.getBoundingClientRect().left)"
            )
            assert len(set(tops)) <= 1, name
    large.close()


def test_a_measure_says_too_much_without_colour(browser: Browser, site: Path) -> None:
    """Words beside it, and beyond the end mark a broken stroke that a printer in black shows."""
    with looking(browser, now=WEDNESDAY) as page:
        page.goto((site / "2027-W12.html").as_uri())
        load = page.locator("#d-2027-03-24 .load").first
        expect(load).to_contain_text("72 min too much")
        dashes = "(path) => getComputedStyle(path).strokeDasharray"
        assert load.locator(".over").evaluate(dashes) != "none"
        assert load.locator(".planned").evaluate(dashes) == "none"
        planned, over = (
            load.locator(".planned").bounding_box(),
            load.locator(".over").bounding_box(),
        )
        assert planned is not None
        assert over is not None
        assert over["width"] / planned["width"] == pytest.approx(72 / 288, abs=0.02)
        assert over["x"] == pytest.approx(planned["x"] + planned["width"], abs=2)


def test_what_is_proposed_is_drawn_in_a_broken_line(browser: Browser, site: Path) -> None:
    """And says so in a word; what was chosen has neither."""
    with looking(browser, now=WEDNESDAY) as page:
        page.goto((site / "2027-W12.html").as_uri())
        pencil = page.locator("#d-2027-03-26 .part .pencil").first
        expect(pencil).to_be_hidden()
        page.locator("#d-2027-03-26 .part summary").first.click()
        expect(pencil).to_be_visible()
        expect(pencil).to_contain_text("proposed")
        expect(pencil).to_contain_text("Mend gate latch")
        style = "(line) => getComputedStyle(line).borderTopStyle"
        assert pencil.evaluate(style) == "dashed"
        assert page.locator("#d-2027-03-26 .task").first.evaluate(style) == "none"
        expect(page.locator(".habits td.proposed")).to_have_count(3)
        ring = "(cell) => getComputedStyle(cell, '::before').outlineStyle"
        assert {cell.evaluate(ring) for cell in page.locator(".habits td.proposed").all()} == {
            "dashed"
        }


def test_breaks_of_a_day_stand_in_one_column_on_a_phone(browser: Browser, site: Path) -> None:
    """Beside the day, the planned and the proposed ones one under the other."""
    with looking(browser, now=WEDNESDAY, width=390) as page:
        page.goto((site / "2027-W12.html").as_uri())
        page.locator(".breaks td:nth-of-type(4) summary").click()
        lefts = page.locator(".breaks td:nth-of-type(4) p").evaluate_all(
            "(lines) => lines.map((line) => Math.round(line.getBoundingClientRect().left))"
        )
        assert len(lefts) == 2
        assert len(set(lefts)) == 1


def test_a_ribbon_covers_its_days(browser: Browser, site: Path) -> None:
    """From its first day to its last one on a wide page; day by day on a phone."""
    for width in (1280, 390):
        with looking(browser, now=WEDNESDAY, width=width) as page:
            page.goto((site / "2027-03.html").as_uri())
            ribbon = page.locator("#d-2027-03-26 .lanes .for-3 .ribbon").last
            box, day = ribbon.bounding_box(), page.locator("#d-2027-03-28").bounding_box()
            assert box is not None
            assert day is not None
            end, edge = box["x"] + box["width"], day["x"] + day["width"]
            assert edge - 12 < end <= edge
            assert page.locator("#d-2027-03-27 .rest .ribbon").first.is_visible() == (width < 720)


def printed(browser: Browser, address: str) -> list[str]:
    """The text of each printed sheet."""
    with looking(browser, now=WEDNESDAY) as page:
        page.goto(address)
        sheets = pypdf.PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True))).pages
        return [" ".join(sheet.extract_text().split()) for sheet in sheets]


def test_paper_has_what_was_chosen_and_room_to_write(browser: Browser, site: Path) -> None:
    """No proposals, no minutes, no counts; clashes and hand-overs by a word.

    Changes since print begin anew with a print, and the month overview has what comes up.
    """
    (text,) = printed(browser, (site / "2027-W12.html").as_uri())
    for absent in ("proposed", "min planned", "too much", "Hours worked", "Lessons so far",
                   "Carried forward", "open the window", "Coming up", "Changes since"):  # fmt: skip
        assert absent not in text, absent
    for present in ("clash", "hand-over", "Term report Juno", "Market stall"):
        assert present in text, present


@pytest.mark.parametrize("size", ["A4", "letter", "A5", "half-letter"])
def test_a_planned_week_needs_no_more_paper(browser: Browser, tmp_path: Path, size: str) -> None:
    """As many sheets as the week takes without its plan."""
    paper = checked(Paper, {"size": size, "binding_mm": 15})
    inputs = sample_week.inputs(paper=paper)
    (tmp_path / "with").mkdir()
    (tmp_path / "without").mkdir()
    without = replace(inputs, weeks=tuple(replace(week, plan=None) for week in inputs.weeks))
    planned = printed(browser, (written(tmp_path / "with", inputs) / "2027-W12.html").as_uri())
    bare = printed(browser, (written(tmp_path / "without", without) / "2027-W12.html").as_uri())
    assert len(planned) == len(bare)


def test_a_month_with_what_comes_up_prints_on_one_sheet(browser: Browser, site: Path) -> None:
    """With its ribbons and the list, legend included."""
    (text,) = printed(browser, (site / "2027-03.html").as_uri())
    assert "Coming up" in text
    assert "Post the parcel" in text
    assert "Body and rest" in text


def test_a_busy_week_loses_nothing_on_paper(browser: Browser, busy_site: Path) -> None:
    """Twelve events and 25 tasks a day flow on over sheets."""
    text = " ".join(printed(browser, (busy_site / "2027-W12.html").as_uri()))
    for n in range(12):
        assert text.count(f"Appointment {n:02}") == 7, n
    for n in range(25):
        assert text.count(f"Errand number {n:02}") == 7, n


def test_the_plan_adds_little_to_a_page() -> None:
    """Less than 25 KB for a planned week."""
    inputs = sample_week.inputs()
    without = replace(inputs, weeks=tuple(replace(week, plan=None) for week in inputs.weeks))
    added = len(pages(inputs)["2027-W12.html"]) - len(pages(without)["2027-W12.html"])
    assert 5_000 < added < 25_000
