"""What each oracle makes of a whole calendar: the columns of the suite's table."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from tests.calendar.oracles.asking import COMMANDS, Oracles
from tests.calendar.oracles.question import Question, ours


def verdicts(
    content: bytes, start: date, end: date, tz: str, oracles: Oracles | None = None
) -> Mapping[str, str]:
    """`agrees`, `differs` or `refuses` by name of oracle: ical.js, libical, RIE, dateutil.

    `content` is a calendar file as it lies on disk; its VEVENTs are compared with what weeksync
    makes of the same bytes on the days [start, end) of the zone `tz`: UTC instants of start and
    end, or dates, whether cancelled, and the title. To-dos and journals are not looked at: a
    file of nothing else is `refuses`.
    Oracles get the text with floating times told apart and known zones defined (`Question`).
    Give `oracles` where several calendars are asked about: starting them takes half a second.
    Raises OracleMissing where one is not installed.
    """
    if oracles is None:
        with Oracles() as started:
            return verdicts(content, start, end, tz, started)
    text = content.decode("utf-8", "replace").replace("\r\n", "\n").replace("\n", "\r\n")
    if "BEGIN:VEVENT" not in text:
        return dict.fromkeys(COMMANDS, "refuses")
    question = Question(text, start, end, tz)
    wanted = ours(question, content)
    found = {}
    for name in COMMANDS:
        answer = oracles.ask(name, question)
        if answer.refused:
            found[name] = "refuses"
        else:
            found[name] = "agrees" if answer.items == wanted else "differs"
    return found
