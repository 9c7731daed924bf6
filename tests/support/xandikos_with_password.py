"""Xandikos behind its own password check, by plain HTTP; run as a program by `servers.py`.

`xandikos serve --htpasswd` insists on TLS, which is right everywhere but on loopback. This puts
together the same parts of Xandikos: its application and its check of names and passwords.
"""

from __future__ import annotations

import importlib
import sys
from typing import Any

from aiohttp import web
from xandikos.htpasswd import HtpasswdFile

xandikos: Any = importlib.import_module("xandikos.web")  # half of it has no type hints


def main(folder: str, passwords: str, principal: str, port: str) -> None:
    """Serve `folder` on loopback to the users in the htpasswd file `passwords`."""
    backend = xandikos.SingleUserFilesystemBackend(folder)
    backend._mark_as_principal(principal)
    backend.create_principal(principal, create_defaults=True)
    server = xandikos.XandikosApp(backend, current_user_principal=principal)

    async def handle(request: Any) -> Any:
        return await server.aiohttp_handler(request, "/")

    check = xandikos.basic_auth_middleware(HtpasswdFile(passwords))
    app = web.Application(middlewares=[check])
    for path in xandikos.WELLKNOWN_DAV_PATHS:
        app.router.add_route("*", path, xandikos.RedirectDavHandler("/").__call__)
    app.router.add_route("*", "/{path_info:.*}", handle)
    web.run_app(app, host="127.0.0.1", port=int(port), print=lambda *_: None, shutdown_timeout=0)


if __name__ == "__main__":
    main(*sys.argv[1:])
