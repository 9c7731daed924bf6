"""A full Sunday on the demo household: by touch, and by the keyboard alone; axe at each step."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Locator, expect

from tests.support.checkers import html_mistakes
from tests.tablet.sundays import Sitting, sitting, sunday
from weeksync.household import read_household
from weeksync.model.week import IsoWeek

pytestmark = pytest.mark.browser

W12, W13 = IsoWeek.parse("2027-W12"), IsoWeek.parse("2027-W13")
MOST_TOUCHES = 120
"""A touch every ten seconds for twenty minutes."""


def button(one: Sitting, name: str, *, exact: bool = False) -> Locator:
    """The first button of that name in the step."""
    return one.page.locator(".step").get_by_role("button", name=name, exact=exact).first


def following(one: Sitting) -> Locator:
    """The link to the next step."""
    return one.page.locator(".next-step")


def decided(folder: Path) -> None:
    """What the evening has left in the household's files."""
    files = read_household(folder)
    tasks = {one.id: one for one in files.tasks}
    assert tasks["sales-sheet"].done is not None
    assert tasks["kite"].not_before is not None
    assert tasks["easter-parcel"].dropped is not None
    assert any(one.title == "Latch: measure" for one in files.tasks)
    week = files.weeks[W13]
    assert {"order-jars", "term-report-pell", "stall-stock-count"} <= {
        one.task for one in week.placed
    }
    assert len([one for one in week.days if one.priorities]) == 7
    (meals,) = (row for row in week.rows if row.title == "Meals")
    assert meals.cells["tuesday"] == "Fish cakes"  # type: ignore[index]
    assert week.lighter[0].person == "dov"
    assert (folder / "archive" / "2027-W12.json").exists()
    assert any(one.answer == "The garden." for one in files.answers if one.week == str(W12))
    assert all(one.paid for one in files.bills if one.id == "milk")


def test_a_full_sunday_by_touch(browser: Browser, tmp_path: Path) -> None:
    """From the loose ends to the look at the finished week, within twenty minutes of touches."""
    with sunday(tmp_path) as home, sitting(browser, home) as one:
        page = one.page
        page.goto(f"{home.address}/plan/")
        pages = tmp_path / "pages"
        pages.mkdir()

        def at(step: str) -> None:
            one.at(step)
            answer = page.request.get(f"{home.address}/plan/2027-W13?step={step}")
            (pages / f"{step}.html").write_bytes(answer.body())

        at("loose")
        _loose_by_touch(one)
        one.tap(following(one))

        at("marks")
        one.tap(page.get_by_role("group", name="Kitchen cleared").get_by_label("Missed"))
        one.send(button(one, "Save, and ask no more"))
        one.tap(following(one))

        at("lessons")
        one.send(button(one, "Mon 5 Apr"))
        one.send(button(one, "Mon 5 Apr"))
        one.send(button(one, "Let it be"))
        one.tap(following(one))

        at("bills")
        one.send(button(one, "It is paid"))
        one.send(button(one, "It is paid"))
        one.tap(following(one))

        at("questions")
        one.write(page.locator("#f-answer-0"), "The garden.")
        one.write(page.locator("#f-answer-1"), "The photographs.")
        one.send(button(one, "Save"))
        one.tap(following(one))

        at("close")
        one.send(button(one, "Close Week 12"))
        expect(page.get_by_text("Week 12 is closed since")).to_be_visible()
        one.tap(following(one))

        at("ahead")
        expect(page.get_by_text("overlap by")).to_be_visible()
        one.tap(following(one))

        at("days")
        _days_by_touch(one)
        at("days")
        one.tap(following(one))

        at("habits")
        one.tap(page.locator(".step input[value=dov]"))
        one.send(button(one, "Make these days lighter"))
        one.tap(following(one))

        at("rows")
        for day, text in (("tuesday", "Fish cakes"), ("thursday", "Soup"), ("friday", "Pancakes"),
                          ("saturday", "Cold table"), ("sunday", "Roast roots")):  # fmt: skip
            one.write(page.locator(f"#f-row-0-{day}"), text)
        one.send(button(one, "Save"))
        one.tap(following(one))

        at("done")
        expect(page.locator(".summary")).to_contain_text("7 days of 7 have a priority")
        decided(home.folder)
        one.tap(page.get_by_role("link", name="Look at the week"))
        expect(page).to_have_url(f"{home.address}/2027-W13.html")
        assert html_mistakes(sorted(pages.glob("*.html")), tmp_path) == []
        one.tell("by touch")
        assert one.touches <= MOST_TOUCHES


