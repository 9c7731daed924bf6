"""What every command starts with: the household as read, its zone, its language, and `now`."""

from __future__ import annotations

from datetime import date, datetime
from functools import cached_property
from pathlib import Path
from zoneinfo import ZoneInfo

from weeksync import zones
from weeksync.errors import UsageError
from weeksync.household import Archive
from weeksync.household.kept import keep_household, kept_household
from weeksync.language import Language, week_rule
from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.config import Config
from weeksync.model.household import HouseholdFiles
from weeksync.model.limits import ExpandLimits, PullLimits, ReadLimits
from weeksync.model.week import WeekRule

STATE = "state"
"""The folder of the store inside the household folder."""


@dataclass(frozen=True)
class Context:
    """One household at one instant. `now` is in UTC."""

    folder: Path
    files: HouseholdFiles
    now: datetime
    output_folder: Path | None = None
    is_kept: bool = False
    """Whether the household's files were as a night before had read them (`household.kept`)."""

    @classmethod
    def read(
        cls,
        folder: Path,
        now: datetime,
        *,
        output: Path | None = None,
        give_ids: bool = True,
        may_be_kept: bool = False,
    ) -> Context:
        """Read the household; HouseholdError with every mistake where it cannot be used.

        `give_ids` writes an id into every entry that has none, so that marks can refer to it. With
        `may_be_kept` the files are not read where they are as they were when a night read them.
        """
        if folder.is_file():
            raise UsageError(
                message(
                    "{place} is a file; name the folder it lies in, as --household {folder}",
                    place=str(folder),
                    folder=str(folder.parent),
                )
            )
        held = _kept(folder) if may_be_kept else None
        files = held or _read(folder, give_ids=give_ids)
        if any(one.password_env for one in files.config.calendars):
            from weeksync.household.passwords import withhold_passwords

            withhold_passwords(files.config.calendars)
        return cls(folder, files, now, output, held is not None)

    def keep(self) -> None:
        """Keep the household as it was read, for the next night; see `household.kept`."""
        if not self.is_kept:
            from weeksync.workflow.program import program_print

            keep_household(self.files, self.folder, self.state, program_print())

    @property
    def config(self) -> Config:
        """The household's `config.toml`."""
        return self.files.config

    @cached_property
    def tz(self) -> ZoneInfo:
        """The household's zone."""
        return zones.zone(self.config.household.time_zone)

    @cached_property
    def language(self) -> Language:
        """The household's language."""
        return Language(self.config.household.locale)

    @cached_property
    def rule(self) -> WeekRule:
        """How weeks start and are numbered here."""
        home = self.config.household
        return week_rule(home.locale, home.region, home.first_weekday)

    @cached_property
    def archive(self) -> Archive:
        """The closed weeks; their records are read as they are asked for."""
        return Archive(self.folder)

    @property
    def first_person(self) -> str:
        """The person whose files need no name: the first of `config.toml`."""
        return self.config.people[0].id

    def known_person(self, person: str) -> str:
        """The id, where `config.toml` has it; else UsageError with those that it has."""
        if self.config.person(person) is None:
            raise UsageError(
                message(
                    'config.toml has no "{value}"; it has: {known}',
                    value=person[:40],
                    known=", ".join(one.id for one in self.config.people),
                )
            )
        return person

    @property
    def local_now(self) -> datetime:
        """`now` in the household's zone."""
        return self.now.astimezone(self.tz)

    @property
    def today(self) -> date:
        """The household's date at `now`."""
        return self.local_now.date()

    @property
    def state(self) -> Path:
        """The folder of the store."""
        return self.folder / STATE

    @property
    def output(self) -> Path:
        """The folder the pages go to."""
        return self.output_folder or self.folder / self.config.site.output

    @property
    def limits(self) -> PullLimits:
        """The bounds of a pull."""
        pull = self.config.pull
        return PullLimits(
            float(pull.timeout_seconds),
            float(pull.budget_seconds),
            pull.max_megabytes * 1024**2,
            pull.max_megabytes_per_source * 1024**2,
        )

    @property
    def expand_limits(self) -> ExpandLimits:
        """The bounds of reading and expanding calendars."""
        asked = self.config.limits
        return ExpandLimits(
            per_uid=asked.occurrences_per_event,
            per_source=asked.occurrences_per_source,
            per_run=asked.occurrences_per_run,
            steps_per_uid=asked.steps_per_event,
            steps_per_source=asked.steps_per_source,
            steps_per_run=asked.steps_per_run,
            entries_per_source=asked.entries_per_source,
            entries_per_run=asked.entries_per_run,
            read=ReadLimits(asked.entries_per_object),
        )


def _read(folder: Path, *, give_ids: bool) -> HouseholdFiles:
    from weeksync.household import read_household, write_missing_ids

    if give_ids and (folder / "config.toml").is_file():
        write_missing_ids(folder)
    return read_household(folder)


def _kept(folder: Path) -> HouseholdFiles | None:
    from weeksync.workflow.program import program_print

    return kept_household(folder, folder / STATE, program_print())
