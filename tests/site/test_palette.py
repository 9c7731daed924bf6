"""The palette: text is readable on every tint, and tints stay apart for every eye."""

from __future__ import annotations

import itertools
import re

import pytest

from tests.support import sample_week
from tests.support.colours import SHARMA, SIGHT, Rgb, apart, contrast, luminance, seen
from weeksync.model.config import COLOURS
from weeksync.site.pages import pages
from weeksync.site.palette import TINTS

SCHEMES = ("light", "dark", "print")


def colours_of(block: str) -> dict[str, str]:
    """The custom properties and tints of a block of the style sheet that hold a plain colour."""
    found = re.findall(r"--([a-z-]+):(#[0-9a-f]{3,6})[;}]", re.sub(r"\.tint-.*?}", "", block))
    for name, fill, edge in re.findall(r"\.tint-([a-z]+){--tint:(#\w+);--edge:(#\w+)}", block):
        found += [(name, fill), (f"{name}-edge", edge)]
    return {
        name: value if len(value) == 7 else "#" + "".join(one * 2 for one in value[1:])
        for name, value in found
    }


@pytest.fixture(scope="module")
def schemes() -> dict[str, dict[str, str]]:
    """The colours of the made style sheet in its three schemes."""
    css = pages(sample_week.inputs())["style.css"].decode().replace("@media (", "@media(")
    light, rest = css.split("@media(prefers-color-scheme:dark)", 1)
    dark, rest = rest.split("@media", 1)
    printed = max(rest.split("@media print{"), key=lambda block: "--paper:#fff;" in block)
    return {"light": colours_of(light), "dark": colours_of(dark), "print": colours_of(printed)}


def test_contrast_is_that_of_the_standard() -> None:
    """Black on white is 21 to 1; #777 on white is 4.48 (WCAG's well-known near miss)."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.01)


@pytest.mark.parametrize(("one", "other", "difference"), SHARMA)
def test_the_difference_of_colours_is_that_of_the_paper(
    one: Rgb, other: Rgb, difference: float
) -> None:
    """CIEDE2000 over the test data of Sharma, Wu and Dalal 2005, to their four places, both ways.

    The pairs sit where a slip shows: hues around zero, opposite hues, greys.
    """
    assert apart(one, other) == pytest.approx(difference, abs=5e-5)
    assert apart(other, one) == pytest.approx(difference, abs=5e-5)


@pytest.mark.parametrize("sight", sorted(SIGHT))
def test_white_and_grey_look_the_same_to_every_eye(sight: str) -> None:
    """Each row of a matrix of Machado, Oliveira and Fernandes 2009 sums to 1."""
    for row in SIGHT[sight]:
        assert sum(row) == pytest.approx(1, abs=2e-6)


def test_every_colour_of_the_settings_has_a_tint() -> None:
    """The names are those that `config.toml` may use, in their order."""
    assert tuple(tint.name for tint in TINTS) == COLOURS


@pytest.mark.parametrize("scheme", SCHEMES)
def test_text_is_readable_everywhere(scheme: str, schemes: dict[str, dict[str, str]]) -> None:
    """Text has 4.5 to 1 or more on the page, on sheets, on today and on every tint."""
    colours = schemes[scheme]
    assert {"ink", "soft", "red", "paper", "sheet", "now", *COLOURS} <= set(colours)
    for ground in ("paper", "sheet", "now"):
        for text in ("ink", "soft", "red"):
            assert contrast(colours[text], colours[ground]) >= 4.5, (text, ground)
    for tint in (*COLOURS, "rule" if scheme != "print" else "paper"):
        assert contrast(colours["ink"], colours[tint]) >= 4.5, tint


@pytest.mark.parametrize("scheme", SCHEMES)
def test_edges_and_boxes_are_visible(scheme: str, schemes: dict[str, dict[str, str]]) -> None:
    """What only a shape says has 3 to 1 or more against the page (WCAG 2.2, 1.4.11)."""
    colours = schemes[scheme]
    for name in (*(f"{tint}-edge" for tint in COLOURS), "now-edge", "soft"):
        for ground in ("paper", "sheet", "now"):
            assert contrast(colours[name], colours[ground]) >= 3, (name, ground)


@pytest.mark.parametrize("sight", sorted(SIGHT))
@pytest.mark.parametrize(("scheme", "fills", "edges"), [("light", 10, 14), ("dark", 10, 14),
                                                       ("print", 6, 14)])  # fmt: skip
def test_tints_stay_apart(
    scheme: str, fills: float, edges: float, sight: str, schemes: dict[str, dict[str, str]]
) -> None:
    """Any two tints differ by CIEDE2000, fills and edges; pastels of one lightness fall below 1."""
    colours = schemes[scheme]
    for one, other in itertools.combinations(COLOURS, 2):
        for end, least in (("", fills), ("-edge", edges)):
            far = apart(seen(colours[one + end], sight), seen(colours[other + end], sight))
            assert far >= least, (one, other, end, far)


def test_paper_tints_save_ink() -> None:
    """A printed fill is light: a relative luminance of 0.6 or more."""
    assert all(luminance(tint.print) >= 0.6 for tint in TINTS)