def _loose_by_touch(one: Sitting) -> None:
    """One after the other: done, on a day, set aside, split, dropped, left."""
    page = one.page
    heading = page.locator(".card h3")
    ends: dict[str, Callable[[], None]] = {
        "VAT-style sales sheet": lambda: one.send(button(one, "It is done")),
        "Mend gate latch": lambda: _split(one),
        "Brush out the gutter": lambda: one.send(button(one, "Wed 31 Mar, Morning")),
        "Build the box kite": lambda: one.send(button(one, "Set it aside")),
        "Easter parcel": lambda: one.send(button(one, "Drop it")),
    }
    for _ in range(20):
        if not heading.count():
            break
        title = heading.inner_text()
        for beginning, end in ends.items():
            if title.startswith(beginning):
                end()
                break
        else:
            proposed = page.locator(".choose .main")
            one.send(proposed if proposed.count() else button(one, "Leave it as it is"))
        expect(heading.filter(has_text=title)).to_have_count(0)
    expect(page.get_by_text("Nothing is left over.")).to_be_visible()


def _split(one: Sitting) -> None:
    page = one.page
    one.tap(page.get_by_text("Split it into smaller ones"))
    one.write(page.locator("#f-part-0"), "Latch: measure")
    one.write(page.locator("#f-part-1"), "Latch: screw on")
    one.send(button(one, "Split it", exact=True))


def _days_by_touch(one: Sitting) -> None:
    """All that is proposed is taken; one task is moved, taken off again and that undone."""
    page = one.page
    one.send(button(one, "Take all"))
    chosen = page.locator(".week-days .placed .pick").first
    title = chosen.locator(".what").inner_text()
    one.tap(chosen)
    one.send(page.locator("#place").get_by_role("button", name="Sat 3 Apr, Afternoon"))
    saturday = page.locator("section[aria-labelledby='d-2027-04-03']")
    expect(saturday).to_contain_text(title)
    one.send(page.get_by_role("button", name=f"Take it off its day: {title}").first)
    expect(saturday).not_to_contain_text(title)
    one.send(page.get_by_role("button", name="Take it back"))
    expect(saturday).to_contain_text(title)
    for day in ("2027-04-03", "2027-04-04", "2027-04-02", "2027-03-31"):
        section = page.locator(f"section[aria-labelledby='d-{day}']")
        if not section.locator(".firsts > li:not(.pencil)").count():
            one.write(page.locator("#f-text"), "A slow day")
            one.send(page.locator(f".own-words button[value='{day}']"))
    expect(page.locator(".step > h2")).to_contain_text("each day has one")


