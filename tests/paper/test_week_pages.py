"""A week on paper, as real PDFs: complete, within its bounds, with room to write in."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import time, timedelta
from io import BytesIO
from typing import Any

import pypdfium2
import pytest
from pypdf import PdfReader

from tests.paper.binder_kit import (
    all_marks,
    check_keep_clear,
    check_words,
    document,
    layout,
    pdf,
    texts,
)
from tests.support import sample_week
from weeksync.errors import BuildError
from weeksync.language import week_rule
from weeksync.model.fields import DayPart, Weekday
from weeksync.model.sheets import SIZES, SizeName
from weeksync.model.spread import BreakItem, DayOccurrence, PlanTask, Priority, Spread
from weeksync.model.week import IsoWeek
from weeksync.paper.bands import Band, with_band
from weeksync.paper.content import Contents
from weeksync.paper.day_pages import day_pages
from weeksync.paper.document import Document, Page
from weeksync.paper.engines import Engine
from weeksync.paper.entries import badge_mm
from weeksync.paper.layout import Layout
from weeksync.paper.marks import Fill, Rule, Tick, Tone, Words
from weeksync.paper.overflow import check, unknown_in
from weeksync.paper.sheet import MM_PER_PT, Side
from weeksync.paper.style import LARGE_PT, LEAST_PT
from weeksync.paper.week_pages import spread_pages, week_page
from weeksync.plan import views

COMMON = views.common(sample_week.spread())

SAMPLE = layout()

MARKS = "\u2066\u2067\u2068\u2069"
"""Isolates, which keep the order of a title apart from what surrounds it."""


def busy() -> Spread:
    """A week whose Thursday has 12 events and 25 tasks."""
    day = COMMON.days[3]
    events = tuple(
        DayOccurrence(
            sample_week.occurrence(
                f"Appointment number {number} with a longer title",
                sample_week.at(day.date, f"{7 + number:02}:00"),
                sample_week.at(day.date, f"{7 + number:02}:40"),
            ),
            DayPart.MORNING
            if number < 5
            else DayPart.AFTERNOON
            if number < 11
            else DayPart.EVENING,
        )
        for number in range(12)
    )
    tasks = tuple(
        PlanTask(f"t{number}", f"Thing to do number {number}", area="home", shown_on=day.date)
        for number in range(25)
    )
    full = replace(day, occurrences=events, tasks=tasks)
    return replace(COMMON, days=(*COMMON.days[:3], full, *COMMON.days[4:]))


def whole_text(pages: tuple[Page, ...]) -> str:
    """All that stands on the pages, with single spaces."""
    return " ".join(" ".join(texts(page)) for page in pages).replace("\u00a0", " ")


def rendered(
    on: Layout, pages: tuple[Page, ...], engine: Engine = "weasyprint"
) -> tuple[Document, bytes]:
    """The pages as a PDF that was found complete."""
    made = document(on, pages)
    content = pdf(made, engine)
    check(content, made)
    return made, content


@pytest.mark.parametrize("size", SIZES)
def test_a_spread_fits_every_sheet(size: SizeName) -> None:
    """Two pages of the sheet's size to 0.05 mm, nothing on the punch side, all text in bounds."""
    on = layout(size)
    pages = spread_pages(on, COMMON)
    check_words(on, pages)
    made, content = rendered(on, pages)
    check_keep_clear(content, made.pages)
    for page in PdfReader(BytesIO(content)).pages:
        width, height = (float(one) * MM_PER_PT for one in page.mediabox[2:])
        assert abs(width - SIZES[size][0]) < 0.05
        assert abs(height - SIZES[size][1]) < 0.05
    assert [page.continuation for page in pages[:2]] == [False, False]
    assert all(page.continuation for page in pages[2:])


def test_the_spread_lies_on_both_sides_of_the_rings() -> None:
    """The first page is punched on its right, the second on its left; over there the reverse."""
    pages = document(SAMPLE, spread_pages(SAMPLE, COMMON)).pages
    assert [page.side for page in pages[:2]] == [Side.LEFT, Side.RIGHT]
    arabic = layout(locale="ar_EG")
    pages = document(arabic, spread_pages(arabic, COMMON)).pages
    assert [page.side for page in pages[:2]] == [Side.RIGHT, Side.LEFT]


