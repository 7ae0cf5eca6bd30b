"""Pass-phrases: which are good enough, how they are hashed, how one is held against its hash.

Kept as argon2id hashes (argon2-cffi's defaults, RFC 9106 low-memory profile). Two spellings of one text are one phrase:
NFKC, as NIST SP 800-63B advises (from memory), so that a phrase typed on a phone is the one typed on a laptop.
"""

import secrets
import unicodedata

from argon2 import PasswordHasher
from argon2.exceptions import VerificationError

from pipelines.errors import ThirdstepError

LEAST_PASSPHRASE_LENGTH = 12  # characters; length over composition, after NIST SP 800-63B (from memory)
LONGEST_PASSPHRASE = 256  # characters; own choice
LEAST_GUESSES_LOG10 = 8.0  # below that many tries (10^8) zxcvbn's lists and patterns find it; own choice
CHARACTERS_JUDGED = 72  # of a phrase; longer ones only take longer
ADVICE = "Three or four words of your own do well."

_hasher = PasswordHasher()
# Checked for unknown names too, so that a wrong name takes as long as a wrong pass-phrase.
_nobody_hash = _hasher.hash(secrets.token_urlsafe(16))


def hashed(name: str, passphrase: str) -> str:
    """Return the hash of a pass-phrase that is good enough.

    Raises:
        ThirdstepError: It is too short or too long, on the lists of what is guessed first, or the name itself.
    """
    told = _folded(passphrase)
    if len(told) < LEAST_PASSPHRASE_LENGTH:
        raise ThirdstepError(
            f"A pass-phrase has at least {LEAST_PASSPHRASE_LENGTH} characters; this one has {len(told)}. {ADVICE}"
        )
    if len(told) > LONGEST_PASSPHRASE:
        raise ThirdstepError(
            f"A pass-phrase has at most {LONGEST_PASSPHRASE} characters; this one has {len(told)}. {ADVICE}"
        )
    if told.strip().lower() == name or len(set(told)) < 4 or _is_guessed(told, name):
        raise ThirdstepError(
            f"That pass-phrase is too easy to guess: it, or what it is made of, stands on lists that are tried first. "
            f"{ADVICE}"
        )
    return _hasher.hash(told)


def matches(passphrase_hash: str | None, passphrase: str) -> bool:
    """Return whether a pass-phrase is the one of a hash; without a hash it takes as long and is not."""
    told = _folded(passphrase)
    for one in dict.fromkeys((told, passphrase)):  # as it was typed: hashes from before phrases were folded
        try:
            return _hasher.verify(passphrase_hash or _nobody_hash, one) and bool(passphrase_hash)
        except VerificationError:
            continue
    return False


def _folded(passphrase: str) -> str:
    return unicodedata.normalize("NFKC", passphrase)


def _is_guessed(told: str, name: str) -> bool:
    from zxcvbn import zxcvbn  # its lists take their time: only where a phrase is set

    judged = zxcvbn(told[:CHARACTERS_JUDGED], user_inputs=[name, *name.split("-"), "thirdstep", "sprint", "coach"])
    return float(judged["guesses_log10"]) < LEAST_GUESSES_LOG10
