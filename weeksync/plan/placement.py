"""The room of one person: minutes that can be planned and the gaps they lie in, taken bit by bit.

Times are UTC minutes inside, so that a night on which the clocks change has its exact length.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Sequence
from datetime import date, datetime, time
from typing import NamedTuple
from zoneinfo import ZoneInfo

from weeksync.model.fields import DayPart
from weeksync.model.week_plan import DayLoad, Piece
from weeksync.plan.day_room import DayRoom, Minutes, first_minute, last_minute, of_load
from weeksync.zones import instant


class Wish(NamedTuple):
    """What a task asks of the room: minutes, from a first day to a last one.

    `part` where only that part of a day will do; `until` is the UTC minute by which it must be
    done, where that is in the middle of a day.
    """

    minutes: int
    first: date
    last: date
    part: DayPart | None = None
    until: int | None = None


class Room:
    """The days of one person from `now` on.

    `loads` are that person's days, `smallest` the shortest piece a task may be cut into, `rests`
    says on which days nothing is proposed. Of the day under way the minutes that can be planned
    are reduced to the share of its gaps that is still to come.
    """

    def __init__(
        self,
        loads: Iterable[DayLoad],
        now: datetime,
        tz: ZoneInfo,
        smallest: int,
        rests: Callable[[date], bool] = lambda day: False,
    ) -> None:
        self._tz = tz
        self._smallest = smallest
        self._since = since = first_minute(now)
        days = sorted((of_load(load, since, rests(load.day)) for load in loads), key=_by_date)
        self._hold(days)

    def copy(self) -> Room:
        """The same room, to try something out in."""
        made = object.__new__(Room)
        made._tz, made._smallest, made._since = self._tz, self._smallest, self._since
        made._hold(
            [
                DayRoom(one.day, one.plannable, one.left, one.gaps, one.rests)
                for one in self._in_order
            ]
        )
        return made

    def _hold(self, days: list[DayRoom]) -> None:
        """The days, in order, to be found by their dates."""
        self._in_order = days
        self._days = {one.day: one for one in days}
        self._dates = list(self._days)

    def rests(self) -> bool:
        """Whether less is asked of the person on all the days, so that nothing is proposed."""
        return bool(self._in_order) and all(one.rests for one in self._in_order)

    def plannable(self, pieces: Iterable[Piece]) -> int:
        """The minutes that could be planned on the days of these pieces, before anything was."""
        days = {piece.start.date() for piece in pieces}
        return sum(self._days[day].plannable for day in days if day in self._days)

    def left(self, last: date, until: int | None = None) -> int:
        """The minutes that can still be planned up to the end of `last`, or to `until` on it."""
        days = self._in_order[: bisect_right(self._dates, last)]
        left = sum([one.left for one in days])
        if until is not None and days and days[-1].day == last:
            left += days[-1].before(until) - days[-1].left
        return left

    def _from_to(self, first: date, last: date) -> list[DayRoom]:
        dates = self._dates
        return self._in_order[bisect_left(dates, first) : bisect_right(dates, last)]

    def place(self, wish: Wish, *, whole: bool) -> tuple[Piece, ...]:
        """Take the earliest gaps for it; nothing where it does not fit into its days.

        No piece is shorter than the smallest one, unless the task is. With `whole` the first day
        that takes all of it is preferred to earlier bits of several days.
        """
        least = min(self._smallest, wish.minutes)
        days = [one for one in self._from_to(wish.first, wish.last) if one.left >= least]
        if sum([one.left for one in days]) < wish.minutes:
            return ()
        if whole:
            for one in days:
                if one.left >= wish.minutes:
                    found = self._within(one, wish, wish.minutes)
                    if _length(found) == wish.minutes:
                        return self._taken(one, found)
        need, found_on = wish.minutes, []
        for one in days:
            found = self._within(one, wish, need)
            if found:
                found_on.append((one, found))
                need -= _length(found)
            if not need:
                return tuple(piece for on, spans in found_on for piece in self._taken(on, spans))
        return ()

    def reserve(self, day: date, minutes: int, part: DayPart | None) -> tuple[Piece, ...]:
        """Take what was chosen for a day, whatever can be planned on it.

        Where the gaps do not hold it only its minutes are taken, and there are no pieces.
        """
        one = self._days.get(day)
        if one is None:
            return ()
        left, one.left = one.left, minutes
        found = self._within(one, Wish(minutes, day, day, part), minutes)
        one.left = left
        if _length(found) == minutes:
            return self._taken(one, found)
        one.left = max(left - minutes, 0)
        return ()

    def reserve_at(
        self, day: date, at: time, minutes: int, part: DayPart | None
    ) -> tuple[Piece, ...]:
        """Take the stretch that was chosen for a day, free or not."""
        start = first_minute(instant(datetime.combine(day, at), self._tz))
        one = self._days.get(day)
        found = part or (one.part_at(start) if one is not None else None) or DayPart.MORNING
        if one is not None:
            one.take(start, start + minutes)
        return (self._piece(start, start + minutes, found),)

    def keep(self, pieces: Sequence[Piece]) -> bool:
        """Take these pieces as they are; False, and nothing taken, where one is not free now.

        Of one that is under way only what is still to come has to be free.
        """
        spans = [
            (one.start.date(), first_minute(one.start), last_minute(one.end)) for one in pieces
        ]
        if not all(self._is_free(*span) for span in spans):
            return False
        for day, start, end in spans:
            self._days[day].take(start, end)
        return True

    def is_free_at(self, day: date, at: time, minutes: int) -> bool:
        """Whether nothing else takes that stretch, as far as it is still to come."""
        start = first_minute(instant(datetime.combine(day, at), self._tz))
        return self._is_free(day, start, start + minutes)

    def _is_free(self, day: date, start: int, end: int) -> bool:
        one = self._days.get(day)
        if one is None:
            return False
        start = max(start, self._since)
        return any(low <= start and end <= high for low, high in one.runs(None, None))

    def _within(self, one: DayRoom, wish: Wish, need: int) -> list[Minutes]:
        """Stretches of one day for as much of `need` minutes as it takes: one where it can be."""
        least = min(self._smallest, wish.minutes)
        runs = one.runs(wish.part, wish.until if one.day == wish.last else None, least)
        want = self._piece_of(need, one.left, wish.minutes) if runs else 0
        if want:
            for start, end in runs:
                if end - start >= want:
                    return [(start, start + want)]
        found, left = [], one.left
        for start, end in runs:
            if not need or left < least:
                break
            take = self._piece_of(need, min(end - start, left), wish.minutes)
            if take:
                found.append((start, start + take))
                need, left = need - take, left - take
        return found

    def _piece_of(self, need: int, room: int, whole: int) -> int:
        """How much of `need` goes into `room`, so that what is left over is no crumb; 0 for none.

        A task shorter than the smallest piece is one piece.
        """
        if need <= room:
            return need if need >= self._smallest or need >= whole else 0
        take = min(room, need - self._smallest)
        return take if take >= self._smallest else 0

    def _taken(self, one: DayRoom, spans: Iterable[Minutes]) -> tuple[Piece, ...]:
        pieces = []
        for start, end in spans:
            part = one.take(start, end)
            pieces.append(self._piece(start, end, part or DayPart.MORNING))
        return tuple(pieces)

    def _piece(self, start: int, end: int, part: DayPart) -> Piece:
        moment = datetime.fromtimestamp
        return Piece(moment(start * 60, self._tz), moment(end * 60, self._tz), part)


def _length(spans: Iterable[Minutes]) -> int:
    return sum(end - start for start, end in spans)


def _by_date(one: DayRoom) -> date:
    return one.day
