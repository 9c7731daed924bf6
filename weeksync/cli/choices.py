"""Questions that are answered with one letter, and lines that are typed.

Each answer takes Enter: a slip can be mended before it counts, and a terminal that reads lines
aloud works as any other.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TypeVar

from weeksync.cli.terminal import Terminal
from weeksync.message import Message, message

T = TypeVar("T")

_LETTER = re.compile(r"\[(\w)\]")

YES_OR_NO = ((message("[y]es"), True), (message("[n]o"), False))


class Stopped(Exception):
    """Nobody answers any more: the input has ended."""


def choose(terminal: Terminal, choices: Sequence[tuple[Message, T]]) -> T:
    """What was chosen of `choices`, (words with the letter in brackets, what they stand for).

    The letter is the one that the words have in the terminal's language; where two of them share
    one, or one has none, numbers take their place. The words themselves or their beginning will
    do, too. Asked again until an answer is one of them.
    """
    texts = [terminal.language.text(words) for words, _ in choices]
    keys = [found[1].casefold() if (found := _LETTER.search(text)) else "" for text in texts]
    if "" in keys or len(set(keys)) < len(keys):
        keys = [str(number) for number in range(1, len(texts) + 1)]
        texts = [f"{key} {_plain(text)}" for key, text in zip(keys, texts, strict=True)]
    answers: dict[str, T] = dict(zip(keys, (what for _, what in choices), strict=True))
    while True:
        given = line(terminal, "  " + "  ".join(texts) + " > ").casefold()
        if given in answers:
            return answers[given]
        meant = [
            what
            for text, (_, what) in zip(texts, choices, strict=True)
            if given and _plain(text).casefold().startswith(given)
        ]
        if len(meant) == 1:
            return meant[0]
        terminal.say(message("  answer with one of {letters}", letters=", ".join(answers)))


def _plain(text: str) -> str:
    return _LETTER.sub(r"\1", text)


def line(terminal: Terminal, question: str) -> str:
    """What was typed; Stopped where the input has ended."""
    terminal.out.write(question)
    terminal.out.flush()
    try:
        return input().strip()
    except EOFError as error:
        terminal.out.write("\n")
        raise Stopped from error


def is_yes(terminal: Terminal, question: Message) -> bool:
    """Whether a question is answered with yes; an input that ends says no."""
    terminal.say(question)
    try:
        return choose(terminal, YES_OR_NO)
    except Stopped:
        return False
