"""The household's authority and the server's certificate, held against two other readers of X.509.

The readers are OpenSSL's command and the verifier of `cryptography`, which follows the Web PKI.
"""

from __future__ import annotations

import ipaddress
import re
import ssl
import stat
import subprocess
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    load_pem_private_key,
)
from cryptography.x509.verification import PolicyBuilder, Store, VerificationError

from tests.support.unprivileged import shared_folder, unprivileged
from weeksync.errors import CertificateError, UsageError
from weeksync.serve import certificate
from weeksync.serve.certificate_names import THIS_MACHINE, Names, is_home, names_of_machine

NOW = datetime(2027, 3, 24, 9, tzinfo=UTC)
NAMES = Names.of(["kitchen.local", "192.168.7.20", "fd00::20"]) | THIS_MACHINE


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with an authority and a certificate of today."""
    certificate.make(tmp_path / "tls", NAMES, NOW)
    return tmp_path / "tls"


def text_of(path: Path) -> str:
    """What `openssl x509 -text` says of a certificate."""
    run = ["openssl", "x509", "-in", str(path), "-noout", "-text"]
    return subprocess.run(run, check=True, capture_output=True, text=True).stdout


def openssl_verifies(folder: Path, *check: str, leaf: str = "server.crt") -> bool:
    """Whether `openssl verify` takes the certificate for what `check` asks, by the authority."""
    run = ["openssl", "verify", "-x509_strict", "-purpose", "sslserver", *check,
           "-attime", str(int(NOW.timestamp())),
           "-CAfile", str(folder / "household-ca.crt"), str(folder / leaf)]  # fmt: skip
    return subprocess.run(run, check=False, capture_output=True).returncode == 0


def web_verifies(folder: Path, name: x509.GeneralName, at: datetime = NOW) -> bool:
    """Whether the Web PKI verifier takes the certificate for that name or address."""
    authority = x509.load_pem_x509_certificate((folder / "household-ca.crt").read_bytes())
    leaf = x509.load_pem_x509_certificate((folder / "server.crt").read_bytes())
    assert isinstance(name, x509.DNSName | x509.IPAddress)
    verifier = PolicyBuilder().store(Store([authority])).time(at).build_server_verifier(name)
    try:
        verifier.verify(leaf, [])
    except VerificationError:
        return False
    return True


@pytest.mark.parametrize("host", ["kitchen.local", "localhost"])
def test_both_readers_take_the_certificate_for_its_names(folder: Path, host: str) -> None:
    """A name that the certificate was asked for is served with it."""
    assert openssl_verifies(folder, "-verify_hostname", host)
    assert web_verifies(folder, x509.DNSName(host))


@pytest.mark.parametrize("address", ["192.168.7.20", "fd00::20", "127.0.0.1", "::1"])
def test_both_readers_take_the_certificate_for_its_addresses(folder: Path, address: str) -> None:
    """Tablets that cannot look up names of the home write its address."""
    assert openssl_verifies(folder, "-verify_ip", address)
    assert web_verifies(folder, x509.IPAddress(ipaddress.ip_address(address)))


def test_both_readers_refuse_it_for_another_name(folder: Path) -> None:
    """What it does not name, it does not speak for: no name beside it, below it, nor address."""
    for host in ("other.local", "deep.kitchen.local", "example.org"):
        assert not openssl_verifies(folder, "-verify_hostname", host)
        assert not web_verifies(folder, x509.DNSName(host))
    assert not openssl_verifies(folder, "-verify_ip", "192.168.7.21")
    assert not web_verifies(folder, x509.IPAddress(ipaddress.ip_address("192.168.7.21")))


def signed_for(folder: Path, *names: x509.GeneralName, is_authority: bool = False) -> Path:
    """A certificate signed with the household's key itself: what a thief of it could make."""
    loaded = load_pem_private_key((folder / "household-ca.key").read_bytes(), None)
    assert isinstance(loaded, ec.EllipticCurvePrivateKey)
    authority = x509.load_pem_x509_certificate((folder / "household-ca.crt").read_bytes())
    key = ec.generate_private_key(ec.SECP256R1())
    above = authority.extensions.get_extension_for_class(x509.SubjectKeyIdentifier).value
    made = (
        x509.CertificateBuilder()
        .subject_name(x509.Name([]))
        .issuer_name(authority.subject)
        .public_key(key.public_key())
        .serial_number(7)
        .not_valid_before(NOW - timedelta(days=1))
        .not_valid_after(NOW + timedelta(days=90))
        .add_extension(x509.BasicConstraints(is_authority, None), critical=True)
        .add_extension(x509.SubjectAlternativeName(names), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_subject_key_identifier(above), False)
        .add_extension(
            x509.ExtendedKeyUsage([x509.oid.ExtendedKeyUsageOID.SERVER_AUTH]), critical=False
        )
        .sign(loaded, hashes.SHA256())
    )
    (folder / "server.crt").write_bytes(made.public_bytes(Encoding.PEM))
    return folder / "server.crt"


