"""Pages with forms, which are made when `weeksync serve` is asked for them.

They lie at addresses of their own (`/edit/…`, `/plan/…`, `/start/…`) and in no built site; what
they lead to and build on is named from the root on, as `/forms.css`.
"""

from __future__ import annotations

from weeksync.lazy import dataclass
from weeksync.site.record.base import Link


@dataclass(frozen=True, slots=True)
class Option:
    """One of several things that can be chosen."""

    value: str
    """What is sent."""
    text: str
    """What is read."""


@dataclass(frozen=True, slots=True)
class FormField:
    """One field with its label, what stands in it, and what is wrong with that."""

    kind: str
    """`text`, `long` (several lines), `number` (whole), `amount` (text with digits), `date`,
    `time`, `choice` (one of many, a list), `one` (one of a few, side by side), `several` (any of
    a few, side by side), `yes` (ticked or not) or `hidden`."""
    name: str
    """Its name in what is sent; unique in its form."""
    label: str
    """What it is called."""
    values: tuple[str, ...] = ()
    """What stands in it: one text, or several of `several`; for `yes` ("yes",) is ticked."""
    options: tuple[Option, ...] = ()
    """What `choice`, `one` and `several` choose from."""
    hint: str = ""
    """What else there is to know, below the label."""
    mistake: str = ""
    """What is wrong with what was sent, and the remedy."""
    stands: str = ""
    """What stands in the file now, where somebody has changed it meanwhile; in words."""
    required: bool = False
    """Something has to be given."""
    most: int = 0
    """The most characters, or the largest number; 0 for no bound."""
    least: int = 0
    """The smallest number."""
    unit: str = ""
    """What a number counts, behind the field."""
    narrow: bool = False
    """It needs little room: two of them stand side by side where there is room."""

    @property
    def value(self) -> str:
        """The first of `values`, or ""."""
        return self.values[0] if self.values else ""

    @property
    def told(self) -> str:
        """The ids of what stands beside it, for `aria-describedby`."""
        beside = (("h", self.hint), ("m", self.mistake), ("s", self.stands))
        return " ".join(f"{letter}-{self.name}" for letter, text in beside if text)


@dataclass(frozen=True, slots=True)
class FormGroup:
    """Fields that belong together."""

    heading: str
    """What they are about; "" for the first ones of a form."""
    fields: tuple[FormField, ...]
    """In their order."""
    folded: bool = False
    """It opens when asked: nothing in it has to be said."""
    opened: bool = False
    """It is folded and open: something is said in it."""


@dataclass(frozen=True, slots=True)
class MistakeLine:
    """A mistake, as it stands on top of the page."""

    field: str
    """The name of the field it leads to; "" where it is none's."""
    label: str
    """The label of that field, or ""."""
    text: str
    """What is wrong, and the remedy."""


@dataclass(frozen=True, slots=True)
class UndoLine:
    """The last thing that was written, and can be taken back."""

    token: str
    """What is sent to `/edit/undo`."""
    text: str
    """What it was."""
    next: str
    """The address to come back to."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FormFields:
    """What every page with a form says of what was sent last."""

    said: str = ""
    """What has become of it: one sentence, "" at first."""
    mistakes: tuple[MistakeLine, ...] = ()
    """What was wrong: nothing has been written then."""
    stale: tuple[str, ...] = ()
    """What has been changed meanwhile, a sentence each: nothing has been written then."""
    seen: tuple[tuple[str, str], ...] = ()
    """(name, digest) of the hidden fields that say from which files the form was made."""
    undo: UndoLine | None = None
    """What can be taken back."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ServedPage(FormFields):
    """What every page has that is made when it is asked for."""

    record: int
    """The version of this record."""
    kind: str
    """What page it is, as `edit`; the style sheet has a class `page-edit` for it."""
    language: str
    """BCP 47 tag for `lang`."""
    direction: str
    """`ltr` or `rtl` for `dir`."""
    locale: str
    """BCP 47 tag for `Intl` in scripts."""
    zone: str
    """The household's time zone."""
    key: str
    """Twelve hexadecimal digits that stand for the household."""
    household: str
    """The household's name."""
    title: str
    """The title of the page, for the window and for bookmarks."""
    heading: str
    """The heading of the page."""
    links: tuple[Link, ...]
    """Where it leads, from the root on."""
    texts: tuple[tuple[str, str], ...]
    """(name, sentence) of what the script says."""


@dataclass(frozen=True, slots=True)
class EntryLine:
    """One entry in a list of those that can be changed."""

    href: str
    """Its form."""
    title: str
    """What it is called."""
    note: str
    """Whose it is, when, and how it stands; "" for nothing."""
    ended: bool
    """It is done, dropped or has ended."""


@dataclass(frozen=True, slots=True)
class EntryList:
    """The entries of one kind."""

    id: str
    """As `tasks`; it is the anchor of the list."""
    heading: str
    """What kind they are."""
    add: Link
    """A form for a new one."""
    entries: tuple[EntryLine, ...]
    """Those that can be changed, in the order of their file."""
    ended: tuple[EntryLine, ...]
    """Those that are over."""
    empty: str
    """What is said where there are none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EditListPage(ServedPage):
    """What stands in the household's files, to be changed: one kind of entries, or all."""

    lists: tuple[EntryList, ...]
    """The kinds in the order in which they are listed."""
    all: Link | None
    """The page of all kinds; None on that page itself."""
    unlock: Link | None = None
    """Where the person unlocks their own pages first: amounts, and what is only for them."""


@dataclass(frozen=True, slots=True)
class FormButton:
    """A button that sends the form."""

    value: str
    """The value of `do` that is sent; "" for saving."""
    text: str
    """What it says."""
    hint: str = ""
    """What becomes of the entry and of its history."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EditPage(ServedPage):
    """The form of one entry."""

    action: str
    """Where the form is sent, from the root on."""
    id: str
    """What the entry is known by; "" for a new one."""
    groups: tuple[FormGroup, ...]
    """Its fields."""
    save: str
    """What the button says that saves."""
    others: tuple[FormButton, ...]
    """What else can be done with it, below the form."""
    back: Link
    """The list it stands in."""
    notes: tuple[str, ...]
    """What cannot be done with it, and why."""
    unlock: Link | None = None
    """Where the person unlocks their own pages first: amounts, and what is only for them."""
