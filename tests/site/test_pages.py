"""The common site as files: whole, safe, the same for the same input, and nothing private on it."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from tests.support import sample_plan, sample_week
from tests.support.strict_html import read_html
from weeksync.model.fields import Weekday
from weeksync.model.week import IsoWeek
from weeksync.site import own_pages
from weeksync.site.pages import pages

SHARED = {
    "index.html", "2027-W11.html", "2027-W12.html", "2027-W13.html", "enter-2027-W12.html",
    "style.css", "overview.css", "enter.css", "check_in.css", "review.css", "year.css",
    "cautions.html", "icon.svg", "status.js", "words.js",
    "page.js", "marks.js", "offline.js", "paper_rows.js", "enter.js", "check_in.js",
    "forms.css", "forms.js", "start.css", "plan_evening.css", "plan_evening.js",
}  # fmt: skip
"""What both trees have."""

PAGES = SHARED | {
    "problems.html", "2027-03.html", "2027-04.html", "kept.js", "service-worker.js",
    "manifest.webmanifest",
}  # fmt: skip

SCRIPTS = {"status.js", "words.js", "page.js", "marks.js", "offline.js"}
"""What every page loads."""

HOSTILE = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "' onmouseover='alert(1)",
    "{{ 7 * 7 }}{% raw %}",
    "</title></textarea><svg/onload=alert(1)>",
    "\u202eabc &lt;b&gt; &amp;",
    "x" * 5000,
)


@pytest.fixture(scope="module")
def made() -> dict[str, bytes]:
    """The common site of the sample."""
    return pages(sample_week.inputs())


@pytest.fixture(scope="module")
def own() -> dict[str, bytes]:
    """The sample's pages of one's own."""
    return own_pages(sample_week.inputs())


def html(tree: dict[str, bytes]) -> dict[str, bytes]:
    """The HTML files of a tree."""
    return {name: content for name, content in tree.items() if name.endswith(".html")}


def test_there_is_a_page_for_each_week_and_month(made: dict[str, bytes]) -> None:
    """Weeks are named by ISO week, months by year and month."""
    assert set(made) == PAGES


def test_own_pages_have_the_same_weeks(own: dict[str, bytes]) -> None:
    """A page a week, a start page, and the same assets; no months, no problems, no copies."""
    assert set(own) == SHARED | {"check-in.html"}


@pytest.mark.parametrize("locale", ["en_GB", "en_US", "ar_EG", "de_AT"])
def test_every_page_is_well_formed(locale: str) -> None:
    """Nothing that a browser would have to repair, no id twice, no reference to nothing."""
    inputs = sample_week.inputs(locale)
    for tree in (pages(inputs), own_pages(inputs)):
        for name, content in html(tree).items():
            assert read_html(content).faults == [], name


def test_the_checker_sees_faults() -> None:
    """The strict reading is no formality: each of these is a fault."""
    for wrong in ("<p><div></div></p>", "<ul><p>x</p></ul><li></li>", "<p id=a></p><p id=a></p>",
                  "<b>", "<a href='#x'></a>", "<p a=1 a=2></p>"):  # fmt: skip
        assert read_html(b"<!doctype html>" + wrong.encode()).faults, wrong


def test_links_lead_to_pages_that_are_there(made: dict[str, bytes], own: dict[str, bytes]) -> None:
    """Every relative link has its file in the same tree, with the place in it."""
    for tree in (made, own):
        for name, content in html(tree).items():
            for link in read_html(content).elements:
                target = link.attributes.get("href", link.attributes.get("src", ""))
                if not target or "://" in target or target == "/sign-in":  # a page of `serve`
                    continue
                file, _, place = target.partition("#")
                assert file in {"", *tree}, f"{name}: {target}"
                if place and file:
                    assert place in read_html(tree[file]).ids(), f"{name}: {target}"


def test_the_trees_do_not_lead_to_each_other(made: dict[str, bytes], own: dict[str, bytes]) -> None:
    """The common site says nothing about pages of one's own, and these lead nowhere else."""
    for content in html(made).values():  # scripts are the same in both trees
        assert b"own/" not in content
        assert b"../" not in content
    for content in html(own).values():
        assert b"../" not in content
        assert b"problems.html" not in content


