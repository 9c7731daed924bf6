"""The canary household read as `share` reads it, and rule sets put over it in memory."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

from tests.support.canary import MODELS, NOW, WEEK, Canary, completed, write_canary
from tests.support.canary_fill import filled
from tests.support.canary_rules import RuleSet, household_shares
from weeksync.message import Message
from weeksync.model.files import Habit
from weeksync.model.household import HouseholdFiles
from weeksync.model.problem import Problem
from weeksync.model.shared import Redacted, SharedWeek
from weeksync.model.spread import DayOccurrence, Spread
from weeksync.model.week_plan import WeekPlan
from weeksync.read.checked import checked
from weeksync.redact import Sources, redact
from weeksync.workflow.context import Context
from weeksync.workflow.opening import open_store
from weeksync.workflow.pull import pull
from weeksync.workflow.sharing_rules import sources_of


@dataclass(frozen=True)
class Read:
    """The household, and what a shared week of it is made from where nothing is released."""

    canary: Canary
    sources: Sources

    def said(self, rules: RuleSet) -> Sources:
        """The same week with that rule set in its files."""
        words, files = self.canary.words, self.sources.files
        parts: dict[str, Any] = {}
        for name, model, data in household_shares(words, rules):
            full = completed(model, {"format": 1, **data}, words, name)
            record = checked(MODELS[name], full)
            parts |= {"config": record} if name == "config.toml" else _array(record)
        if "habit health" in dict(rules.entries):  # a file cannot say so; who knows what can
            parts["habits"] = tuple(
                _released(one) if one.health else one for one in parts["habits"]
            )
        return replace(self.sources, files=replace(files, **parts))

    def redacted(self, rules: RuleSet) -> Redacted:
        """What that rule set lets through."""
        return redact(self.said(rules))


def _released(habit: Habit) -> Habit:
    return replace(habit, share=True)


def _array(record: Any) -> dict[str, Any]:
    name = next(one for one in record.field_names() if one != "format")
    return {name: getattr(record, name)}


def read_canary(folder: Path, rules: RuleSet | None = None) -> Read:
    """Written, pulled, and read; with what a past week leaves empty filled in by its types."""
    canary = write_canary(folder) if rules is None else write_canary(folder, rules)
    context = pulled(canary)
    sources = sources_of(context, WEEK)
    files = replace(sources.files, problems=(filled(Problem, canary.words, "files.problems"),))
    return Read(canary, replace(sources, spread=_full(sources.spread, canary), files=files))


def pulled(canary: Canary) -> Context:
    """The household as a command reads it, its calendars pulled."""
    context = Context.read(canary.folder, NOW)
    with open_store(context) as store:
        pull(context, store, only=canary.calendars)
    return Context.read(canary.folder, NOW)


def _full(spread: Spread, canary: Canary) -> Spread:
    words = canary.words
    problem = filled(Problem, words, "spread.problems")
    decision = filled(Message, words, "spread.decisions")

    def of_a_server(one: DayOccurrence) -> DayOccurrence:
        where = words("collection on a server") if one.occurrence.source else ""
        return one._replace(occurrence=replace(one.occurrence, collection=where))

    days = tuple(
        replace(day, problems=(problem,), occurrences=tuple(map(of_a_server, day.occurrences)))
        for day in spread.days
    )
    return replace(
        spread,
        days=days,
        problems=(problem,),
        decisions=(decision,),
        own_decisions=(((words("person 0"),), decision),),
        plan=filled(WeekPlan, words, "spread.plan"),
    )


def everything(shared: SharedWeek) -> str:
    """All that a shared week holds, as text in several spellings."""
    return json.dumps(asdict(shared), default=str, ensure_ascii=False) + repr(shared)


def files_of(read: Read) -> HouseholdFiles:
    """The household's files as they were read."""
    return read.sources.files
