"""The raw material of the corpus: words, zones, and the folding of content lines."""

from __future__ import annotations


def fold(line: str) -> bytes:
    """A content line as bytes: at most 75 octets a line, no character cut (RFC 5545 3.1)."""
    content = line.encode()
    if len(content) <= 75:
        return content + b"\r\n"
    pieces = []
    room = 75
    while len(content) > room:
        cut = room
        while content[cut] & 0xC0 == 0x80:  # a continuation byte of UTF-8
            cut -= 1
        pieces.append(content[:cut])
        content = content[cut:]
        room = 74  # the space that marks a continuation is the first octet
    pieces.append(content)
    return b"\r\n ".join(pieces) + b"\r\n"


def _zone(tzid: str, standard: tuple[str, str, str], summer: tuple[str, str, str]) -> list[str]:
    """A VTIMEZONE with one rule each for standard and summer time: (offset, start, rule)."""
    lines = ["BEGIN:VTIMEZONE", f"TZID:{tzid}"]
    for kind, (to, start, rule), before in (
        ("STANDARD", standard, summer[0]),
        ("DAYLIGHT", summer, standard[0]),
    ):
        lines += [f"BEGIN:{kind}", f"DTSTART:{start}", f"TZOFFSETFROM:{before}"]
        lines += [f"TZOFFSETTO:{to}", f"RRULE:FREQ=YEARLY;{rule}", f"END:{kind}"]
    return [*lines, "END:VTIMEZONE"]


_LAST_OCTOBER, _LAST_MARCH = "BYMONTH=10;BYDAY=-1SU", "BYMONTH=3;BYDAY=-1SU"
_FIRST_NOVEMBER, _SECOND_MARCH = "BYMONTH=11;BYDAY=1SU", "BYMONTH=3;BYDAY=2SU"

ZONES: dict[str, list[str]] = {
    "Europe/London": _zone(
        "Europe/London",
        ("+0000", "19961027T020000", _LAST_OCTOBER),
        ("+0100", "19970330T010000", _LAST_MARCH),
    ),
    "Europe/Lisbon": _zone(
        "Europe/Lisbon",
        ("+0000", "19971026T020000", _LAST_OCTOBER),
        ("+0100", "19970330T010000", _LAST_MARCH),
    ),
    "Europe/Berlin": _zone(
        "Europe/Berlin",
        ("+0100", "19961027T030000", _LAST_OCTOBER),
        ("+0200", "19970330T020000", _LAST_MARCH),
    ),
    "America/New_York": _zone(
        "America/New_York",
        ("-0500", "20071104T020000", _FIRST_NOVEMBER),
        ("-0400", "20070311T020000", _SECOND_MARCH),
    ),
    "America/St_Johns": _zone(
        "America/St_Johns",
        ("-0330", "20121104T020000", _FIRST_NOVEMBER),
        ("-0230", "20120311T020000", _SECOND_MARCH),
    ),
}
"""TZID → the lines of its VTIMEZONE, as the tz database has them for the years of the corpus."""

TITLES = (
    "Call about", "Visit with", "Lesson:", "Delivery of", "Meeting on", "Rehearsal,",
    "Walk by the", "Repair of", "Supper and", "Practice:", "Fitting for", "Café with",
)  # fmt: skip

WORDS = (
    "anchor", "barley", "candle", "drawer", "ember", "fennel", "gravel", "harbour", "inkwell",
    "jetty", "kettle", "lantern", "meadow", "nettle", "orchard", "paddle", "quarry", "rafter",
    "saddle", "thimble", "umber", "velvet", "willow", "yarrow", "zither", "crème", "naïve",
    "façade", "Grüße", "smørrebrød", "žito", "αλφα", "and", "with", "over", "under", "before",
    "after", "near", "beside", "across", "between",
)  # fmt: skip

PLACES = ("Reading room", "Quay shed", "Upper hall", "Mill yard", "Long barn", "Café Möwe")

PEOPLE = tuple(
    (f"{given} {family}", f"{given.lower()}.{family.lower()}@corpus.invalid")
    for given in ("Ada", "Bo", "Cleo", "Dara", "Eno", "Fay", "Gil", "Hana")
    for family in ("Alder", "Birch", "Cedar", "Damson")
)
