"""The first evening at the keyboard: one question after the other, each answer written at once."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from pathlib import Path
from typing import TypeVar

from weeksync.cli.choices import Stopped, choose, is_yes, line
from weeksync.cli.new_calendar import ask_for_calendars
from weeksync.cli.new_things import ask_for_bills, ask_for_habits, ask_for_routines
from weeksync.cli.terminal import Terminal
from weeksync.errors import WeeksyncError
from weeksync.language.day_parts import PART_NAMES
from weeksync.message import Message, message
from weeksync.model.config import COLOURS
from weeksync.model.fields import Weekday
from weeksync.workflow import Context, start
from weeksync.workflow.nightly import nightly
from weeksync.workflow.spans import week_ahead
from weeksync.workflow.start_basics import COLOUR_NAMES
from weeksync.workflow.start_last import about, as_written, command_of
from weeksync.workflow.start_save import (
    AreaAnswer,
    PersonAnswer,
    Wrong,
    save_areas,
    save_day_parts,
    save_household,
    save_people,
)
from weeksync.workflow.timer import TimerKind, set_timer, take_out, timer_of

T = TypeVar("T")


class Evening:
    """One sitting over one household; the end of the input ends it, and nothing is lost."""

    def __init__(self, folder: Path, now: datetime, terminal: Terminal) -> None:
        self._folder, self._now = folder, now
        self.terminal = terminal
        self._steps: dict[str, Callable[[], None]] = {
            "household": self._first_weekday,
            "people": self._people,
            "areas": self._areas,
            "day-parts": self._day_parts,
            "routines": lambda: ask_for_routines(self),
            "habits": lambda: ask_for_habits(self),
            "bills": lambda: ask_for_bills(self),
            "calendars": lambda: ask_for_calendars(self),
            "nightly": self._nightly,
            "devices": self._devices,
            "print": self._pages,
        }

    @property
    def context(self) -> Context:
        """The household as its files are now."""
        return Context.read(self._folder, self._now)

    def go_through(self) -> None:
        """All steps in their order, after the household has been begun."""
        self.terminal.say(
            message(
                "{folder} is made. What follows is written as you answer it; Enter leaves a thing "
                "out, Ctrl-D ends, and weeksync new {folder} goes on later.",
                folder=str(self._folder),
            )
        )
        try:
            for ident in self._steps:
                self._go(ident)
        except Stopped:
            return

    def add(self) -> None:
        """Of a household that is there: one thing after the other, as somebody chooses."""
        name = self.context.config.household.name
        self.terminal.say(message("“{name}” is there. What do you want to add?", name=name))
        choices: list[tuple[Message, str]] = [(one.title, one.id) for one in start.STEPS]
        choices.append((message("nothing more"), ""))
        try:
            while ident := choose(self.terminal, choices):
                self._go(ident)
        except Stopped:
            return

    def _go(self, ident: str) -> None:
        step = start.step(ident)
        if step is not None:
            self.terminal.say("")
            self.terminal.say(self.say(step.title))
        self._steps[ident]()
        start.mark_done(self.context, ident)

    def say(self, text: Message) -> str:
        """A sentence in the terminal's language."""
        return self.terminal.language.text(text)

    def ask(self, what: Message, proposal: str = "") -> str:
        """One line; Enter takes the proposal."""
        text = self.say(what)
        return line(self.terminal, f"  {text} [{proposal}]: " if proposal else f"  {text}: ") or (
            proposal
        )

    def until(
        self, what: Message, proposal: str, read: Callable[[str], T | None], remedy: Message
    ) -> T:
        """A line that `read` can make something of; asked again until then."""
        while True:
            found = read(self.ask(what, proposal))
            if found is not None:
                return found
            self.terminal.say(f"  {self.say(remedy)}")

    def written(self, wrong: Sequence[Wrong]) -> bool:
        """Whether it could be written; what is wrong is told."""
        for one in wrong:
            text = self.say(one.what)
            remedy = f"; {self.say(one.remedy)}" if one.remedy is not None else ""
            self.terminal.say(f"  {text}{remedy}")
        return not wrong

    # The steps that are about the household itself

    def _first_weekday(self) -> None:
        language = self.terminal.language
        usual = self.context.rule.first_weekday
        names = {language.weekday(one.number).casefold(): one for one in Weekday}

        def read(text: str) -> Weekday | None:
            meant = [day for name, day in names.items() if name.startswith(text.casefold())]
            return meant[0] if len(meant) == 1 else None

        chosen = self.until(
            message("A week starts on"),
            language.weekday(usual),
            read,
            message("write the name of a weekday"),
        )
        if chosen.number != usual:
            self.written(save_household(self.context, {"first_weekday": str(chosen)}))

    def _people(self) -> None:
        there = self.context.config.people
        self.terminal.say(
            message("  There already: {names}", names=", ".join(one.name for one in there))
        )
        while name := self.ask(message("One more person (empty: no more)")):
            self.written(save_people(self.context, [PersonAnswer(name)]))
        people = self.context.config.people
        if len(people) < 2:
            return
        said = self.ask(message("Who of them is a child? Names, with commas (empty: nobody)"))
        children = {one.strip().casefold() for one in said.split(",") if one.strip()}
        answers = [
            PersonAnswer(
                one.name,
                one.child or one.name.casefold() in children,
                one.looks_after_children
                or (bool(children) and one.name.casefold() not in children),
                one.id,
            )
            for one in people
        ]
        self.written(save_people(self.context, answers))

    def _areas(self) -> None:
        there = self.context.config.areas
        names = ", ".join(f"{one.name} ({one.letter})" for one in there)
        self.terminal.say(message("  There already: {names}", names=names))
        while name := self.ask(message("One more area (empty: no more)")):
            used = {one.colour for one in self.context.config.areas}
            free = next((one for one in COLOURS if one not in used), COLOURS[0])
            by_name = {self.say(text).casefold(): tint for tint, text in COLOUR_NAMES.items()}
            colour = self.until(
                message("Its colour: {names}", names=", ".join(by_name)),
                self.say(COLOUR_NAMES[free]),
                lambda text, names=by_name: names.get(text.casefold()),  # type: ignore[misc]
                message("write one of them"),
            )
            self.written(save_areas(self.context, [AreaAnswer(name, colour=colour)]))

    def _day_parts(self) -> None:
        for part, name in PART_NAMES.items():
            while True:
                stands = str(getattr(self.context.config.day_parts, part))
                said = self.ask(name, stands)
                if said == stands or self.written(save_day_parts(self.context, {part: said})):
                    break

    # The last two

    def _nightly(self) -> None:
        timer = timer_of(self._folder)
        for text in about(timer):
            self.terminal.say(text)
        for heading, written in as_written(timer):
            self.terminal.say(f"\n  {self.say(heading)}")
            self.terminal.say("\n".join(f"    {one}" for one in written.splitlines()))
        if timer.kind is TimerKind.NONE:
            return
        question = message("Take it out again?") if timer.set else message("Write this?")
        if not is_yes(self.terminal, question):
            return
        try:
            self.terminal.say(take_out(timer) if timer.set else set_timer(timer))
        except WeeksyncError as error:
            self.terminal.complain(error.message)

    def _devices(self) -> None:
        """Both are commands of their own, which ask for what they need."""
        self.terminal.say(
            message(
                "  A code for a tablet: {devices}\n  A PIN: {pin}",
                devices=command_of(self.context, "devices", "--add", "kitchen"),
                pin=command_of(self.context, "pin", self.context.first_person),
            )
        )

    def _pages(self) -> None:
        """Pull and build now, and say where the week is."""
        try:
            with self.terminal.progress() as progress:
                outcome = nightly(self.context, progress=progress)
        except WeeksyncError as error:
            self.terminal.complain(error.message)
            return
        self.terminal.problems(one for one in outcome.problems if one.counts)
        context = self.context
        page = context.output / "site" / f"{week_ahead(context)}.html"
        self.terminal.say(
            message(
                "Your week is at {page}; open it in a browser and print it. weeksync serve "
                "--household {folder} serves it to the tablets of the home.",
                page=page.absolute().as_uri(),
                folder=str(self._folder),
            )
        )
