"""Tests of `weeksync.paper`."""
