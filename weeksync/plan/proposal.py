"""The proposed week: which open tasks fit before they are due, and into which gaps.

What a person chose stays where it is and takes its minutes first; then what was proposed when the
week was confirmed, where its time is still free. Of the rest, person by person, the fewest are
late (`fewest_late`), and those in time are placed earliest due date first, which makes the
greatest lateness least. Late ones follow, then those due after the week, then those without a
due date by the own ranking and by how long they have been carried.

A day before which a task cannot be begun, a day part and the gaps themselves are kept when a
task is placed; the count of the fewest late knows none of them. A task that fails there stays
without a place and says why.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from weeksync.model.spread import PlanTask
from weeksync.model.week_plan import (
    DayLoad,
    Move,
    Piece,
    Proposal,
    ProposedHabit,
    ProposedTask,
    Standing,
)
from weeksync.plan import reasons
from weeksync.plan.fewest_late import Missing, fewest_late
from weeksync.plan.placement import Room
from weeksync.plan.priorities import propose_priorities
from weeksync.plan.task_records import in_day, minutes_of
from weeksync.plan.week_rooms import Setting, WeekRooms, rank
from weeksync.plan.week_tasks import Asked, WeekTasks, sort_out

_PLACES = {standing: place for place, standing in enumerate(Standing)}


def propose(
    asked: Asked,
    loads: Iterable[DayLoad],
    setting: Setting,
    habits: Sequence[ProposedHabit] = (),
) -> Proposal:
    """The proposal for the days of the week that remain; `loads` are its days, of all persons.

    The work grows with the number of tasks as sorting does: what one week's gaps can take is
    bounded by its minutes.
    """
    proposer = _Proposer(asked, WeekRooms(asked, loads, setting), setting)
    tasks = proposer.tasks()
    return Proposal(
        since=setting.now,
        tasks=tuple(sorted(tasks, key=_by_time)),
        priorities=propose_priorities(asked, tasks, setting.planning.priorities_a_day),
        habits=tuple(habits),
        late=proposer.late,
    )


def moves(proposal: Proposal, stood: Mapping[str, Sequence[Piece]]) -> tuple[Move, ...]:
    """What taking the proposal would change about where tasks `stood` (by id), in its order.

    What a person chose is never among it. Pieces that are over by then are no difference.
    """
    found = []
    for one in proposal.tasks:
        if one.standing is Standing.CHOSEN:
            continue
        before = tuple(piece for piece in stood.get(one.task, ()) if piece.end > proposal.since)
        if before != one.pieces:
            found.append(Move(one.task, one.title, before, one.pieces, one.only_for))
    return tuple(found)


class _Proposer:
    """One proposal under way: the rooms of all persons, taken task by task."""

    def __init__(self, asked: Asked, rooms: WeekRooms, setting: Setting) -> None:
        self.late = 0
        self._asked = asked
        self._first, self._last = asked.first, asked.last
        self._setting = setting
        self._usual = setting.planning.usual_estimate_minutes
        self._week = rooms
        self._rooms = rooms.rooms

    def tasks(self) -> list[ProposedTask]:
        """Every task of the week with where it could go."""
        week = sort_out(self._asked)
        found = self._fixed(week)
        found += [self._week.out(task, reasons.waits(task)) for task in week.waiting]
        found += [
            self._week.out(task, reasons.not_yet(task.not_before or self._last))
            for task in week.not_yet
        ]
        by_person: dict[str, list[PlanTask]] = defaultdict(list)
        for task in sorted(week.open, key=_by_last_day):
            kept = self._kept(task)
            if kept is not None:
                found.append(kept)
            elif owner := self._week.owner(task, promise=True):
                by_person[owner].append(task)
            else:
                found.append(self._week.out(task, reasons.nobody()))
        for person, tasks in by_person.items():
            found += self._of_person(person, tasks)
        return found

    # What stays where it is

    def _fixed(self, week: WeekTasks) -> list[ProposedTask]:
        pieces: dict[str, list[Piece]] = defaultdict(list)
        minutes: dict[str, int] = defaultdict(int)
        tasks: dict[str, tuple[PlanTask, str]] = {}
        for task in sorted(week.chosen, key=_fixed_first):
            owner = self._week.owner_at(task)
            tasks.setdefault(task.id, (task, owner))
            minutes[task.id] += minutes_of(task, self._usual)
            pieces[task.id] += self._week.reserve(task, owner, task.shown_on or self._first)
        found = [
            self._week.proposed(
                task,
                owner,
                Standing.CHOSEN,
                reasons.chosen(
                    task.shown_on or self._first,
                    self._no_gap(owner, pieces[name], minutes[name]),
                ),
                sorted(pieces[name], key=lambda piece: piece.start.timestamp()),
                minutes[name],
            )
            for name, (task, owner) in tasks.items()
        ]
        for day, task in sorted(week.wanted, key=lambda one: (one[0], in_day(one[1]))):
            owner = self._week.owner(task)
            taken = self._week.reserve(task, owner, day)
            reason = reasons.wanted(day, self._no_gap(owner, taken, minutes_of(task, self._usual)))
            found.append(self._week.proposed(task, owner, Standing.CHOSEN, reason, taken))
        for task in sorted(week.further, key=_fixed_first):
            self._week.reserve(task, self._week.owner(task), task.shown_on or self._first)
        return found

    def _no_gap(self, owner: str, pieces: Sequence[Piece], minutes: int) -> int:
        """The minutes that no gap of the owner holds, 0 where one does; nobody has no gaps."""
        return minutes if owner in self._rooms and not pieces else 0

    def _kept(self, task: PlanTask) -> ProposedTask | None:
        """Where the confirmed snapshot has it, where that time is to come and still free."""
        setting = self._setting
        stood = [piece for piece in setting.confirmed.get(task.id, ()) if piece.end > setting.now]
        owner = self._week.keep(task, stood) if stood else ""
        if not owner:
            return None
        if self._week.is_in_time(task, stood):
            return self._week.proposed(task, owner, Standing.PLACED, reasons.kept(), stood)
        self.late += 1
        return self._week.proposed(task, owner, Standing.LATE, reasons.kept_late(task), stood)

    # What is placed

    def _of_person(self, person: str, tasks: Sequence[PlanTask]) -> list[ProposedTask]:
        """The open tasks of one person; they come earliest last day first."""
        room, last = self._rooms[person], self._last
        due = [task for task in tasks if task.last_day is not None and task.last_day <= last]
        jobs = [self._week.job(number, task, room) for number, task in enumerate(due)]
        in_time, late = fewest_late(jobs)
        self.late += len(late)
        missing = Missing(in_time)
        room, found = self._in_time(person, [due[job.number] for job in in_time], room)
        self._rooms[person] = room
        for job in late:
            found.append(self._late(person, due[job.number], missing.of(job)))
        for task in sorted(tasks[len(due) :], key=_after_the_week):
            found.append(self._if_room(person, task))
        return found

    def _in_time(
        self, person: str, tasks: Sequence[PlanTask], room: Room
    ) -> tuple[Room, list[ProposedTask]]:
        """Those in time, each whole on one day where it can be; in bits where that fits more."""
        wishes = [self._week.wish(task, task.last_day or self._last) for task in tasks]
        after = room.copy()
        pieces = [after.place(wish, whole=True) for wish in wishes]
        if not all(pieces):
            other = room.copy()
            bits = [other.place(wish, whole=False) for wish in wishes]
            if sum(map(bool, bits)) > sum(map(bool, pieces)):
                after, pieces = other, bits
        return after, [
            self._found(person, task, taken, after)
            if taken
            else self._unplaced(person, task, after)
            for task, taken in zip(tasks, pieces, strict=True)
        ]

    def _late(self, person: str, task: PlanTask, missing: int) -> ProposedTask:
        """A late one: as soon as there is room, whenever it was due."""
        wish = self._week.wish(task, self._last, by_due=False)
        pieces = self._rooms[person].place(wish, whole=True)
        ends = pieces[-1].end.date() if pieces else None
        reason = reasons.late(task, missing, ends, self._first)
        if ends is None and self._rooms[person].rests():
            reason = reasons.rests(task)
        return self._week.proposed(task, person, Standing.LATE, reason, pieces)

    def _if_room(self, person: str, task: PlanTask) -> ProposedTask:
        """One that is not due in these days, where they have room left."""
        room = self._rooms[person]
        pieces = room.place(self._week.wish(task, self._last), whole=True)
        if pieces:
            return self._found(person, task, pieces, room)
        if room.rests():
            return self._week.proposed(task, person, Standing.UNPLACED, reasons.rests(task))
        left = room.left(self._last)
        if left >= minutes_of(task, self._usual):
            return self._unplaced(person, task, room)
        return self._week.proposed(task, person, Standing.UNPLACED, reasons.full(task, left))

    def _found(
        self, person: str, task: PlanTask, pieces: Sequence[Piece], room: Room
    ) -> ProposedTask:
        minutes = minutes_of(task, self._usual)
        reason = reasons.placed(task, minutes, room.plannable(pieces), guessed=not task.estimate)
        return self._week.proposed(task, person, Standing.PLACED, reason, pieces)

    def _unplaced(self, person: str, task: PlanTask, room: Room) -> ProposedTask:
        minutes = minutes_of(task, self._usual)
        reason = reasons.no_gap(minutes, part=task.part is not None)
        first = task.not_before
        if first is not None and first > self._first:
            last = min(task.last_day or self._last, self._last)
            left = max(room.left(last) - room.left(first, 0), 0)
            if left < minutes:
                reason = reasons.begun_late(task, left, first)
        return self._week.proposed(task, person, Standing.UNPLACED, reason)


def _fixed_first(task: PlanTask) -> tuple[object, ...]:
    """Those at a time before those that take what is left, each in the order of its day.

    What is nobody's in particular comes last of either: it goes to who is free then.
    """
    nobodys = not (task.persons or task.only_for)
    return task.start is None, nobodys, task.shown_on or date.max, in_day(task)


def _by_last_day(task: PlanTask) -> tuple[object, ...]:
    return task.last_day or date.max, rank(task), task.title.casefold(), task.source, task.id


def _after_the_week(task: PlanTask) -> tuple[object, ...]:
    return task.last_day is None, *_by_last_day(task)


def _by_time(one: ProposedTask) -> tuple[object, ...]:
    """With a time before those without, then by standing as the words stand, due date, title."""
    at = one.pieces[0].start.timestamp() if one.pieces else float("inf")
    return at, _PLACES[one.standing], one.due or date.max, one.title.casefold(), one.task
