"""Playing one fault to one kind of source, and what must hold whatever the fault is."""

from __future__ import annotations

import re
from dataclasses import dataclass

from tests.faults.faults import Fault
from tests.faults.home import EVENTS, SOURCE, Home, Kind, Night

MOST_REQUESTS = 40
"""Requests of one night, to all calendars together, whatever they answer."""
MANY_REQUESTS = 250
"""The same for a calendar of 10,000 objects, which come 200 at a time."""


@dataclass(frozen=True)
class Row:
    """What came of it: exit status, what the person is told, and what the page shows."""

    fault: str
    kind: str
    status: str
    told: str
    kept: str


def play(home: Home, fault: Fault) -> list[Row]:
    """A night with the fault for each kind, each checked, and a good night after them."""
    home.is_well = False
    rows = [_play(home, fault, kind) for kind in Kind if kind in fault.plays]
    home.edit()
    home.good_night()
    rows += [Row(fault.name, kind, "", why, "") for kind, why in fault.never.items()]
    return sorted(rows, key=lambda row: list(Kind).index(Kind(row.kind)))


def _play(home: Home, fault: Fault, kind: Kind) -> Row:
    source, words = SOURCE[kind], EVENTS[kind]
    home.edit()
    known = home.known(source)
    part = fault.plays[kind]
    with part.begin(home, kind):
        night = home.night()
    told = [plain(line) for line in night.about(source)]
    _check_others(home, kind, night)
    assert home.spilled(night) == []
    assert len(night.requests) <= (MANY_REQUESTS if fault.large else MOST_REQUESTS)
    if part.taken:
        assert (night.status, night.said) == (0, ()), night
        assert all(home.shows(word, home.edition) for word in words), "it is not shown as it is now"
        home.good[source] = home.edition, home.now
        return Row(fault.name, str(kind), "0", "–", "shown as it is now")
    assert len(told) == len(night.said) >= 1, night.said
    _check_kept(home, kind, night)
    kept = "its last good copy, with its time"
    if home.state(source).failed:
        assert home.known(source) == known, "its token has moved"
    else:
        kept = "its last good copy; the account's others as they are now"
        club = home.calendars["Club"]
        assert home.known(source)[club] == known[club], "its token has moved"
        assert home.shows("Home", home.edition), "the account's other is not fresh"
        home.good[source] = home.good[source][0], home.now
    return Row(fault.name, str(kind), str(night.status), "<br>".join(told), kept)


def _check_others(home: Home, kind: Kind, night: Night) -> None:
    """The other sources are fresh, and nothing is said of them."""
    for other in Kind:
        if SOURCE[other] != SOURCE[kind]:
            assert all(home.shows(word, home.edition) for word in EVENTS[other]), other
            assert night.about(SOURCE[other]) == []
            assert home.status_file()[SOURCE[other]]["failed"] is False
            home.good[SOURCE[other]] = home.edition, home.now


def _check_kept(home: Home, kind: Kind, night: Night) -> None:
    """Said in one sentence with place and remedy; the copy of before is shown with its time."""
    source = SOURCE[kind]
    before, good_at = home.good[source]
    assert night.status == 1
    for line in night.about(source):
        assert re.search(r"localhost|127\.0\.0\.1|example\.org|kitchen\.ics|“|\"", line), "no place"
        assert ";" in line, "no remedy"
        assert "weeksync" not in line.replace("weeksync pull", ""), "a fault of ours"
        shown = line.split("; ")[0].split(" (")[0][:30]
        assert shown in _unescaped(home.page("problems.html"))
    assert all(home.shows(word, before) for word in EVENTS[kind]), "the last good copy is not shown"
    state = home.state(source)
    entry = home.status_file()[source]
    assert entry["failed"] is state.failed
    if state.failed:
        assert state.last_good == good_at
        stamp = state.last_good.isoformat()
        assert re.search(rf'<time datetime="?{re.escape(stamp)}', home.page()), "no age on the page"
        assert entry["last_good"] == stamp


def _unescaped(page: str) -> str:
    return page.replace("&#34;", '"').replace("&quot;", '"').replace("&amp;", "&")


def plain(line: str) -> str:
    """The sentence without what differs from run to run: ports and paths."""
    line = re.sub(r"(localhost|127\.0\.0\.1):\d+", r"\1", line)
    return re.sub(r"(?:/[\w.-]+)+/(kitchen\.ics)", r"…/\1", line)
