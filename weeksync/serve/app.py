"""The application: which address is answered by what."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from starlette.routing import Route, Router
from starlette.types import ASGIApp

from weeksync.lazy import dataclass
from weeksync.serve.access import Access
from weeksync.serve.addresses import PARTS
from weeksync.serve.changes import Changes
from weeksync.serve.desk import Desk
from weeksync.serve.feeds import Feeds
from weeksync.serve.forms import Forms
from weeksync.serve.guard import Guard
from weeksync.serve.house import House
from weeksync.serve.marks import Marks
from weeksync.serve.options import Options
from weeksync.serve.pages import Pages
from weeksync.serve.protocol import Limits
from weeksync.serve.unlocked import Unlocked
from weeksync.serve.who import Doors


@dataclass(frozen=True, slots=True)
class Made:
    """The application, and who is to be told when it ends."""

    app: ASGIApp
    changes: Changes
    limits: Limits


def make_app(desk: Desk, access: Access, options: Options, limits: Limits | None = None) -> Made:
    """The application over a desk; it runs on one event loop at a time."""
    limits = limits or Limits()
    changes = Changes(limits.listeners)
    desk.on_built(changes.tell)
    unlocked = Unlocked(options.lock_minutes * 60)
    doors = Doors(access, options, unlocked, desk.household_key)
    house = House(desk, access, options, doors, changes)

    @asynccontextmanager
    async def life(_: object) -> AsyncIterator[None]:
        changes.start()
        yield
        changes.close()

    router = Router(_routes(house), redirect_slashes=False, lifespan=life)
    return Made(Guard(router, desk, options, limits), changes, limits)


def _routes(house: House) -> list[Route]:
    pages, marks = Pages(house), Marks(house)
    forms = Forms(house, pages)
    shared = ("POST", "OPTIONS")
    return [
        *(route for part in PARTS for route in _form_routes(forms, part)),
        Route("/marks", marks.shared(marks.marks), methods=shared),
        Route("/pairings", marks.shared(marks.pairings), methods=shared),
        Route("/check-ins", marks.check_ins, methods=["POST"]),
        Route("/changes", pages.changes),
        Route("/sign-in", pages.sign_in_page),
        Route("/sign-in", pages.sign_in, methods=["POST"]),
        Route("/sign-in.js", pages.beside),
        Route("/access.css", pages.beside),
        Route("/sign-out", pages.sign_out, methods=["POST"]),
        Route("/own/unlock", pages.unlock, methods=["POST"]),
        Route("/own/lock", pages.lock, methods=["POST"]),
        Route("/own/{path:path}", pages.own),
        Route("/feeds/{token:str}/plan.ics", Feeds(house).plan),
        Route("/household-ca.crt", pages.authority),
        Route("/household-ca.cer", pages.authority),
        Route("/{path:path}", pages.site),
    ]


def _form_routes(forms: Forms, part: str) -> list[Route]:
    return [
        Route(f"/{part}", forms.whole),
        Route(f"/{part}/{{path:path}}", forms.show),
        Route(f"/{part}/{{path:path}}", forms.take, methods=["POST"]),
    ]
