"""Addresses of this server that an answer may lead to."""

from __future__ import annotations

import re

PARTS = ("plan", "edit", "start", "answers", "search")
"""The first parts of the addresses that are forms."""

_OWN = re.compile(r"/[A-Za-z0-9][A-Za-z0-9._~/-]{0,150}(\?[A-Za-z0-9._~=&%+-]{0,300})?", re.ASCII)
_OWN_PLACE = re.compile(r"#[A-Za-z][A-Za-z0-9._-]{0,100}", re.ASCII)


def is_own_address(address: str) -> bool:
    """Whether it is a path of this server, as "/plan/2027-W12?day=3#priorities".

    Never another host, as "//elsewhere.example" would be (RFC 3986 section 4.2).
    """
    path, hash_sign, place = address.partition("#")
    plain = path == "/" or bool(_OWN.fullmatch(path))
    return plain and "//" not in path and (not hash_sign or bool(_OWN_PLACE.fullmatch(f"#{place}")))


def is_form(address: str) -> bool:
    """Whether an own address is one of a form."""
    return is_own_address(address) and address[1:].partition("/")[0].partition("?")[0] in PARTS
