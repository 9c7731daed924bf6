"""Tests of what goes out: pages, pictures, files, and where they are published."""
