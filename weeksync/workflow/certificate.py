"""The household's certificate: made by a command, renewed by `weeksync serve`."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from urllib.parse import urlsplit

from weeksync.message import Message, message
from weeksync.serve import certificate
from weeksync.serve.certificate_names import THIS_MACHINE, Names, names_of_machine
from weeksync.workflow.context import STATE, Context
from weeksync.workflow.outcome import Outcome


def make_certificate(
    context: Context, names: Sequence[str] = (), *, new_authority: bool = False
) -> Outcome:
    """The household's authority, where there is none, and a certificate for `names`.

    Without `names` it holds for those it held for, the machine's own, and the home address of
    `[serve]`. UsageError for a name that is none, CertificateError where it cannot be made.
    """
    folder = certificate_folder(context)
    if names:
        wanted = Names.of(names)
    else:
        wanted = _home(context) | names_of_machine()
        held = None if new_authority else certificate.held_names(folder)
        if held is not None:  # what the machine is called today must not stop a renewal
            wanted = certificate.allowed(folder, wanted) | held
    wanted = wanted | THIS_MACHINE
    made = certificate.make(folder, wanted, context.now, new_authority=new_authority)
    return Outcome.of([*_result(context, made), *_steps(context, made)], ())


def renew_certificate(context: Context) -> datetime | None:
    """Renew the certificate that is served if under 30 days are left; its new end, else None.

    None, too, where `[serve]` names another certificate than the one made here.
    """
    folder = certificate_folder(context)
    served = context.config.serve.certificate
    if not served or _inside(context, served) != (folder / certificate.CERTIFICATE).resolve():
        return None
    return certificate.renew(folder, context.now)


def certificate_folder(context: Context) -> Path:
    """Where the certificates and their keys lie."""
    return context.state / certificate.FOLDER


def _home(context: Context) -> Names:
    address = context.config.serve.address
    return Names.of([address]) if address else Names()


def _inside(context: Context, path: str) -> Path:
    return (context.folder / Path(path).expanduser()).resolve()


def _address(context: Context, made: certificate.Made) -> str:
    """How tablets write the home address: as `[serve]` says, else by the first name."""
    serve = context.config.serve
    host = urlsplit(serve.address).hostname if serve.address else None
    given = Names.of([host]) if host else Names()
    first = (given | made.names).texts()[0]
    shown = f"[{first}]" if ":" in first else first
    return f"https://{shown}" + ("" if serve.port == 443 else f":{serve.port}")


def _result(context: Context, made: certificate.Made) -> list[Message]:
    place = f"{STATE}/{certificate.FOLDER}"
    host = context.config.serve.host
    return [
        message("The certificate holds for {names}", names=", ".join(made.names.texts())),
        message(
            "It runs until {until} and is renewed by weeksync serve, or by this command",
            until=f"{made.until:%Y-%m-%d}",
        ),
        message(
            "In config.toml under [serve]:\n"
            "  host = {host}\n"
            "  address = {address}\n"
            "  certificate = {certificate}\n"
            "  certificate_key = {key}",
            host=_quoted("0.0.0.0" if host == "127.0.0.1" else host),  # noqa: S104 the user's choice
            address=_quoted(_address(context, made)),
            certificate=_quoted(f"{place}/{certificate.CERTIFICATE}"),
            key=_quoted(f"{place}/{certificate.KEY}"),
        ),
    ]


def _quoted(value: str) -> str:
    return f'"{value}"'  # names and addresses hold no sign that TOML would want escaped


def _steps(context: Context, made: certificate.Made) -> list[Message]:
    """What to do on each kind of device; the words of their menus are from memory."""
    file = certificate_folder(context) / certificate.AUTHORITY_PEM
    return [
        message(
            "The household's authority (until {until}) has to be trusted once on each device. Its "
            "SHA-256 fingerprint, to be compared there:\n  {fingerprint}",
            until=f"{made.authority_until:%Y-%m-%d}",
            fingerprint=made.fingerprint,
        ),
        message(
            "Every device gets the file from {address}/{name}, or {file} by cable or stick",
            address=_address(context, made),
            name=certificate.AUTHORITY_PEM,
            file=str(file),
        ),
        message(
            "Android: settings, security, encryption and credentials, install a certificate, "
            "CA certificate; choose the file"
        ),
        message(
            "iPad: open the address in its own browser and allow the profile; settings, general, "
            "device management, install it; then general, about, certificate trust settings, "
            "switch it on"
        ),
        message(
            "Firefox: settings, privacy and security, view certificates, authorities, import; "
            "trust it for websites"
        ),
        message(
            "Chromium on a desktop: settings, privacy and security, security, manage "
            "certificates, import as trusted; or on Linux\n"
            "  certutil -d sql:$HOME/.pki/nssdb -A -t C,, -n household -i {name}",
            name=certificate.AUTHORITY_PEM,
        ),
        message(
            "Other desktops: open the file; put it among the trusted root authorities "
            "(Windows), or set it to be trusted always (macOS)"
        ),
    ]
