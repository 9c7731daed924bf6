"""Pull calendars: files, feeds on the web, CalDAV servers; bytes and version tags come out.

    Source       the protocol that all three kinds keep
    source_for   the source behind a `[[calendars]]` entry of `config.toml`

Importing this package imports no HTTP library; the first source of a kind does.
"""

from weeksync.fetch.source import Source, source_for

__all__ = ["Source", "source_for"]
