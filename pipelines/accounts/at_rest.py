"""Secrets of second factors as they lie in the file of accounts: sealed with a key that lies beside it.

A hash will not do: a code of the phone can be worked out from the secret alone. So it is sealed (ChaCha20-Poly1305,
RFC 8439) for its account. Who gets hold of a copy of the file of accounts, by itself or in a backup without a phrase,
learns no secret by it; who holds the whole home holds the key too.
"""

import base64
import contextlib
import os
from pathlib import Path

KEY_FILE = "second-factor.key"
KEY_BYTES, NONCE_BYTES = 32, 12
MARK = "sealed:"


def seal(accounts: Path, name: str, secret: str) -> str:
    """Return a secret as it is kept for an account; the key is made where there is none yet."""
    from cryptography.hazmat.primitives.ciphers.aead import ChaCha20Poly1305  # most commands never need it

    nonce = os.urandom(NONCE_BYTES)
    sealed = ChaCha20Poly1305(_key(accounts)).encrypt(nonce, secret.encode(), name.encode())
    return MARK + base64.b64encode(nonce + sealed).decode()


def unseal(accounts: Path, name: str, kept: str) -> str | None:
    """Return a kept secret; null where its key is not here, or it was sealed for another account."""
    from cryptography.exceptions import InvalidTag
    from cryptography.hazmat.primitives.ciphers.aead import ChaCha20Poly1305

    key = accounts.with_name(KEY_FILE)
    try:
        told = base64.b64decode(kept.removeprefix(MARK), validate=True)
        opened = ChaCha20Poly1305(key.read_bytes()).decrypt(told[:NONCE_BYTES], told[NONCE_BYTES:], name.encode())
    except (OSError, ValueError, InvalidTag):
        return None
    return opened.decode()


def _key(accounts: Path) -> bytes:
    """Return the key beside the file of accounts; of two that make it at once, the first one's counts."""
    path = accounts.with_name(KEY_FILE)
    if not path.exists():
        aside = path.with_name(f"{KEY_FILE}.{os.getpid()}.part")
        try:
            aside.touch(mode=0o600)
            aside.write_bytes(os.urandom(KEY_BYTES))
            with contextlib.suppress(FileExistsError):
                os.link(aside, path)  # whole or not at all, and never over another's
        finally:
            aside.unlink(missing_ok=True)
    return path.read_bytes()
