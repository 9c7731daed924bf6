"""A certificate authority for one household, and the certificate its pages are served with.

Browsers install pages and keep them only over https (W3C Secure Contexts, section 3). A name
inside a home gets no certificate from a public authority, so the household makes an authority of
its own that each tablet is told to trust once. What such an authority could do in other hands is
bounded by the certificate itself: it speaks for the household's own names and for addresses of
home networks alone (name constraints, RFC 5280 section 4.2.1.10), and makes no other authority.

    state/tls/household-ca.key    0600; signs
    state/tls/household-ca.crt    PEM, for tablets; the same as DER in household-ca.cer
    state/tls/server.key          0600
    state/tls/server.crt          PEM, renewed with the same key
"""

from __future__ import annotations

import ipaddress
from datetime import datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from weeksync.errors import CertificateError
from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.serve.certificate_files import (
    foreign,
    load_certificate,
    load_key,
    make_folder,
    new_key,
    replace_public,
)
from weeksync.serve.certificate_names import HOME_NETWORKS, Address, Names, Network

FOLDER = "tls"
"""The folder of the files inside the household's state folder."""

AUTHORITY_PEM, AUTHORITY_DER = "household-ca.crt", "household-ca.cer"
CERTIFICATE, KEY = "server.crt", "server.key"
_AUTHORITY_KEY = "household-ca.key"

AUTHORITY_DAYS = 3652
"""Ten years (common practice, no source): a tablet is told once in its life."""

DAYS = 397
"""How long the server's certificate holds.

At most 398 days by the CA/Browser Forum's Baseline Requirements, section 6.3.2, as they stood
until 2026-03-15 (from memory), and by Apple's note 102028, which advises 397; both are about
public authorities. Apple's limit for every authority is 825 days (note 103769, from memory).
"""

DUE_DAYS = 30
"""With fewer days than this left the certificate is renewed (common practice, no source)."""

EARLY = timedelta(days=1)
"""The certificate holds from a day ago on: clocks of tablets are late."""

_MADE_BY = "weeksync"
_LONGEST_NAME = 64
"""RFC 5280, appendix A.1: ub-common-name."""


@dataclass(frozen=True, slots=True)
class Made:
    """What a run made: `authority` and `certificate` are new, `names` what it holds for."""

    names: Names
    until: datetime
    authority_until: datetime
    fingerprint: str
    """SHA-256 of the authority's certificate, as browsers and tablets show it."""
    new_authority: bool


def make(folder: Path, names: Names, now: datetime, *, new_authority: bool = False) -> Made:
    """Make what is missing, and the server's certificate anew for `names`; `now` in UTC.

    `new_authority` puts a new authority in the place of the old one; tablets must trust it anew.
    CertificateError where the authority may not speak for a name, where a file in the way was not
    made here (it is left as it is), or where the disk refuses.
    """
    make_folder(folder)
    _refuse_foreign(folder)
    held = _held_authority(folder)
    is_new = new_authority or held is None
    authority = held
    if new_authority and held is not None:
        authority = _replace_authority(folder, held, names, now)
    elif authority is None:
        key = load_key(folder / _AUTHORITY_KEY) or new_key(folder / _AUTHORITY_KEY)
        authority = _issue_authority(folder, key, names, now)
    refused = _outside(authority, names)
    if refused:
        raise CertificateError(
            message(
                "the household's authority may not speak for {names}; make a new one with "
                "weeksync certificate --new-authority and all --name that are wanted, and trust "
                "it on every tablet anew",
                names=", ".join(refused),
            )
        )
    made = _sign(folder, authority, names, now)
    return Made(
        names,
        made.not_valid_after_utc,
        authority.not_valid_after_utc,
        fingerprint(authority),
        is_new,
    )


def renew(folder: Path, now: datetime) -> datetime | None:
    """Renew the server's certificate if under 30 days are left; its new end, None if not due.

    The key and the names stay. None, too, where there is no certificate that was made here.
    """
    held = load_certificate(folder / CERTIFICATE)
    if held is None or not _is_ours(held) or held.not_valid_after_utc - now > _DUE:
        return None
    authority = _held_authority(folder)
    if authority is None:
        raise _without(folder / AUTHORITY_PEM)
    return _sign(folder, authority, names_in(held), now).not_valid_after_utc


