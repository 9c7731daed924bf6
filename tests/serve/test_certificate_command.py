"""`weeksync certificate`, as typed."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes

from weeksync.cli.run import run
from weeksync.demo import copy_to
from weeksync.workflow import Context
from weeksync.workflow.certificate import renew_certificate

NOW = "2027-03-24T09:00:00Z"


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A household folder of one's own."""
    return copy_to(tmp_path / "home")


def make(home: Path, *options: str, now: str = NOW) -> int:
    """Run the command; its exit status."""
    return run(["certificate", "--household", str(home), "--now", now, *options])


def names(home: Path) -> list[str]:
    """The host names of the certificate."""
    held = x509.load_pem_x509_certificate((home / "state/tls/server.crt").read_bytes())
    found = held.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    return found.get_values_for_type(x509.DNSName)


def test_it_says_the_fingerprint_the_settings_and_the_steps(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Everything a person needs stands in the terminal, for each kind of device."""
    assert make(home, "--name", "kitchen.local", "--name", "192.168.7.20") == 0
    said = capsys.readouterr().out
    held = x509.load_pem_x509_certificate((home / "state/tls/household-ca.crt").read_bytes())
    shown = re.search(r"^  ((?:[0-9A-F]{2}:){31}[0-9A-F]{2})$", said, re.M)
    assert shown is not None
    assert bytes.fromhex(shown[1].replace(":", "")) == held.fingerprint(hashes.SHA256())
    assert '  host = "0.0.0.0"\n  address = "https://kitchen.local:8427"\n' in said
    assert '  certificate = "state/tls/server.crt"\n' in said
    assert '  certificate_key = "state/tls/server.key"\n' in said
    assert "https://kitchen.local:8427/household-ca.crt" in said
    for device in ("Android", "iPad", "Firefox", "Chromium", "Windows", "macOS"):
        assert device in said
    assert names(home) == ["kitchen.local", "localhost"]


def test_the_settings_it_prints_can_be_put_into_config_toml(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """They are TOML, and the files they name are there."""
    make(home, "--name", "kitchen.local")
    config = home / "config.toml"
    config.write_text(config.read_text() + "\n[serve]\n" + settings(capsys.readouterr().out))
    serve = Context.read(home, datetime(2027, 3, 24, tzinfo=UTC)).config.serve
    assert serve.address == "https://kitchen.local:8427"
    assert (home / serve.certificate).is_file()
    assert (home / serve.certificate_key).is_file()


def settings(said: str) -> str:
    """The lines for config.toml in what the command said."""
    return "\n".join(line.strip() for line in said.splitlines() if " = " in line) + "\n"


def test_without_names_it_holds_for_the_home_address(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The address that tablets write comes first, and is what the settings keep."""
    config = home / "config.toml"
    config.write_text(config.read_text() + '\n[serve]\naddress = "https://home.arpa:9000"\n')
    assert make(home) == 0
    assert names(home)[0] == "home.arpa"
    assert "localhost" in names(home)
    assert "https://home.arpa" in capsys.readouterr().out


def test_a_second_run_without_names_keeps_them(home: Path) -> None:
    """Renewing by hand does not need the names again, and no new authority."""
    make(home, "--name", "kitchen.local")
    authority = (home / "state/tls/household-ca.crt").read_bytes()
    assert make(home, now="2027-06-01T09:00:00Z") == 0
    assert "kitchen.local" in names(home)
    assert (home / "state/tls/household-ca.crt").read_bytes() == authority


def test_a_wrong_name_and_a_refused_one_end_with_their_own_status(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Wrong use is 2; where the authority may not speak for the name, nothing was done: 3."""
    assert make(home, "--name", "kitchen_pc") == 2
    assert not (home / "state/tls").exists()
    make(home, "--name", "kitchen.local")
    assert make(home, "--name", "pantry.local") == 3
    assert "--new-authority" in capsys.readouterr().err
    assert make(home, "--new-authority", "--name", "pantry.local") == 0
    assert names(home) == ["pantry.local", "localhost"]


def test_serving_renews_only_the_certificate_that_is_served(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A household that serves a certificate from elsewhere keeps it, to the day and after it."""
    make(home, "--name", "kitchen.local")
    said = settings(capsys.readouterr().out)
    late = datetime(2027, 3, 24, 9, tzinfo=UTC) + timedelta(days=380)
    assert renew_certificate(Context.read(home, late)) is None
    config = home / "config.toml"
    config.write_text(config.read_text() + "\n[serve]\n" + said)
    early = late - timedelta(days=60)
    assert renew_certificate(Context.read(home, early)) is None
    assert renew_certificate(Context.read(home, late)) == late + timedelta(days=396)
    assert renew_certificate(Context.read(home, late)) is None
