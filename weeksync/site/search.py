"""Looking for words of closed weeks: the page and the indexes a browser looks through by itself."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date

from weeksync.language.find_sentences import KINDS
from weeksync.message import message
from weeksync.model.week import IsoWeek
from weeksync.model.year import Text
from weeksync.site.frame import frame
from weeksync.site.inputs import SiteInput
from weeksync.site.record.search import SearchPage
from weeksync.site.review_links import index_name
from weeksync.site.words import Words

_SAID = (
    ("none", message("Nothing was found.")),
    ("one", message("1 found.")),
    ("many", message("{n} found.", n="{n}")),
    ("more", message("{n} more: say a word more.", n="{n}")),
    ("served", message("Look through notes and your own things, too")),
)

Texts = Sequence[tuple[IsoWeek, Sequence[Text]]]
"""(closed week, its texts) of a year, the last week first."""


def search_page(inputs: SiteInput, words: Words) -> SearchPage:
    """The page; it has an index for each year in which a week is closed."""
    texts = (*_SAID, *((kind.value, said) for kind, said in KINDS.items()))
    return SearchPage(
        **frame(inputs, words, "search", words.text(message("Search the closed weeks"))),
        indexes=tuple(map(index_name, sorted(inputs.texts, reverse=True))),
        texts=tuple((name, words.text(said)) for name, said in texts),
    )


def index_script(words: Words, year: int, texts: Texts) -> bytes:
    """The texts of a year as a script, since a page opened from a folder may read nothing else.

    `searched.push([weeks, texts])`: a week is (address or "", label); a text (kind, words, places),
    where a place is 8 times the number of the week, plus 1 to 7 for its day. Only what is on common
    pages is taken, whatever is handed in.
    """
    weeks, held = [], dict[tuple[str, str], dict[int, None]]()
    for number, (week, several) in enumerate(texts):
        start = words.rule.spread_start(week)
        weeks.append([words.week_href(week), f"{words.week_label(start)}, {year:04}"])
        for one in several:
            if one.common:
                place = 8 * number + _day(start, one.day)
                held.setdefault((one.kind.value, one.text), {})[place] = None
    lines = [[kind, text, list(places)] for (kind, text), places in held.items()]
    said = json.dumps([weeks, lines], ensure_ascii=False, separators=(",", ":"))
    # Inside of a script of its own nothing ends early; U+2028 is a letter there like any other.
    return f"(globalThis.searched ??= []).push({said});\n".encode()


def _day(start: date, day: date | None) -> int:
    by = (day - start).days if day is not None else -1
    return by + 1 if 0 <= by < 7 else 0
