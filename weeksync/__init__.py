"""weeksync: calendars and household files in, week pages and month overviews out."""

__version__ = "0.1.0"
