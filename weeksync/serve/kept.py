"""Secrets as they are kept: codes and tokens as digests, PINs behind a slow derivation.

Tokens have 256 random bits, so one SHA-256 is enough for them. A one-time code has 40 bits,
lives ten minutes and may be tried a few times only. A PIN is short: it is kept as scrypt
(RFC 7914) with the parameters that the OWASP Password Storage Cheat Sheet names as the least,
N = 2^17, r = 8, p = 1. They take 128 MiB and a third of a second. Four digits do not hold
against somebody who has the file itself; that is why it is for its owner alone.
"""

from __future__ import annotations

import base64
import hashlib
import hmac
import secrets

SCRYPT_N, SCRYPT_R, SCRYPT_P = 2**17, 8, 1
_MOST_MEMORY = 160 * 1024 * 1024
"""Bytes scrypt may take; 128 * r * N (RFC 7914 section 2) and some room."""

_LIKE_LETTERS = str.maketrans("01", "OI")


def new_token() -> str:
    """256 random bits, safe in addresses and headers (RFC 4648 section 5)."""
    return secrets.token_urlsafe(32)


def new_code() -> str:
    """A code of 40 random bits to be typed in, as `K3QF-7WZA`: the alphabet of RFC 4648 section 6,
    which has neither 0 nor 1."""
    code = base64.b32encode(secrets.token_bytes(5)).decode("ascii")
    return f"{code[:4]}-{code[4:]}"


def plain_code(typed: str) -> str:
    """The code as it is compared: people add spaces, leave the dash out, and type O as 0."""
    kept = "".join(one for one in typed.upper() if one.isascii() and one.isalnum())
    return kept.translate(_LIKE_LETTERS)


def digest(secret: str) -> str:
    """SHA-256 of a token or code, in hex."""
    return hashlib.sha256(secret.encode("utf-8", "surrogatepass")).hexdigest()


def same(one: str, other: str) -> bool:
    """Whether two digests are equal, in a time that does not tell how much of them is."""
    return hmac.compare_digest(one.encode(), other.encode())


def hashed_pin(pin: str) -> dict[str, str | int]:
    """A PIN as it is kept: salt and derived key in hex, with the parameters used."""
    salt = secrets.token_bytes(16)
    derived = _derived(pin, salt, SCRYPT_N, SCRYPT_R, SCRYPT_P)
    return {
        "salt": salt.hex(),
        "derived": derived.hex(),
        "n": SCRYPT_N,
        "r": SCRYPT_R,
        "p": SCRYPT_P,
    }


def pin_fits(pin: str, salt: str, derived: str, n: int, r: int, p: int) -> bool:
    """Whether that is the PIN that was kept with these parameters."""
    found = _derived(pin, bytes.fromhex(salt), n, r, p)
    return hmac.compare_digest(found, bytes.fromhex(derived))


def _derived(pin: str, salt: bytes, n: int, r: int, p: int) -> bytes:
    secret = pin.encode("utf-8", "surrogatepass")
    return hashlib.scrypt(secret, salt=salt, n=n, r=r, p=p, maxmem=_MOST_MEMORY, dklen=32)
