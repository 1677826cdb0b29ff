"""The invented key of the sample months, and the pseudonyms that it makes of their ids."""

from __future__ import annotations

import base64
import hashlib
import hmac

KEY = "invented-key-of-Ostrel-Sound-for-the-samples-only-never-use-it-for-real-reports"
"""The line of `demo.key`; it hides nothing, because it is published."""


def pseudonym(letter: str, value: str) -> str:
    """Return the pseudonym of an id under the demo key.

    Written a second time on purpose, from the published form (HMAC-SHA256, base32, 10 characters): the samples then
    check the reading of files from outside. A test holds the two together.
    """
    message = f"{letter}:{value.strip().lower()}".encode()
    digest = hmac.new(KEY.encode(), message, hashlib.sha256).digest()
    return f"{letter}-{base64.b32encode(digest).decode()[:10]}"
