"""The household folder on disk: read, given its ids, begun, and its files replaced safely."""

from weeksync.household.files import replace_file
from weeksync.household.ids import write_missing_ids
from weeksync.household.new import DEFAULT_AREAS, NewHousehold, create_household, people_named
from weeksync.household.passwords import password, password_problems
from weeksync.household.reading import read_household

__all__ = [
    "DEFAULT_AREAS",
    "NewHousehold",
    "create_household",
    "password",
    "password_problems",
    "people_named",
    "read_household",
    "replace_file",
    "write_missing_ids",
]