@pytest.mark.parametrize("size", ["A4", "A5", "A6"])
def test_a_busy_week_is_printed_whole(size: SizeName) -> None:
    """Twelve events and 25 tasks of one day: each is there once, with references to the rest."""
    on = layout(size)
    pages = spread_pages(on, busy())
    said = whole_text(pages)
    for number in range(12):
        assert said.count(f"Appointment number {number} with") == 1, number
    for number in range(25):
        assert said.count(f"Thing to do number {number} ") + said.endswith(str(number)) == 1, number
    assert any(page.continuation for page in pages)
    first = " ".join(texts(pages[0]))
    assert "more: page 3" in first
    assert "Thursday, 25 March 2027" in whole_text(pages[2:])
    check_words(on, pages)
    rendered(on, pages)


def test_every_reference_leads_to_a_page_that_has_it() -> None:
    """The page that is named holds the heading of the day, and its number."""
    pages = spread_pages(layout("A5"), busy())
    for number, page in enumerate(pages[2:], 3):
        assert f"page {number}" in texts(page)
    last = len(pages)
    named = {
        int(text.rpartition(" ")[2])
        for page in pages[:2]
        for text in texts(page)
        if text.startswith("→") and " more: page " in text
    }
    assert named
    assert all(3 <= number <= last for number in named)


def test_a_title_longer_than_a_page_is_printed_whole() -> None:
    """It goes on in the next column, word by word."""
    words = [f"word{number}" for number in range(900)]
    task = PlanTask("long", " ".join(words), shown_on=COMMON.days[0].date)
    day = replace(COMMON.days[0], tasks=(task,))
    on = layout("A6")
    pages = spread_pages(on, replace(COMMON, days=(day, *COMMON.days[1:])))
    said = whole_text(pages)
    assert [word for word in words if word not in said.split()] == []
    rendered(on, pages)


def test_rows_and_boxes_have_the_size_that_hands_need() -> None:
    """Lines 6 to 8 mm apart, boxes 3.5 to 5 mm wide; common practice, no source."""
    for page in spread_pages(SAMPLE, COMMON):
        marks = list(all_marks(page.marks))
        for tick in (one for one in marks if isinstance(one, Tick)):
            assert 3.5 <= tick.box.w <= 5
        lines: dict[tuple[float, float], list[float]] = {}
        for one in marks:
            if isinstance(one, Rule) and one.tone is Tone.FAINT:
                lines.setdefault((one.x1, one.x2), []).append(one.y1)
        for at in lines.values():
            gaps = [below - above for above, below in zip(sorted(at), sorted(at)[1:], strict=False)]
            assert min(gaps, default=6.5) > 5.99


def test_every_day_keeps_room_to_write_in() -> None:
    """Even in a busy week each column has a line in every part of the day, and boxes to tick."""
    pages = spread_pages(SAMPLE, busy())
    for page in pages[:2]:
        marks = list(all_marks(page.marks))
        faint = [one for one in marks if isinstance(one, Rule) and one.tone is Tone.FAINT]
        columns = {round(one.x1, 1) for one in faint}
        assert len(columns) == 4
        for column in columns:
            assert len([one for one in faint if round(one.x1, 1) == column]) >= 5


def test_areas_meet_across_both_pages() -> None:
    """Afternoon, evening and tasks begin at one height in all seven days."""
    heights: dict[str, set[float]] = {}
    for page in spread_pages(SAMPLE, COMMON)[:2]:
        for one in all_marks(page.marks):
            if isinstance(one, Words) and one.lines[0] in {"Afternoon", "Evening", "Tasks"}:
                heights.setdefault(one.lines[0], set()).add(round(one.box.y, 2))
    assert {len(found) for found in heights.values()} == {1}
    assert len(heights) == 3


def test_large_print_is_large_everywhere() -> None:
    """14 points at least, labels too (UKAAF G003, 2019: labels as large as the text)."""
    on = layout("A4", type_pt=LARGE_PT, row_mm=8.0, tick_mm=5.0, large=True)
    pages = spread_pages(on, COMMON)
    sizes = {words.size_pt for page in pages for words in page.words()}
    assert min(sizes) >= LARGE_PT
    ticks = [one for page in pages for one in all_marks(page.marks) if isinstance(one, Tick)]
    assert {one.box.w for one in ticks} == {5.0}
    check_words(on, pages)
    rendered(on, pages)