def test_every_page_has_a_strict_policy(made: dict[str, bytes], own: dict[str, bytes]) -> None:
    """Nothing but files of the site itself, no base, no forms, no referrer, no index."""
    for tree in (made, own):
        for name, content in html(tree).items():
            metas = {
                one.attributes.get("http-equiv", one.attributes.get("name", "")): one.attributes[
                    "content"
                ]
                for one in read_html(content).all("meta")
                if "content" in one.attributes
            }
            policy = metas["Content-Security-Policy"]
            assert policy.startswith("default-src 'none';"), name
            assert "base-uri 'none'" in policy
            assert "form-action 'none'" in policy
            assert "unsafe" not in policy
            assert metas["referrer"] == "no-referrer"
            assert metas["robots"].startswith("noindex")


def test_nothing_is_inline_and_nothing_foreign(
    made: dict[str, bytes], own: dict[str, bytes]
) -> None:
    """No style attribute, no on… attribute, no inline script or style, no other host's file."""
    for tree in (made, own):
        for name, content in html(tree).items():
            for one in read_html(content).elements:
                assert one.tag != "style", name
                assert "style" not in one.attributes
                assert not [key for key in one.attributes if key.startswith("on")]
                if one.tag == "script":
                    assert one.attributes["src"] in tree
                    assert not one.text.strip()
                if one.tag in {"link", "img", "script", "use"}:
                    target = one.attributes.get("href", one.attributes.get("src", ""))
                    assert "//" not in target, f"{name}: {target}"
        css = tree["style.css"].decode()
        assert not re.findall(r"url\(|@import|//", css)
        assert not re.findall(r"https?://", tree["page.js"].decode())


def test_a_link_of_a_calendar_tells_nobody_where_it_came_from(made: dict[str, bytes]) -> None:
    """Links that leave the site carry noopener, noreferrer and nofollow."""
    leaving = [
        one
        for content in html(made).values()
        for one in read_html(content).all("a")
        if "://" in one.attributes["href"]
    ]
    assert leaving
    assert {one.attributes["rel"] for one in leaving} == {"noopener noreferrer nofollow"}


def test_only_logical_properties(made: dict[str, bytes]) -> None:
    """Left and right are nowhere in the style sheet but in the arrows' ground directions."""
    css = re.sub(r"@page[^}]*}", "", made["style.css"].decode())
    css = re.sub(r"linear-gradient\([^;]*;", "", css)
    assert not re.findall(
        r"(?:margin|padding|border)-(?:left|right|top|bottom)\b|[;{]\s*(?:left|right)\s*:"
        r"|text-align:\s*(?:left|right)|float:\s*(?:left|right)",
        css,
    )


@pytest.mark.parametrize("hostile", HOSTILE)
def test_titles_of_calendars_are_text(hostile: str) -> None:
    """Whatever a title, place or name says is shown as it is and is never markup."""
    inputs = sample_week.inputs()
    week = inputs.weeks[1]
    days = tuple(
        replace(
            day,
            occurrences=tuple(
                one._replace(
                    occurrence=replace(
                        one.occurrence, title=hostile, place=hostile, link=f"javascript:{hostile}"
                    ),
                )
                for one in day.occurrences
            ),
            tasks=tuple(replace(task, title=hostile, waits_for=hostile) for task in day.tasks),
            holidays=(hostile,),
        )
        for day in week.days
    )
    tree = pages(replace(inputs, weeks=(replace(week, days=days),), own_weeks=()))
    read = read_html(tree["2027-W12.html"])
    assert read.faults == []
    assert "alert" not in {key for one in read.elements for key in one.attributes}
    assert {one.attributes["src"] for one in read.all("script")} == SCRIPTS
    assert not read.all("img")
    assert any(" ".join(one.text.split()) == " ".join(hostile.split()) for one in read.all("bdi"))
    assert b"javascript:" not in tree["2027-W12.html"]


def test_the_same_input_gives_the_same_bytes(made: dict[str, bytes]) -> None:
    """Nothing but the input is on a page: no clock, no order that varies."""
    assert pages(sample_week.inputs()) == made


