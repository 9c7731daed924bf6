"""Every fault that a night can meet, played through whole runs: what is told and what is kept."""
