"""Sheets of paper: a week or a month laid out in millimetres, written as HTML, made a PDF.

A page is laid out before anything is rendered: its words are broken into lines by measured
widths and stand at fixed places, so that no engine can clip them. What has no room goes to a
continuation, with a reference where it is missing.
"""
