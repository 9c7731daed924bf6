"""Marks by touch and by key on a page in a plain folder: each kind, undo, focus, names, sizes."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from tests.support import sample_week
from tests.tablet.marking import TODAY, TOMORROW, YESTERDAY, Tablet, tablet
from weeksync.site.pages import pages

pytestmark = pytest.mark.browser


def test_a_touch_goes_from_done_to_missed_to_not_recorded(browser: Browser, week: str) -> None:
    """A yes/no habit: each touch is a mark, and the state is said in words."""
    with tablet(browser, week) as one:
        button = one.button("day-card")
        name = "Write the day card"
        states = ["marked", "missed", "still to come"]
        for state in states:
            button.tap()
            expect(one.cell("day-card")).to_have_class(re.compile(rf"\b{state.split()[-1]}|open\b"))
            label = button.get_attribute("aria-label") or ""
            assert name in label
            assert f"Wednesday 24 March 2027: {state} (only on this tablet)" in label.replace(
                "Wednesday,", "Wednesday"
            )
            expect(one.said()).to_have_text(label)
        assert [mark["value"] for mark in one.kept()] == ["yes", "no", ""]
        assert one.kept()[0]["person"] == "ines"
        assert set(one.page.locator('tr[data-kind="yes/no"] > td .touch').all_inner_texts()) == {""}
        assert one.kept()[0]["date"] == TODAY


def test_a_day_that_is_over_goes_back_to_not_recorded(browser: Browser, week: str) -> None:
    """What is taken back on a past day was not recorded; it is not still to come."""
    with tablet(browser, week) as one:
        assert one.state("day-card", YESTERDAY) == "marked"
        one.button("day-card", YESTERDAY).tap()
        one.button("day-card", YESTERDAY).tap()
        assert one.state("day-card", YESTERDAY) == "not recorded (only on this tablet)"


def test_what_is_not_due_or_to_come_is_no_button(browser: Browser, week: str) -> None:
    """Days to come, paused ones and those that are not due cannot be marked."""
    with tablet(browser, week) as one:
        assert one.page.locator(".paused .touch, .not-due .touch").count() == 0
        for thing in ("water", "day-card"):
            expect(one.button(thing)).to_have_count(1)
            expect(one.button(thing, TOMORROW)).to_have_count(0)


def test_a_figure_is_typed_or_counted_up(browser: Browser, week: str) -> None:
    """Less and more by one glass, five minutes, a quarter of an hour; Enter records."""
    with tablet(browser, week) as one:
        one.button("water").tap()
        ask = one.ask()
        expect(ask.get_by_role("heading")).to_have_text("Water · glasses · Ines")
        for _ in range(3):
            ask.get_by_role("button", name="More").tap()
        ask.get_by_role("button", name="Less").tap()
        ask.get_by_role("button", name="Record").tap()
        expect(one.cell("water")).to_have_class(re.compile("missed"))
        assert one.state("water") == "missed 2 (only on this tablet)"
        expect(one.cell("water")).to_have_text("2")
        one.button("water").tap()
        expect(ask.get_by_role("spinbutton")).to_have_value("2")
        ask.get_by_role("spinbutton").fill("7")
        ask.get_by_role("spinbutton").press("Enter")
        assert one.state("water") == "marked 7 (only on this tablet)"
        one.button("sleep-ines").tap()
        expect(ask.get_by_role("spinbutton")).to_have_value("7.5")
        ask.get_by_role("button", name="Less").tap()
        ask.get_by_role("button", name="Record").tap()
        one.button("stretch").tap()
        ask.get_by_role("button", name="More").tap()
        ask.get_by_role("button", name="Record").tap()
        assert [mark["value"] for mark in one.kept()] == ["2", "7", "7.25", "15"]


@pytest.mark.parametrize(
    ("typed", "value"), [("٧٫٥", "7.5"), ("۱۲", "12"), ("८", "8"), ("9.25", "9.25")]
)
def test_a_figure_is_typed_in_the_digits_of_any_script(
    browser: Browser, week: str, typed: str, value: str
) -> None:
    """Arabic, Persian and Indian digits are taken for what they are (Unicode, category Nd)."""
    with tablet(browser, week) as one:
        one.button("sleep-ines").press("Enter")
        for sign in typed:
            one.page.keyboard.insert_text(sign)
        one.page.keyboard.press("Enter")
        assert [mark["value"] for mark in one.kept()] == [value]


def test_a_figure_out_of_range_is_not_taken(browser: Browser, week: str) -> None:
    """The browser says what is wrong, the dialog stays, and nothing is kept."""
    with tablet(browser, week) as one:
        for thing, wrong in (
            ("sleep-ines", "25"),
            ("water", "2.5"),
            ("stretch", "-5"),
            ("water", ""),
        ):
            one.button(thing).tap()
            field = one.ask().get_by_role("spinbutton")
            field.fill(wrong)
            one.ask().get_by_role("button", name="Record").tap()
            expect(one.ask()).to_be_visible()
            assert field.evaluate("(one) => one.validationMessage") != ""
            one.page.keyboard.press("Escape")
            expect(one.ask()).to_be_hidden()
        assert one.kept() == []


def test_a_figure_is_missed_or_taken_back(browser: Browser, week: str) -> None:
    """Both without a figure; the second only where something was recorded."""
    with tablet(browser, week) as one:
        one.button("water").tap()
        expect(one.ask().get_by_role("button", name="take back")).to_be_hidden()
        one.ask().get_by_role("button", name="not done").tap()
        assert one.state("water") == "missed (only on this tablet)"
        one.button("water").tap()
        one.ask().get_by_role("button", name="take back").tap()
        assert one.state("water") == "still to come (only on this tablet)"
        assert [mark["value"] for mark in one.kept()] == ["no", ""]


def test_a_step_of_a_scale_is_one_touch(browser: Browser, week: str) -> None:
    """Five large buttons, and no field."""
    with tablet(browser, week) as one:
        one.button("day-as-a-whole").tap()
        expect(one.ask().get_by_role("spinbutton")).to_be_hidden()
        expect(one.ask().get_by_role("button", name="not done")).to_be_hidden()
        one.ask().get_by_role("button", name="4", exact=True).tap()
        assert one.state("day-as-a-whole") == "marked 4 (only on this tablet)"


def test_a_lesson_is_ticked_or_given_its_minutes(browser: Browser, week: str) -> None:
    """The box as for a habit; the title asks for minutes, with those planned as a start."""
    with tablet(browser, week) as one:
        lesson = "pell-english"
        one.button(lesson).tap()
        assert one.state(lesson) == "done (only on this tablet)"
        one.button(lesson).tap()
        assert one.state(lesson) == "missed (only on this tablet)"
        one.button(lesson).tap()
        one.title(lesson).tap()
        expect(one.ask().get_by_role("spinbutton")).to_have_value("45")
        one.ask().get_by_role("button", name="Record").tap()
        assert one.state(lesson) == "done 45 (only on this tablet)"
        assert [mark["value"] for mark in one.kept()] == ["yes", "no", "", "45"]


def test_a_task_is_done_by_its_box(browser: Browser, week: str) -> None:
    """And by it once more it is open again; one that stands on a day to come is done today."""
    with tablet(browser, week) as one:
        one.button("easter-parcel").tap()
        expect(one.cell("easter-parcel")).to_have_class(re.compile(r"\bdone\b"))
        one.button("easter-parcel").tap()
        assert one.state("easter-parcel") == "still to come (only on this tablet)"
        one.button("cousin-room", TOMORROW).tap()
        expect(one.cell("cousin-room", TOMORROW)).to_have_class(re.compile(r"\bdone\b"))


def test_what_is_asked_of_a_task_has_no_boxes_to_tick(browser: Browser, week: str) -> None:
    """The box before a task on the page stands neither before nor in the dialog."""
    with tablet(browser, week) as one:
        one.title("term-report-juno").tap()
        expect(one.ask().get_by_role("button", name="dropped")).to_be_visible()
        signs = one.page.evaluate(
            "[...document.querySelectorAll('#ask, #ask *')].flatMap((el) => ['::before', '::after']"
            ".map((at) => getComputedStyle(el, at).content)).filter((text) => text !== 'none')"
        )
        assert signs == []


def test_a_task_is_put_off_dropped_and_taken_back(browser: Browser, week: str) -> None:
    """Its title opens the dialog; an end is taken back before there is another one."""
    with tablet(browser, week) as one:
        for choice, state in (("put off", "put off"), ("dropped", "dropped")):
            one.title("easter-parcel").tap()
            one.ask().get_by_role("button", name=choice).tap()
            assert one.state("easter-parcel") == f"{state} (only on this tablet)"
            one.title("easter-parcel").tap()
            expect(one.ask().get_by_role("button", name="done")).to_be_hidden()
            one.ask().get_by_role("button", name="take back").tap()
        assert [mark["value"] for mark in one.kept()] == ["later", "", "dropped", ""]


def test_a_break_is_ticked_off(browser: Browser, week: str) -> None:
    """Kept, missed, not recorded; those of days to come are no buttons."""
    with tablet(browser, week) as one:
        breaks = one.page.locator(f'.break[data-id][data-date="{TODAY}"] .touch')
        states = []
        for _ in range(3):
            breaks.first.tap()
            states.append((breaks.first.get_attribute("aria-label") or "").rpartition(": ")[2])
        assert [state.partition(" (")[0] for state in states] == ["kept", "missed", "still to come"]
        assert one.page.locator(f'.break[data-date="{TOMORROW}"] .touch').count() == 0


def test_undo_writes_what_stood_before(browser: Browser, week: str) -> None:
    """By its button and by Ctrl+Z, mark by mark; each is a later mark, nothing is wiped out."""
    with tablet(browser, week) as one:
        one.button("day-card", YESTERDAY).tap()
        one.button("easter-parcel").tap()
        one.page.keyboard.press("Control+z")
        assert one.state("easter-parcel") == "still to come (only on this tablet)"
        expect(one.said()).to_contain_text("Easter parcel to Nana")
        one.bar().get_by_role("button", name="Undo").tap()
        assert one.state("day-card", YESTERDAY) == "marked (only on this tablet)"
        expect(one.bar().get_by_role("button", name="Undo")).to_be_hidden()
        kept = one.kept()
        assert [mark["value"] for mark in kept] == ["no", "done", "", "yes"]
        times = [mark["recorded_at"] for mark in kept]
        assert times == sorted(set(times))


def test_a_page_is_marked_by_keys_alone(browser: Browser, week: str) -> None:
    """Arrows go from cell to cell, Enter and Space press, Escape closes, the focus comes back."""
    with tablet(browser, week) as one:
        one.button("day-card").focus()
        one.page.keyboard.press("Space")
        assert one.state("day-card").startswith("marked")
        one.page.keyboard.press("ArrowLeft")
        expect(one.button("day-card", YESTERDAY)).to_be_focused()
        one.page.keyboard.press("ArrowRight")
        one.button("sleep-ines").focus()
        one.page.keyboard.press("ArrowDown")
        expect(one.button("sleep-dov")).to_be_focused()
        one.page.keyboard.press("ArrowUp")
        one.page.keyboard.press("Enter")
        expect(one.ask()).to_be_visible()
        one.page.keyboard.press("Escape")
        expect(one.ask()).to_be_hidden()
        expect(one.button("sleep-ines")).to_be_focused()
        one.page.keyboard.press("Enter")
        one.page.keyboard.type("8")
        one.page.keyboard.press("Enter")
        assert one.state("sleep-ines") == "marked 8 (only on this tablet)"
        expect(one.button("sleep-ines")).to_be_focused()


def test_arrows_follow_the_direction_of_the_script(browser: Browser, tmp_path: Path) -> None:
    """From right to left, the arrow to the left goes to the later day."""
    for name, content in pages(sample_week.inputs("ar_EG")).items():
        (tmp_path / name).write_bytes(content)
    with tablet(browser, (tmp_path / "2027-W12.html").as_uri()) as one:
        boxes = one.page.locator("tr:has(td > .touch + *, td > .touch)").first.locator(
            "td > .touch"
        )
        assert boxes.count() > 1
        boxes.nth(0).focus()
        one.page.keyboard.press("ArrowLeft")
        expect(boxes.nth(1)).to_be_focused()
        one.page.keyboard.press("ArrowRight")
        expect(boxes.nth(0)).to_be_focused()


def small(one: Tablet) -> list[str]:
    """Touch targets in sight of less than 44 by 44 CSS pixels (WCAG 2.2, 2.5.5)."""
    found: list[str] = one.page.evaluate(
        "() => [...document.querySelectorAll('main .touch, .more:is(button), #bar button, #bar a,"
        " dialog button, dialog input')].filter((one) => { const r = one.getBoundingClientRect();"
        " return r.width && (r.width < 44 || r.height < 44); })"
        ".map((one) => { const r = one.getBoundingClientRect();"
        " return `${one.outerHTML.slice(0, 90)} ${r.width} ${r.height}`; })"
    )
    return found


@pytest.mark.parametrize("width", [390, 800, 1280])
def test_targets_are_large_enough_for_a_finger(browser: Browser, week: str, width: int) -> None:
    """On every width of a touch screen, in the page, the bar and the dialog."""
    with tablet(browser, week, width=width) as one:
        one.page.locator(".touch:visible").first.tap()
        assert small(one) == []
        if one.page.viewport_size and width > 390:
            one.button("water").tap()
            assert small(one) == []
