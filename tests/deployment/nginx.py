"""nginx with a configuration that is shipped, unprivileged and on loopback.

The file is used as it is but for the names and places that its reader is told to put in; each of
them must stand in it.
"""

from __future__ import annotations

import base64
import os
import shutil
import socket
import ssl
import subprocess
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from http.client import HTTPConnection, HTTPResponse
from pathlib import Path

import pytest

from tests.support.chromium import root_command

DEPLOYMENT = Path(__file__).parents[2] / "weeksync" / "deployment"
USER, PASSWORD = "ines", "harbour-and-fir-cone-2"
LOGIN = "Basic " + base64.b64encode(f"{USER}:{PASSWORD}".encode()).decode()
PATIENCE = 60.0
_FRAME = """\
daemon off;
{user}
pid {folder}/nginx.pid;
error_log {folder}/start.log;
worker_processes 1;
events {{ worker_connections 256; }}
http {{
    client_body_temp_path {folder}/body;
    proxy_temp_path {folder}/proxy;
    fastcgi_temp_path {folder}/fastcgi;
    uwsgi_temp_path {folder}/uwsgi;
    scgi_temp_path {folder}/scgi;
    include {folder}/site.conf;
}}
"""
"""What Debian's /etc/nginx/nginx.conf does around the file, with places of our own."""


@contextmanager
def nginx(shipped: str, folder: Path, port: int, put_in: Mapping[str, str]) -> Iterator[Path]:
    """Runs it until the block ends; the folder that holds its logs. `put_in` is what its reader
    would change, old → new."""
    program = shutil.which("nginx", path=f"{os.environ['PATH']}:/usr/sbin")
    if program is None:
        pytest.fail(f"nginx is missing; run as root: {root_command()}")
    folder.mkdir()
    hashed = subprocess.run(
        ["openssl", "passwd", "-6", PASSWORD], capture_output=True, check=True, text=True
    ).stdout.strip()
    (folder / "users").write_text(f"{USER}:{hashed}\n")
    text = (DEPLOYMENT / shipped).read_text("utf-8")
    changes = {
        "listen 443 ssl;": f"listen 127.0.0.1:{port} ssl;",
        "    listen [::]:443 ssl;\n": "",
        "/etc/weeksync/users": str(folder / "users"),
        "/var/log/nginx/weeksync.log": str(folder / "weeksync.log"),
        **put_in,
    }
    for old, new in changes.items():
        assert old in text, f"{shipped} no longer says {old}"
        text = text.replace(old, new)
    (folder / "site.conf").write_text(text)
    user = "user root;" if os.geteuid() == 0 else ""
    frame = folder / "nginx.conf"
    frame.write_text(_FRAME.format(folder=folder, user=user))
    command = [program, "-e", str(folder / "start.log"), "-c", str(frame)]
    process = subprocess.Popen(command, stderr=subprocess.PIPE)
    try:
        _await(process, port)
        yield folder
    finally:
        process.terminate()
        process.communicate(timeout=PATIENCE)


def _await(process: subprocess.Popen[bytes], port: int) -> None:
    started = time.monotonic()
    while time.monotonic() - started < PATIENCE:
        if process.poll() is not None:
            _, errors = process.communicate()
            raise AssertionError(errors.decode())
        try:
            socket.create_connection(("127.0.0.1", port), 1).close()
            return
        except OSError:
            time.sleep(0.02)
    raise AssertionError("nginx does not answer")


class Client:
    """Somebody who knows the name, trusts the authority and is let in by the proxy."""

    def __init__(self, name: str, port: int, authority: Path) -> None:
        self.name, self.port = name, port
        self.origin = f"https://{name}:{port}"
        self.cookie = ""
        self._tls = ssl.create_default_context(cafile=authority)

    def open(self) -> HTTPConnection:
        """A connection to that name, which is this machine."""
        plain = socket.create_connection(("127.0.0.1", self.port), PATIENCE)
        connection = HTTPConnection(self.name, self.port, timeout=PATIENCE)
        connection.sock = self._tls.wrap_socket(plain, server_hostname=self.name)
        return connection

    def ask(
        self,
        path: str,
        body: bytes | None = None,
        *,
        method: str = "",
        login: bool = True,
        **headers: str,
    ) -> tuple[HTTPResponse, bytes]:
        """(answer, its body); a POST where there is a body. `_` in header names is `-`."""
        sent = {name.replace("_", "-"): value for name, value in headers.items()}
        if login:
            sent.setdefault("Authorization", LOGIN)
        if self.cookie:
            sent.setdefault("Cookie", self.cookie)
        connection = self.open()
        try:
            method = method or ("GET" if body is None else "POST")
            connection.request(method, path, body, sent)
            answer = connection.getresponse()
            return answer, answer.read()
        finally:
            connection.close()
