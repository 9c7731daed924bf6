"""`weeksync serve`: the built site, marks and pages of one's own over HTTP.

`run` serves a `Desk` until it is told to stop; `Access` is who may come in. `workflow` joins
both with the household.
"""

from weeksync.serve.access import Access, Device
from weeksync.serve.app import make_app
from weeksync.serve.desk import (
    Desk,
    FormAnswer,
    FormPage,
    GoTo,
    Held,
    OwnPage,
    Refused,
    Saved,
    Sender,
    Taken,
    Unlock,
)
from weeksync.serve.options import Options, sign_in_address
from weeksync.serve.protocol import Limits
from weeksync.serve.running import run

__all__ = [
    "Access",
    "Desk",
    "Device",
    "FormAnswer",
    "FormPage",
    "GoTo",
    "Held",
    "Limits",
    "Options",
    "OwnPage",
    "Refused",
    "Saved",
    "Sender",
    "Taken",
    "Unlock",
    "make_app",
    "run",
    "sign_in_address",
]
