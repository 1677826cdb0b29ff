"""The agency's key, and the pseudonyms it makes: the same person, vehicle or report under one name over months."""

from __future__ import annotations

import base64
import hashlib
import hmac
import os
import secrets
from dataclasses import dataclass, field
from pathlib import Path

from qa_audit.errors import DiskError, SettingsError

SHORTEST_KEY = 32
PSEUDONYM_LENGTH = 10


@dataclass(frozen=True)
class Key:
    """The bytes of a key file, trimmed; never printed."""

    secret: bytes = field(repr=False)

    @classmethod
    def load(cls, path: Path) -> Key:
        """Read a key file; raises `SettingsError` when it is not one line of at least 32 characters."""
        try:
            secret = path.read_bytes().strip()
        except FileNotFoundError:
            raise SettingsError(
                f"{path}: there is no key file here; name one with --key-file or in the settings."
            ) from None
        except OSError as fault:
            raise DiskError(f"{path}: the key file cannot be read ({fault.strerror}); check its permissions.") from None
        if len(secret) < SHORTEST_KEY or b"\n" in secret or b"\r" in secret:
            raise SettingsError(
                f"{path}: the key file holds {len(secret)} characters in {len(secret.splitlines())} line(s); one line"
                f" of at least {SHORTEST_KEY} characters is allowed: take the file the agency's months were made with."
            )
        return cls(secret)

    @property
    def fingerprint(self) -> str:
        """Return what tells one key from another and does not give it away."""
        return hashlib.sha256(b"qa-audit key:" + self.secret).hexdigest()[:16]

    def pseudonym(self, letter: str, value: str) -> str:
        """Return `letter-XXXXXXXXXX` for a value, which is trimmed and lower-cased first."""
        message = f"{letter}:{value.strip().lower()}".encode()
        digest = hmac.new(self.secret, message, hashlib.sha256).digest()
        return f"{letter}-{base64.b32encode(digest).decode()[:PSEUDONYM_LENGTH]}"


def create_key(path: Path) -> Key:
    """Make a key file that only its owner can read; raises `DiskError` when it cannot be written."""
    secret = secrets.token_urlsafe(SHORTEST_KEY).encode()
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "wb") as file:
            file.write(secret + b"\n")
    except FileExistsError:
        raise SettingsError(
            f"{path}: a key file is here already and is never overwritten; use it or choose another path."
        ) from None
    except OSError as fault:
        raise DiskError(f"{path}: the key file cannot be written ({fault.strerror}); check the folder.") from None
    return Key(secret)
