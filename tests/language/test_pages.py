"""Whole sites in Arabic, and in a language nobody has translated: direction, digits, widths."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.support.chromium import chromium, looking
from weeksync.workflow import run_demo

NOW = datetime(2027, 3, 24, 6, 40, tzinfo=UTC)
NAMES = ("2027-W12", "2027-03", "index", "problems", "enter-2027-W12")

IN_ASCII = """() => {
  const apart = /[\\u2066-\\u2068][^\\u2069]*\\u2069/g;
  const others = "script, style, pre, code, option, .iso, .notes, .prose, td > p > strong";
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const found = [];
  for (let node = walk.nextNode(); node; node = walk.nextNode()) {
    const text = node.nodeValue.replace(apart, "");
    if (/[0-9]/.test(text) && !/[A-Za-z]/.test(text) && !node.parentElement.closest(others))
      found.push(node.nodeValue.trim());
  }
  for (const one of document.querySelectorAll("[aria-label]")) {
    const text = one.getAttribute("aria-label").replace(apart, "");
    if (/[0-9]/.test(text) && !/[A-Za-z]/.test(text)) found.push(text);
  }
  return found;
}"""
"""Figures in ASCII that stand by themselves or among words that are not Latin.

Left out are what is written by people, ISO weeks, and what stands in isolates: titles, commands.
"""


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One Chromium for all tests of this file."""
    with chromium() as running:
        yield running


@pytest.fixture(scope="module")
def sites(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The demo as the households of two locales would see it."""
    made = {}
    for locale in ("ar_EG", "fa"):
        folder = tmp_path_factory.mktemp(locale)
        run_demo(folder, locale=locale)
        made[locale] = folder / "site"
    return made


@pytest.mark.parametrize("name", NAMES)
def test_an_egyptian_page_has_one_kind_of_digits(
    name: str, sites: dict[str, Path], browser: Browser
) -> None:
    """What the templates write and what the scripts write; `data-*` and links stay ASCII."""
    with looking(browser, now=NOW) as page:
        page.goto((sites["ar_EG"] / f"{name}.html").as_uri())
        assert page.evaluate(IN_ASCII) == []
        assert page.evaluate("/[\\u0660-\\u0669]/.test(document.body.innerText)")
        machine = page.evaluate(
            "[...document.querySelectorAll('*')].flatMap((one) => [...one.attributes])"
            ".filter((one) => one.name.startsWith('data-date') || one.name === 'href' ||"
            " one.name === 'datetime').map((one) => one.value).join(' ')"
        )
    assert machine.isascii()


@pytest.mark.parametrize("width", [320, 390, 800, 1280])
def test_an_arabic_page_fits_every_width(
    width: int, sites: dict[str, Path], browser: Browser
) -> None:
    """From right to left nothing runs out of the window: Arabic at 320 px once took 385."""
    for name in NAMES:
        with looking(browser, now=NOW, width=width, height=800) as page:
            page.goto((sites["ar_EG"] / f"{name}.html").as_uri())
            widest = page.evaluate("document.documentElement.scrollWidth")
            direction = page.evaluate("getComputedStyle(document.body).direction")
        assert (name, widest, direction) == (name, width, "rtl")


def test_times_of_an_arabic_page_read_from_right_to_left(
    sites: dict[str, Path], browser: Browser
) -> None:
    """10:00 stands to the right of 10:40, and an ISO week is not turned round."""
    with looking(browser, now=NOW) as page:
        page.goto((sites["ar_EG"] / "2027-W12.html").as_uri())
        places = page.evaluate(PLACES, ["١٠:٠٠", "١٠:٤٠", "2027", "W12"])
    assert places["١٠:٤٠"] < places["١٠:٠٠"]
    assert places["2027"] < places["W12"]


PLACES = """(texts) => {
  const left = (node, text) => {
    const range = document.createRange();
    const at = node.nodeValue.indexOf(text);
    range.setStart(node, at);
    range.setEnd(node, at + text.length);
    return range.getBoundingClientRect().left;
  };
  const found = {};
  for (const pair of [[texts[0], texts[1]], [texts[2], texts[3]]]) {
    const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    for (let node = walk.nextNode(); node; node = walk.nextNode()) {
      if (!pair.every((text) => node.nodeValue.includes(text))) continue;
      if (!node.parentElement.getClientRects().length) continue;
      for (const text of pair) found[text] = left(node, text);
      break;
    }
  }
  return found;
}"""
"""Where the first text node that is shown and holds both of a pair has each of them."""


def test_english_words_have_persian_dates(sites: dict[str, Path], browser: Browser) -> None:
    """Without a catalogue the page is an English one; its dates and figures are Persian."""
    with looking(browser, now=NOW) as page:
        page.goto((sites["fa"] / "2027-W12.html").as_uri())
        root = page.evaluate(
            "[document.documentElement.lang, document.documentElement.dir,"
            " document.documentElement.dataset.locale]"
        )
        heading = page.locator("h1").inner_text()
        first = page.locator("article[data-date]").first.inner_text()
        said = page.locator("time[data-age], .source time").first.inner_text()
    assert root == ["en", "ltr", "fa-u-ca-gregory-hc-h23-nu-arabext"]
    assert heading.startswith("Week ۱۲")
    assert "دوشنبه" in first
    assert "۲۲" in first
    assert "۲۰۲۷" in said  # by the script: no Persian year
