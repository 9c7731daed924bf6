"""The page "Plan this week": close the last week, plan the next one, one step at a time.

Its address is `/plan/2027-W13`, and `/plan/` leads to the week that is planned at this time (see
`spans.week_ahead`). What is decided is written at once, by the functions that the commands use.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from weeksync.errors import EditRefused, UsageError
from weeksync.message import Message, message
from weeksync.model.week import IsoWeek
from weeksync.serve.desk import FormAnswer, FormPage, GoTo, Sender, Unlock
from weeksync.site.plan_evening import first_step, plan_evening_page, plan_over_page
from weeksync.site.plan_evening_facts import Evening, Typed
from weeksync.site.plan_evening_lines import anchor
from weeksync.site.plan_evening_steps import NAMES
from weeksync.workflow import evening_last as last
from weeksync.workflow import evening_next as coming
from weeksync.workflow.carry import again
from weeksync.workflow.context import Context
from weeksync.workflow.evening_sitting import Deed, Fields, Meanwhile, Missaid, Sitting
from weeksync.workflow.evening_state import evening_of
from weeksync.workflow.kept_pages import templates_of
from weeksync.workflow.spans import week_ahead, week_named
from weeksync.workflow.undo import said, undo_line, undoable

_DEEDS: Mapping[str, tuple[str, Callable[[Sitting], Deed]]] = {
    "done": ("loose", last.done),
    "proposed": ("loose", last.as_proposed),
    "to": ("loose", coming.place),
    "date": ("loose", last.give_date),
    "park": ("loose", last.park),
    "split": ("loose", last.split),
    "drop": ("loose", last.drop),
    "leave": ("loose", last.leave),
    "marks": ("marks", last.marks),
    "make-up": ("lessons", last.make_up),
    "paid": ("bills", last.paid),
    "answers": ("questions", last.answers),
    "close": ("close", last.close),
    "reopen": ("close", last.reopen),
    "place": ("days", coming.place),
    "accept": ("days", coming.accept),
    "accept-all": ("days", coming.accept_all),
    "accept-breaks": ("days", coming.accept_breaks),
    "off": ("days", coming.off),
    "matter": ("days", coming.matter),
    "matter-off": ("days", coming.matter_off),
    "lighter": ("habits", coming.lighter),
    "lighter-off": ("habits", coming.lighter_off),
    "rows": ("rows", coming.rows),
    "agree": ("done", coming.agree),
}
"""What a form asks for → (the step it belongs to, what is done)."""

HEADING = "step-heading"
"""The heading of a step: the page goes on from there where nothing else is named."""


def show(
    context: Context, rest: str, query: Mapping[str, str], sender: Sender
) -> FormAnswer | None:
    """The page of a week at a step; UsageError for a week that cannot be planned."""
    if not rest:
        return GoTo(f"/plan/{week_ahead(context)}")
    week = _week(context, rest)
    if week is None:
        return None
    if str(week) != rest:
        return GoTo(f"/plan/{week}")
    if query.get("unlock") and sender.person is None:
        return Unlock()
    if (over := _over(context, week)) is not None:
        return over
    evening = evening_of(context, week, sender)
    step = query.get("step", "")
    if step not in NAMES:
        step = first_step(evening)
    page = _page(
        context,
        evening,
        step,
        sender,
        task=query.get("task", ""),
        at=query.get("at", "")[:40],
        told=_told(evening, query.get("told", "")),
    )
    return FormPage(page)


def take(context: Context, rest: str, fields: Fields, sender: Sender) -> FormAnswer | None:
    """Do what was sent, and go on; the page again where that cannot be, with what was typed."""
    week = _week(context, rest)
    named = (fields.get("do") or ("",))[-1]
    if week is None or named not in _DEEDS:
        return None
    if (over := _over(context, week)) is not None:
        return over
    step, make = _DEEDS[named]
    evening = evening_of(context, week, sender)
    sitting = Sitting(context, evening, fields, sender.device or "plan")
    deed: Deed | None = None
    try:
        deed = make(sitting)
        _do(context, deed)
    except Missaid as wrong:
        typed = Typed(fields, wrong.mistakes)
        return FormPage(_page(context, evening, step, sender, sitting, typed), 422)
    except UsageError as error:
        typed = Typed(fields, {"": error.message})
        return FormPage(_page(context, evening, step, sender, sitting, typed), 422)
    except Meanwhile as other:
        typed = Typed(_anew(sitting), {}, other.texts, other.wish, other.again)
        return FormPage(_page(context, evening, step, sender, sitting, typed), 409)
    except EditRefused as refused:
        texts = (refused.message, *(problem.what for problem in refused.problems))
        now = again(context)
        evening = evening_of(now, week, sender)
        wish = deed.what if deed is not None else message("a change in a file of the household")
        typed = Typed(fields, {}, texts, wish, again=False)
        return FormPage(_page(now, evening, step, sender, sitting, typed), 409)
    place = anchor(deed.then) if deed.then else HEADING
    # Twice: the script that fetches an answer is not told the fragment of its address.
    tells = f"&told={deed.tells}" if deed.tells else ""
    return GoTo(f"/plan/{week}?step={step}&at={place}{tells}#{place}")


def _told(evening: Evening, name: str) -> Message | None:
    """What was just done and cannot be taken back, as long as it still holds."""
    is_closed = evening.closing.at is not None
    plan = evening.spread.plan
    if name == "closed" and is_closed:
        return message("{week} is closed", week=str(evening.last))
    if name == "open" and not is_closed:
        return message("{week} is open again", week=str(evening.last))
    if name == "agreed" and plan is not None and plan.confirmed is not None:
        return message("{week} is agreed on", week=str(evening.week))
    return None


def _do(context: Context, deed: Deed) -> None:
    if not deed.kept:
        deed.do()
        return
    with undoable(context, deed.what, deed.only_for):
        deed.do()


def _week(context: Context, rest: str) -> IsoWeek | None:
    """The week of an address; None where it names none."""
    try:
        return week_named(rest, context)
    except UsageError:
        return None


def _over(context: Context, week: IsoWeek) -> FormPage | None:
    """What is said of a week that is closed or over; None of one that can be planned."""
    if week in context.archive.weeks:
        text = message(
            "{week} is closed: it is kept as it was. Who wants to change it opens it again first.",
            week=str(week),
        )
    elif context.rule.days(week)[-1] < context.today:
        text = message("{week} is over; there is nothing to plan in it any more.", week=str(week))
    else:
        return None
    coming_week = max(week_ahead(context), context.rule.week_of(context.today))
    if coming_week == week:
        coming_week = week.shifted(1)
    page = plan_over_page(
        context.config, context.language, week, coming_week, text, templates_of(context)
    )
    return FormPage(page, 409)


def _anew(sitting: Sitting) -> Fields:
    """The same fields, with what stands now in place of what was seen."""
    was = sitting.evening.was
    if task := sitting.text("task").rpartition("|")[0]:
        return {**sitting.fields, "task": (f"{task}|{was.get(f'task:{task}', '')}",)}
    lesson, bill = sitting.text("lesson"), sitting.text("bill").rpartition("/")[0]
    now = was.get(f"lesson:{lesson}") or was.get(f"bill:{bill}")
    return {**sitting.fields, "was": (now,)} if now else sitting.fields


def _page(
    context: Context,
    evening: Evening,
    step: str,
    sender: Sender,
    sitting: Sitting | None = None,
    typed: Typed | None = None,
    *,
    task: str = "",
    at: str = "",
    told: Message | None = None,
) -> bytes:
    address = f"/plan/{evening.week}?step={step}"
    # Where something else is told, the last step beside it would be taken for that.
    is_other = typed is not None or told is not None
    news = context.language.text(told) if told is not None else ""
    return plan_evening_page(
        evening,
        step,
        task=task or (sitting.text("task").rpartition("|")[0] if sitting is not None else ""),
        typed=typed,
        at=at,
        undo=None if is_other else undo_line(context, sender.person, address),
        said=news if is_other else said(context, sender.person),
    )
