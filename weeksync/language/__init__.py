"""The words and forms of a locale: catalogues, dates, numbers, money, and how weeks are counted.

`Language(locale)` says it all in one locale. `week_rule` and `weekend` are what CLDR knows about
a territory. The catalogues are kept up with `python -m weeksync.language.extract`.
"""

from weeksync.language.language import DateForm, Language, Width
from weeksync.language.money import minor_digits
from weeksync.language.weeks import week_rule, weekend

__all__ = ["DateForm", "Language", "Width", "minor_digits", "week_rule", "weekend"]
