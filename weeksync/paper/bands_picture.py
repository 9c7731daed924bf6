"""A household's own picture as the band: cut to the spread, without what a camera wrote into it."""

from __future__ import annotations

import warnings
from base64 import b64encode
from functools import lru_cache
from io import BytesIO

from markupsafe import Markup

from weeksync.errors import UsageError
from weeksync.message import message
from weeksync.paper.bands_place import HEIGHT_MM, Stretch

DPI = 200
MOST_PIXELS = 100_000_000
"""A picture with more is refused before it is unpacked."""


def picture_svg(picture: bytes, stretch: Stretch) -> Markup:
    """The stretch of the picture as SVG; it is scaled to the spread's width and cut in height."""
    width = stretch.last - stretch.first
    data = b64encode(_part(picture, stretch)).decode("ascii")
    return Markup(  # noqa: S704 - numbers, and base64 of a picture made here
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.2f} {HEIGHT_MM:.2f}" '
        f'preserveAspectRatio="none"><image width="{width:.2f}" height="{HEIGHT_MM:.2f}" '
        f'preserveAspectRatio="none" href="data:image/png;base64,{data}"/></svg>'
    )


@lru_cache(maxsize=16)
def _part(picture: bytes, stretch: Stretch) -> bytes:
    """That part of the picture as PNG; only the pixels are kept, no place or camera."""
    from PIL import Image, ImageOps, UnidentifiedImageError

    size = (round(stretch.whole / 25.4 * DPI), round(HEIGHT_MM / 25.4 * DPI))
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(BytesIO(picture), formats=("PNG", "JPEG")) as opened:
                if opened.width * opened.height > MOST_PIXELS:
                    raise Image.DecompressionBombError(str(opened.size))
                upright = ImageOps.exif_transpose(opened).convert("RGBA")
    except (
        UnidentifiedImageError,
        Image.DecompressionBombError,
        Image.DecompressionBombWarning,
        OSError,
        SyntaxError,
    ) as error:
        raise UsageError(
            message(
                "band_picture cannot be read as a PNG or JPEG picture of at most {most} million "
                "pixels ({reason}); save it anew, or choose another band",
                most=MOST_PIXELS // 1_000_000,
                reason=str(error)[:80],
            )
        ) from error
    on_white = Image.new("RGBA", upright.size, "white")
    on_white.alpha_composite(upright)
    strip = ImageOps.fit(on_white.convert("RGB"), size)
    left, right = (round(at / stretch.whole * size[0]) for at in stretch[:2])
    to = BytesIO()
    strip.crop((left, 0, right, size[1])).save(to, "PNG")
    return to.getvalue()
