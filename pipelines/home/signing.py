"""The key with which a home signs its backups (Ed25519, RFC 8032). It never leaves the home, not even in a backup."""

from dataclasses import dataclass
from pathlib import Path

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ed25519

from pipelines.home.durable import move_durably
from pipelines.home.sealing import make_private

KEY = "backup-key.pem"


@dataclass(frozen=True)
class Signature:
    """What stands beside what was signed: the signature, the public key, both in hexadecimal digits."""

    signature: str
    public_key: str


def sign(root: Path, content: bytes) -> Signature:
    """Sign some bytes with a home's key, which is made the first time."""
    key = _key(root)
    return Signature(key.sign(content).hex(), key.public_key().public_bytes_raw().hex())


def own_fingerprint(root: Path) -> str | None:
    """Return the fingerprint of a home's key; null where it has none yet."""
    return fingerprint(_key(root).public_key().public_bytes_raw().hex()) if (root / KEY).exists() else None


def fingerprint(public_key: str) -> str:
    """Return what people compare of a public key: the first half of its SHA-256, in groups of four digits."""
    digest = hashes.Hash(hashes.SHA256())
    digest.update(bytes.fromhex(public_key))
    told = digest.finalize().hex()[:32]
    return " ".join(told[place : place + 4] for place in range(0, 32, 4))


def is_of(content: bytes, told: Signature) -> bool:
    """Return whether some bytes are what a signature was made of."""
    try:
        key = ed25519.Ed25519PublicKey.from_public_bytes(bytes.fromhex(told.public_key))
        key.verify(bytes.fromhex(told.signature), content)
    except (InvalidSignature, ValueError):
        return False
    return True


def _key(root: Path) -> ed25519.Ed25519PrivateKey:
    path = root / KEY
    if path.exists():
        key = serialization.load_pem_private_key(path.read_bytes(), password=None)
        if isinstance(key, ed25519.Ed25519PrivateKey):
            return key
    key = ed25519.Ed25519PrivateKey.generate()
    aside = path.with_suffix(".part")
    with make_private(aside) as file:
        file.write(
            key.private_bytes(
                serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
            )
        )
    move_durably(aside, path)
    return key