@pytest.mark.parametrize(
    ("locale", "first", "days"),
    [
        ("en_GB", None, ("Monday", "Sunday")),
        ("en_US", Weekday.SUNDAY, ("Sunday", "Saturday")),
        ("ar_EG", Weekday.SATURDAY, ("السبت", "الجمعة")),
    ],
)
def test_weeks_begin_where_the_household_begins_them(
    locale: str, first: Weekday | None, days: tuple[str, str]
) -> None:
    """From Monday, Sunday or Saturday; the first day on the first page, the last on the second."""
    on = layout(locale=locale, first=first)
    week = sample_week.quiet(IsoWeek(2027, 12), week_rule(locale, "", first))
    pages = spread_pages(on, week)
    headings = [
        [one.lines[0].split("،")[0].split(",")[0] for one in page.words() if one.role == "h2"]
        for page in pages
    ]
    assert days[0] in headings[0][1]
    assert any(days[1] in one for one in headings[1])
    check_words(on, pages)
    rendered(on, pages)


def test_the_last_week_of_a_year_of_53_weeks() -> None:
    """2026 has 53 (ISO 8601: it begins on a Thursday); the small month counts on with 1."""
    pages = spread_pages(SAMPLE, sample_week.quiet(IsoWeek(2026, 53)))
    assert texts(pages[0])[0] == "Week 53"
    assert texts(pages[1])[0] == "December 2026 – January 2027"
    assert "28" in texts(pages[0])
    assert "3" in texts(pages[1])
    assert texts(pages[1])[1:3] == ["1", "Friday"]  # the month stands in the heading alone
    rendered(SAMPLE, pages)


def test_right_to_left_is_the_mirror_image() -> None:
    """The first day stands at the right, boxes at the right of their text, in both engines."""
    on = layout(locale="ar_EG")
    made, content = rendered(on, spread_pages(on, COMMON))
    numbers = [
        one for one in made.pages[0].words() if one.role == "h2" and one.lines[0].isdecimal()
    ]
    assert numbers[0].box.x > numbers[-1].box.x
    check_keep_clear(content, made.pages)
    rendered(on, spread_pages(on, COMMON), "chromium")


@pytest.mark.browser
@pytest.mark.parametrize("size", ["A4", "A5"])
def test_chromium_sets_every_line_where_weasyprint_does(size: SizeName) -> None:
    """From the same HTML; the same number of pages, each line within its box."""
    on = layout(size)
    pages = spread_pages(on, busy())
    made, by_chromium = rendered(on, pages, "chromium")
    check_keep_clear(by_chromium, made.pages)
    for page in PdfReader(BytesIO(by_chromium)).pages:
        for box in (page.mediabox, page.cropbox):
            measures = [float(one) * MM_PER_PT for one in box]
            assert measures == pytest.approx([0, 0, *SIZES[size]], abs=0.01)
    fonts = {font for page in PdfReader(BytesIO(by_chromium)).pages for font in _fonts(page)}
    assert fonts
    assert all("notosans" in name.lower() and embedded for name, embedded in fonts)
    said = PdfReader(BytesIO(by_chromium)).metadata
    assert said is not None
    assert set(said) <= {"/Title", "/Producer"}
    assert said.producer == "weeksync"


def _fonts(page: Any) -> list[tuple[str, bool]]:
    found = []
    for font in page["/Resources"]["/Font"].values():
        inner = font.get_object()
        below = inner.get("/DescendantFonts", [inner])[0].get_object()
        names = below["/FontDescriptor"].get_object()
        embedded = any(key in names for key in ("/FontFile", "/FontFile2", "/FontFile3"))
        found.append((str(inner["/BaseFont"]).replace("-", ""), embedded))
    return found


def test_the_pdf_is_tagged_bookmarked_and_says_nothing_of_the_household() -> None:
    """Fonts in it, a structure tree, a language, a bookmark a page, no name in its metadata."""
    pages = (*spread_pages(SAMPLE, COMMON), *week_page(SAMPLE, COMMON))
    made, content = rendered(SAMPLE, pages)
    reader = PdfReader(BytesIO(content))
    fonts = [font for page in reader.pages for font in _fonts(page)]
    assert fonts
    assert all("notosans" in name.lower() and embedded for name, embedded in fonts)
    root: Any = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == "en-GB"
    assert "/StructTreeRoot" in root
    outline: Any = reader.outline
    assert [str(one["/Title"]) for one in outline] == [page.title for page in made.pages]
    said = reader.metadata
    assert said is not None
    assert set(said) <= {"/Title", "/Producer"}
    raw = content.decode("latin-1") + (
        (reader.xmp_metadata and str(reader.xmp_metadata.stream)) or ""
    )
    for private in ("Ines", "Harbour", "sample", "/work", "root@"):
        assert private not in raw


