"""A small household for `serve`: a real folder with a site, marks that are appended to a file.

`python -m tests.serve.standin FOLDER OPTIONS` serves it in a process of its own; OPTIONS is JSON
with `options` and `limits`, the fields of `Options` and `Limits`. The first line it prints is the
address it answers at.
"""

from __future__ import annotations

import hashlib
import json
import os
import sys
from collections.abc import Callable, Mapping
from pathlib import Path

from weeksync.errors import HouseholdError, UsageError
from weeksync.language import Language
from weeksync.message import Message, message
from weeksync.serve import (
    Access,
    FormAnswer,
    FormPage,
    GoTo,
    Held,
    Limits,
    Options,
    OwnPage,
    Refused,
    Saved,
    Sender,
    Taken,
    Unlock,
    run,
)
from weeksync.site.access import access_page

SECRET = "ines owes 1234 to the dentist"
"""What no answer may hold that is not for Ines."""

POLICY = (
    "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; "
    "connect-src 'self'; base-uri 'none'; form-action 'none'"
)
PAGE = (
    '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
    f'<meta http-equiv="Content-Security-Policy" content="{POLICY}">\n'
    "<title>Week 12</title>\n</head>\n<body><h1>Week 12</h1></body>\n</html>\n"
)
IDS = {"water": "", "piano": "", "diary": "ines"}
"""id → whom it is only for."""


def make_household(folder: Path) -> None:
    """A site of one generation behind its link, and secrets around it."""
    site = folder / "output" / ".generations" / "1" / "site"
    (site / "sub").mkdir(parents=True)
    (folder / "output" / "site").symlink_to(".generations/1/site")
    files = {
        "index.html": PAGE.replace("Week 12", "All weeks"),
        "2027-W12.html": PAGE,
        "style.css": "h1 { color: black }\n",
        "page.js": '"use strict";\n',
        "status.js": '"use strict";\nconst lastGood = {"school": "2027-03-24T05:00:00+00:00"};\n',
        "service-worker.js": '"use strict";\n',
        "icon.svg": '<svg xmlns="http://www.w3.org/2000/svg"/>\n',
        "manifest.webmanifest": "{}\n",
        "unknown.xyz": "?\n",
        ".hidden": SECRET,
        "sub/page.html": PAGE,
    }
    for name, text in files.items():
        (site / name).write_text(text)
    (site / "out.html").symlink_to(folder / "secret.txt")
    (site / "outside").symlink_to(folder)
    os.mkfifo(site / "pipe.html")
    (folder / "secret.txt").write_text(SECRET)
    (folder / "output" / "secret.html").write_text(SECRET)
    (folder / "marks").mkdir()


