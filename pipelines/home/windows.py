"""Who may read a folder on Windows: asked of icacls, which comes with every Windows, and set by it.

Written by the documentation of icacls, whoami and of access lists as text (SDDL), and held against answers as they are
printed there; on a Windows machine it has not been run. So it refuses nothing where it gets no answer: what could not
be asked is said by ``thirdstep verify``.
"""

import re
import subprocess
from collections.abc import Callable, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory

# Who reads whatever the access list says: the system, administrators, and the owner of a thing under its own names.
ALWAYS = frozenset({"SY", "BA", "OW", "CO", "S-1-5-18", "S-1-5-32-544", "S-1-3-4", "S-1-3-0"})
LONGEST_S = 20.0
_SID = re.compile(r"S-1-[0-9-]+")
_ENTRY = re.compile(r"\((\w+);([^;]*);([^;]*);[^;]*;[^;]*;([^;)]*)[^)]*\)")

Run = Callable[[Sequence[str]], bytes | None]


def ask(command: Sequence[str]) -> bytes | None:
    """Run a command of the system and return what it prints; null where it is not there or fails."""
    try:
        done = subprocess.run(list(command), capture_output=True, check=False, timeout=LONGEST_S)
    except (OSError, subprocess.SubprocessError):
        return None
    return done.stdout if done.returncode == 0 else None


def own_sid(run: Run = ask) -> str | None:
    """Return the security identifier of who runs this; null where the system does not tell."""
    told = run(["whoami", "/user", "/fo", "csv", "/nh"])
    found = _SID.search(told.decode("utf-8", errors="replace")) if told else None
    return found.group() if found else None


def other_readers(root: Path, run: Run = ask) -> list[str] | None:
    """Return who else may do anything in a folder, by security identifier; null where it cannot be asked.

    ``icacls /save`` writes the access list as text that is the same in every language of the system.
    """
    mine = own_sid(run)
    if mine is None:
        return None
    with TemporaryDirectory() as held:
        kept = Path(held) / "list.txt"
        if run(["icacls", str(root), "/save", str(kept)]) is None or not kept.exists():
            return None
        text = kept.read_bytes().decode("utf-16-le", errors="replace")
    return allowed_others(text, mine)


def allowed_others(text: str, mine: str) -> list[str] | None:
    """Return who an access list lets in beside its owner, the system and administrators; null where it is none."""
    lists = re.findall(r"D:[A-Z]*((?:\([^)]*\))*)", text)
    if not lists:
        return None
    entries = _ENTRY.findall(lists[-1])
    found = {who for kind, _, rights, who in entries if kind.endswith("A") and rights and who not in {*ALWAYS, mine}}
    return sorted(found)


def close(root: Path, run: Run = ask) -> bool:
    """Let who runs this and the system in, and nobody else; return whether icacls did so."""
    mine = own_sid(run)
    if mine is None:
        return False
    grant = [f"*{who}:(OI)(CI)F" for who in (mine, "S-1-5-18")]
    return run(["icacls", str(root), "/inheritance:r", "/grant:r", *grant]) is not None
