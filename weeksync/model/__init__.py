"""The words of weeksync as frozen records: what parts hand to each other.

Nothing in here reads a file, a clock, a zone or a locale of the machine.
"""
