"""A file that only a phrase opens: encrypted a piece at a time, so that a large one needs no more memory than a small.

The key is made of the phrase by scrypt (RFC 7914; N 2^17, r 8, p 1: 128 MiB a guess) with a salt of the file's own.
Pieces are sealed with ChaCha20-Poly1305 (RFC 8439) under a counted nonce whose last byte marks the last piece, so that
none can be changed, moved or cut off unseen (the STREAM construction; Hoang, Reyhanitabar, Rogaway and Vizar, 2015).
The library is ``cryptography``; only the order of the pieces is ours. Numbers of the standards are from memory.
"""

import io
import os
import secrets
import struct
import unicodedata
from pathlib import Path
from typing import IO

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import ChaCha20Poly1305
from cryptography.hazmat.primitives.kdf.scrypt import Scrypt

from pipelines.errors import ThirdstepError

MARK = b"thirdstep-sealed-1\n"
SALT_BYTES, TAG_BYTES, PIECE_BYTES = 32, 16, 1 << 20
HEADER_BYTES = len(MARK) + SALT_BYTES
COST, BLOCK = 1 << 17, 8
LEAST_PHRASE_LENGTH = 16  # characters: a backup can be guessed at for ever, and nobody counts the tries; own choice


def is_sealed(path: Path) -> bool:
    """Return whether a file is one that a phrase opens."""
    with path.open("rb") as file:
        return file.read(len(MARK)) == MARK


def check_phrase(phrase: str) -> None:
    """Refuse a phrase that is too short to seal with."""
    if len(_folded(phrase)) < LEAST_PHRASE_LENGTH or len(set(phrase)) < 6:
        raise ThirdstepError(
            f"The phrase of a backup has at least {LEAST_PHRASE_LENGTH} characters, not {len(_folded(phrase))}: "
            "whoever holds the file can guess for ever. Five or six words do well. Nothing was written."
        )


class Sealer(io.RawIOBase):
    """A file to write to, whose pieces are sealed as they fill."""

    def __init__(self, target: IO[bytes], phrase: str) -> None:
        check_phrase(phrase)
        super().__init__()
        header = MARK + secrets.token_bytes(SALT_BYTES)
        self._cipher, self._header = _cipher(phrase, header), header
        self._target, self._number, self._held = target, 0, bytearray()
        target.write(header)

    def writable(self) -> bool:
        """Say that it can be written."""
        return True

    def write(self, content) -> int:  # type: ignore[no-untyped-def]
        """Take some bytes; full pieces are sealed. One is always held back: it may be the last."""
        self._held += content
        while len(self._held) > PIECE_BYTES:
            self._seal(bytes(self._held[:PIECE_BYTES]), is_last=False)
            del self._held[:PIECE_BYTES]
        return len(content)

    def close(self) -> None:
        """Seal the last piece. The file behind stays open."""
        if not self.closed:
            self._seal(bytes(self._held), is_last=True)
            self._held.clear()
        super().close()

    def _seal(self, piece: bytes, *, is_last: bool) -> None:
        self._target.write(self._cipher.encrypt(_nonce(self._number, is_last), piece, self._header))
        self._number += 1


def unseal(source: IO[bytes], target: IO[bytes], phrase: str, name: str) -> None:
    """Write what a sealed file holds, each piece checked before it is written.

    Args:
        source: The sealed file, from its beginning.
        target: Where it goes.
        phrase: What it was sealed with.
        name: What the file is called, for what is said of it.

    Raises:
        ThirdstepError: The phrase is another one, or the file is damaged, changed or cut off.
    """
    header = source.read(HEADER_BYTES)
    cipher, number = _cipher(phrase, header), 0
    piece = source.read(PIECE_BYTES + TAG_BYTES)
    while True:
        following = source.read(PIECE_BYTES + TAG_BYTES)
        try:
            target.write(cipher.decrypt(_nonce(number, not following), piece, header))
        except InvalidTag:
            if number:
                raise ThirdstepError(f"'{name}' was changed, damaged or cut off. Nothing was restored.") from None
            raise ThirdstepError(
                f"This phrase does not open '{name}', or its beginning was changed. Nothing was restored."
            ) from None
        if not following:
            return
        piece, number = following, number + 1


def make_private(path: Path) -> IO[bytes]:
    """Open a new file for writing that its owner alone can read, from its first byte on."""
    path.unlink(missing_ok=True)
    return os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb")


def _cipher(phrase: str, header: bytes) -> ChaCha20Poly1305:
    kdf = Scrypt(salt=header[len(MARK) :], length=32, n=COST, r=BLOCK, p=1)
    return ChaCha20Poly1305(kdf.derive(_folded(phrase).encode()))


def _folded(phrase: str) -> str:
    return unicodedata.normalize("NFKC", phrase.strip())


def _nonce(number: int, is_last: bool) -> bytes:
    return bytes(3) + struct.pack(">Q?", number, is_last)
