"""Starting, TLS, a proxy in front, and an orderly end."""

from __future__ import annotations

import os
import signal
import socket
import ssl
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID

from tests.serve.serving import LINES, MARK, answer_from, serving, wait_until

PAGES = "weeksync-a1b2c3d4e5f6"


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_a_signal_ends_it_in_order(tmp_path: Path, number: int) -> None:
    """`run` returns, so that who called it can say goodbye; nothing is on the error output."""
    with serving(tmp_path) as served:
        assert served.get(b"/").status == 200
        served.process.send_signal(number)
        out, complaints = served.process.communicate(timeout=20)
        assert (served.process.returncode, out, complaints) == (0, "ended\n", "")


def test_a_request_under_way_is_finished_first(tmp_path: Path) -> None:
    """Its answer comes although the signal came before the end of its body."""
    with serving(tmp_path) as served:
        body = MARK % b"water"
        with socket.create_connection(("127.0.0.1", served.port), timeout=20) as slow:
            slow.sendall(
                b"POST /marks HTTP/1.1\r\nHost: " + served.host + b"\r\nOrigin: "
                + served.address.encode() + b"\r\nContent-Type: application/json\r\n"
                b"Content-Length: %d\r\n\r\n" % len(body) + body[:20]
            )  # fmt: skip
            time.sleep(0.3)
            served.process.send_signal(signal.SIGTERM)
            time.sleep(0.5)
            slow.sendall(body[20:])
            assert answer_from(slow).status == 200
        assert len(served.taken()) == 1


def test_one_that_never_finishes_does_not_keep_it_from_ending(tmp_path: Path) -> None:
    """It gets a moment, and no more."""
    with (
        serving(tmp_path, limits={"stop_seconds": 1}) as served,
        socket.create_connection(("127.0.0.1", served.port), timeout=20) as slow,
    ):
        slow.sendall(
            b"POST /marks HTTP/1.1\r\nHost: " + served.host + b"\r\nOrigin: "
            + served.address.encode() + b"\r\nContent-Type: application/json\r\n"
            b"Content-Length: 100\r\n\r\n"
        )  # fmt: skip
        time.sleep(0.3)
        start = time.monotonic()
        status, _ = served.stop()
        assert status == 0
        assert time.monotonic() - start < 10


def test_a_fault_is_logged_by_its_place_and_without_its_words(tmp_path: Path) -> None:
    """The person at the machine can tell where; what was private stays so."""
    with serving(tmp_path) as served:
        served.access.set_pin("ines", "2468")
        browser = served.browser()
        browser.post(f"{served.address}/own/unlock", data={"person": "ines", "pin": "2468"})
        assert browser.get(f"{served.address}/own/fault.html").status_code == 500
        served.process.send_signal(signal.SIGTERM)
        _, complaints = served.process.communicate(timeout=20)
        assert complaints.startswith("RuntimeError at own_page:")
        assert "1234" not in complaints
        assert len(complaints.splitlines()) == 1


def _certificate(folder: Path) -> tuple[Path, Path]:
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "localhost")])
    now = datetime.now(UTC)
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(days=1))
        .not_valid_after(now + timedelta(days=1))
        .add_extension(x509.SubjectAlternativeName([x509.DNSName("localhost")]), critical=False)
        .sign(key, hashes.SHA256())
    )
    pem, private = folder / "server.crt", folder / "server.key"
    pem.write_bytes(made.public_bytes(serialization.Encoding.PEM))
    private.write_bytes(
        key.private_bytes(
            serialization.Encoding.PEM,
            serialization.PrivateFormat.PKCS8,
            serialization.NoEncryption(),
        )
    )
    return pem, private


def test_over_tls_cookies_are_for_tls_and_this_host_alone(tmp_path: Path) -> None:
    """Secure, and the prefix __Host- (RFC 6265bis section 4.1.3.2)."""
    pem, key = _certificate(tmp_path)
    options = {"certificate": str(pem), "certificate_key": str(key), "host": "localhost"}
    with serving(tmp_path, options=options) as served:
        assert served.address.startswith("https://localhost:")
        browser = served.browser()
        browser.session.verify = str(pem)
        answer = browser.post(
            f"{served.address}/sign-in",
            data={"code": served.access.add("kitchen")},
            allow_redirects=False,
        )
        assert answer.status_code == 303, answer.text
        cookie = answer.headers["Set-Cookie"]
        assert f"__Host-{PAGES}=" in cookie
        assert "secure" in {one.strip().lower() for one in cookie.split(";")}
        assert browser.get(f"{served.address}/2027-W12.html").status_code == 200


