"""The record of the page on which a week is planned, made from one `Evening`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from weeksync.language import Language
from weeksync.message import Message, message
from weeksync.model.config import Config
from weeksync.model.week import IsoWeek
from weeksync.site.forms import render_served, served_frame
from weeksync.site.inputs import SiteInput
from weeksync.site.plan_evening_facts import Evening, Typed
from weeksync.site.plan_evening_last import LastWeek
from weeksync.site.plan_evening_lines import Lines
from weeksync.site.plan_evening_next import NextWeek
from weeksync.site.plan_evening_steps import NAMES, Steps, action, address
from weeksync.site.record import Link, MistakeLine, UndoLine
from weeksync.site.record.plan_evening import EveningConflict, PlanEveningPage, PlanOverPage
from weeksync.site.words import Words

LABELS: dict[str, Message] = {
    "date": message("Date"),
    "until": message("Until"),
    "part-0": message("Parts"),
    "minutes-0": message("Minutes"),
    "minutes-1": message("Minutes"),
    "minutes-2": message("Minutes"),
    "minutes-3": message("Minutes"),
    "person": message("Who"),
    "answer-0": message("Answer"),
    "text": message("What matters"),
    "start": message("First day"),
    "end": message("Last day"),
    "new": message("New row"),
    "notes": message("Notes"),
}
"""Fields that a mistake on top of the page leads to."""


_KEPT = message(
    "What stood in the week when it was last printed or confirmed is proposed where it stood, "
    "as far as that time is still free."
)


def plan_evening_page(
    evening: Evening,
    step: str,
    *,
    task: str = "",
    at: str = "",
    typed: Typed | None = None,
    undo: UndoLine | None = None,
    said: str = "",
) -> bytes:
    """The page at one step; `task` names the loose end to show first, `at` where it goes on.

    `typed` is what was sent and could not be saved. TemplateError where a template is broken.
    """
    made = _Page(evening, step, task, typed or Typed()).record(undo, said, at)
    return render_served(evening.language, "plan_evening.html", made, evening.templates)


def plan_over_page(
    config: Config,
    language: Language,
    week: IsoWeek,
    other: IsoWeek,
    text: Message,
    templates: Path | None = None,
) -> bytes:
    """What is said of a week that cannot be planned, with the way to `other`, which can."""
    heading = language.text(message("Plan {week}", week=str(week)))
    page = PlanOverPage(
        **served_frame(config, language, "plan", heading),
        text=language.text(text),
        ways=(
            Link(f"/plan/{other}", language.text(message("Plan {week}", week=str(other)))),
            Link(f"/{week}.html", language.text(message("Look at {week}", week=str(week)))),
        ),
    )
    return render_served(language, "plan_evening_over.html", page, templates)


def first_step(evening: Evening) -> str:
    """The step that an evening begins with."""
    return Steps(evening, _words(evening)).first_open()


def _words(evening: Evening) -> Words:
    return Words(
        SiteInput(
            config=evening.config,
            language=evening.language,
            weeks=(),
            months=(),
            today=evening.today,
            elsewhere=evening.pages,
        )
    )


class _Page:
    def __init__(self, evening: Evening, step: str, task: str, typed: Typed) -> None:
        self.evening = evening
        self.words = _words(evening)
        self.step = step
        self.task = task
        self.typed = typed
        self.lines = Lines(evening, self.words)

    def record(self, undo: UndoLine | None, said: str, at: str) -> PlanEveningPage:
        evening, words = self.evening, self.words
        steps = Steps(evening, words).all()
        place = list(NAMES).index(self.step)
        first, last = evening.spread.days[0].date, evening.spread.days[-1].date
        dates = words.language.span(first, last)
        label = words.week_label(first)
        heading = words.text(message("Plan {week}", week=label))
        proposal = evening.spread.plan.proposal if evening.spread.plan is not None else None
        to_place = self.lines.to_place()
        return PlanEveningPage(
            **served_frame(
                evening.config,
                evening.language,
                "plan",
                heading,
                words.text(message("{step}, {week}", step=steps[place].name, week=label)),
            ),
            said=said,
            undo=undo,
            stale=()
            if self.typed.wish is not None
            else tuple(map(words.plan_text, self.typed.stale)),
            mistakes=tuple(
                MistakeLine(
                    name if name in LABELS else "",
                    words.text(LABELS[name]) if name in LABELS else "",
                    words.plan_text(text),
                )
                for name, text in self.typed.mistakes.items()
            ),
            action=action(evening),
            week=label,
            dates=dates,
            last_week=words.week_label(evening.before.days[0].date),
            step=steps[place],
            steps=steps,
            back=Link(steps[place - 1].href, steps[place - 1].name) if place else None,
            on=Link(steps[place + 1].href, steps[place + 1].name)
            if place + 1 < len(steps)
            else None,
            days=self.lines.days(),
            proposed=sum(bool(one.proposed) for one in to_place),
            proposed_breaks=len(proposal.breaks) if proposal is not None else 0,
            tasks=to_place if self.step == "days" else (),
            kept=words.text(_KEPT) if self.step == "days" and evening.is_kept else "",
            person=words.person(evening.person) if evening.person is not None else None,
            unlock=f"{address(evening, self.step)}&unlock=1" if evening.can_unlock else "",
            people=words.persons(
                one.id for one in evening.config.people if not one.child or self.step == "habits"
            ),
            soonest=evening.today.isoformat(),
            at=at,
            conflict=self._conflict(),
            wrong={name: words.plan_text(text) for name, text in self.typed.mistakes.items()},
            typed={name: values[-1] for name, values in self.typed.fields.items() if values},
            **self._of_step(),
        )

    def _of_step(self) -> dict[str, Any]:
        """The fields that only this step has."""
        given = (self.evening, self.words, self.lines, self.typed)
        last, coming = LastWeek(*given, self.task), NextWeek(*given)
        made = {
            "loose": last.loose,
            "marks": last.marks,
            "lessons": last.lessons,
            "bills": last.bills,
            "questions": last.questions,
            "close": last.close,
            "ahead": coming.ahead,
            "days": coming.days,
            "habits": coming.habits,
            "rows": coming.rows,
            "done": coming.done,
        }
        return {"places": (), **made[self.step]()}

    def _conflict(self) -> EveningConflict | None:
        typed = self.typed
        if typed.wish is None:
            return None
        return EveningConflict(
            tuple(map(self.words.plan_text, typed.stale)),
            self.words.plan_text(typed.wish),
            tuple((name, value) for name, values in typed.fields.items() for value in values)
            if typed.again
            else (),
        )
