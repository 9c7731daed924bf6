"""What the templates of printed sheets get: every text and drawing with its place already."""

from __future__ import annotations

from markupsafe import Markup

from weeksync.lazy import dataclass


@dataclass(frozen=True, slots=True)
class TextBlock:
    """A text at its place: one element of the page."""

    role: str
    """`h1`, `h2`, `h3`, `p` or `li`."""
    classes: str
    """Where it stands and how it looks, as classes of the style sheet."""
    strong: str
    """What stands in bold before the first line; "" for nothing."""
    lines: tuple[str, ...]
    """Its lines, each of which is kept together; what runs the other way is isolated in them."""


@dataclass(frozen=True, slots=True)
class ArtBlock:
    """A drawing at its place."""

    classes: str
    """Where it stands."""
    svg: Markup
    """The drawing."""
    alt: str
    """What it shows."""


@dataclass(frozen=True, slots=True)
class GroupBlock:
    """Blocks that belong together."""

    kind: str
    """`section` or `list`."""
    label: str
    """What it is, for who has the page read out; "" for nothing."""
    blocks: tuple[Block, ...]
    """What is in it."""


Block = TextBlock | ArtBlock | GroupBlock


@dataclass(frozen=True, slots=True)
class PageBlock:
    """One page."""

    id: str
    """Its anchor, as `p1`."""
    kind: str
    """Its kind, as `spread`."""
    title: str
    """Its bookmark."""
    classes: str
    """Which sheet it is for, and its drawing."""
    blocks: tuple[Block, ...]
    """Its text and its drawings, in the order in which they are read."""


@dataclass(frozen=True, slots=True)
class PlaceRule:
    """A place in millimetres, as a class of the style sheet."""

    name: str
    """The class."""
    x: str
    """From the left edge."""
    y: str
    """From the top edge."""
    w: str
    """Its width."""
    h: str
    """Its height."""


@dataclass(frozen=True, slots=True)
class TypeRule:
    """A look of text, as a class of the style sheet."""

    name: str
    """The class."""
    size_pt: str
    """The size of the type."""
    line_mm: str
    """The height of a line."""
    bold: bool
    """Whether it is bold."""
    align: str
    """`left`, `right` or `center`."""
    colour: str
    """Its grey."""
    struck: bool
    """Whether it is struck through."""


@dataclass(frozen=True, slots=True)
class SheetRule:
    """A size of paper, as a named page."""

    name: str
    """Its name, and its class."""
    w: str
    """Its width in millimetres."""
    h: str
    """Its height."""


@dataclass(frozen=True, slots=True)
class DrawingRule:
    """The drawing of a page, as the background of its class."""

    name: str
    """The class."""
    address: str
    """A data address (RFC 2397)."""


@dataclass(frozen=True, slots=True)
class FontRule:
    """A font."""

    family: str
    """Its name in the style sheet."""
    bold: bool
    """Whether it is the bold one."""
    address: str
    """A data address (RFC 2397)."""


@dataclass(frozen=True, slots=True)
class PaperStyle:
    """What the style sheet is made from (`paper/paper.css`)."""

    fonts: tuple[FontRule, ...]
    """The fonts that the text needs."""
    families: tuple[str, ...]
    """Their names, in the order in which they are asked."""
    sheets: tuple[SheetRule, ...]
    """The sizes of paper."""
    places: tuple[PlaceRule, ...]
    """Where texts and drawings stand."""
    types: tuple[TypeRule, ...]
    """How texts look."""
    drawings: tuple[DrawingRule, ...]
    """Lines, fills and boxes of the pages."""


@dataclass(frozen=True, slots=True)
class PaperRecord:
    """A printed document (`paper/document.html`)."""

    language: str
    """A BCP 47 tag."""
    direction: str
    """`ltr` or `rtl`."""
    title: str
    """Names nobody of the household."""
    style: Markup
    """The style sheet, as it was made from `PaperStyle`."""
    style_hash: str
    """Its SHA-256 in base64, for the page's own policy."""
    pages: tuple[PageBlock, ...]
    """The pages, in order."""
