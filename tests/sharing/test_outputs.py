"""What is made of a shared week: nothing in it but the week, and it holds in every reader."""

from __future__ import annotations

import base64
import hashlib
import re
import struct
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import icalendar
import pypdfium2
import pytest

from tests.sharing import weeks
from tests.support.checkers import axe, html_mistakes
from tests.support.chromium import chromium, looking
from weeksync.language import Language
from weeksync.model.shared import BusyPeriod, SharedWeek
from weeksync.sharing.busy import busy_file
from weeksync.sharing.engine import end_of, laid_out
from weeksync.sharing.outputs import NAMES, Outputs, outputs
from weeksync.sharing.page import html
from weeksync.sharing.pictures import SIZES, fit
from weeksync.sharing.reading import strays, texts
from weeksync.sharing.record import Form
from weeksync.sharing.view import inferred, page_of
from weeksync.site.render import Renderer
from weeksync.workflow.sharing_made import tints


def page(shared: SharedWeek, locale: str = "en") -> str:
    """The page of a week."""
    language = Language(locale)
    return html(page_of(shared, language, tints()), Renderer(language)).decode("utf-8")


def test_everything_is_made_under_names_that_tell_nothing(full: Outputs) -> None:
    """Page, sheet, four pictures and busy times; no week, no household, no date in a name."""
    assert set(full.files) == set(NAMES)
    assert not any(re.search(r"\d", name) for name in NAMES)


def test_the_same_week_gives_the_same_bytes() -> None:
    """Nothing of the machine, of the clock or of chance is in them."""
    language = Language("en")
    once, again = (
        outputs(weeks.EMPTY, language, Renderer(language), Renderer(language), tints()).files
        for _ in range(2)
    )
    assert {name for name in once if again[name] != once[name]} == set()
    assert len(once) == 6


def test_nothing_tells_who_made_it_with_what_and_when(full: Outputs) -> None:
    """No name of ours, no version, no day of today in any text or in the bytes."""
    said = " ".join(one.text for one in texts(full.files)).casefold()
    said += " ".join(content.decode("latin-1").casefold() for content in full.files.values())
    today = datetime.now(UTC)
    for word in ("weeksync", "weasyprint", "pdfium", f"{today:%Y-%m-%d}", f"{today:%Y%m%d}"):
        assert word not in said
    assert list(strays(full.files)) == []


def test_the_page_is_one_file_that_asks_for_nothing() -> None:
    """No script, link, picture or font; its policy lets in its own style sheet by its digest."""
    made = page(weeks.FULL)
    assert not re.search(r"<script|<link|<img|<a |src=|href=|url\(|@import|style=|\son\w+=", made)
    style = re.search(r"<style>(.*?)</style>", made, re.S)
    policy = re.search(r'content="(default-src[^"]*)"', made)
    assert style is not None
    assert policy is not None
    digest = base64.b64encode(hashlib.sha256(style[1].encode("utf-8")).digest()).decode("ascii")
    assert policy[1].startswith("default-src &#39;none&#39;") or "default-src 'none'" in policy[1]
    assert f"sha256-{digest}" in policy[1]
    assert "unsafe" not in policy[1]


def test_what_is_shown_is_on_the_page_and_escaped() -> None:
    """Titles, words, roles, times, marks; markup in a title is text."""
    sly = replace(
        weeks.EMPTY,
        days=(
            replace(weeks.EMPTY.days[0], events=(weeks.event("<b>Tea & talk</b>", weeks.FAMILY),)),
            *weeks.EMPTY.days[1:],
        ),
    )
    assert "&lt;b&gt;Tea &amp; talk&lt;/b&gt;" in page(sly)
    made = page(weeks.FULL)
    for text in ("Market stall", "07:00\u201313:00", "child, parent", "Week 12, 2027", "Learning"):
        assert text in made
    assert made.count('aria-label="marked"') == 8


def test_an_empty_week_tells_nothing_but_weekdays() -> None:
    """Its title has no number, its days nothing in them, and no heading stands over nothing."""
    made = page(weeks.EMPTY)
    assert "<h1>A week</h1>" in made
    assert "Areas of life" not in made
    assert "Habits" not in made
    assert made.count("<h2>") == 8  # seven days, and what the page tells


def test_the_page_says_what_a_stranger_may_infer() -> None:
    """Always what it does not promise; of times, roles, habits and the week only where shown."""
    said = [str(sentence) for sentence in inferred(weeks.EMPTY)]
    assert len(said) == 3
    assert "does not promise" in said[0]
    whole = " ".join(str(sentence) for sentence in inferred(weeks.FULL))
    for word in ("times", "kinds of people", "rows of dots", "week is named", "recognise"):
        assert word in whole
        assert word not in " ".join(said)
    assert "What this page still tells a stranger" in page(weeks.FULL)


def test_pictures_are_pixels_of_the_sizes_they_say(full: Outputs) -> None:
    """Five kinds of chunk at most (PNG, third edition, section 11.2), and colours as they say."""
    for name, content in full.files.items():
        if not name.endswith(".png"):
            continue
        kinds, at = [], 8
        while at < len(content):
            length, kind = struct.unpack(">I4s", content[at : at + 8])
            kinds.append(kind)
            at += length + 12
        assert set(kinds) <= {b"IHDR", b"IDAT", b"IEND"}
        form = "portrait" if "portrait" in name else "square"
        assert struct.unpack(">II", content[16:24]) == SIZES[form]  # type: ignore[index]


