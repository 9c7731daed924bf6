"""The palette: text is readable on every tint, and tints stay apart for every eye."""

from __future__ import annotations

import itertools
import math
import re

import pytest

from tests.support import sample_week
from weeksync.model.config import COLOURS
from weeksync.site import pages
from weeksync.site.palette import TINTS

Rgb = tuple[float, float, float]

SIGHT: dict[str, tuple[Rgb, Rgb, Rgb]] = {
    "full": ((1, 0, 0), (0, 1, 0), (0, 0, 1)),
    "protan": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "deutan": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
}
"""Machado, Oliveira and Fernandes 2009, severity 1.0, for linear light (from memory)."""


def linear(colour: str) -> Rgb:
    """`#rrggbb` as linear light (IEC 61966-2-1)."""
    parts = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    red, green, blue = (
        one / 12.92 if one <= 0.04045 else ((one + 0.055) / 1.055) ** 2.4 for one in parts
    )
    return red, green, blue


def luminance(colour: str) -> float:
    """Relative luminance of WCAG 2.2."""
    red, green, blue = linear(colour)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio of WCAG 2.2, 1 to 21."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def lab(light: Rgb) -> Rgb:
    """CIELAB (CIE 1976) under D65."""
    red, green, blue = light
    x = 0.4124 * red + 0.3576 * green + 0.1805 * blue
    y = 0.2126 * red + 0.7152 * green + 0.0722 * blue
    z = 0.0193 * red + 0.1192 * green + 0.9505 * blue

    def f(value: float) -> float:
        return value ** (1 / 3) if value > 0.008856 else 7.787 * value + 16 / 116

    a, b, c = f(x / 0.9505), f(y), f(z / 1.089)
    return 116 * b - 16, 500 * (a - b), 200 * (b - c)


def seen(colour: str, sight: str) -> Rgb:
    """The colour in CIELAB as those eyes see it."""
    light = linear(colour)
    red, green, blue = (
        min(1.0, max(0.0, sum(weight * part for weight, part in zip(row, light, strict=True))))
        for row in SIGHT[sight]
    )
    return lab((red, green, blue))


def variables(block: str) -> dict[str, str]:
    """The custom properties that hold a plain colour."""
    return {
        name: value if len(value) == 7 else "#" + "".join(one * 2 for one in value[1:])
        for name, value in re.findall(r"--([a-z-]+): (#[0-9a-f]{3,6});", block)
    }


@pytest.fixture(scope="module")
def schemes() -> dict[str, dict[str, str]]:
    """The colours of the made style sheet in its three schemes."""
    css = pages(sample_week.inputs())["style.css"].decode()
    light, rest = css.split("@media (prefers-color-scheme: dark)", 1)
    dark, printed = rest.split("@media print", 1)
    return {
        "light": variables(light),
        "dark": variables(dark),
        "print": variables(printed.split("html {")[0]),
    }


def test_contrast_is_that_of_the_standard() -> None:
    """Black on white is 21 to 1; #777 on white is 4.48 (WCAG's well-known near miss)."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.01)


def test_every_colour_of_the_settings_has_a_tint() -> None:
    """The names are those that `config.toml` may use, in their order."""
    assert tuple(tint.name for tint in TINTS) == COLOURS


@pytest.mark.parametrize("scheme", ["light", "dark", "print"])
def test_text_is_readable_everywhere(scheme: str, schemes: dict[str, dict[str, str]]) -> None:
    """Text has 4.5 to 1 or more on the page, on sheets, on today and on every tint."""
    colours = schemes[scheme]
    assert {"ink", "soft", "red", "paper", "sheet", "now", *COLOURS} <= set(colours)
    for ground in ("paper", "sheet", "now"):
        for text in ("ink", "soft", "red"):
            assert contrast(colours[text], colours[ground]) >= 4.5, (text, ground)
    for tint in (*COLOURS, "rule" if scheme != "print" else "paper"):
        assert contrast(colours["ink"], colours[tint]) >= 4.5, tint


@pytest.mark.parametrize("scheme", ["light", "dark", "print"])
def test_edges_and_boxes_are_visible(scheme: str, schemes: dict[str, dict[str, str]]) -> None:
    """What only a shape says has 3 to 1 or more against the page (WCAG 2.2, 1.4.11)."""
    colours = schemes[scheme]
    for name in (*(f"{tint}-edge" for tint in COLOURS), "now-edge", "soft"):
        assert contrast(colours[name], colours["paper"]) >= 3, name
        assert contrast(colours[name], colours["sheet"]) >= 3, name


@pytest.mark.parametrize("sight", sorted(SIGHT))
@pytest.mark.parametrize(("scheme", "least"), [("light", 12), ("dark", 12), ("print", 7)])
def test_tints_stay_apart(
    scheme: str, least: float, sight: str, schemes: dict[str, dict[str, str]]
) -> None:
    """Any two tints are apart in CIELAB; pastels of equal lightness would fall below 1."""
    colours = schemes[scheme]
    for one, other in itertools.combinations(COLOURS, 2):
        apart = math.dist(seen(colours[one], sight), seen(colours[other], sight))
        assert apart >= least, (one, other, apart)


def test_paper_tints_save_ink() -> None:
    """A printed fill is light: a relative luminance of 0.6 or more."""
    assert all(luminance(tint.print) >= 0.6 for tint in TINTS)
