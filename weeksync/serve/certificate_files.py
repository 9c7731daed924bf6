"""Keys and certificates on the disk: read with care, written whole, keys for their owner alone."""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from cryptography import x509
from cryptography.exceptions import UnsupportedAlgorithm
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    load_pem_private_key,
)

from weeksync.errors import CertificateError
from weeksync.message import message

_OWNER_ALONE = 0o600
_PUBLIC = 0o644
_MOST_BYTES = 64 * 1024
"""A certificate has one or two thousand; what is larger is something else."""


def make_folder(folder: Path) -> None:
    """The folder, for its owner alone; CertificateError where it cannot be made."""
    with _told(folder):
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)


def load_certificate(path: Path) -> x509.Certificate | None:
    """The first certificate of a file, PEM or DER; None where there is no file.

    CertificateError where the file is something else or cannot be read.
    """
    content = _read(path)
    if content is None:
        return None
    try:
        if content.lstrip().startswith(b"-----BEGIN"):
            return x509.load_pem_x509_certificate(content)
        return x509.load_der_x509_certificate(content)
    except ValueError as error:
        raise foreign(path) from error


def load_key(path: Path) -> ec.EllipticCurvePrivateKey | None:
    """A key on the curve P-256; None where there is no file.

    CertificateError where the file is something else or cannot be read. A key that others may
    read is taken from them.
    """
    content = _read(path)
    if content is None:
        return None
    try:
        key = load_pem_private_key(content, None)
    except (ValueError, TypeError, UnsupportedAlgorithm) as error:
        raise foreign(path) from error
    if not isinstance(key, ec.EllipticCurvePrivateKey) or not isinstance(key.curve, ec.SECP256R1):
        raise foreign(path)
    with _told(path):
        if path.stat().st_mode & 0o077:
            path.chmod(_OWNER_ALONE)
    return key


def new_key(path: Path, *, replace: bool = False) -> ec.EllipticCurvePrivateKey:
    """A new key on the curve P-256 (FIPS 186-5) at `path`, where there is no file or `replace`.

    All tablets and browsers of the last ten years take that curve (RFC 8446 section 9.1 makes it
    mandatory).
    """
    key = ec.generate_private_key(ec.SECP256R1())
    content = key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    with _told(path), _staged(path, content, _OWNER_ALONE) as temporary:
        if replace:
            os.replace(temporary, path)
        else:
            os.link(temporary, path)  # unlike a rename it never takes the place of a file
    return key


def replace_public(path: Path, content: bytes) -> None:
    """`content` in place of the file at `path`: at any moment the old or the new one, whole."""
    with _told(path), _staged(path, content, _PUBLIC) as temporary:
        os.replace(temporary, path)


def foreign(path: Path) -> CertificateError:
    """The error for a file in the way that was not made here."""
    return CertificateError(
        message(
            "{place} was not made by weeksync certificate and is left as it is; move it away, or "
            "name it in config.toml under [serve] if it is the certificate you want",
            place=str(path),
        )
    )


def _read(path: Path) -> bytes | None:
    with _told(path):
        try:
            if not path.is_file():  # a pipe would wait for ever
                if os.path.lexists(path):
                    raise foreign(path)
                return None
            with path.open("rb") as file:
                content = file.read(_MOST_BYTES + 1)
        except FileNotFoundError:
            return None
    if len(content) > _MOST_BYTES:
        raise foreign(path)
    return content


@contextmanager
def _staged(path: Path, content: bytes, mode: int) -> Iterator[Path]:
    """A file beside `path` with that content, brought to the disk; it is gone afterwards."""
    temporary = path.with_name(f".{path.name}.{secrets.token_hex(4)}.tmp")
    number = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode)
    try:
        with os.fdopen(number, "wb") as file:
            os.fchmod(file.fileno(), mode)
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        yield temporary
    finally:
        with suppress(FileNotFoundError):
            temporary.unlink()


@contextmanager
def _told(path: Path) -> Iterator[None]:
    """What the disk says, as a sentence with a remedy."""
    try:
        yield
    except OSError as error:
        raise CertificateError(
            message(
                "{place} cannot be read or written ({reason}); run weeksync as the owner of the "
                "household folder, and see to room on the disk",
                place=str(path),
                reason=os.strerror(error.errno or 0),
            )
        ) from error
