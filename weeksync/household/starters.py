"""What a new household's files say before anything is in them: comments with examples to use.

Lines that begin with `#` and no space are an example: without the `#` they are valid. `$person`,
`$area` and `$currency` are filled in.
"""

from __future__ import annotations

STARTERS: dict[str, str] = {
    "appointments.toml": """\
# What stands in no calendar. Times are local to the household; a date alone takes the whole day.
# An id is written into each entry by weeksync; leave it there, marks and history hang on it.
format = 1

#[[appointments]]
#title = "Chimney sweep"
#person = $person
#start = 2027-03-24T10:00:00
#minutes = 45
#place = "At home"
""",
    "routines.toml": """\
# Standing demands on somebody's time that are not worth a line on the page: meals, school run.
format = 1

#[[routines]]
#title = "Breakfast and school run"
#person = $person
#days = ["monday", "tuesday", "wednesday", "thursday", "friday"]
#hours = "07:15-08:45"
""",
    "tasks.toml": """\
# What is to be done. Only the title is needed. What is done moves to a file for its year.
format = 1

#[[tasks]]
#title = "Mend the garden gate"
#area = $area
#person = $person
#due = 2027-03-27
#estimate = 45
""",
    "habits.toml": """\
# What is done again and again, and daily figures to note. Without days it is due every day.
# kind is yes/no, count, minutes, hours or scale. health = true: never shared.
format = 1

#[[habits]]
#title = "Walk before breakfast"
#area = $area
#person = $person
#order = 10
#part = "morning"
#days = ["monday", "wednesday", "friday"]
#
#[[habits]]
#title = "Sleep"
#person = $person
#order = 1
#kind = "hours"
#target = 7.5
#health = true
""",
    "money.toml": """\
# Bills, pay days and saving goals. Amounts are in the smallest unit: 4250 for 42.50.
# repeats is RRULE text of RFC 5545. A due date on no business day moves: bills that are
# collected to the next one, bills paid by hand and pay to the one before.
format = 1
$currency

#[[bills]]
#title = "Water"
#amount = 4250
#first = 2027-03-24
#repeats = "FREQ=MONTHLY;BYMONTHDAY=24"
#
#[[pay_days]]
#id = "wages"
#title = "Wages"
#first = 2027-03-26
#repeats = "FREQ=WEEKLY;INTERVAL=4"
#
#[[goals]]
#title = "New kiln"
#amount = 60000
#pay_day = "wages"
#start = 2027-03-26
#end = 2027-12-31
""",
    "terms.toml": """\
# Terms of lessons, breaks in them, and the lessons of each child. First and last day belong to it.
format = 1

#[[terms]]
#id = "spring-2027"
#name = "Spring term"
#start = 2027-01-06
#end = 2027-03-25
#
#[[breaks]]
#name = "Half term"
#start = 2027-02-15
#end = 2027-02-19
#
#[[lessons]]
#child = $person
#subject = "Fractions"
#days = ["tuesday", "thursday"]
#minutes = 45
""",
}

FOLDERS = {"weeks": 0o777, "marks": 0o700, "check-ins": 0o700, "archive": 0o700, "snapshots": 0o700}
"""Folders of a household, each with its mode less the umask: some are nobody else's business."""