def test_the_authority_cannot_speak_for_the_rest_of_the_world(folder: Path) -> None:
    """RFC 5280 section 4.2.1.10: names outside of the constraints make a certificate invalid."""
    for name in ("example.org", "bank.example", "other.local"):
        signed_for(folder, x509.DNSName(name))
        assert not openssl_verifies(folder, "-verify_hostname", name)
        assert not web_verifies(folder, x509.DNSName(name))
    far = ipaddress.ip_address("192.0.2.1")  # RFC 5737: for documentation, not of a home
    signed_for(folder, x509.IPAddress(far))
    assert not openssl_verifies(folder, "-verify_ip", str(far))
    assert not web_verifies(folder, x509.IPAddress(far))
    # A certificate made the same way for a name of the household is taken: the readers judged
    # the names above, not the way these certificates are made.
    signed_for(folder, x509.DNSName("kitchen.local"))
    assert openssl_verifies(folder, "-verify_hostname", "kitchen.local")
    assert web_verifies(folder, x509.DNSName("kitchen.local"))


def test_the_authority_says_what_it_may_do(folder: Path) -> None:
    """A certificate authority that makes no other, with exactly the household's names."""
    text = text_of(folder / "household-ca.crt")
    assert re.search(r"Basic Constraints: critical\s+CA:TRUE, pathlen:0\n", text)
    assert re.search(r"Key Usage: critical\s+Certificate Sign, CRL Sign\n", text)
    assert re.search(r"Name Constraints: critical\s+Permitted:", text)
    assert re.findall(r"DNS:(\S+)", text) == ["kitchen.local", "localhost"]
    assert "IP:192.168.0.0/255.255.0.0" in text  # RFC 1918
    assert "IP:FC00:0:0:0:0:0:0:0/FE00:0:0:0:0:0:0:0" in text  # RFC 4193
    assert "NIST CURVE: P-256" in text


def test_the_certificate_is_for_a_server_and_for_at_most_398_days(folder: Path) -> None:
    """Apple's note 102028: at most 398 days of 86,400 seconds, both ends counted."""
    text = text_of(folder / "server.crt")
    assert re.search(r"Basic Constraints: critical\s+CA:FALSE\n", text)
    assert re.search(r"X509v3 Key Usage: critical\s+Digital Signature\n", text)
    assert re.search(r"Extended Key Usage:\s+TLS Web Server Authentication\n", text)
    held = x509.load_pem_x509_certificate((folder / "server.crt").read_bytes())
    lasts = held.not_valid_after_utc - held.not_valid_before_utc + timedelta(seconds=1)
    assert timedelta(days=390) < lasts <= timedelta(days=398)
    authority = x509.load_pem_x509_certificate((folder / "household-ca.crt").read_bytes())
    years = (authority.not_valid_after_utc - NOW) / timedelta(days=365.25)
    assert 9.9 < years <= 10


def test_keys_are_for_their_owner_alone(folder: Path) -> None:
    """The folder and the keys let nobody else in; the certificates are public."""
    modes = {path.name: stat.S_IMODE(path.stat().st_mode) for path in folder.iterdir()}
    assert modes == {
        "household-ca.key": 0o600, "server.key": 0o600, "household-ca.crt": 0o644,
        "household-ca.cer": 0o644, "server.crt": 0o644,
    }  # fmt: skip
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700


def test_a_key_that_others_may_read_is_taken_from_them(folder: Path) -> None:
    """A copy from a stick often has a mode for everybody."""
    (folder / "household-ca.key").chmod(0o644)
    certificate.make(folder, NAMES, NOW)
    assert stat.S_IMODE((folder / "household-ca.key").stat().st_mode) == 0o600


def test_the_same_command_renews_with_the_same_authority_and_key(folder: Path) -> None:
    """No tablet has to be touched again."""
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    later = NOW + timedelta(days=200)
    made = certificate.make(folder, NAMES, later)
    changed = {path.name for path in folder.iterdir() if path.read_bytes() != before[path.name]}
    assert changed == {"server.crt"}
    assert not made.new_authority
    assert made.until == later + timedelta(days=396)
    assert web_verifies(folder, x509.DNSName("kitchen.local"), later)


