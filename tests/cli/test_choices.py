"""Letters to answer with, in whatever language the words are."""

from __future__ import annotations

import io

import pytest

from weeksync.cli.choices import Stopped, choose
from weeksync.cli.terminal import Terminal
from weeksync.language import Language
from weeksync.message import message

WORDS = ((message("[d]o it"), "do"), (message("d[r]op it"), "drop"), (message("[l]eave it"), ""))


def answered(monkeypatch: pytest.MonkeyPatch, typed: str, choices: object = WORDS) -> str:
    """What was chosen by these lines of input."""
    monkeypatch.setattr("sys.stdin", io.StringIO(typed))
    return choose(Terminal(out=io.StringIO()), choices)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("typed", "chosen"),
    [("d\n", "do"), ("R\n", "drop"), ("drop\n", "drop"), ("DO IT\n", "do"), ("\nx\nle\n", "")],
)
def test_a_letter_or_the_words(monkeypatch: pytest.MonkeyPatch, typed: str, chosen: str) -> None:
    """In whatever case; anything else asks again."""
    assert answered(monkeypatch, typed) == chosen


def test_input_that_ends_is_no_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nobody is there any more."""
    with pytest.raises(Stopped):
        answered(monkeypatch, "x\n")


@pytest.mark.parametrize("words", [("[t]un", "[t]eilen"), ("tun", "teilen"), ("[t]un", "teilen")])
def test_numbers_where_a_translation_has_no_letters_of_its_own(
    monkeypatch: pytest.MonkeyPatch, words: tuple[str, str]
) -> None:
    """Two alike, or none: nothing can be chosen that was not meant."""
    choices = tuple((message(text), text) for text in words)
    assert answered(monkeypatch, "t\n2\n", choices) == words[1]


def test_the_letters_of_every_catalogue_differ() -> None:
    """Each set of choices can be answered by letters in each language there is."""
    from weeksync.cli import choices, desk

    sets = [
        ("[d]o it", "[s]plit it", "[g]ive it a date", "d[r]op it", "[l]eave it", "s[t]op"),
        tuple(words.text for words, _ in desk.PARTS),
        ("[e]nd it, with all later times", "[b]ack"),
        ("[m]issed", "[n]ot recorded"),
        tuple(words.text for words, _ in choices.YES_OR_NO),
    ]
    for locale in ("en_GB", "de_DE"):
        language = Language(locale)
        for texts in sets:
            shown = [language.gettext(text) for text in texts]
            letters = [text[text.index("[") + 1] for text in shown]
            assert len(set(letters)) == len(letters), (locale, shown)
