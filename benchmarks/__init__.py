"""Measurements of weeksync; commands of their own, never run as tests."""
