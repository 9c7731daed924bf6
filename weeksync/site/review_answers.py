"""The page on which the household's own questions about a week are answered."""

from __future__ import annotations

from weeksync.language import Language
from weeksync.message import message
from weeksync.model.config import Config
from weeksync.model.week import IsoWeek, WeekRule
from weeksync.site.forms import served_frame
from weeksync.site.record import FormField, FormFields, Link, PersonMark
from weeksync.site.record.review import AnswersPage
from weeksync.site.review_links import review_name


def answers_address(week: IsoWeek) -> str:
    """Where `weeksync serve` has that page."""
    return f"/answers/{week}"


def answers_page(
    config: Config,
    language: Language,
    rule: WeekRule,
    week: IsoWeek,
    person: str,
    fields: tuple[FormField, ...],
    sent: FormFields,
) -> AnswersPage:
    """The questions to the person; `sent` is what has become of what was sent last."""
    days, found = rule.days(week), config.person(person)
    number = language.digits(str(rule.number(days[0])[1]))
    label = language.text(message("Week {number}", number=number))
    return AnswersPage(
        **served_frame(
            config,
            language,
            "answers",
            language.text(message("Your own questions: {what}", what=label)),
        ),
        action=answers_address(week),
        person=PersonMark(person, found.name, found.mark)
        if found is not None
        else PersonMark(person, person, person[:1].upper()),
        dates=language.span(days[0], days[-1]),
        fields=fields,
        back=Link(
            f"/own/{review_name(week)}",
            language.text(message("Looking back: {what}", what=label)),
        ),
        said=sent.said,
        mistakes=sent.mistakes,
        stale=sent.stale,
        seen=sent.seen,
        undo=sent.undo,
    )
