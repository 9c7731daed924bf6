"""Small household folders for tests, written as a person would write them."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

NOW = datetime(2027, 3, 24, 6, 40, tzinfo=UTC)
"""A Wednesday morning in 2027-W12."""

CONFIG = """\
format = 1

[household]
name = "Test household"
time_zone = "Europe/London"
locale = "en_GB"
region = "GB-ENG"

[[people]]
id = "ann"
name = "Ann"

[[people]]
id = "bo"
name = "Bo"

[[areas]]
id = "home"
name = "Home"
colour = "moss"
letter = "H"

[site]
weeks_back = 1
weeks_ahead = 2
"""


def event(uid: str, start: str, title: str, *more: str) -> str:
    """A VEVENT of an hour, London time; `start` as 20270323T113000."""
    return "\r\n".join(
        [
            "BEGIN:VEVENT",
            f"UID:{uid}",
            "DTSTAMP:20270101T000000Z",
            f"DTSTART;TZID=Europe/London:{start}",
            "DURATION:PT1H",
            f"SUMMARY:{title}",
            *more,
            "END:VEVENT",
            "",
        ]
    )


def calendar(*components: str) -> str:
    """A VCALENDAR around components."""
    body = "".join(components)
    return f"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//test//EN\r\n{body}END:VCALENDAR\r\n"


def write_household(folder: Path, config: str = "", **files: str) -> Path:
    """A household of Ann and Bo; `config` is added to theirs, `files` are `name_toml=text`."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "config.toml").write_text(CONFIG + config, "utf-8")
    for name, text in files.items():
        (folder / name.replace("_", ".")).write_text(text, "utf-8")
    return folder


def with_calendar(folder: Path, *components: str, ident: str = "family") -> Path:
    """A household with one calendar file, `family.ics`, which holds the components."""
    write_household(
        folder, f'\n[[calendars]]\nid = "{ident}"\npath = "{ident}.ics"\nperson = "ann"\n'
    )
    (folder / f"{ident}.ics").write_text(calendar(*components), "utf-8", newline="")
    return folder