def test_a_full_sunday_by_the_keyboard_alone(browser: Browser, tmp_path: Path) -> None:
    """The same with Tab, arrows, Space and Enter; the focus is never lost on the way."""
    with sunday(tmp_path) as home, sitting(browser, home, touch=False) as one:
        page = one.page
        page.goto(f"{home.address}/plan/")
        one.at("loose")
        _loose_by_key(one)
        one.enter(following(one))

        one.at("marks")
        missed = page.get_by_role("group", name="Kitchen cleared").get_by_label("Missed")
        one.go_to(missed.locator("xpath=ancestor::fieldset").get_by_label("Not recorded"))
        one.press("ArrowRight")
        expect(missed).to_be_checked()
        one.send_by_key(button(one, "Save, and ask no more"))
        one.enter(following(one))

        one.at("lessons")
        one.send_by_key(button(one, "Mon 5 Apr"))
        one.send_by_key(button(one, "Mon 5 Apr"))
        one.send_by_key(button(one, "Let it be"))
        one.enter(following(one))

        one.at("bills")
        one.send_by_key(button(one, "It is paid"))
        one.send_by_key(button(one, "It is paid"))
        one.enter(following(one))

        one.at("questions")
        one.type(page.locator("#f-answer-0"), "The garden.")
        one.type(page.locator("#f-answer-1"), "The photographs.")
        one.send_by_key(button(one, "Save"))
        one.enter(following(one))

        one.at("close")
        one.send_by_key(button(one, "Close Week 12"))
        one.enter(following(one))
        one.at("ahead")
        one.enter(following(one))

        one.at("days")
        _days_by_key(one)
        one.at("days")
        one.enter(following(one))

        one.at("habits")
        one.go_to(page.locator(".step input[value=dov]"))
        one.press("Space")
        one.send_by_key(button(one, "Make these days lighter"))
        one.enter(following(one))

        one.at("rows")
        one.type(page.locator("#f-row-0-tuesday"), "Fish cakes")
        one.type(page.locator("#f-row-0-friday"), "Pancakes")
        one.send_by_key(button(one, "Save"))
        one.enter(following(one))

        one.at("done")
        decided(home.folder)
        one.enter(page.get_by_role("link", name="Look at the week"))
        expect(page).to_have_url(f"{home.address}/2027-W13.html")
        one.tell("by the keyboard alone")


def _loose_by_key(one: Sitting) -> None:
    page = one.page
    heading = page.locator(".card h3")
    ends: dict[str, Callable[[], None]] = {
        "VAT-style sales sheet": lambda: one.send_by_key(button(one, "It is done")),
        "Mend gate latch": lambda: _split_by_key(one),
        "Build the box kite": lambda: one.send_by_key(button(one, "Set it aside")),
        "Easter parcel": lambda: one.send_by_key(button(one, "Drop it")),
    }
    for _ in range(20):
        if not heading.count():
            break
        title = heading.inner_text()
        for beginning, end in ends.items():
            if title.startswith(beginning):
                end()
                break
        else:
            proposed = page.locator(".choose .main")
            one.send_by_key(proposed if proposed.count() else button(one, "Leave it as it is"))
        expect(heading.filter(has_text=title)).to_have_count(0)
        assert page.evaluate("document.activeElement.id") == "step-heading"
    expect(page.get_by_text("Nothing is left over.")).to_be_visible()


def _split_by_key(one: Sitting) -> None:
    page = one.page
    one.enter(page.locator(".further summary"))
    one.type(page.locator("#f-part-0"), "Latch: measure")
    one.type(page.locator("#f-part-1"), "Latch: screw on")
    one.send_by_key(button(one, "Split it", exact=True))


def _days_by_key(one: Sitting) -> None:
    """A task is chosen, and the table of days walked with arrows; Escape leads back."""
    page = one.page
    first = page.locator(".to-place input").first
    one.go_to(first)
    one.press("Space", "ArrowDown", "ArrowUp", "Enter")
    place = page.locator("#place button[name=to]")
    expect(place.first).to_be_focused()
    one.press("Escape")
    expect(first).to_be_focused()
    one.press("Enter", "ArrowDown", "ArrowDown", "ArrowRight", "End", "2")
    assert page.evaluate("document.activeElement.value") == "2027-03-30/afternoon"
    title = page.locator("#place [data-chosen]").inner_text()
    one.send_by_key()
    expect(page.locator("section[aria-labelledby='d-2027-03-30']")).to_contain_text(title)
    assert page.evaluate("document.activeElement.form?.id") == "place"
    one.press("Shift+Tab")
    one.send_by_key(button(one, "Take all"))
    for day in ("2027-04-03", "2027-04-04", "2027-04-02"):
        section = page.locator(f"section[aria-labelledby='d-{day}']")
        if not section.locator(".firsts > li:not(.pencil)").count():
            one.type(page.locator("#f-text"), "A slow day")
            one.send_by_key(page.locator(f".own-words button[value='{day}']"))
    expect(page.locator(".step > h2")).to_contain_text("each day has one")
