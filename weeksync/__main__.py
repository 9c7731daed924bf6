"""`python -m weeksync` is the command `weeksync`."""

import sys

from weeksync.cli import main

sys.exit(main())
