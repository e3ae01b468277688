"""Signs the checksums of a release, and tells who has signed them, with ``ssh-keygen`` of OpenSSH (8.1 or later).

Source: ssh-keygen(1), ``-Y sign``, ``-Y find-principals`` and ``-Y verify``, and its section ALLOWED SIGNERS.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from pathlib import Path

from sporeproof.findings import plain
from sporeproof.release.refusals import ReleaseError

PROGRAM = "ssh-keygen"
# A signature for something else is none for a release.
NAMESPACE = "sporeproof-data"
MOST_BYTES = 64 * 1024
PATIENCE = 60
PASSED_ON = ("PATH", "SSH_AUTH_SOCK", "SYSTEMROOT")


def sign(sums: bytes, key: Path) -> bytes:
    """Return a signature of some checksums with a private SSH key; raises :class:`ReleaseError`.

    A key with a passphrase needs an SSH agent that knows it; nobody is asked.
    """
    if not key.is_file():
        raise ReleaseError(f"{key}: there is no such key. Give the file of a private SSH key.")
    done = _run(["-Y", "sign", "-f", str(key.absolute()), "-n", NAMESPACE], sums)
    if done.returncode or not done.stdout.startswith(b"-----BEGIN SSH SIGNATURE-----"):
        said = _said(done)
        if "passphrase" in said:
            raise ReleaseError(
                f"{key} has a passphrase, and no SSH agent that knows the key is there. Add it to one with `ssh-add`, "
                "then sign again."
            )
        raise ReleaseError(f"{key} cannot sign: {said}. Give the file of a private SSH key.")
    return done.stdout


def signer_of(sums: bytes, signature: bytes, allowed_signers: Path, identity: str = "") -> str:
    """Return who of those allowed signed some checksums; raises :class:`ReleaseError` where nobody of them did.

    ``allowed_signers`` is a file of OpenSSH's form; ``identity`` is whose signature it must be, empty for
    anybody there.
    """
    if not allowed_signers.is_file():
        raise ReleaseError(
            f"{allowed_signers}: there is no such file. Give a file of those whose signatures you trust."
        )
    if not identity.isprintable():
        raise ReleaseError("The identity holds signs that cannot be seen. Give it as it stands in the file of signers.")
    if len(signature) > MOST_BYTES:
        raise ReleaseError("The signature is far longer than any is. Do not use the package.")
    with tempfile.TemporaryDirectory() as folder:
        beside = Path(folder, "signature")
        beside.write_bytes(signature)
        given = ["-s", str(beside), "-f", str(allowed_signers.absolute())]
        who = identity or _principal(given, allowed_signers)
        done = _run(["-Y", "verify", *given, "-n", NAMESPACE, "-I", who], sums)
    if done.returncode:
        raise ReleaseError(_why_not(_said(done), who, allowed_signers))
    return who


def _principal(given: list[str], allowed_signers: Path) -> str:
    done = _run(["-Y", "find-principals", *given], b"")
    found = done.stdout.decode("utf-8", "replace").splitlines()
    if done.returncode or not found:
        raise ReleaseError(_why_not(_said(done), "", allowed_signers))
    # One line names all that the key stands for; patterns are no names.
    return found[0].split(",")[0]


def _why_not(said: str, who: str, allowed_signers: Path) -> str:
    if "namespace" in said:
        return f"The signature was made for something else than a release ({said}). Do not use the package."
    if "parse" in said or "invalid format" in said or "armor" in said:
        return f"The signature cannot be read as one ({said}). Do not use the package."
    if "incorrect signature" in said:
        return f"The signature was not made for these checksums ({said}). Do not use the package."
    whom = f"{who}, whom {allowed_signers} allows" if who else f"anybody whom {allowed_signers} allows"
    return f"The signature is not one of {whom} ({said}). Do not use the package."


def _run(arguments: list[str], given: bytes) -> subprocess.CompletedProcess[bytes]:
    program = shutil.which(PROGRAM)
    if program is None:
        raise ReleaseError(f"{PROGRAM} is not here: signatures need OpenSSH 8.1 or later. Install it, then try again.")
    passed_on = {name: os.environ[name] for name in PASSED_ON if name in os.environ}
    env = {**passed_on, "LC_ALL": "C", "SSH_ASKPASS_REQUIRE": "never"}
    try:
        # In a session of its own it has no terminal to ask for a passphrase.
        return subprocess.run(  # noqa: S603
            [program, *arguments],
            input=given,
            capture_output=True,
            timeout=PATIENCE,
            env=env,
            start_new_session=True,
            check=False,
        )
    except subprocess.TimeoutExpired as error:
        raise ReleaseError(f"{PROGRAM} gave no answer within {PATIENCE} seconds. Try again.") from error
    except OSError as error:
        raise ReleaseError(f"{PROGRAM} cannot be run: {error.strerror}. Install OpenSSH anew.") from error


def _said(done: subprocess.CompletedProcess[bytes]) -> str:
    text = " ".join((done.stderr or done.stdout).decode("utf-8", "replace").split())
    return plain(text)[:300].rstrip(".") or f"{PROGRAM} gave no reason"