def test_headings_and_lists_are_tagged_and_decoration_is_not() -> None:
    """Roles of ISO 32000-1, 14.8.4; lines, boxes and bands are artifacts: there is no figure."""
    page = with_band(spread_pages(SAMPLE, COMMON)[0], Band())
    _, content = rendered(SAMPLE, (page,))
    roles: Counter[str] = Counter()

    def count(element: Any) -> None:
        found = element.get_object()
        if isinstance(found, dict) and "/S" in found:
            roles[str(found["/S"])] += 1
        children = found.get("/K", []) if isinstance(found, dict) else []
        for child in children if isinstance(children, list) else [children]:
            if not isinstance(child, int):
                count(child)

    root: Any = PdfReader(BytesIO(content)).trailer["/Root"]
    count(root["/StructTreeRoot"])
    assert roles["/H1"] == 1
    assert roles["/H2"] >= 8  # number and name of each of four days
    assert roles["/LI"] == sum(words.role == "li" for words in page.words())
    assert "/Figure" not in roles


def test_the_same_pages_give_the_same_bytes() -> None:
    """A PDF by WeasyPrint holds no moment and no chance."""
    made = document(SAMPLE, spread_pages(SAMPLE, COMMON))
    assert pdf(made) == pdf(made)


def test_no_type_in_the_pdf_is_under_the_limit() -> None:
    """Every character as it stands in the PDF, in points."""
    import ctypes

    import pypdfium2.raw as raw

    _, content = rendered(layout("81x120"), spread_pages(layout("81x120"), COMMON))
    opened = pypdfium2.PdfDocument(content)
    smallest = 99.0
    for page in opened:
        text = page.get_textpage()
        for at in range(text.count_chars()):
            if chr(raw.FPDFText_GetUnicode(text, at)).strip():
                box = [ctypes.c_float() for _ in range(6)]
                matrix = raw.FS_MATRIX(*[one.value for one in box])
                raw.FPDFText_GetMatrix(text, at, matrix)
                size = raw.FPDFText_GetFontSize(text, at) * abs(matrix.d)
                smallest = min(smallest, size)
        text.close()
    opened.close()
    assert LEAST_PT - 0.05 <= smallest < LEAST_PT + 0.5


def test_a_line_that_is_not_where_it_was_laid_out_fails_loudly() -> None:
    """The check names page and text: for a line that is missing, and for one that runs over."""
    made = document(SAMPLE, spread_pages(SAMPLE, COMMON))
    content = pdf(made)
    lost = replace(made.pages[0], marks=(*made.pages[0].marks, SAMPLE.write(20, 200, 40, "Lost")))
    with pytest.raises(BuildError, match="“Lost” does not stand whole"):
        check(content, replace(made, pages=(lost, *made.pages[1:])))
    narrow = replace(SAMPLE.write(120, 290, 70, "Much too wide for it"), box=SAMPLE.sheet.whole)
    wide = document(SAMPLE, [made.pages[0].with_marks(narrow)])
    tight = replace(narrow, box=replace(narrow.box, x=0, y=0, w=10, h=5))
    with pytest.raises(BuildError, match="Much too wide"):
        check(pdf(wide), document(SAMPLE, [made.pages[0].with_marks(tight)]))
    with pytest.raises(BuildError, match="made by the engine: 2 of 3;"):
        check(content, replace(made, pages=(*made.pages, made.pages[0])))


def test_titles_in_scripts_that_the_fonts_lack_do_not_stop_a_print() -> None:
    """They are drawn from a font of the machine, if it has one, in the room that is left."""
    day = COMMON.days[0]
    task = PlanTask("cake", "誕生日 Juno 🎂 ไทย, then home", shown_on=day.date)
    week = replace(COMMON, days=(replace(day, tasks=(task,)), *COMMON.days[1:]))
    made, _ = rendered(SAMPLE, spread_pages(SAMPLE, week))
    assert set(unknown_in(made)) == set("🎂日生誕ไทย")


