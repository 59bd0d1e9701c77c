"""People become pseudonyms before anything is stored: a keyed hash with a secret made on first run.

In: a platform's raw identifiers. Out: text that says nothing about the person without the secret. This file must never
store or log what comes in.
"""

import hashlib
import hmac
import os
import secrets
from contextlib import suppress
from pathlib import Path

from core.errors import StoreUnusable

SECRET_BYTES = 32
DIRECT = "direct"
"""Community name of private conversations."""


def pseudonym(secret: bytes, community: str, person: str) -> str:
    """Return 128 bits of HMAC-SHA-256 (RFC 2104, FIPS 180-4) as hex; another community sees another pseudonym."""
    message = f"{len(community)}:{community}:{person}".encode()
    return hmac.new(secret, message, hashlib.sha256).hexdigest()[:32]


def fingerprint(secret: bytes) -> str:
    """Return what tells one secret from another without telling either; safe to keep beside the pseudonyms."""
    return hmac.new(secret, b"fingerprint", hashlib.sha256).hexdigest()


def load_secret(path: Path) -> bytes:
    """Return the secret at ``path``, making it (readable by its owner only) where there is none.

    Raises:
        StoreUnusable: The file cannot be made or read, or is not a secret of ours.
    """
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        if not path.exists():
            _make(path)
    except OSError as error:
        raise StoreUnusable("secret_unusable", path=str(path), why=error.strerror or str(error)) from error
    return _read(path)


def _make(path: Path) -> None:
    unfinished = path.with_name(f".{path.name}.{secrets.token_hex(8)}")
    handle = os.open(unfinished, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    try:
        with os.fdopen(handle, "w", encoding="ascii") as file:
            file.write(secrets.token_bytes(SECRET_BYTES).hex())
            file.flush()
            os.fsync(file.fileno())
        # A link never replaces: of two processes that start together one makes the secret and both read it, whole.
        with suppress(FileExistsError):
            os.link(unfinished, path)
    finally:
        unfinished.unlink()


def _read(path: Path) -> bytes:
    try:
        secret = bytes.fromhex(path.read_text(encoding="ascii"))
    except OSError as error:
        raise StoreUnusable("secret_unusable", path=str(path), why=error.strerror or str(error)) from error
    except ValueError as error:
        raise StoreUnusable("secret_damaged", path=str(path)) from error
    if len(secret) != SECRET_BYTES:
        raise StoreUnusable("secret_damaged", path=str(path))
    return secret
