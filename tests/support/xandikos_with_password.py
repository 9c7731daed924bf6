"""Xandikos behind its own password check, by plain HTTP; run as a program by `servers.py`.

`xandikos serve --htpasswd` insists on TLS, which is right everywhere but on loopback. This puts
together the same parts of Xandikos: its application and its check of names and passwords.
"""

from __future__ import annotations

import sys
from typing import Any

from aiohttp import web
from xandikos.htpasswd import HtpasswdFile
from xandikos.web import (
    WELLKNOWN_DAV_PATHS,
    RedirectDavHandler,
    SingleUserFilesystemBackend,
    XandikosApp,
    basic_auth_middleware,
)


def main(folder: str, passwords: str, principal: str, port: str) -> None:
    """Serve `folder` on loopback to the users in the htpasswd file `passwords`."""
    backend = SingleUserFilesystemBackend(folder)
    backend._mark_as_principal(principal)
    backend.create_principal(principal, create_defaults=True)
    xandikos = XandikosApp(backend, current_user_principal=principal)

    async def handle(request: Any) -> Any:
        return await xandikos.aiohttp_handler(request, "/")

    app = web.Application(middlewares=[basic_auth_middleware(HtpasswdFile(passwords))])
    for path in WELLKNOWN_DAV_PATHS:
        app.router.add_route("*", path, RedirectDavHandler("/").__call__)
    app.router.add_route("*", "/{path_info:.*}", handle)
    web.run_app(app, host="127.0.0.1", port=int(port), print=lambda *_: None)


if __name__ == "__main__":
    main(*sys.argv[1:])
