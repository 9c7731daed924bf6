"""Every error that weeksync raises on purpose, as one tree.

    WeeksyncError
    ├── UsageError                a command was called in a way it cannot serve     exit 2
    ├── HouseholdError            household files that cannot be used; `.problems`   exit 2
    │   └── EditRefused           a file that was left as it is: changed meanwhile, or in a way
    │                             of writing in which just that cannot be changed
    ├── SourceError               one source could not be pulled; `.source`
    │   ├── SourceMissing         no such file, host name, calendar; 404, 410
    │   ├── SourceRefused         401, 403, a certificate that is not trusted
    │   ├── SourceUnreachable     refused, reset, time-out, too many redirects
    │   ├── SourceBusy            429 and 5xx; `.retry_after` in seconds or None
    │   └── SourceUnusable        an answer that is no calendar: HTML, empty, cut, too large
    ├── StoreError                the state database
    │   ├── StoreBusy             another run is writing
    │   ├── StoreDamaged          it cannot be read; it can be rebuilt from the sources
    │   └── StoreTooNew           written by a later weeksync
    ├── CertificateError          the household's certificate could not be made or renewed
    └── BuildError                pages could not be made; the last good site is still there
        └── TemplateError         a template is missing or broken; `.template`

Errors of libraries are translated where they are caught, with `raise … from`. The text of an
error is a `Message`: it names the place, the value and the remedy, and never a password.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from weeksync.message import Message

if TYPE_CHECKING:
    from weeksync.model.problem import Problem


class WeeksyncError(Exception):
    """What all of weeksync's own errors are; `message` is the sentence for people."""

    def __init__(self, message: Message) -> None:
        super().__init__(message)
        self.message = message

    def __str__(self) -> str:
        return str(self.message)


class UsageError(WeeksyncError):
    """A command was called in a way it cannot serve."""


class HouseholdError(WeeksyncError):
    """The household folder cannot be used; `problems` lists every mistake found in one run."""

    def __init__(self, message: Message, problems: Sequence[Problem] = ()) -> None:
        super().__init__(message)
        self.problems = tuple(problems)


class EditRefused(HouseholdError):
    """A household file was to be edited and was left as it is."""


class SourceError(WeeksyncError):
    """One source could not be pulled; `source` is the id of the calendar in `config.toml`."""

    def __init__(self, source: str, message: Message) -> None:
        super().__init__(message)
        self.source = source


class SourceMissing(SourceError):
    """There is nothing at that place: no file, no host of that name, 404, 410."""


class SourceRefused(SourceError):
    """The server does not let us in: 401, 403, or a certificate that is not trusted."""


class SourceUnreachable(SourceError):
    """No whole answer came: refused, reset, time-out, too many redirects."""


class SourceBusy(SourceError):
    """The server says later: 429 and 5xx. `retry_after` is in seconds, None where not said."""

    def __init__(self, source: str, message: Message, retry_after: float | None = None) -> None:
        super().__init__(source, message)
        self.retry_after = retry_after


class SourceUnusable(SourceError):
    """An answer came and is no calendar: HTML, empty, cut off, too large, undecodable."""


class StoreError(WeeksyncError):
    """The state database cannot do what was asked."""


class StoreBusy(StoreError):
    """Another run of weeksync is writing to this household."""


class StoreDamaged(StoreError):
    """The state database cannot be read.

    What the calendars still have can be pulled again; past objects that only we kept are in the
    file that is set aside.
    """


class StoreTooNew(StoreError):
    """The state database was written by a later version of weeksync."""


class CertificateError(WeeksyncError):
    """The household's certificate could not be made or renewed; what was there still is."""


class BuildError(WeeksyncError):
    """Pages could not be made; the last good site is untouched."""


class TemplateError(BuildError):
    """A template is missing or broken; `template` is its file name."""

    def __init__(self, template: str, message: Message) -> None:
        super().__init__(message)
        self.template = template
