"""A department's day by the command line: TLS, one server a folder, backup, restore, the trail."""

from __future__ import annotations

import re
import ssl
import subprocess
import sys
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from ipaddress import IPv4Address
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID

COMMAND = [sys.executable, "-m", "couchside"]


@pytest.fixture(scope="module")
def certificate(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """A certificate for 127.0.0.1 that vouches for itself, and its key."""
    folder = tmp_path_factory.mktemp("tls")
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "couchside test")])
    now = datetime.now(UTC)
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(minutes=5))
        .not_valid_after(now + timedelta(days=1))
        .add_extension(
            x509.SubjectAlternativeName([x509.IPAddress(IPv4Address("127.0.0.1"))]), critical=False
        )
        .sign(key, hashes.SHA256())
    )
    paths = folder / "cert.pem", folder / "key.pem"
    paths[0].write_bytes(made.public_bytes(serialization.Encoding.PEM))
    paths[1].write_bytes(
        key.private_bytes(
            serialization.Encoding.PEM,
            serialization.PrivateFormat.PKCS8,
            serialization.NoEncryption(),
        )
    )
    return paths


def test_a_day_over_tls_with_backup_restore_and_the_trail(
    tmp_path: Path, certificate: tuple[Path, Path]
) -> None:
    data, archive, restored = tmp_path / "data", tmp_path / "backup.zip", tmp_path / "restored"
    cert, key = certificate
    tls = ["--tls-cert", str(cert), "--tls-key", str(key)]
    with serving("--data", str(data), *tls) as address:
        assert address.startswith("https://127.0.0.1:")
        trusting = ssl.create_default_context(cafile=str(cert))
        with urllib.request.urlopen(f"{address}/api/health", context=trusting) as answer:  # noqa: S310
            assert answer.headers["strict-transport-security"]
        with pytest.raises(urllib.error.URLError, match="CERTIFICATE_VERIFY_FAILED"):
            urllib.request.urlopen(f"{address}/api/health", context=ssl.create_default_context())  # noqa: S310
        second = run("serve", "--data", str(data), "--port", "0")
        assert second.returncode == 4
        assert "serves" in second.stderr
        assert "already" in second.stderr
        backed_up = run("backup", str(archive), "--data", str(data))
    assert backed_up.returncode == 0, backed_up.stderr
    noted = re.findall(r"[0-9a-f]{64}", backed_up.stdout)[-1]
    assert run("restore", str(archive), "--into", str(restored)).returncode == 0
    verified = run("audit", "verify", "--data", str(restored), "--noted", noted)
    assert (verified.returncode, "the chain holds" in verified.stdout) == (0, True)


def test_other_machines_are_served_over_tls_alone(tmp_path: Path) -> None:
    refused = run("serve", "--host", "198.51.100.7", "--data", str(tmp_path / "data"))
    assert refused.returncode == 2
    assert "--tls-cert" in refused.stderr
    assert "--behind-proxy" in refused.stderr
    assert not (tmp_path / "data").exists()


def test_a_mistake_in_the_single_sign_on_file_keeps_the_server_from_starting(
    tmp_path: Path,
) -> None:
    (tmp_path / "single-sign-on.toml").write_text('issuer = "http://evil.example"')
    refused = run("serve", "--port", "0", "--data", str(tmp_path))
    assert refused.returncode == 2
    assert "single-sign-on.toml: client_id is missing" in refused.stderr


@contextmanager
def serving(*arguments: str) -> Iterator[str]:
    command = [*COMMAND, "serve", "--port", "0", *arguments]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        try:
            for line in process.stdout or ():
                if found := re.search(r"https?://\S+?:\d+", line):
                    yield found.group()
                    break
        finally:
            process.terminate()


def run(*arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([*COMMAND, *arguments], capture_output=True, text=True, check=False)
