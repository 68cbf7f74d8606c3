"""Secrets handed out: 256 random bits, of which only the SHA-256 is stored.

A fast hash is enough for a secret that nobody chose: there is nothing to guess from a list.
"""

import hashlib
import secrets

BITS = 256


def new_token() -> str:
    """A fresh secret, safe in a web address and in a cookie."""
    return secrets.token_urlsafe(BITS // 8)


def digest(token: str) -> str:
    """What is stored in place of the secret: 64 hexadecimal digits."""
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()


def new_key(prefix: str) -> str:
    """A key for a person or a device, such as 'device.1f9a0c3b5d7e2468'."""
    return f"{prefix}.{secrets.token_hex(8)}"