def test_a_tls_handshake_that_never_comes_is_not_waited_for(tmp_path: Path) -> None:
    """Neither with nothing nor with plain HTTP; nor is TLS older than 1.2 spoken."""
    pem, key = _certificate(tmp_path)
    options = {"certificate": str(pem), "certificate_key": str(key)}
    with serving(tmp_path, options=options) as served:
        with socket.create_connection(("127.0.0.1", served.port), timeout=30) as silent:
            start = time.monotonic()
            assert silent.recv(1) == b""
            assert 8 < time.monotonic() - start < 20
        with socket.create_connection(("127.0.0.1", served.port), timeout=10) as plain:
            plain.sendall(b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n")
            assert b"HTTP/1.1 200" not in plain.recv(4096)
        old = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
        old.check_hostname, old.verify_mode = False, ssl.CERT_NONE
        old.minimum_version = ssl.TLSVersion.TLSv1_2
        with (
            socket.create_connection(("127.0.0.1", served.port), timeout=10) as connection,
            old.wrap_socket(connection) as over_tls,
        ):
            assert over_tls.version() in {"TLSv1.2", "TLSv1.3"}


def test_a_renewed_certificate_is_taken_while_it_runs(tmp_path: Path) -> None:
    """What does not belong together is left alone until it does."""
    pem, key = _certificate(tmp_path)
    options = {"certificate": str(pem), "certificate_key": str(key)}
    with serving(tmp_path, options=options, limits={"certificate_seconds": 0.2}) as served:

        def shown() -> str:
            return ssl.get_server_certificate(("127.0.0.1", served.port), timeout=10).strip()

        before = shown()
        assert before == pem.read_text().strip()
        old_key = key.read_bytes()
        _certificate(tmp_path)
        new_key = key.read_bytes()
        key.write_bytes(old_key)  # as if it came a moment later than the certificate
        time.sleep(1)
        assert shown() == before
        key.write_bytes(new_key)
        wait_until(lambda: shown() == pem.read_text().strip())


def test_only_the_trusted_proxy_is_believed(tmp_path: Path) -> None:
    """The scheme, host and address it gives hold; from others they do not."""
    forwarded = (
        b"X-Forwarded-Proto: https",
        b"X-Forwarded-Host: evil.example, home.arpa",
        b"X-Forwarded-For: 1.2.3.4, 10.0.0.9",
    )
    options = {"trusted_proxy": "127.0.0.1", "address": "https://home.arpa"}
    with serving(tmp_path / "a", options=options, device=True) as served:
        browser = served.browser(
            Origin="https://home.arpa",
            X_Forwarded_Proto="https",
            X_Forwarded_Host="evil.example, home.arpa",
        )
        answer = browser.post(
            f"{served.address}/sign-in",
            data={"code": served.access.add("kitchen")},
            allow_redirects=False,
        )
        assert answer.status_code == 303, answer.text
        assert "__Host-" in answer.headers["Set-Cookie"]
        assert served.get(b"/", *forwarded).status == 303, "a sign-in is asked for"
        wrong = (b"X-Forwarded-Host: evil.example",)
        assert served.get(b"/", *wrong).status == 421
    options = {"address": "https://home.arpa"}
    with serving(tmp_path / "b", options=options, device=True) as served:
        browser = served.browser(Origin="https://home.arpa", X_Forwarded_Proto="https")
        answer = browser.post(f"{served.address}/marks", data=MARK % b"water", headers=LINES)
        assert answer.status_code == 403
        lies = {"X-Forwarded-Host": "evil.example", "X-Forwarded-For": "10.0.0.9", **LINES}
        answer = served.signed_in().post(
            f"{served.address}/marks", data=MARK % b"water", headers=lies
        )
        assert answer.status_code == 200


def test_the_household_authority_is_offered_to_everybody(tmp_path: Path) -> None:
    """Where there is one; the key never."""
    pem, _ = _certificate(tmp_path)
    options = {"tls_folder": str(tmp_path), "host": "0.0.0.0"}
    with serving(tmp_path, options=options, device=True) as served:
        served.address = served.address.replace("localhost", "127.0.0.1")
        for name in (b"/household-ca.crt", b"/household-ca.cer"):
            assert served.get(name).status == 404
        for name in (b"/server.key", b"/household-ca.key", b"/tls/server.key", b"/server.crt"):
            assert served.get(name).status in {303, 401}
    assert pem.is_file()


def test_a_damaged_access_file_closes_the_doors(tmp_path: Path) -> None:
    """503 with a word that names no path, until it is mended."""
    with serving(tmp_path, device=True, options={"host": "0.0.0.0"}) as served:
        served.address = served.address.replace("localhost", "127.0.0.1")
        path = tmp_path / "state" / "access.json"
        kept = path.read_bytes()
        path.write_bytes(b"{")
        answer = served.get(b"/2027-W12.html", b"Cookie: " + PAGES.encode() + b"=x")
        assert answer.status == 503
        assert str(tmp_path).encode() not in answer.body
        path.write_bytes(kept)
        os.utime(path, ns=(1, 1))
        assert served.get(b"/2027-W12.html").status == 303