_DUE = timedelta(days=DUE_DAYS)


def held_names(folder: Path) -> Names | None:
    """The names that the present certificate is for, None where there is none of ours."""
    held = load_certificate(folder / CERTIFICATE)
    return names_in(held) if held is not None and _is_ours(held) else None


def allowed(folder: Path, names: Names) -> Names:
    """Those of `names` that the present authority may speak for; all where there is none."""
    authority = load_certificate(folder / AUTHORITY_PEM)
    if authority is None:
        return names
    refused = set(_outside(authority, names))
    return Names.of(text for text in names.texts() if text not in refused)


def authority_file(folder: Path, name: str) -> bytes | None:
    """The authority's certificate as a tablet loads it, by its file name; None if there is none.

    Written anew from what was read: a key that somebody pasted into the file is never given out.
    """
    forms = {AUTHORITY_PEM: Encoding.PEM, AUTHORITY_DER: Encoding.DER}
    authority = load_certificate(folder / AUTHORITY_PEM) if name in forms else None
    if authority is None or not _is_authority(authority):
        return None
    return authority.public_bytes(forms[name])


def fingerprint(certificate: x509.Certificate) -> str:
    """SHA-256 of the certificate in pairs of hexadecimal digits."""
    return certificate.fingerprint(hashes.SHA256()).hex(":").upper()


def names_in(certificate: x509.Certificate) -> Names:
    """The names and addresses a certificate is for (RFC 5280 section 4.2.1.6)."""
    found = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    addresses = found.get_values_for_type(x509.IPAddress)
    return Names(
        tuple(found.get_values_for_type(x509.DNSName)),
        tuple(one for one in addresses if isinstance(one, Address)),
    )


def _replace_authority(
    folder: Path, held: x509.Certificate, names: Names, now: datetime
) -> x509.Certificate:
    """A new authority in the place of `held`; the old key goes: it could still deceive tablets."""
    path = folder / _AUTHORITY_KEY
    before = load_key(path)
    if before is not None and before.public_key() != held.public_key():
        raise foreign(path)
    return _issue_authority(folder, new_key(path, replace=True), names, now)


def _issue_authority(
    folder: Path, key: ec.EllipticCurvePrivateKey, names: Names, now: datetime
) -> x509.Certificate:
    public = x509.SubjectKeyIdentifier.from_public_key(key.public_key())
    title = f"{_MADE_BY} home authority {now:%Y-%m-%d} {public.digest[:2].hex()}"
    subject = _subject(title)
    made = (
        _builder(subject, subject, key, now, AUTHORITY_DAYS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs_certificates=True), critical=True)
        .add_extension(public, critical=False)
        .add_extension(_constraints(names), critical=True)
        .sign(key, hashes.SHA256())
    )
    replace_public(folder / AUTHORITY_PEM, made.public_bytes(Encoding.PEM))
    replace_public(folder / AUTHORITY_DER, made.public_bytes(Encoding.DER))
    return made


def _sign(
    folder: Path, authority: x509.Certificate, names: Names, now: datetime
) -> x509.Certificate:
    """A new certificate for `names` in its place; it never outlives the authority."""
    signer = load_key(folder / _AUTHORITY_KEY)
    if signer is None or signer.public_key() != authority.public_key():
        raise _without(folder / _AUTHORITY_KEY)
    days = min(DAYS, (authority.not_valid_after_utc - now + EARLY).days)
    if days <= 1:
        raise CertificateError(
            message(
                "the household's authority has run out; make a new one with weeksync certificate "
                "--new-authority and trust it on every tablet"
            )
        )
    key = load_key(folder / KEY) or new_key(folder / KEY)
    above = authority.extensions.get_extension_for_class(x509.SubjectKeyIdentifier).value
    shown = next((one for one in names.texts() if len(one) <= _LONGEST_NAME), _MADE_BY)
    made = (
        _builder(_subject(shown), authority.subject, key, now, days)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs_certificates=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName(_general(names)), critical=False)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_subject_key_identifier(above), critical=False
        )
        .sign(signer, hashes.SHA256())
    )
    replace_public(folder / CERTIFICATE, made.public_bytes(Encoding.PEM))
    return made