def test_a_certificate_is_renewed_from_its_last_thirty_days_on(folder: Path) -> None:
    """Before that nothing is touched; afterwards names and key stay."""
    held = x509.load_pem_x509_certificate((folder / "server.crt").read_bytes())
    end = held.not_valid_after_utc
    assert certificate.renew(folder, end - timedelta(days=31)) is None
    assert certificate.renew(folder, end - timedelta(days=29)) == end + timedelta(days=367)
    renewed = x509.load_pem_x509_certificate((folder / "server.crt").read_bytes())
    assert certificate.names_in(renewed) == NAMES
    assert renewed.public_key() == held.public_key()


def test_one_that_has_run_out_is_renewed_too(folder: Path) -> None:
    """The home computer was away for longer than a year."""
    assert certificate.renew(folder, NOW + timedelta(days=500)) is not None


def test_what_was_not_made_here_is_not_renewed(tmp_path: Path) -> None:
    """Neither nothing, nor the certificate of another authority."""
    assert certificate.renew(tmp_path, NOW) is None
    foreign(tmp_path / "server.crt")
    before = (tmp_path / "server.crt").read_bytes()
    assert certificate.renew(tmp_path, NOW + timedelta(days=900)) is None
    assert (tmp_path / "server.crt").read_bytes() == before


def foreign(path: Path) -> None:
    """A certificate that signs itself, made by somebody else."""
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, "home.example")])
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(1)
        .not_valid_before(NOW - timedelta(days=1))
        .not_valid_after(NOW + timedelta(days=9))
        .sign(key, hashes.SHA256())
    )
    path.write_bytes(made.public_bytes(Encoding.PEM))


@pytest.mark.parametrize("name", ["server.crt", "household-ca.crt", "household-ca.cer"])
def test_a_certificate_of_somebody_else_is_left_as_it_is(tmp_path: Path, name: str) -> None:
    """The error names the file and says what to do."""
    foreign(tmp_path / name)
    before = {path: path.read_bytes() for path in tmp_path.iterdir()}
    with pytest.raises(CertificateError, match=rf"{name} was not made by .*; move it away"):
        certificate.make(tmp_path, NAMES, NOW, new_authority=True)
    assert {path: path.read_bytes() for path in tmp_path.iterdir()} == before


@pytest.mark.parametrize("content", [b"", b"a diary", b"-----BEGIN CERTIFICATE-----\nno\n"])
@pytest.mark.parametrize("name", ["server.crt", "server.key", "household-ca.key"])
def test_a_file_that_is_something_else_is_left_as_it_is(
    tmp_path: Path, name: str, content: bytes
) -> None:
    """Even a damaged file of ours may be all that somebody has."""
    (tmp_path / name).write_bytes(content)
    with pytest.raises(CertificateError, match="left as it is"):
        certificate.make(tmp_path, NAMES, NOW)
    assert (tmp_path / name).read_bytes() == content


def test_a_key_of_another_certificate_is_left_as_it_is(folder: Path) -> None:
    """A key that does not belong to the certificate beside it came from elsewhere."""
    key = ec.generate_private_key(ec.SECP256R1())
    content = key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    (folder / "server.key").write_bytes(content)
    with pytest.raises(CertificateError, match=r"server\.key was not made by"):
        certificate.make(folder, NAMES, NOW)
    assert (folder / "server.key").read_bytes() == content


def test_a_lost_key_of_the_authority_is_told_with_the_way_out(folder: Path) -> None:
    """Without the key there is nothing to sign with; a new authority is."""
    (folder / "household-ca.key").unlink()
    with pytest.raises(CertificateError, match=r"household-ca\.key is missing .*--new-authority"):
        certificate.make(folder, NAMES, NOW)
    made = certificate.make(folder, NAMES, NOW, new_authority=True)
    assert made.new_authority
    assert web_verifies(folder, x509.DNSName("kitchen.local"))


def test_a_name_beyond_the_authority_needs_a_new_one(folder: Path) -> None:
    """The error says so; afterwards the old authority vouches for nothing any more."""
    more = NAMES | Names.of(["pantry.local"])
    with pytest.raises(CertificateError, match=r"may not speak for pantry\.local; .*every tablet"):
        certificate.make(folder, more, NOW)
    old = (folder / "household-ca.crt").read_bytes()
    certificate.make(folder, more, NOW, new_authority=True)
    assert openssl_verifies(folder, "-verify_hostname", "pantry.local")
    (folder / "household-ca.crt").write_bytes(old)
    assert not openssl_verifies(folder, "-verify_hostname", "pantry.local")


def test_another_address_of_a_home_network_needs_no_new_authority(folder: Path) -> None:
    """Routers hand out other addresses after a while."""
    made = certificate.make(folder, NAMES | Names.of(["10.0.0.9"]), NOW)
    assert not made.new_authority
    assert openssl_verifies(folder, "-verify_ip", "10.0.0.9")