@pytest.mark.parametrize("part", [DayPart.MORNING, None])
def test_a_priority_of_the_day_has_one_box_to_tick(part: DayPart | None) -> None:
    """Where priorities are; in its part of the day it is a line, and under tasks it is no more."""
    day = COMMON.days[1]
    task = PlanTask("sort", "Sort the receipts", area="home", part=part, minutes=40)
    chosen = (Priority("Sort the receipts", "sort", area="home"), Priority("Rest"))
    made = Contents(SAMPLE.words).day(
        replace(day, tasks=(task,), priorities=chosen, occurrences=(), lessons=(), own=())
    )
    assert [(one.text.strip(MARKS), one.tick) for one in made.priorities] == [
        ("Sort the receipts" if part else "Sort the receipts, 40\u00a0min", True),
        ("Rest", True),
    ]
    again = [one for one in made.parts[DayPart.MORNING] if "receipts" in one.text]
    assert [one.tick for one in again] == ([False] if part else [])
    assert made.tasks == ()


def test_breaks_stand_at_their_time_between_what_is_there() -> None:
    """In the order of the afternoon, with the letter of who takes it, without a box."""
    day = COMMON.days[1]
    visit = sample_week.occurrence(
        "Optician", sample_week.at(day.date, "16:00"), sample_week.at(day.date, "16:30")
    )
    task = PlanTask("call", "Call", part=DayPart.AFTERNOON, start=time(14))
    made = Contents(SAMPLE.words).day(
        replace(
            day,
            occurrences=(DayOccurrence(visit, DayPart.AFTERNOON),),
            tasks=(task, PlanTask("tidy", "Tidy", part=DayPart.AFTERNOON)),
            breaks=(BreakItem("15:30", 10, "walk to the quay", "ines"),),
        )
    )
    afternoon = made.parts[DayPart.AFTERNOON]
    assert [one.at for one in afternoon] == [time(14), time(15, 30), time(16), None]
    walk = afternoon[1]
    assert (walk.text, walk.tick, walk.persons) == ("walk to the quay, 10\u00a0min", False, ("I",))
    assert not any("quay" in one.text for one in made.tasks)


def test_areas_differ_without_colour() -> None:
    """Each area's letter stands in its circle: greyscale, a copy or a blind eye loses nothing."""
    pages = spread_pages(SAMPLE, COMMON)
    letters = {
        one.lines[0]
        for page in pages
        for one in page.words()
        if one.align == "centre" and one.box.w <= badge_mm(SAMPLE) + 2.1 and one.lines[0].isalpha()
    }
    used = {
        SAMPLE.words.area(one.occurrence.area).letter  # type: ignore[union-attr]
        for day in COMMON.days
        for one in day.occurrences
        if one.occurrence.area
    }
    assert used <= letters


def test_ink_saving_leaves_no_fill() -> None:
    """Nothing but lines and text."""
    on = layout(ink_saving=True)
    fills = [
        one
        for page in spread_pages(on, COMMON)
        for one in all_marks(page.marks)
        if isinstance(one, Fill)
    ]
    assert all(one.colour == "#ffffff" for one in fills)


def test_a_span_over_several_days_stands_on_each() -> None:
    """On the first with the day up to which it goes on, then in short; a night with its end."""
    visit = sample_week.occurrence(
        "Grandmother on a visit", COMMON.days[1].date, COMMON.days[4].date + timedelta(1)
    )
    days = tuple(
        replace(
            day,
            occurrences=(DayOccurrence(visit, None, at > 1, at < 4), *day.occurrences),
        )
        if 1 <= at <= 4
        else day
        for at, day in enumerate(COMMON.days)
    )
    said = whole_text(spread_pages(SAMPLE, replace(COMMON, days=days)))
    assert said.count("Grandmother on a visit") == 4
    assert said.count("until Fri 26 Mar") == 1
    assert said.count("→ Grandmother on a visit") == 3
    pages = day_pages(SAMPLE, replace(COMMON, days=days))  # each lies alone
    assert whole_text(pages).count("until Fri 26 Mar") == 3
    assert "until 07:00 Dov night shift" in said
