"""What every page has, and the marks and links that many lines carry."""

from __future__ import annotations

from weeksync.lazy import dataclass

VERSION = 1
"""The version of these records, in `page.record`."""


@dataclass(frozen=True, slots=True)
class Link:
    """A link to another page of the same site."""

    href: str
    """Relative address, as `2027-W13.html`."""
    text: str
    """What the link says."""


@dataclass(frozen=True, slots=True)
class Stamp:
    """A date or an instant, for an HTML `time` element."""

    iso: str
    """For machines: `2027-03-22`, or `2027-03-22T05:00:00+00:00`."""
    text: str
    """For people."""


@dataclass(frozen=True, slots=True)
class AreaMark:
    """An area of life, as it is marked beside a line."""

    id: str
    """The area's id in `config.toml`."""
    name: str
    """Its name."""
    letter: str
    """Its letter: the cue that colour never stands without."""
    colour: str
    """The name of its tint, as `moss`; the style sheet has a class `tint-moss` for it."""


@dataclass(frozen=True, slots=True)
class PersonMark:
    """A person, as they are marked beside a line."""

    id: str
    """The person's id in `config.toml`."""
    name: str
    """Their name."""
    letter: str
    """The letter or letters that stand for them."""


@dataclass(frozen=True, slots=True)
class SourceLine:
    """How a source stands."""

    id: str
    """The source's id in `config.toml`."""
    name: str
    """Its name."""
    stale: bool
    """The last try failed or was held back: what is shown is the last good copy."""
    last_good: Stamp | None
    """When the shown copy was taken; None where there never was one."""
    text: str
    """How it stands, as one sentence."""
    reasons: tuple[str, ...]
    """Why it is stale."""
    holds: str = ""
    """On the page of problems: how many objects of it are stored, from what kind of place."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """What every page has."""

    record: int
    """The version of this record."""
    kind: str
    """`week`, `month`, `index`, `problems`, `absent`, `review`, `cautions`, `year`, `search`,
    `own-week`, `own-index`, `own-absent`, `own-review`, `own-cautions` or `own-year`."""
    language: str
    """BCP 47 tag for `lang`: that of the words, `en` where nobody has translated them."""
    direction: str
    """`ltr` or `rtl` for `dir`: that of the words."""
    locale: str
    """BCP 47 tag for `Intl` in scripts, as `ar-EG-u-ca-gregory-hc-h12-nu-arab`: calendar, clock
    and digits of the dates, times and numbers on the page."""
    numbers: str
    """Their numbering system by CLDR, as `latn` or `arab`; what machines read is ASCII."""
    zone: str
    """The household's time zone: the script finds out by it which day is today."""
    key: str
    """Twelve hexadecimal digits that stand for the household, made from its name, its zone and
    the ids of its persons: what a browser keeps for one household is not another one's."""
    tree: str
    """`site`, or `own` for pages of one's own."""
    connect: str
    """Where scripts may send to, as the policy of the page writes it: the page's own origin and
    the addresses at which the household serves its pages."""
    household: str
    """The household's name."""
    title: str
    """The title of the page, for the window and for bookmarks."""
    heading: str
    """The heading of the page."""
    home: Link
    """The start page."""
    problems: Link | None
    """The page of problems; None in pages of one's own."""
    cautions: Link | None
    """Whom to turn to; None on that page itself."""
    stale: tuple[SourceLine, ...]
    """Sources whose last try failed; to be said at the top."""
    sources: tuple[SourceLine, ...]
    """All sources. On week and month pages `last_good` is None where the source is not stale:
    the time moves with every pull, and the script reads it from `status.js`."""
    tzdata: str
    """The release of the time-zone data, as `2026f`."""
    version: str
    """The version of weeksync."""
    closed: str = ""
    """On pages of a closed week: when it was closed, and what becomes of a mark; else ""."""
