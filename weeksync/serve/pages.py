"""Pages: the built site, signing a device in and out, and pages of one's own behind a PIN."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from weeksync.errors import UsageError
from weeksync.message import message
from weeksync.serve import site_files
from weeksync.serve.addresses import is_form
from weeksync.serve.answers import Wrong, form
from weeksync.serve.certificate import authority_file
from weeksync.serve.house import House, blocking
from weeksync.serve.marks import redeem

STATUS = "status.js"

LINKS = (
    ("/plan/", message("Plan the week")),
    ("/edit/", message("Add")),
    ("/own/check-in.html", message("Check-in")),
    ("/own/", message("Your own pages")),
    ("/", message("Common pages")),
)
"""Where pages lead when they are served, and the files of the site do not: to the pages of one's
own and back."""
EDIT = message("Change:")
"""What stands, for the ear, before the title of an entry that has a form."""
OPEN_FILES = frozenset({"style.css", "icon.svg"})
"""What the sign-in page needs; there is nothing of the household in them."""
_INSIDE = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,90}(\?day=\d{4}-\d{2}-\d{2})?", re.ASCII)


class Pages:
    """Everything a browser goes to."""

    def __init__(self, house: House) -> None:
        self._house = house
        self._desk = house.desk
        self._doors = house.doors

    # The site

    async def site(self, request: Request) -> Response:
        """A file of the built site."""
        path = request.scope["path"].removeprefix("/") or "index.html"
        if path not in OPEN_FILES and not self._doors.caller(request).signed_in:
            return self._to_sign_in(path)
        return self._file(request, path)

    def _to_sign_in(self, path: str) -> Response:
        if path.endswith(".html"):
            return RedirectResponse("/sign-in", 303)
        raise Wrong(401, message("Sign this device in first."))

    def _file(self, request: Request, path: str) -> Response:
        try:
            content = site_files.read(self._desk.site_folder, path)
        except site_files.NoSite as error:
            raise Wrong(
                503, message("There are no pages yet; weeksync build makes them.")
            ) from error
        if content is None:
            raise Wrong(404, message("There is no such page."))
        headers = {"Content-Security-Policy": site_files.policy(path, content)}
        kind = site_files.media_type(path)
        if path == STATUS:
            return Response(content + self._served(request), 200, headers, kind)
        tag = site_files.etag(content)
        headers |= {"ETag": tag, "Cache-Control": "private, no-cache"}
        if site_files.is_known(request.headers.get("if-none-match", ""), tag):
            return Response(status_code=304, headers=headers)
        return Response(content, 200, headers, kind)

    def _served(self, request: Request) -> bytes:
        """How a page knows that it comes from here; `<` could end no script, it is no HTML."""
        caller = self._doors.caller(request)
        served = {
            "home": self._desk.household_key,
            "signedIn": caller.signed_in,
            "person": caller.person or "",
            "address": self._house.options.own_address,
            "lockSeconds": self._house.options.lock_minutes * 60,
            "edit": self._desk.text(EDIT),
            "links": [(href, self._desk.text(sentence)) for href, sentence in LINKS],
        }
        return f"const served = {json.dumps(served)};\n".encode("ascii")

    async def changes(self, request: Request) -> Response:
        """Tell an open page of rebuilds."""
        self._doors.signed_in(request)
        if self._house.changes.is_full:
            raise Wrong(503, message("Too many pages are open."), {"Retry-After": "60"})
        return self._house.changes.listen(lambda: self._doors.caller(request).signed_in)

    async def authority(self, request: Request) -> Response:
        """The household's authority, for a tablet to trust; public by its nature."""
        folder, name = self._house.options.tls_folder, request.scope["path"].removeprefix("/")
        content = authority_file(folder, name) if folder is not None else None
        if content is None:
            raise Wrong(404, message("There is no such page."))
        headers = {"Content-Disposition": f'attachment; filename="{name}"'}
        return Response(content, 200, headers, "application/x-x509-ca-cert")

    # Signing in and out

    async def sign_in_page(self, request: Request) -> Response:
        """Where the one-time code is typed in, or comes in the fragment."""
        return self._sign_in()

    async def beside(self, request: Request) -> Response:
        """The style sheet and the script of the pages on the way in; open to everybody."""
        name = request.scope["path"].removeprefix("/").replace("-", "_")
        headers = {"Cache-Control": "no-cache"}
        return Response(self._desk.render(name, {}), 200, headers, site_files.media_type(name))

    async def sign_in(self, request: Request) -> Response:
        """A device's cookie for its code. Whatever cookie it sent along counts for nothing."""
        code = (await form(request, "code"))["code"]
        try:
            token = await redeem(self._house, request, code, "pages")
        except Wrong as wrong:
            return self._sign_in(wrong)
        response = RedirectResponse("/", 303)
        self._doors.lock(request, response)
        self._doors.sign_in(request, response, token)
        return response

    def _sign_in(self, wrong: Wrong | None = None) -> Response:
        return self._template("sign_in.html", {}, wrong)

    async def sign_out(self, request: Request) -> Response:
        """The device is revoked here and now."""
        response = RedirectResponse("/sign-in", 303)
        await blocking(lambda: self._doors.sign_out(request, response))
        return response

    def _template(
        self, name: str, values: Mapping[str, object], wrong: Wrong | None, status: int = 200
    ) -> Response:
        said = self._desk.text(wrong.text) if wrong is not None else ""
        content = self._desk.render(name, {"said": said, **values})
        headers = {"Content-Security-Policy": site_files.policy(name, content)}
        if wrong is not None:
            status, headers = wrong.status, headers | wrong.headers
        return Response(content, status, headers, site_files.TYPES["html"])

    # Pages of one's own

    async def own(self, request: Request) -> Response:
        """A page of the person who has unlocked; the PIN page for everybody else."""
        path = request.scope["path"].removeprefix("/own/") or "index.html"
        caller = self._doors.caller(request, use=path != STATUS)
        if not path.endswith(".html"):
            return self._own_file(request, path, signed_in=caller.signed_in)
        if not caller.signed_in:
            return self._to_sign_in(path)
        if not _INSIDE.fullmatch(path):
            raise Wrong(404, message("There is no such page."))
        person = caller.person
        if person is None:
            return self.pin_page(self._inside(path, request.url.query))
        query = dict(request.query_params)
        try:
            page = await blocking(lambda: self._desk.own_page(person, path, query))
        except UsageError as error:
            raise Wrong(400, error.message) from error
        if page is None:
            raise Wrong(404, message("There is no such page."))
        headers = {"Content-Security-Policy": site_files.policy(path, page.content)}
        if path != "check-in.html":  # what is being written there must not vanish
            # Without any script: what was unlocked does not stay on the screen.
            seconds = self._house.options.lock_minutes * 60 + 2
            headers["Refresh"] = f"{seconds}; url=/"
        return Response(page.content, 200, headers, site_files.TYPES["html"])

    def _own_file(self, request: Request, path: str, *, signed_in: bool) -> Response:
        """Style sheets and scripts are the site's: there is nothing of one's own in them."""
        if path not in OPEN_FILES and not signed_in:
            return self._to_sign_in(path)
        return self._file(request, path)

    def _next(self, wanted: str) -> str:
        """Where to go on after unlocking: a form, or a page of one's own."""
        if is_form(wanted) and "#" not in wanted:
            return wanted
        path, _, query = wanted.partition("?")
        return self._inside(path, query)

    def _inside(self, path: str, query: str) -> str:
        """Where to go on after unlocking: a page of one's own and nothing else."""
        wanted = f"{path}?{query}" if query else path
        return wanted if _INSIDE.fullmatch(wanted) else "index.html"

    def pin_page(self, then: str, person: str = "", wrong: Wrong | None = None) -> Response:
        """Who are you, and your PIN; `then` is where to go on, inside `/own/` or a form."""
        with_pin = self._house.access.pins()
        people = tuple((one, name) for one, name in self._desk.people.items() if one in with_pin)
        values = {"people": people, "next": then, "person": person}
        # 403, so that nobody keeps it under the page's own name.
        return self._template("pin.html", values, wrong, 403)

    async def unlock(self, request: Request) -> Response:
        """Compare the PIN."""
        caller = self._doors.signed_in(request)
        given = await form(request, "person", "pin", "next")
        then = self._next(given["next"])
        person, pin = given["person"], given["pin"]
        if person not in self._desk.people or len(pin) > 64:
            return self.pin_page(then, "", _wrong_pin())
        async with self._house.comparing:
            answer = await blocking(lambda: self._house.access.try_pin(person, pin))
        if answer.right:
            response = RedirectResponse(then if then.startswith("/") else f"/own/{then}", 303)
            self._doors.unlock(request, response, person, caller)
            return response
        wrong = _wrong_pin()
        if answer.wait:
            wrong = _wait(answer.wait, looked_at=answer.looked_at)
        return self.pin_page(then, person, wrong)

    async def lock(self, request: Request) -> Response:
        """Lock again, and go back to the common pages."""
        response = RedirectResponse("/", 303)
        self._doors.lock(request, response)
        return response


def _wrong_pin() -> Wrong:
    return Wrong(403, message("That is not the PIN. Try again."))


def _wait(seconds: int, *, looked_at: bool) -> Wrong:
    headers = {"Retry-After": str(seconds)}
    minutes = -(-seconds // 60)
    if looked_at:
        text = message(
            "That is not the PIN. The next try can be made in {minutes} min.", minutes=minutes
        )
    else:
        text = message("The next try can be made in {minutes} min.", minutes=minutes)
    return Wrong(429, text, headers)
