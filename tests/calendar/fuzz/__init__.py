"""Fuzzing of the calendar reader: `target` judges any bytes, `corpus` holds what was found.

`python -m tests.calendar.fuzz --minutes N` runs it at the desk, `test_fuzz` in CI.
"""
