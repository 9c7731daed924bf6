"""The audit: is anything of what the household holds in what is about to be shared?

It knows nothing of how the page was made. It takes every text of the outputs, visible or not, and
every string of the household's files and calendars, and looks for the strings in the texts, whole
and word by word. Two things excuse a hit: the page says that word by itself, or a rule let exactly
that string through. Neither excuses a name of the household, an e-mail address or a telephone
number; where the page's own words have a name (a child called May, on a page with months), the
person decides once.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator

from weeksync.lazy import dataclass
from weeksync.redact.folding import Phrases, folded, is_unspaced, runs, written_small
from weeksync.redact.held import Held, HeldKind, each_once

LEAST_LETTERS = 4
"""Shorter words are looked for only where they are a whole name, place or number."""

_LONG_NAME = 5
"""From this length on a name is found inside other words, too, as in compounds."""

_LAST_DIGITS = 7
"""Telephone numbers are compared by their last digits: country and area codes are left away."""

_MANY_DIGITS = 5
"""A sum of so many digits stops; a shorter one may be a time or a number of the page's own."""

_NUMBERS = re.compile(r"\d+(?:[.,'\u2019\u00a0\u202f\u066b\u066c ]\d+)*")
_LONG_NUMBERS = re.compile(r"\d(?:[\s()./\u2010-\u2013-]{0,3}\d)+")
_CURRENCY = r"(?:[\$\u00a2-\u00a5\u20a0-\u20bf]|\b[A-Z]{3}\b)"


@dataclass(frozen=True, slots=True)
class Piece:
    """A text of an output: `spot` says where in `file` it stands."""

    file: str
    spot: str
    text: str
    seen: bool = True
    """Readers see or hear it; style sheets, metadata and names of files are found all the same."""


@dataclass(frozen=True, slots=True)
class Hit:
    """A string of the household that was found in an output."""

    piece: Piece
    held: Held
    word: str
    """What was found, folded; it is what a decision is remembered by."""
    stops: bool
    """It is a name, a place, an address or a number; else a word to be decided about once."""


def audit(
    pieces: Collection[Piece],
    held: Iterable[Held],
    *,
    own: Collection[Piece],
    let_through: Collection[str],
    decided: Collection[str] = (),
) -> tuple[Hit, ...]:
    """Every hit, each word once, those that stop first.

    `own` are the texts of the same outputs with nothing in them, `let_through` the strings that
    rules let through, `decided` the words that the person has decided about. What is not seen and
    is the same with nothing in it, as the words of a style sheet, is nobody's.
    """
    strings = tuple((one, runs(one.text)) for one in each_once(held))
    # What people write with a small letter in the midst of things is a word and no name.
    small = {
        word for one, _ in strings if one.kind is HeldKind.WORDS for word in written_small(one.text)
    }
    known = {"".join(runs(one)) for one in decided}
    found: dict[str, Hit] = {}
    for hit in (
        hit
        for seen in (True, False)
        for hit in _Search(
            tuple(piece for piece in pieces if piece.seen is seen),
            [piece.text for piece in own if piece.seen or not seen],
            list(let_through),
            small,
            seen=seen,
        ).hits(strings)
    ):
        if not hit.stops and hit.word in known:
            continue
        before = found.get(hit.word)
        if before is None or (hit.stops and not before.stops):
            found[hit.word] = hit
    return tuple(sorted(found.values(), key=lambda one: (not one.stops, one.word)))