def test_a_certificate_does_not_outlive_its_authority(folder: Path) -> None:
    """RFC 5280 section 6.1 asks of every certificate of a path to be valid."""
    end = certificate.make(folder, NAMES, NOW).authority_until
    made = certificate.make(folder, NAMES, end - timedelta(days=100))
    assert made.until <= end
    with pytest.raises(CertificateError, match=r"authority has run out; .*--new-authority"):
        certificate.make(folder, NAMES, end + timedelta(days=1))


def test_a_tablet_is_given_the_authority_and_no_key(folder: Path) -> None:
    """Both forms of the same certificate; a key somebody pasted into the file stays here."""
    key = (folder / "household-ca.key").read_bytes()
    path = folder / "household-ca.crt"
    path.write_bytes(path.read_bytes() + key)
    pem = certificate.authority_file(folder, "household-ca.crt")
    der = certificate.authority_file(folder, "household-ca.cer")
    assert pem is not None
    assert der is not None
    assert b"PRIVATE" not in pem
    assert x509.load_pem_x509_certificate(pem) == x509.load_der_x509_certificate(der)
    for name in ("household-ca.key", "server.key", "server.crt", "../tls/household-ca.crt"):
        assert certificate.authority_file(folder, name) is None


def test_where_there_is_no_authority_none_is_given(tmp_path: Path) -> None:
    """Nor a certificate of somebody else under its name."""
    assert certificate.authority_file(tmp_path, "household-ca.crt") is None
    foreign(tmp_path / "household-ca.crt")
    assert certificate.authority_file(tmp_path, "household-ca.crt") is None


def test_a_folder_that_may_not_be_written_is_told_with_a_remedy() -> None:
    """Somebody ran weeksync as another user before."""
    with shared_folder() as folder:
        folder.chmod(0o555)

        def check() -> None:
            with pytest.raises(CertificateError, match=r"Permission denied\); run .* as the owner"):
                certificate.make(folder / "tls", NAMES, NOW)

        unprivileged(check)


def test_a_running_server_takes_a_renewed_certificate(folder: Path) -> None:
    """`load_cert_chain` on a context in use: new connections get the new certificate."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(folder / "server.crt", folder / "server.key")
    assert serial_shown(context) == serial_of(folder)
    before = serial_of(folder)
    certificate.make(folder, NAMES, NOW)
    context.load_cert_chain(folder / "server.crt", folder / "server.key")
    assert serial_shown(context) == serial_of(folder) != before


def serial_of(folder: Path) -> int:
    """The serial number of the certificate on the disk."""
    return x509.load_pem_x509_certificate((folder / "server.crt").read_bytes()).serial_number


def serial_shown(server: ssl.SSLContext) -> int:
    """The serial number of the certificate in a handshake with that context, in memory."""
    client = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    client.check_hostname, client.verify_mode = False, ssl.CERT_NONE
    to_server, to_client = ssl.MemoryBIO(), ssl.MemoryBIO()
    ours = client.wrap_bio(to_client, to_server)
    theirs = server.wrap_bio(to_server, to_client, server_side=True)
    for _ in range(4):
        for side in (ours, theirs):
            try:
                side.do_handshake()
            except ssl.SSLWantReadError:
                continue
    shown = ours.getpeercert(binary_form=True)
    assert shown is not None
    return x509.load_der_x509_certificate(shown).serial_number


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("Kitchen.Local.", "kitchen.local"),
        ("https://home.arpa:8427/", "home.arpa"),
        ("[fd00::1]", "fd00::1"),
        ("https://[fd00::1]:8427", "fd00::1"),
        (" 192.168.1.20 ", "192.168.1.20"),
    ],
)
def test_names_are_taken_as_people_type_them(typed: str, meant: str) -> None:
    """Case, a last dot, brackets, and whole web addresses."""
    assert Names.of([typed]).texts() == (meant,)


@pytest.mark.parametrize(
    "typed",
    ["", "my kitchen", "kitchen_pc", "-a.local", "1.2.3", "käse.local", "*.local", 64 * "a"],
)
def test_what_is_no_name_is_told_with_an_example(typed: str) -> None:
    """RFC 1123 section 2.1 says what a host name is made of."""
    with pytest.raises(UsageError, match=r"is no name of a machine; write .* as kitchen\.local"):
        Names.of([typed])


def test_the_machine_knows_its_own_home_addresses() -> None:
    """No public address and no loopback among them, and every name one that can be certified."""
    found = names_of_machine()
    assert Names.of(found.texts()) == found
    assert all(is_home(one) and not one.is_loopback for one in found.addresses)