def test_another_day_changes_no_week_and_no_month(made: dict[str, bytes]) -> None:
    """The build's day only chooses where the start page leads; the browser marks today."""
    later = pages(replace(sample_week.inputs(), today=sample_week.TODAY + timedelta(days=7)))
    assert {name for name in made if later[name] != made[name]} == {"index.html"}


def test_a_pull_without_news_changes_no_week_and_no_month(made: dict[str, bytes]) -> None:
    """When a source was last pulled stands in the status and on the page of problems."""
    inputs = sample_week.inputs()
    at = datetime(2027, 3, 25, 4, 30, tzinfo=UTC)
    states = tuple(
        one if one.failed else replace(one, last_good=at, last_tried=at) for one in inputs.states
    )
    later = pages(replace(inputs, states=states))
    changed = {name for name in made if later[name] != made[name]}
    assert changed == {"status.js", "index.html", "problems.html"}


def test_nothing_private_is_on_the_common_site(own: dict[str, bytes]) -> None:
    """Amounts, check-ins and what is only for some stay off even where a view let them through."""
    made = pages(sample_week.inputs())  # the sample's weeks are whole spreads, no common views
    private: tuple[str, ...] = (
        "Secret",
        "secret",
        "31.50",
        "2,118.40",
        "£",
        "steady",
        "slept through",
        "journal",
    )
    private += sample_plan.PRIVATE
    for name, content in made.items():
        for word in private:
            assert word not in content.decode(), f"{name}: {word}"
    mine = own["2027-W12.html"].decode()
    for word in private:
        assert word in mine, word


def test_check_ins_are_cleaned(own: dict[str, bytes]) -> None:
    """Markup in a check-in's Markdown is shown by its meaning or not at all."""
    mine = own["2027-W12.html"].decode()
    assert "<em>today</em>" in mine
    assert "alert(1)" not in mine


def test_a_week_page_is_light(made: dict[str, bytes]) -> None:
    """A whole week page with style and scripts stays under 120 KB; the script of the page is small.

    The demo's heavier week is weighed in `test_week_page.py`, all scripts in `test_scripts.py`.
    """
    whole = sum(len(made[name]) for name in ("2027-W12.html", "style.css", "icon.svg", *SCRIPTS))
    assert whole < 115_000
    assert len(made["page.js"]) < 6_200


def test_weeks_follow_the_household(made: dict[str, bytes]) -> None:
    """The ISO week names the page; the first weekday and the number shown are the household's."""
    assert "Week 12" in read_html(made["2027-W12.html"]).all("h1")[0].text
    egypt = pages(sample_week.inputs("ar_EG"))["2027-W12.html"]
    assert "١٣" in read_html(egypt).all("h1")[0].text  # Saturday start, minimum 1 day (CLDR 49)
    assert read_html(egypt).all("article")[0].attributes["data-date"] == "2027-03-20"
    sunday = pages(sample_week.inputs("en_GB", Weekday.SUNDAY))["2027-W12.html"]
    assert read_html(sunday).all("article")[0].attributes["data-date"] == "2027-03-21"


def test_the_year_boundary_keeps_its_iso_name() -> None:
    """2026-W53 is week 53 in Britain and week 1 of 2027 in the United States (CLDR 49)."""
    week = IsoWeek(2026, 53)
    for locale, heading in (("en_GB", "Week 53"), ("en_US", "Week 1")):
        inputs = sample_week.inputs(locale)
        rule = sample_week.rule_of(locale)
        tree = pages(replace(inputs, weeks=(sample_week.quiet(week, rule),), months=()))
        assert read_html(tree["2026-W53.html"]).all("h1")[0].text == heading


def test_language_and_direction(made: dict[str, bytes]) -> None:
    """`lang` and `dir` are those of the household's locale."""
    assert read_html(made["index.html"]).elements[0].attributes["lang"] == "en-GB"
    root = read_html(pages(sample_week.inputs("ar_EG"))["index.html"]).elements[0].attributes
    assert (root["lang"], root["dir"]) == ("ar-EG", "rtl")
