"""Pages with forms: what all of them have, and their templates over their records."""

from __future__ import annotations

from pathlib import Path
from typing import TypedDict

from weeksync.language import Language
from weeksync.message import Message, message
from weeksync.model.config import Config
from weeksync.site.frame import household_key
from weeksync.site.lasting import lasting_renderer
from weeksync.site.record import VERSION, Link, ServedPage

LINKS: tuple[tuple[str, Message], ...] = (
    ("/", message("Common pages")),
    ("/plan/", message("Plan the week")),
    ("/edit/", message("Add or change")),
    ("/start/", message("The household")),
)
"""Where pages with forms lead."""

_SAID: dict[str, Message] = {
    "sending": message("Saving…"),
    "away": message(
        "Home does not answer. What you typed is kept on this device: send it again in a moment."
    ),
    "unsent": message("Home does not answer. Nothing was saved: press it again in a moment."),
    "restored": message("What you had typed and not saved stands in the form again."),
    "forget": message("Put back what is saved"),
    "locked": message("This device has to sign in again, or your pages are locked. What you typed "
                      "is kept on this device."),
    "refused": message("That was not taken. What you typed still stands here."),
}  # fmt: skip


class ServedFrame(TypedDict):
    """The fields of `record.ServedPage` without those of `FormFields`."""

    record: int
    kind: str
    language: str
    direction: str
    locale: str
    zone: str
    key: str
    household: str
    title: str
    heading: str
    links: tuple[Link, ...]
    texts: tuple[tuple[str, str], ...]


def served_frame(
    config: Config, language: Language, kind: str, heading: str, title: str = ""
) -> ServedFrame:
    """The common fields of a page with forms; `title` where the window says more."""
    return ServedFrame(
        record=VERSION,
        kind=kind,
        language=language.tag,
        direction=language.direction,
        locale=language.script_tag,
        zone=config.household.time_zone,
        key=household_key(config),
        household=config.household.name,
        title=title or heading,
        heading=heading,
        links=tuple(Link(href, language.text(text)) for href, text in LINKS),
        texts=tuple((name, language.text(text)) for name, text in _SAID.items()),
    )


def render_served(
    language: Language, template: str, page: ServedPage, own: Path | None = None
) -> bytes:
    """The template over the record; `own` is the user's folder of templates or None.

    TemplateError where a template is missing or broken.
    """
    return lasting_renderer(language, own).render(template, page)
