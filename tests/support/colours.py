"""Colours as eyes see them: contrast, sight without one kind of cone, and how far two are apart.

sRGB is IEC 61966-2-1, contrast WCAG 2.2, CIELAB that of CIE 1976 under D65 (from memory, as the
matrix from sRGB to XYZ). Both tables below were compared with several public copies of them.
"""

from __future__ import annotations

import math

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
    "tritan": (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    ),
}
"""Machado, Oliveira and Fernandes 2009 (A Physiologically-based Model for Simulation of Color
Vision Deficiency, IEEE TVCG 15), severity 1.0, for linear light."""

SHARMA: tuple[tuple[Rgb, Rgb, float], ...] = (
    ((50.0000, 2.6772, -79.7751), (50.0000, 0.0000, -82.7485), 2.0425),
    ((50.0000, 3.1571, -77.2803), (50.0000, 0.0000, -82.7485), 2.8615),
    ((50.0000, 2.8361, -74.0200), (50.0000, 0.0000, -82.7485), 3.4412),
    ((50.0000, -1.3802, -84.2814), (50.0000, 0.0000, -82.7485), 1.0000),
    ((50.0000, -1.1848, -84.8006), (50.0000, 0.0000, -82.7485), 1.0000),
    ((50.0000, -0.9009, -85.5211), (50.0000, 0.0000, -82.7485), 1.0000),
    ((50.0000, 0.0000, 0.0000), (50.0000, -1.0000, 2.0000), 2.3669),
    ((50.0000, -1.0000, 2.0000), (50.0000, 0.0000, 0.0000), 2.3669),
    ((50.0000, 2.4900, -0.0010), (50.0000, -2.4900, 0.0009), 7.1792),
    ((50.0000, 2.4900, -0.0010), (50.0000, -2.4900, 0.0010), 7.1792),
    ((50.0000, 2.4900, -0.0010), (50.0000, -2.4900, 0.0011), 7.2195),
    ((50.0000, 2.4900, -0.0010), (50.0000, -2.4900, 0.0012), 7.2195),
    ((50.0000, -0.0010, 2.4900), (50.0000, 0.0009, -2.4900), 4.8045),
    ((50.0000, -0.0010, 2.4900), (50.0000, 0.0010, -2.4900), 4.8045),
    ((50.0000, -0.0010, 2.4900), (50.0000, 0.0011, -2.4900), 4.7461),
    ((50.0000, 2.5000, 0.0000), (50.0000, 0.0000, -2.5000), 4.3065),
    ((50.0000, 2.5000, 0.0000), (73.0000, 25.0000, -18.0000), 27.1492),
    ((50.0000, 2.5000, 0.0000), (61.0000, -5.0000, 29.0000), 22.8977),
    ((50.0000, 2.5000, 0.0000), (56.0000, -27.0000, -3.0000), 31.9030),
    ((50.0000, 2.5000, 0.0000), (58.0000, 24.0000, 15.0000), 19.4535),
    ((50.0000, 2.5000, 0.0000), (50.0000, 3.1736, 0.5854), 1.0000),
    ((50.0000, 2.5000, 0.0000), (50.0000, 3.2972, 0.0000), 1.0000),
    ((50.0000, 2.5000, 0.0000), (50.0000, 1.8634, 0.5757), 1.0000),
    ((50.0000, 2.5000, 0.0000), (50.0000, 3.2592, 0.3350), 1.0000),
    ((60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387), 1.2644),
    ((63.0109, -31.0961, -5.8663), (62.8187, -29.7946, -4.0864), 1.2630),
    ((61.2901, 3.7196, -5.3901), (61.4292, 2.2480, -4.9620), 1.8731),
    ((35.0831, -44.1164, 3.7933), (35.0232, -40.0716, 1.5901), 1.8645),
    ((22.7233, 20.0904, -46.6940), (23.0331, 14.9730, -42.5619), 2.0373),
    ((36.4612, 47.8580, 18.3852), (36.2715, 50.5065, 21.2231), 1.4146),
    ((90.8027, -2.0831, 1.4410), (91.1528, -1.6435, 0.0447), 1.4441),
    ((90.9257, -0.5406, -0.9208), (88.6381, -0.8985, -0.7239), 1.5381),
    ((6.7747, -0.2908, -2.4247), (5.8714, -0.0985, -2.2286), 0.6377),
    ((2.0776, 0.0795, -1.1350), (0.9033, -0.0636, -0.5514), 0.9082),
)
"""The test data of Sharma, Wu and Dalal 2005 (The CIEDE2000 Color-Difference Formula, Color
Research and Application 30:21-30, table 1): two colours in CIELAB and their difference."""


def linear(colour: str) -> Rgb:
    """`#rrggbb` as linear light, 0 to 1."""
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
    """CIELAB of linear light."""
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


def apart(one: Rgb, other: Rgb) -> float:
    """The colour difference CIEDE2000 of two colours in CIELAB."""
    (l1, a1, b1), (l2, a2, b2) = one, other
    mean = ((math.hypot(a1, b1) + math.hypot(a2, b2)) / 2) ** 7
    stretch = 1.5 - math.sqrt(mean / (mean + 25.0**7)) / 2
    c1, c2 = math.hypot(a1 * stretch, b1), math.hypot(a2 * stretch, b2)
    h1, h2 = (math.degrees(math.atan2(b, a * stretch)) % 360 for a, b in ((a1, b1), (a2, b2)))
    turn, middle = _between(h1, h2) if c1 * c2 else (0.0, h1 + h2)
    hue = 2 * math.sqrt(c1 * c2) * math.sin(math.radians(turn / 2))
    lightness, chroma = (l1 + l2) / 2, (c1 + c2) / 2
    cos = (
        (-0.17, middle - 30), (0.24, 2 * middle), (0.32, 3 * middle + 6), (-0.2, 4 * middle - 63)
    )  # fmt: skip
    t = 1 + sum(weight * math.cos(math.radians(angle)) for weight, angle in cos)
    sl = 1 + 0.015 * (lightness - 50) ** 2 / math.sqrt(20 + (lightness - 50) ** 2)
    sc, sh = 1 + 0.045 * chroma, 1 + 0.015 * chroma * t
    rotation = 60 * math.exp(-(((middle - 275) / 25) ** 2))
    rt = -2 * math.sqrt(chroma**7 / (chroma**7 + 25.0**7)) * math.sin(math.radians(rotation))
    dl, dc, dh = (l2 - l1) / sl, (c2 - c1) / sc, hue / sh
    return math.sqrt(dl**2 + dc**2 + dh**2 + rt * dc * dh)


def _between(one: float, other: float) -> tuple[float, float]:
    """The way from one hue to another and the hue halfway, in degrees (equations 10 and 14)."""
    turn, total = other - one, one + other
    if abs(turn) <= 180 + 1e-9:
        return turn, total / 2
    return turn - math.copysign(360, turn), (total + (360 if total < 360 else -360)) / 2