def _builder(
    subject: x509.Name,
    issuer: x509.Name,
    key: ec.EllipticCurvePrivateKey,
    now: datetime,
    days: int,
) -> x509.CertificateBuilder:
    first = now - EARLY
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(first)
        .not_valid_after(first + timedelta(days=days))
    )


def _subject(name: str) -> x509.Name:
    return x509.Name(
        [
            x509.NameAttribute(NameOID.ORGANIZATION_NAME, _MADE_BY),
            x509.NameAttribute(NameOID.COMMON_NAME, name),
        ]
    )


def _usage(*, signs_certificates: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs_certificates,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        key_cert_sign=signs_certificates,
        crl_sign=signs_certificates,
        encipher_only=False,
        decipher_only=False,
    )


def _general(names: Names) -> list[x509.GeneralName]:
    hosts = [x509.DNSName(host) for host in names.hosts]
    return [*hosts, *(x509.IPAddress(address) for address in names.addresses)]


def _constraints(names: Names) -> x509.NameConstraints:
    """The names themselves; and home networks whole, since routers hand out other addresses."""
    networks = list(HOME_NETWORKS)
    for address in names.addresses:
        if not any(address in network for network in networks):
            networks.append(ipaddress.ip_network(address))
    return x509.NameConstraints(
        [*map(x509.DNSName, names.hosts), *map(x509.IPAddress, networks)], excluded_subtrees=None
    )


def _outside(authority: x509.Certificate, names: Names) -> list[str]:
    """The names that lie outside of what the authority may speak for."""
    found = authority.extensions.get_extension_for_class(x509.NameConstraints).value
    permitted = found.permitted_subtrees or []
    domains = [one.value for one in permitted if isinstance(one, x509.DNSName)]
    networks = [one.value for one in permitted if isinstance(one, x509.IPAddress)]
    hosts = [
        host
        for host in names.hosts
        if not any(host == domain or host.endswith(f".{domain}") for domain in domains)
    ]
    addresses = [
        str(address)
        for address in names.addresses
        if not any(isinstance(one, Network) and address in one for one in networks)
    ]
    return [*hosts, *addresses]


def _held_authority(folder: Path) -> x509.Certificate | None:
    path = folder / AUTHORITY_PEM
    held = load_certificate(path)
    if held is None:
        return None
    if not _is_authority(held):
        raise foreign(path)
    return held


def _refuse_foreign(folder: Path) -> None:
    """Nothing that was not made here is ever written over, nor given to be served."""
    for name in (AUTHORITY_PEM, AUTHORITY_DER):
        held = load_certificate(folder / name)
        if held is not None and not _is_authority(held):
            raise foreign(folder / name)
    served = load_certificate(folder / CERTIFICATE)
    if served is None:
        return
    key = load_key(folder / KEY)
    if not _is_ours(served):
        raise foreign(folder / CERTIFICATE)
    if key is not None and key.public_key() != served.public_key():
        raise foreign(folder / KEY)


def _is_ours(certificate: x509.Certificate) -> bool:
    made_by = certificate.issuer.get_attributes_for_oid(NameOID.ORGANIZATION_NAME)
    return [one.value for one in made_by] == [_MADE_BY]


def _is_authority(certificate: x509.Certificate) -> bool:
    """Whether it is an authority made here: signed by itself, and bounded."""
    try:
        certificate.verify_directly_issued_by(certificate)
        certificate.extensions.get_extension_for_class(x509.NameConstraints)
    except (ValueError, TypeError, InvalidSignature, x509.ExtensionNotFound):
        return False
    return _is_ours(certificate)


def _without(path: Path) -> CertificateError:
    return CertificateError(
        message(
            "{place} is missing or belongs to another authority; put the right file back, or make "
            "a new authority with weeksync certificate --new-authority and trust it on every "
            "tablet",
            place=str(path),
        )
    )
