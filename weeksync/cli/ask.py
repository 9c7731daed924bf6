"""The questions of `weeksync new`: each has a proposal that Enter takes."""

from __future__ import annotations

import argparse
from collections.abc import Callable

from weeksync import zones
from weeksync.cli.terminal import Terminal
from weeksync.errors import UsageError
from weeksync.message import Message, message
from weeksync.workflow import NewHousehold, answers_of, calendar_of, is_region
from weeksync.workflow.start_suggest import is_locale, locale_for, region_of, time_zone

_TRIES = 5
_NONE = "-"
"""The answer that means nothing, where Enter takes a proposal."""


def ask_for_household(
    options: argparse.Namespace, terminal: Terminal, *, keyboard: bool
) -> NewHousehold:
    """What a new household needs: from the options, and by asking for what they leave open.

    At a `keyboard` calendars are asked for afterwards, one by one, and tried out. UsageError
    where standard input ends before everything is known.
    """
    ask = _Asker(terminal)
    _check_given(options)
    here = region_of(options.time_zone or time_zone())
    locale = options.locale or ask.for_one(
        message("Language and region of the pages"),
        locale_for(terminal.language, here),
        is_locale,
        message("write a language, or one with its region, as en_GB, de or ar_EG"),
    )
    name = options.name or ask.for_one(
        message("Name of the household"), "", bool, message("write at least a letter")
    )
    zone = options.time_zone or ask.for_one(
        message("Time zone, a name of the IANA database"),
        time_zone(),
        lambda value: zones.find_zone(value) is not None,
        message("write a name of the IANA database, as Europe/Lisbon"),
    )
    return answers_of(
        name=name,
        time_zone=zone,
        locale=locale,
        region=(
            options.region
            if options.region is not None
            else ask.for_one(
                message("Whose public holidays, as GB-ENG ({none} for none)", none=_NONE),
                region_of(zone) or locale.partition("_")[2] or _NONE,
                lambda value: value == _NONE or is_region(value),
                message("write a country or a part of it, as GB-ENG, or {none}", none=_NONE),
            )
        ).removeprefix(_NONE),
        people=options.person or ask.for_several(message("A person (empty: no more)"), 1),
        calendars=options.calendar or ()
        if options.calendar is not None or keyboard
        else ask.for_several(
            message("A calendar: file, folder, web or CalDAV address (empty: no more)"),
            0,
            lambda address: calendar_of(address, set()),
        ),
    )


def _check_given(options: argparse.Namespace) -> None:
    """What the options say is checked before anything is asked: no answer is lost to a slip."""
    for name, value, good in (
        ("--locale", options.locale, is_locale),
        ("--time-zone", options.time_zone, zones.find_zone),
        ("--region", options.region, is_region),
    ):
        if value and not good(value):
            raise UsageError(message('{option}: "{value}" will not do', option=name, value=value))
    for address in filter(None, options.calendar or ()):
        calendar_of(address, set())


class _Asker:
    def __init__(self, terminal: Terminal) -> None:
        self.terminal = terminal

    def for_one(
        self, what: Message, proposal: str, good: Callable[[str], object], remedy: Message
    ) -> str:
        """One answer for which `good` holds; asked again where it does not, and `remedy` told."""
        for _ in range(_TRIES):
            answer = self._line(what, proposal) or proposal
            if good(answer):
                return answer
            self.terminal.complain(message('"{value}" will not do', value=answer))
            self.terminal.complain(remedy)
        raise UsageError(message("no usable answer; nothing was written"))

    def for_several(
        self, what: Message, least: int, check: Callable[[str], object] = str
    ) -> list[str]:
        """Answers until an empty one, at least `least`; asked again where `check` refuses one."""
        answers: list[str] = []
        while True:
            try:
                answer = self._line(what, "")
            except UsageError:
                if len(answers) < least:
                    raise
                return answers  # what may be empty is so where nobody answers
            if answer:
                try:
                    check(answer)
                except UsageError as error:
                    self.terminal.complain(error.message)
                else:
                    answers.append(answer)
            elif len(answers) >= least:
                return answers
            else:
                self.terminal.complain(message("at least one is needed; write it"))

    def _line(self, what: Message, proposal: str) -> str:
        text = self.terminal.language.text(what)
        self.terminal.out.write(f"{text} [{proposal}]: " if proposal else f"{text}: ")
        self.terminal.out.flush()
        try:
            return input().strip()
        except EOFError as error:
            raise UsageError(
                message("the questions were not answered; nothing was written")
            ) from error
