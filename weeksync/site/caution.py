"""What stands on the form of a check-in whatever is written there: whom to turn to.

It is a page of its own, too, that every page with a health figure leads to. It never depends on
what is said or recorded: nothing is worked out from it.
"""

from __future__ import annotations

from weeksync.message import Message, message

CAUTIONS = "cautions.html"
"""The page with these sentences, in both trees."""

_EUROPEAN = frozenset(
    (
        "AT", "BE", "BG", "CY", "CZ", "DE", "DK", "EE", "ES", "FI", "FR", "GR", "HR", "HU", "IE",
        "IT", "LT", "LU", "LV", "MT", "NL", "PL", "PT", "RO", "SE", "SI", "SK",
    )
)  # fmt: skip
"""Members of the European Union (ISO 3166-1 alpha-2, from memory)."""

_NUMBERS = {"GB": "999", "US": "911", "CA": "911", "AU": "000", "NZ": "111", "CH": "112"}
"""Emergency numbers. 999: NHS, where to get help for low mood; the others, and 112 for the
European Union (Directive (EU) 2018/1972, article 109), from memory."""


def caution(region: str) -> tuple[Message, ...]:
    """The sentences for a household of that region (ISO 3166, as GB-ENG).

    When to see a doctor follows the NHS page on low mood (more than two weeks, struggling to
    cope, what one tries does not help).
    """
    country = region.split("-")[0].upper()
    number = "112" if country in _EUROPEAN else _NUMBERS.get(country)
    sentences = [
        message("This is no medical advice, and nothing is worked out from what you write."),
        message(
            "See a doctor where low mood lasts more than two weeks, you are struggling to cope, "
            "or what you try does not help."
        ),
    ]
    if country == "GB":
        sentences.append(message("When it is urgent, call {number}.", number="111"))
    if number is not None:
        sentences.append(message("In immediate danger call {number}.", number=number))
    else:
        sentences.append(message("In immediate danger call the emergency number where you are."))
    return tuple(sentences)