class SmallDesk:
    """Implements `weeksync.serve.Desk` with real files, and shortcuts where the rules are."""

    household_key = "a1b2c3d4e5f6"
    people: Mapping[str, str] = {"ines": "Ines", "dov": "Dov"}
    language = ("en-GB", "ltr")

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.site_folder = folder / "output" / "site"
        self._language = Language("en_GB")
        self._tell: Callable[[tuple[str, ...]], None] = lambda pages: None

    def text(self, sentence: Message) -> str:
        """In English."""
        return self._language.text(sentence)

    def render(self, template: str, values: Mapping[str, object]) -> bytes:
        """The real templates."""
        return access_page(self._language, template, values)

    def take(self, lines: bytes, persons: frozenset[str], device: str) -> Taken:
        """Append each new line to `marks/taken.jsonl`."""
        path = self.folder / "marks" / "taken.jsonl"
        known = set(path.read_bytes().splitlines()) if path.is_file() else set()
        new, before, refused = [], 0, []
        for place, line in enumerate(lines.splitlines()):
            try:
                mark = json.loads(line)
                only_for = IDS.get(mark["id"])
            except (ValueError, TypeError, KeyError) as error:
                raise UsageError(message("The body is no marks.")) from error
            if only_for is None or (only_for and only_for not in persons):
                refused.append(Refused(place, message("There is no {id}.", id=str(mark["id"]))))
            elif line in known:
                before += 1
            else:
                known.add(line)
                new.append(line + b"\n")
        try:
            with path.open("ab") as file:
                file.write(b"".join(new))
        except OSError as error:
            raise HouseholdError(
                message("marks could not be written ({reason})", reason=str(error.strerror))
            ) from error
        pages = ("2027-W12.html",) if new else ()
        self._tell(pages)
        return Taken(len(new), before, tuple(refused), pages)

    def check_in(self, person: str, fields: Mapping[str, object], seen: str) -> Saved | Held:
        """One file a day."""
        day = fields.get("day")
        if not isinstance(day, str) or len(day) != 10:
            raise UsageError(message("That is no day."))
        path = self.folder / f"check-in-{person}-{day}.json"
        stands = path.read_bytes() if path.is_file() else b""
        digest = hashlib.sha256(stands).hexdigest() if stands else ""
        if digest != seen:
            held = json.loads(stands) if stands else {}
            return Held(message("It has changed meanwhile."), {**held, "seen": digest})
        path.write_text(json.dumps(dict(fields)))
        return Saved(hashlib.sha256(path.read_bytes()).hexdigest())

    def own_page(self, person: str, path: str, query: Mapping[str, str]) -> OwnPage | None:
        """Three pages, and one that fails with private words."""
        if path == "fault.html":
            raise RuntimeError(SECRET)
        if path not in {"index.html", "2027-W12.html", "check-in.html"}:
            return None
        word = f"{self.people[person]}: {SECRET} {query.get('day', '')}"
        return OwnPage(PAGE.replace("Week 12", word).encode())

    def feed(self, person: str) -> bytes | None:
        """One line, with whose it is."""
        return f"BEGIN:VCALENDAR {person}".encode() if person in self.people else None

    def form(self, path: str, query: Mapping[str, str], sender: Sender) -> FormAnswer | None:
        """One form, one that is only for somebody, one that leads on and one that cannot be."""
        if path == "edit/own":
            return FormPage(PAGE.encode()) if sender.person else Unlock()
        if path == "edit/on":
            return GoTo("/plan/2027-W12#monday")
        if path == "edit/wrong":
            raise UsageError(message("That is no day."))
        if path not in {"edit/", "plan/2027-W12"}:
            return None
        said = f"{path} {sorted(query.items())} {sender.device} {sender.person}"
        return FormPage(PAGE.replace("Week 12", said).encode())

    def submit(
        self, path: str, fields: Mapping[str, tuple[str, ...]], sender: Sender
    ) -> FormAnswer | None:
        """Append what was sent to `forms.jsonl`; say 422 where there is no title."""
        if path == "edit/own" and not sender.person:
            return Unlock()
        if path not in {"edit/", "edit/own"}:
            return None
        if fields.get("title") == ("full",):
            raise HouseholdError(message("tasks.toml could not be written (disk full)"))
        if not any(fields.get("title", ())):
            return FormPage(PAGE.replace("Week 12", "A title is missing").encode(), 422)
        with (self.folder / "forms.jsonl").open("a") as file:
            file.write(json.dumps([path, fields, sender.device, sender.person]) + "\n")
        return GoTo("/edit/")

    def on_built(self, tell: Callable[[tuple[str, ...]], None]) -> None:
        """Told with each mark."""
        self._tell = tell


def main() -> None:
    """Serve until a signal comes."""
    folder, given = Path(sys.argv[1]), json.loads(sys.argv[2])
    for name in ("certificate", "certificate_key", "tls_folder"):
        if given["options"].get(name):
            given["options"][name] = Path(given["options"][name])
    options, limits = Options(**given["options"]), Limits(**given["limits"])
    access = Access(folder / "state" / "access.json")
    run(SmallDesk(folder), access, options, limits=limits, ready=lambda at: print(at, flush=True))
    print("ended", flush=True)


if __name__ == "__main__":
    main()
