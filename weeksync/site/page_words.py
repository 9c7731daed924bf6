"""The words that scripts put on a page, as the script `words.js`.

A script and no JSON: a page opened from a folder may not read a file beside it.
"""

from __future__ import annotations

import json
from collections.abc import Mapping

from weeksync.language import Language
from weeksync.message import Message, message

STATES: Mapping[str, Message] = {
    "marked": message("marked"),
    "missed": message("missed"),
    "not-recorded": message("not recorded"),
    "open": message("still to come"),
    "done": message("done"),
    "dropped": message("dropped"),
    "later": message("put off"),
    "kept": message("kept"),
}
"""The states of what can be marked, by the class that says them on a page."""

PAGE_WORDS: Mapping[str, Message] = {
    "held": message("only on this tablet"),
    "label": message(
        "{what}, {day}: {state}", what="\u2068{what}\u2069", day="{day}", state="{state}"
    ),
    "sent": message("Written down: {n}.", n="{n}"),
    "refused": message("Not taken"),
    "paired": message("Paired with home."),
    "noAnswer": message("Home does not answer; the marks wait here."),
    # What holds for the page as a whole.
    "from": message("These pages are from {time}.", time="{time}"),
    "cannot": message(
        "Here the page cannot be installed, nor kept for when the home computer does not answer: "
        "that takes weeksync serve with https."
    ),
    "clock": message("This clock is more than 10 minutes wrong."),
}
"""By the name scripts know it by; what stands in braces is filled in by them."""


def words_script(language: Language) -> bytes:
    """`const words = {…}` in the language, as UTF-8."""
    states = {name: language.text(sentence) for name, sentence in STATES.items()}
    said = {name: language.text(sentence) for name, sentence in PAGE_WORDS.items()}
    text = json.dumps({"states": states} | said, ensure_ascii=False, separators=(",", ":"))
    return f'"use strict";\nconst words = {text};\n'.encode()
