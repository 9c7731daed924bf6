"""A shared week goes out: page, pictures, PDF and busy times, and where they are published.

Everything here is made from `weeksync.model.shared.SharedWeek` and from nothing else: this part
imports neither the plan nor the household, and is handed no path into it. Outputs are made in
memory, one name each (`outputs`), read back as texts (`reading`) for the audit of
`weeksync.redact`, and only then put in a folder (`publishing`).
"""
