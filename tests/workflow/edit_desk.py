"""A household and somebody who fills in its forms, without a server between."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from html import unescape
from pathlib import Path
from typing import Any

from tests.support.households import NOW
from weeksync.serve.desk import FormAnswer, FormPage, Sender
from weeksync.workflow import edit_forms
from weeksync.workflow.context import Context
from weeksync.workflow.edit_kinds import Kind
from weeksync.workflow.edit_saving import Place, place_for, shown
from weeksync.workflow.edit_words import EditWords
from weeksync.workflow.versions import digests

Fields = dict[str, tuple[str, ...]]


@dataclass
class FormDesk:
    """`person` has unlocked their own pages, None for nobody."""

    home: Path
    person: str | None = None

    @property
    def context(self) -> Context:
        """The household as it is now."""
        return Context.read(self.home, NOW)

    @property
    def words(self) -> EditWords:
        """The household as that person may know it."""
        return EditWords(self.context, self.person)

    def show(self, rest: str, **query: str) -> str | None:
        """The page, None where there is none."""
        answer = edit_forms.show(self.context, rest, query, Sender("", self.person))
        assert answer is None or isinstance(answer, FormPage)
        return answer.content.decode() if answer is not None else None

    def take(self, rest: str, fields: Fields) -> FormAnswer | None:
        """What becomes of what is sent."""
        return edit_forms.take(self.context, rest, fields, Sender("", self.person))

    def untouched(self, kind: Kind, key: str) -> Fields:
        """What a browser sends of a form that nobody has touched; "" for that of a new entry."""
        words = self.words
        place = place_for(words, kind, key)
        assert place is not None
        return self.sent(place, dict(shown(words, kind, place.record).fields))

    def sent(self, place: Place, fields: Fields) -> Fields:
        """The fields with those that are hidden."""
        seen = {name: (digest,) for name, digest in digests(self.context, [place.file]).items()}
        return {**fields, "id": (place.key,), **seen}

    def tree(self) -> dict[str, bytes]:
        """The bytes of the household's files."""
        return {path.name: path.read_bytes() for path in sorted(self.home.glob("*.toml"))}

    def read(self, file: str, title: str) -> dict[str, Any]:
        """The entry of that title, as the file has it."""
        data = tomllib.loads((self.home / file).read_text("utf-8"))
        found = [
            one
            for array in data.values()
            if isinstance(array, list)
            for one in array
            if title in one.values()
        ]
        assert len(found) == 1, found
        entry: dict[str, Any] = found[0]
        return entry


def mistakes(answer: FormAnswer | None) -> dict[str, str]:
    """Field → what stands beside it, of an answer 422."""
    assert isinstance(answer, FormPage)
    assert answer.status == 422
    found = re.findall(
        r'class="mistake" id="m-([^"]+)"><bdi>(.*?)</bdi>', answer.content.decode(), re.S
    )
    return {name: unescape(text) for name, text in found}


def summary(answer: FormAnswer | None) -> str:
    """What stands on top of an answer that says what was wrong."""
    assert isinstance(answer, FormPage)
    found = re.search(r'<section class="wrong".*?</section>', answer.content.decode(), re.S)
    assert found is not None
    return unescape(re.sub(r"<[^>]+>", " ", found[0]))
