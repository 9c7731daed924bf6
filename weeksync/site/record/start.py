"""The pages of the first evening, and of adding one thing later."""

from __future__ import annotations

from weeksync.lazy import dataclass
from weeksync.site.record.base import Link
from weeksync.site.record.form import FormField, FormGroup, ServedPage


@dataclass(frozen=True, slots=True)
class StartStep:
    """One step in the list of all."""

    href: str
    """Its page, from the root on."""
    text: str
    """What it is called."""
    state: str
    """`done`, `left out` or `open`."""
    here: bool
    """It is the page's own."""


@dataclass(frozen=True, slots=True)
class StartOffer:
    """Something that is offered to be taken over."""

    take: FormField
    """The tick that takes it."""
    fields: tuple[FormField, ...]
    """What there is to say about it; folded away until it is ticked."""


@dataclass(frozen=True, slots=True)
class StartRow:
    """Fields of one person, one area and the like."""

    legend: str
    """Who or what it is."""
    fields: tuple[FormField, ...]
    """In their order."""
    tint: str = ""
    """The tint of an area, as `moss`."""
    letter: str = ""
    """The letter of an area."""
    folded: bool = False
    """It opens when asked: nothing in it has to be said."""


@dataclass(frozen=True, slots=True)
class FoundCalendar:
    """One calendar behind an address that was tried out."""

    title: str
    """What it is called there."""
    count: str
    """How many entries it holds, in words."""
    coming: tuple[tuple[str, str], ...]
    """(when, title) of what comes next, at most three."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StartPage(ServedPage):
    """One step: what it is for, its fields, and where it leads."""

    steps: tuple[StartStep, ...]
    """All steps in their order."""
    step: str
    """The step's id, as `people`; "" on the first page."""
    lead: str
    """What the step is for."""
    notes: tuple[str, ...] = ()
    """What else there is to know, a paragraph each."""
    action: str = ""
    """Where the form is sent, from the root on; "" where there is none."""
    there: tuple[str, ...] = ()
    """What stands there already, a line each."""
    change: Link | None = None
    """Where that is changed."""
    groups: tuple[FormGroup, ...] = ()
    """Fields of their own."""
    rows: tuple[StartRow, ...] = ()
    """Fields that come again for each person, area and the like."""
    offers: tuple[StartOffer, ...] = ()
    """What can be taken over."""
    offers_heading: str = ""
    """What they are."""
    rows_heading: str = ""
    """What the rows are about; "" where the page's heading says it."""
    save: str = ""
    """What the button says that saves and goes on."""
    more: str = ""
    """What the button says that saves and shows more rows; "" for none."""
    leave: str = ""
    """What the button says that leaves the step out for now; "" for none."""
    secret: FormField | None = None
    """The field of a password: what stands in it is never sent back."""
    found: tuple[FoundCalendar, ...] = ()
    """What an address gave that was tried out."""
    blocks: tuple[tuple[str, str], ...] = ()
    """(what it is, text as it would be written or typed), word for word."""
    buttons: tuple[tuple[str, str], ...] = ()
    """(value of `do`, what it says) of buttons that do something at once."""
    pin: tuple[FormField, ...] = ()
    """The fields of a form of its own that gives somebody a PIN."""
    pin_save: str = ""
    """What the button of that form says."""
    go: tuple[Link, ...] = ()
    """Where one goes on to."""