class _Search:
    """One run over the strings; the texts are taken apart once."""

    def __init__(
        self,
        pieces: tuple[Piece, ...],
        own: list[str],
        let_through: list[str],
        small: set[str],
        *,
        seen: bool,
    ) -> None:
        self.own, self.let = Phrases.of(own), Phrases.of(let_through)
        says = set() if seen else set(own)
        self.pieces = tuple(piece for piece in pieces if piece.text not in says)
        self.out = Phrases.of([piece.text for piece in self.pieces])
        if not seen:
            for phrase in self.own.found:
                self.out.found.pop(phrase, None)
        self.exactly = {"".join(runs(one)) for one in let_through}
        self.small = small

    def hits(self, strings: Iterable[tuple[Held, tuple[str, ...]]]) -> Iterator[Hit]:
        for one, parts in strings:
            if one.kind is HeldKind.PHONE:
                yield from self._phone(one)
            elif one.kind is HeldKind.AMOUNT:
                yield from self._amount(one)
            elif parts:
                yield from self._text(one, parts)

    def _text(self, held: Held, parts: tuple[str, ...]) -> Iterator[Hit]:
        whole = "".join(parts)
        place = self._place_of(whole, len(parts), held.kind)
        if place is not None and (stops := self._weighed(held, whole, parts)) is not None:
            yield Hit(self.pieces[place], held, whole, stops)
        elif place is None and held.kind is HeldKind.PERSON and not is_unspaced(whole):
            yield from self._within(held, whole)
        if held.kind in {HeldKind.EMAIL, HeldKind.CODE}:
            return
        for at, word in enumerate(parts if len(parts) > 1 else ()):
            if len(word) < LEAST_LETTERS or word.isdigit() or is_unspaced(word):
                continue
            place = self._place_of(word, 1, held.kind)
            if place is not None and (stops := self._weighed_word(held, word, at)) is not None:
                yield Hit(self.pieces[place], held, word, stops)
            elif place is None and held.kind is HeldKind.PERSON:
                yield from self._within(held, word)

    def _place_of(self, phrase: str, count: int, kind: HeldKind) -> int | None:
        """Where the outputs have it: the place of the text, None where they do not."""
        if is_unspaced(phrase):
            return self.out.inside(phrase) if len(phrase) > 1 else None
        short = len(phrase) < LEAST_LETTERS
        if short and not phrase.isdigit() and kind in {HeldKind.WORDS, HeldKind.CODE}:
            return None
        if phrase.isdigit() and kind is HeldKind.CODE:
            return None
        for form in _forms(phrase, kind):
            found = self.out.found.get(form)
            if found is None:
                continue
            # A short word put together of pieces of others is chance: "d ov" is no Dov. Letters
            # that stand alone are none: "D o v" is spaced out.
            spaced = found[1] == len(form) > 2 and kind is HeldKind.PERSON
            if len(form) > LEAST_LETTERS or found[1] <= count or spaced:
                return found[0]
        return None

    def _within(self, held: Held, name: str) -> Iterator[Hit]:
        """A name of the household within a longer word, as in a compound: to be decided about."""
        for form in _forms(name, HeldKind.PERSON):
            place = self.out.inside(form) if len(form) >= _LONG_NAME else None
            if place is not None and self.own.inside(form) is None:
                yield Hit(self.pieces[place], held, form, stops=False)
                return

    def _has_own(self, phrase: str, kind: HeldKind) -> bool:
        return any(form in self.own for form in _forms(phrase, kind)) or (
            is_unspaced(phrase) and self.own.inside(phrase) is not None
        )

    def _weighed(self, held: Held, whole: str, parts: tuple[str, ...]) -> bool | None:
        """Whether a whole string that was found stops; None where it is excused."""
        own = self._has_own(whole, held.kind)
        if held.kind is HeldKind.PERSON:
            return not own
        if held.kind is HeldKind.EMAIL:
            return True
        if whole in self.exactly:
            return None
        if held.kind in {HeldKind.NAME, HeldKind.PLACE}:
            return not own and not (len(parts) == 1 and whole in self.small)
        if held.kind is HeldKind.CODE:
            long = any(part.isdigit() for part in parts) or len(parts) > 2
            return None if own or whole in self.let else long
        return None if own or whole in self.let else len(parts) > 1

    def _weighed_word(self, held: Held, word: str, at: int) -> bool | None:
        """The same of one word of a string."""
        own, small = self._has_own(word, held.kind), word in self.small
        if held.kind is HeldKind.PERSON:
            return not own and not (small and held.where.startswith("config.toml: household"))
        if own:
            return None
        if held.kind in {HeldKind.NAME, HeldKind.PLACE}:
            if not _is_proper(held.text, at):
                return None if word in self.let else False
            return not small
        return None if word in self.let else False

    def _phone(self, held: Held) -> Iterator[Hit]:
        digits = "".join(re.findall(r"\d", folded(held.text)))[-_LAST_DIGITS:]
        if len(digits) < _LAST_DIGITS:
            return
        for piece in self.pieces:
            for number in _LONG_NUMBERS.findall(folded(piece.text)):
                if digits in re.sub(r"\D", "", number):
                    yield Hit(piece, held, digits, stops=True)
                    return

    def _amount(self, held: Held) -> Iterator[Hit]:
        """A sum with its fraction, and without one where that is nought."""
        minor = held.text.lstrip("0")
        if not minor:
            return
        forms = {minor, minor.zfill(3)}
        whole = minor[:-2] if minor.endswith("00") and len(minor) > 2 else ""
        for piece in self.pieces:
            text = folded(piece.text)
            for number in _NUMBERS.finditer(text):
                digits = re.sub(r"\D", "", number[0])
                bare = digits == whole and (len(whole) > 2 or _is_money(piece.text, number[0]))
                if bare or (digits in forms and len(digits) > 2):
                    yield Hit(piece, held, digits, stops=len(digits) >= _MANY_DIGITS)
                    return


def _forms(phrase: str, kind: HeldKind) -> tuple[str, ...]:
    """The phrase, and for a name the plural or possessive of it, or what that is made from."""
    if kind not in {HeldKind.PERSON, HeldKind.NAME, HeldKind.PLACE}:
        return (phrase,)
    one = phrase[:-1] if phrase.endswith("s") and len(phrase) > LEAST_LETTERS else phrase
    return tuple(dict.fromkeys((phrase, f"{phrase}s", one)))


def _is_proper(text: str, at: int) -> bool:
    """Whether a word of a name or place is written like a name.

    In "Market office" neither word is; in "Lantern Steps, the back gate" the first two are.
    """
    words = re.findall(r"[^\W\d_]+|\d+", text)
    if at >= len(words):
        return True
    word = words[at]
    if word.islower():
        return False
    after = words[at + 1] if at + 1 < len(words) else ""
    return at > 0 or not after or not after.islower()


def _is_money(text: str, number: str) -> bool:
    """Whether a currency stands beside the number."""
    plain = re.escape(number)
    return bool(re.search(rf"{_CURRENCY}\s?{plain}(?!\d)|(?<!\d){plain}\s?{_CURRENCY}", text))
