"""The own questions about a week, answered on a page of `weeksync serve`: `/answers/2027-W12`.

Nobody but the person who has unlocked sees or writes them.
"""

from __future__ import annotations

from collections.abc import Mapping

from weeksync.errors import UsageError
from weeksync.message import Message, message
from weeksync.model.week import IsoWeek
from weeksync.serve.desk import FormAnswer, FormPage, GoTo, Sender, Unlock
from weeksync.site.forms import render_served
from weeksync.site.record import FormField, FormFields, MistakeLine
from weeksync.site.review_answers import answers_address, answers_page
from weeksync.workflow.context import Context
from weeksync.workflow.kept_pages import templates_of
from weeksync.workflow.review import (
    MOST_SIGNS,
    answer,
    answer_text,
    review_span,
    standing_answers,
)
from weeksync.workflow.undo import said, undo_line, undoable
from weeksync.workflow.versions import PREFIX, digests, stale

Fields = Mapping[str, tuple[str, ...]]


def show(
    context: Context, rest: str, query: Mapping[str, str], sender: Sender
) -> FormAnswer | None:
    """The form; without a week that of the week that is ending or has just ended."""
    if not rest:
        return GoTo(f"/answers/{review_span(context, '').id}")
    week = _week(context, rest)
    if week is None:
        return None
    if sender.person is None:
        return Unlock()
    held = standing_answers(context, sender.person, week)
    fields = tuple(
        _field(number, question, held.to(question))
        for number, question in enumerate(context.config.review.questions, 1)
    )
    sent = FormFields(
        said=said(context, sender.person),
        seen=tuple(digests(context, [held.name]).items()),
        undo=undo_line(context, sender.person, answers_address(week)),
    )
    return _page(context, week, sender.person, fields, sent, 200)


def take(context: Context, rest: str, fields: Fields, sender: Sender) -> FormAnswer | None:
    """Write the answers; a file that was changed meanwhile, and a text that cannot be, are said,
    and nothing is written."""
    week = _week(context, rest)
    if week is None:
        return None
    if sender.person is None:
        return Unlock()
    person, say = sender.person, context.language.text
    held = standing_answers(context, person, week)
    changed = bool(stale(context, fields, [held.name]))
    shown: list[FormField] = []
    mistakes: list[MistakeLine] = []
    typed: dict[str, str] = {}
    for number, question in enumerate(context.config.review.questions, 1):
        text = fields.get(f"answer-{number}", ("",))[-1]
        wrong = _wrong(text)
        stands = held.to(question)
        shown.append(
            _field(
                number,
                question,
                text,
                mistake=say(wrong) if wrong is not None else "",
                stands=stands if changed and stands != text else "",
            )
        )
        if wrong is not None:
            mistakes.append(MistakeLine(f"answer-{number}", question, say(wrong)))
        else:
            typed[question] = text
    meanwhile = (say(message("The answers of that week were changed meanwhile.")),)
    if mistakes or changed:
        sent = FormFields(
            mistakes=tuple(mistakes),
            stale=meanwhile if changed else (),
            seen=tuple(digests(context, [held.name]).items()),
        )
        return _page(context, week, person, tuple(shown), sent, 422 if mistakes else 409)
    seen = fields[f"{PREFIX}{held.name}"][-1]
    with undoable(context, message("Saved: the answers of week {week}", week=str(week)), (person,)):
        answer(context, person, week, typed, seen)
    return GoTo(answers_address(week))


def _week(context: Context, rest: str) -> IsoWeek | None:
    """The week of the address, where it has begun; a spread bears its name."""
    try:
        week = IsoWeek.parse(rest)
    except ValueError:
        return None
    return week if context.rule.days(week)[0] <= context.today else None


def _field(
    number: int, question: str, text: str, *, mistake: str = "", stands: str = ""
) -> FormField:
    return FormField(
        kind="long",
        name=f"answer-{number}",
        label=question,
        values=(text,),
        mistake=mistake,
        stands=stands,
        most=MOST_SIGNS,
    )


def _wrong(text: str) -> Message | None:
    try:
        answer_text(text)
    except UsageError as error:
        return error.message
    return None


def _page(
    context: Context,
    week: IsoWeek,
    person: str,
    fields: tuple[FormField, ...],
    sent: FormFields,
    status: int,
) -> FormPage:
    page = answers_page(context.config, context.language, context.rule, week, person, fields, sent)
    own = templates_of(context)
    return FormPage(render_served(context.language, "review_answers.html", page, own), status)