@pytest.mark.parametrize(
    ("form", "things", "habits"),
    [("portrait", 25, 2), ("portrait", 3, 40), ("square", 25, 40)],
)
def test_a_week_with_too_much_in_it_still_fits_a_picture(
    form: Form, things: int, habits: int
) -> None:
    """Letters get smaller, then lists end with dots; the page has everything."""
    many = tuple(
        weeks.event(f"Something {number} to be done", weeks.FAMILY) for number in range(things)
    )
    rows = tuple(replace(weeks.FULL.habits[0], label=f"Habit {one}") for one in range(habits))
    crowded = replace(
        weeks.FULL,
        days=tuple(replace(one, events=many, tasks=()) for one in weeks.FULL.days),
        habits=rows,
    )
    language = Language("en")
    templates = Renderer(language)
    made = html(fit(replace(page_of(crowded, language, tints()), form=form), templates), templates)
    document = laid_out(made)
    assert len(document.pages) == 1
    assert end_of(document) <= SIZES[form][1]
    assert "\u2026" in made.decode("utf-8")
    whole = page(crowded)
    assert whole.count(f"Something {things - 1} to be done") == 7
    assert whole.count("<bdi>Habit ") == habits


def test_the_sheet_has_the_week_as_text_and_one_page(full: Outputs) -> None:
    """A4 on its side, with nothing in its metadata but its title."""
    opened = pypdfium2.PdfDocument(full.files["week.pdf"])
    assert len(opened) == 1
    assert [round(one) for one in opened[0].get_size()] == [842, 595]
    assert opened.get_metadata_dict(skip_empty=True) == {"Title": "Week 12, 2027"}
    said = opened[0].get_textpage().get_text_bounded()
    assert "Market stall" in said
    assert "does not promise" in said


def test_busy_times_are_one_vfreebusy_in_utc(full: Outputs) -> None:
    """RFC 5545, section 3.6.4: UTC periods, and no property that tells whose they are."""
    content = full.files["busy.ics"]
    assert all(len(line) <= 75 for line in content.split(b"\r\n"))
    (found,) = icalendar.Calendar.from_ical(content).walk("VFREEBUSY")
    busy: Any = found
    assert set(busy) == {"UID", "DTSTAMP", "DTSTART", "DTEND", "FREEBUSY"}
    periods = [one for line in busy["FREEBUSY"] for one in line.to_ical().decode().split(",")]
    assert periods == ["20270322T090000Z/20270322T120000Z", "20270323T090000Z/20270323T120000Z"]
    assert (busy.decoded("DTSTART"), busy.decoded("DTEND")) == (
        datetime(2027, 3, 22, tzinfo=UTC),
        datetime(2027, 3, 24, tzinfo=UTC),
    )
    assert busy.decoded("DTSTAMP") == busy.decoded("DTEND")
    assert "busy.ics" in " ".join(str(note) for note in full.notes)


def test_two_weeks_have_two_uids_and_one_week_has_one() -> None:
    """RFC 5545, section 3.8.4.7; made of the periods alone."""
    one = BusyPeriod(datetime(2027, 3, 22, 9, tzinfo=UTC), datetime(2027, 3, 22, 10, tzinfo=UTC))
    other = replace(one, end=datetime(2027, 3, 22, 11, tzinfo=UTC))
    uid = re.compile(rb"UID:(\d+)\r\n")
    found = [uid.findall(busy_file([span]))[0] for span in (one, one, other)]
    assert found[0] == found[1] != found[2]


def test_busy_times_up_to_midnight_end_with_their_day() -> None:
    """The window is half-open: DTEND is not the day after."""
    span = BusyPeriod(datetime(2027, 3, 22, 20, tzinfo=UTC), datetime(2027, 3, 23, tzinfo=UTC))
    assert b"DTEND:20270323T000000Z" in busy_file([span])


@pytest.mark.usefixtures("no_pictures")
def test_without_the_extra_the_page_is_made_alone() -> None:
    """And it is said why, and what to install."""
    language = Language("en")
    made = outputs(weeks.FULL, language, Renderer(language), Renderer(language), tints())
    assert set(made.files) == {"week.html", "busy.ics"}
    assert "weeksync[paper]" in str(made.notes[0])


def test_the_page_holds_by_the_checkers(tmp_path: Path) -> None:
    """html-validate and axe-core find nothing; no sideways scroll from 320 pixels on."""
    for name, made in {
        "full": page(weeks.FULL),
        "empty": page(weeks.EMPTY),
        "right-to-left": page(replace(weeks.FULL, language="ar"), "ar"),
    }.items():
        (tmp_path / f"{name}.html").write_text(made, "utf-8")
    assert html_mistakes(sorted(tmp_path.glob("*.html")), tmp_path) == []
    now = datetime(2027, 3, 30, tzinfo=UTC)
    with chromium() as browser, looking(browser, now=now) as seen:
        for name in ("full", "right-to-left"):
            seen.goto((tmp_path / f"{name}.html").as_uri())
            for width in (320, 390, 800, 1280):
                seen.set_viewport_size({"width": width, "height": 800})
                assert seen.evaluate("document.documentElement.scrollWidth") <= width
            for ground in ("light", "dark"):
                seen.emulate_media(color_scheme=ground)
                assert axe(seen) == []
