"""`Language`: everything a page or a terminal says, in the words and forms of one locale."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable
from functools import cached_property, lru_cache, reduce
from typing import TYPE_CHECKING, Literal

from weeksync.language import bidi, catalogues, forms, known
from weeksync.language.forms import written
from weeksync.language.numbering import numbering
from weeksync.message import Message, Value, filled, message

if TYPE_CHECKING:
    from babel import Locale

DateForm = Literal["full", "long", "medium", "short", "day month", "weekday day month", "month"]
"""How a date is written, with en_GB's answer for 22 March 2027: `full` Monday 22 March 2027,
`long` 22 March 2027, `medium` 22 Mar 2027, `short` 22/03/2027, `day month` 22 March,
`weekday day month` Mon 22 Mar, `month` March 2027."""

Width = Literal["wide", "abbreviated", "narrow"]
"""How long a name is: Monday, Mon, M."""

_KEPT = 4096
"""How many dates, times and sentences a language remembers: pages say the same again and again."""

_ISO_DATE = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_ISO_LENGTH = len("2027-03-22")


class Language:
    """The words and forms of one locale, a name of CLDR such as `en_GB` or `de-AT`.

    HouseholdError where there is no such locale. A sentence without a translation is shown in
    English, the language of the source; dates, times, numbers and money follow the locale all
    the same, in the digits that CLDR has as its default.
    """

    def __init__(self, locale: str) -> None:
        self._forms = known.forms_of(locale)
        self.name: str = self._forms.locale
        self._translations = catalogues.translations(self.name)
        self._numbering = numbering(self._forms.numbers)
        remember = lru_cache(_KEPT)
        self._plain = remember(self._plain_text)
        self._pattern = remember(self._pattern_of)
        self._date_of = remember(self._date_text)
        self._time_of = remember(self._time_text)

    @cached_property
    def locale(self) -> Locale:
        """All that CLDR says of the locale; Babel is read for it, which takes a while."""
        from weeksync.language.cldr import locale_of

        return locale_of(self.name)

    @cached_property
    def tag(self) -> str:
        """The language of the words as BCP 47 writes it, as de-AT: the value of an HTML `lang`.

        That is the locale's tag where there is a catalogue for it, else "en": a page of English
        words whose dates are Persian is an English page.
        """
        own = self._forms.language == "en" or catalogues.nearest(self.name)
        return self.locale_tag if own else "en"

    @cached_property
    def locale_tag(self) -> str:
        """The locale itself as BCP 47 writes it: that of dates, times, numbers and money."""
        return self.name.replace("_", "-")

    @property
    def numbers(self) -> str:
        """The numbering system of CLDR whose digits are written, as latn or arab."""
        return self._numbering.name

    @property
    def script_tag(self) -> str:
        """The locale for `Intl` in scripts, with calendar, clock and digits of the page.

        The extension `u` of BCP 47 (RFC 6067): Intl would count Persian or Buddhist years, and
        gives es_AR 12 hours although its patterns have 24.
        """
        clock = "h12" if self.twelve_hours else "h23"
        return f"{self.locale_tag}-u-ca-gregory-hc-{clock}-nu-{self.numbers}"

    @cached_property
    def direction(self) -> bidi.Direction:
        """How the script of the words runs: the value of an HTML `dir`."""
        words = self.tag == self.locale_tag and self._forms.direction == "rtl"
        return "rtl" if words else "ltr"

    @property
    def twelve_hours(self) -> bool:
        """Whether times are written with am and pm."""
        return self._forms.twelve_hours

    def about_words(self) -> Message | None:
        """What is to be known of the words: that there are none, or that nobody has read them."""
        if self.tag != self.locale_tag:
            return message(
                "The words are English: nobody has translated them into {language} yet; dates, "
                "times and numbers are as in {locale}.",
                language=self.locale.get_language_name("en") or self.locale_tag,
                locale=self.locale_tag,
            )
        if self._forms.language != "en" and catalogues.unread(self.name):
            return message(
                "The words in {language} are not yet read by a native speaker.",
                language=self.locale.get_language_name() or self.locale_tag,
            )
        return None

    # Sentences

    def gettext(self, text: str) -> str:
        """That sentence of the catalogue in this language, places still empty."""
        return self._translations.gettext(text) if text else ""

    def ngettext(self, singular: str, plural: str, count: int) -> str:
        """The form of the sentence for `count` in this language, places still empty."""
        return self._translations.ngettext(singular, plural, count)

    def text(self, sentence: Message, *, dates: bool = False) -> str:
        """The sentence in this language with its values, fractions as this language writes them.

        With `dates`, a value that is a whole ISO 8601 date (2027-03-22) is written as people
        write it. Leave that off where a sentence quotes what stands, or should, in a file.
        """
        if not sentence.values and sentence.count is None:
            return self._plain(sentence.text)
        text = self._pattern(sentence.text, sentence.plural, sentence.count)
        values = {
            name: value if type(value) is str and not dates else self._value(value, dates)
            for name, value in sentence.values.items()
        }
        if sentence.count is not None:
            values.setdefault("count", self.digits(str(sentence.count)))
        if values and (self.direction == "rtl" or bidi.disturbed(values, "ltr")):
            return bidi.filled(text, values, self.direction)
        said = filled(text, values)
        return bidi.sided(said, "rtl") if self.direction == "rtl" else said

    def _pattern_of(self, text: str, plural: str | None, count: int | None) -> str:
        """The sentence with its places empty, its own figures in the digits of the page."""
        if plural is not None and count is not None:
            text = self.ngettext(text, plural, count)
        else:
            text = self.gettext(text)
        return bidi.outside(text, self.digits) if self.direction == "rtl" else text

    def plain(self, text: str) -> str:
        """The sentence of that text, one that has no values."""
        return self._plain(text)

    def _plain_text(self, text: str) -> str:
        said = filled(self._pattern_of(text, None, None), {})
        return bidi.sided(said, "rtl") if self.direction == "rtl" else said

    def _value(self, value: Value, dates: bool) -> Value:
        if isinstance(value, float):
            return self.number(value)
        if isinstance(value, int):
            return self.digits(str(value))
        if dates and len(value) == _ISO_LENGTH and _ISO_DATE.fullmatch(value):
            try:
                day = dt.date.fromisoformat(value)
            except ValueError:
                return value
            return self._date_of(day, "weekday day month year")
        return value

    def _own(self, text: str) -> str:
        """A date, time or amount as CLDR has it, in the locale's digits.

        It is isolated where its words run the other way than those around it: Persian dates on
        a page of English words.
        """
        return bidi.isolated(self.digits(text), self.direction)

    # Dates and times

    def date(self, day: dt.date, form: DateForm = "long") -> str:
        """A date in one of the forms of `DateForm`."""
        return self._date_of(day, form)

    def _date_text(self, day: dt.date, form: str) -> str:
        return self._own(written(self._forms.dates[form], self._forms.names, day))

    def span(self, first: dt.date, last: dt.date) -> str:
        """Two dates, both included, what they share written once: 22 – 28 Mar 2027."""
        names, spans = self._forms.names, self._forms.spans
        if first == last:
            return self._date_of(first, "span")
        differs = "y" if first.year != last.year else "M" if first.month != last.month else "d"
        pieces = zip(spans[differs], (first, last), strict=True)
        return self._own("".join(written(pattern, names, day) for pattern, day in pieces))

    def time(self, moment: dt.time | dt.datetime) -> str:
        """The time of day on the moment's own clock, on 12 or 24 hours as the locale has it."""
        return self._own(self._clock(moment))

    def times(self, start: dt.time | dt.datetime, end: dt.time | dt.datetime) -> str:
        """From-to, joined as the locale joins a range."""
        return self._own(self._forms.from_to.format(self._clock(start), self._clock(end)))

    def moment(self, moment: dt.datetime) -> str:
        """A date with its time, on the moment's own clock."""
        day = written(self._forms.dates["medium"], self._forms.names, moment.date())
        return self._own(self._forms.date_and_time.format(self._clock(moment), day))

    def _clock(self, moment: dt.time | dt.datetime) -> str:
        return self._time_of(moment.hour, moment.minute)

    def _time_text(self, hour: int, minute: int) -> str:
        return written(self._forms.clock, self._forms.names, dt.time(hour, minute))

    def weekday(self, number: int, width: Width = "wide") -> str:
        """The name of a weekday, 0 Monday … 6 Sunday, as it stands alone."""
        return self._forms.days[width][number]

    def month(self, number: int, width: Width = "wide") -> str:
        """The name of a month, 1 to 12, as it stands alone."""
        return self._forms.months[width][number - 1]

    # Numbers

    def digits(self, text: str) -> str:
        """`text` in the digits of the locale: a day of the month, a week, a year."""
        return self._numbering.digits(text)

    def number(self, value: float) -> str:
        """A number with the locale's separators, at most three digits after the point."""
        return self.digits(forms.number(self._forms, value))

    def money(self, minor: int, currency: str) -> str:
        """An amount in minor units of an ISO 4217 currency; see `weeksync.language.money`."""
        from weeksync.language.money import format_money

        said = format_money(minor, currency, self.locale, self.numbers)
        if self._forms.direction == "rtl":
            said = bidi.symbols_apart(said)
        return self._own(said)

    # Lists and places

    def listed(self, parts: list[str]) -> str:
        """Parts as a list in a sentence: Ines, Dov and Pell."""
        apart = [bidi.isolated(part, self.direction) for part in parts]
        return forms.listed(self._forms, apart)

    def joined(self, parts: Iterable[str]) -> str:
        """Parts side by side, with the comma of this language between them; "" for none."""
        parts = list(parts)
        if self.direction == "ltr" and all(map(str.isascii, parts)):
            return self._comma.join(parts)
        return reduce(self._beside, parts) if parts else ""

    @cached_property
    def _comma(self) -> str:
        return self._beside("", "")

    def _beside(self, left: str, right: str) -> str:
        return self.text(message("{left}, {right}", left=left, right=right))

    def quoted(self, titles: Iterable[str]) -> str:
        """Titles as a list in a sentence, each in the quotation marks of this language."""
        return self.listed([self.text(message("“{title}”", title=title)) for title in titles])

    def city(self, zone: str) -> str:
        """The name of the city that stands for a zone of the IANA database, as St. John's."""
        return known.city(zone, self.name)
