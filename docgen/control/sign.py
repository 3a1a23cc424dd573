"""Signatures of records: a detached SSH signature (format SSHSIG, from ssh-keygen) that a stranger verifies with a public tool.

    ssh-keygen -Y verify -f allowed_signers -I NAME -n docgen -s A-0001.json.sig < A-0001.json

The key never comes in here: the program of the system reads it, asks for its passphrase at the terminal or takes an agent's.
"""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

from docgen.errors import Refusal

__all__ = ["NAMESPACE", "Signer", "fits"]

PROGRAM = "ssh-keygen"
#: What the signatures are for, so that none of them is good for anything else.
NAMESPACE = "docgen"


def fits(fingerprint: str, data: bytes, signature: Path) -> bool:
    """Whether a signature is one of the key with that fingerprint over these bytes; true where no program here can tell.

    Whose key that is, a list of signers says, which is the reader's own.
    """
    program = shutil.which(PROGRAM)
    if program is None:
        return True
    words = [program, "-Y", "check-novalidate", "-n", NAMESPACE, "-s", str(signature)]
    done = subprocess.run(words, input=data, capture_output=True, check=False)
    return not done.returncode and fingerprint in done.stdout.decode("utf-8", "replace").split()


class Signer:
    """Signs with one key. Refusal where there is no such key, or no program that can sign."""

    def __init__(self, key: Path) -> None:
        if not key.is_file():
            raise Refusal("key-unreadable", file=str(key), reason="-")
        self._key = key
        said = self._run(["-l", "-f", str(key)]).decode("utf-8", "replace").split()
        found = next((word for word in said if word.startswith("SHA256:")), None)
        if found is None:
            raise Refusal("key-unreadable", file=str(key), reason=" ".join(said) or "-")
        #: `SHA256:` and 43 signs, as `ssh-keygen -l` prints it.
        self.fingerprint = found

    def signature(self, data: bytes) -> bytes:
        """The detached signature of some bytes, as text in PEM form."""
        return self._run(["-Y", "sign", "-q", "-n", NAMESPACE, "-f", str(self._key)], data)

    def _run(self, arguments: list[str], data: bytes | None = None) -> bytes:
        program = shutil.which(PROGRAM)
        if program is None:
            raise Refusal("no-signing-program", program=PROGRAM)
        done = subprocess.run([program, *arguments], input=data, capture_output=True, check=False)
        if done.returncode:
            told = done.stderr.decode("utf-8", "replace").strip().splitlines()
            raise Refusal("key-unreadable", file=str(self._key), reason=told[-1] if told else str(done.returncode))
        return done.stdout
