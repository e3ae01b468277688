"""Who signed a release: with throw-away keys that OpenSSH's own program makes."""

from __future__ import annotations

import shutil
import subprocess

import pytest

from sporeproof.release import signature as room
from sporeproof.release.refusals import ReleaseError
from sporeproof.release.signature import sign, signer_of

pytestmark = pytest.mark.skipif(shutil.which("ssh-keygen") is None, reason="ssh-keygen of OpenSSH is not installed")
SUMS = b"0" * 64 + b"  csv/taxa.csv\n"
WHO = "release@fernhollow.example"


@pytest.fixture(scope="module")
def keys(tmp_path_factory):
    """Two keys, one of them allowed, and one with a passphrase."""
    folder = tmp_path_factory.mktemp("keys")
    for name, phrase in (("one", ""), ("other", ""), ("locked", "fern")):
        made = ["ssh-keygen", "-q", "-t", "ed25519", "-N", phrase, "-C", name, "-f", str(folder / name)]
        subprocess.run(made, check=True, timeout=60)
    (folder / "allowed").write_text(f"{WHO} {(folder / 'one.pub').read_text()}")
    (folder / "others").write_text(f"{WHO} {(folder / 'other.pub').read_text()}")
    return folder


@pytest.fixture(scope="module")
def signed(keys) -> bytes:
    return sign(SUMS, keys / "one")


@pytest.fixture(autouse=True)
def no_agent(monkeypatch):
    monkeypatch.delenv("SSH_AUTH_SOCK", raising=False)


def refused(call, *given) -> str:
    with pytest.raises(ReleaseError) as caught:
        call(*given)
    text = str(caught.value)
    assert text.endswith(".")
    assert "\n" not in text
    return text


def test_a_signature_tells_who_signed(keys, signed):
    assert signer_of(SUMS, signed, keys / "allowed", WHO) == WHO
    assert signer_of(SUMS, signed, keys / "allowed") == WHO


def test_openssh_itself_takes_the_signature(keys, signed, tmp_path):
    """By ssh-keygen(1), as anybody would check it without this program."""
    (tmp_path / "sig").write_bytes(signed)
    asked = ["ssh-keygen", "-Y", "verify", "-f", str(keys / "allowed"), "-I", WHO, "-n", "sporeproof-data"]
    done = subprocess.run([*asked, "-s", str(tmp_path / "sig")], input=SUMS, capture_output=True, timeout=60)
    assert done.returncode == 0


def test_other_checksums_are_not_signed(keys, signed):
    assert "not made for these checksums" in refused(signer_of, SUMS + b" ", signed, keys / "allowed", WHO)
    assert "not made for these checksums" in refused(signer_of, SUMS + b" ", signed, keys / "allowed")


def test_a_signer_whom_nobody_allowed_is_refused(keys, signed):
    assert "is not one of" in refused(signer_of, SUMS, signed, keys / "others")
    assert "is not one of" in refused(signer_of, SUMS, signed, keys / "others", WHO)
    assert "somebody@fernhollow.example, whom" in refused(
        signer_of, SUMS, signed, keys / "allowed", "somebody@fernhollow.example"
    )


def test_a_signature_for_something_else_is_refused(keys, monkeypatch):
    monkeypatch.setattr(room, "NAMESPACE", "file")
    other = sign(SUMS, keys / "one")
    monkeypatch.undo()
    assert "for something else" in refused(signer_of, SUMS, other, keys / "allowed", WHO)


@pytest.mark.parametrize("bytes_", [b"", b"bad", b"\xff" * 100, b"-----BEGIN SSH SIGNATURE-----\nAAAA\n"])
def test_what_is_no_signature_is_refused(keys, bytes_):
    assert "Do not use the package" in refused(signer_of, SUMS, bytes_, keys / "allowed", WHO)
    assert "Do not use the package" in refused(signer_of, SUMS, bytes_, keys / "allowed")


def test_every_cut_or_changed_signature_is_refused(keys, signed):
    body = signed.index(b"\n") + 20
    for other in (signed[: len(signed) // 2], signed[:body] + bytes([signed[body] ^ 1]) + signed[body + 1 :]):
        refused(signer_of, SUMS, other, keys / "allowed", WHO)
    assert "far longer" in refused(signer_of, SUMS, signed * 1000, keys / "allowed", WHO)


def test_a_key_with_a_passphrase_and_no_agent_is_told(keys):
    assert "has a passphrase" in refused(sign, SUMS, keys / "locked")


def test_what_is_no_key_is_told(keys, tmp_path):
    assert "there is no such key" in refused(sign, SUMS, tmp_path / "nowhere")
    (tmp_path / "key").write_bytes(b"no key")
    (tmp_path / "key").chmod(0o600)
    assert "cannot sign" in refused(sign, SUMS, tmp_path / "key")


def test_signers_that_are_not_there_are_told(signed, tmp_path):
    assert "there is no such file" in refused(signer_of, SUMS, signed, tmp_path / "nowhere", WHO)


def test_a_missing_program_is_told(keys, signed, monkeypatch, tmp_path):
    monkeypatch.setenv("PATH", str(tmp_path))
    assert "ssh-keygen is not here" in refused(sign, SUMS, keys / "one")
    assert "ssh-keygen is not here" in refused(signer_of, SUMS, signed, keys / "allowed", WHO)


def test_nothing_is_put_into_a_shell(keys, signed):
    refused(signer_of, SUMS, signed, keys / "allowed", f"{WHO}; touch {keys / 'harm'}")
    refused(signer_of, SUMS, signed, keys / "allowed", "a\nb")
    assert not (keys / "harm").exists()
