"""One squad's record as files that its task reads, in its own home; taken away again when the task is done.

Beside the tables lies a list of what they are: rows and SHA-256 of each, the day looked from, who may be shared. A task
that finds other bytes than the list says does not go on.
"""

import hashlib
import io
import json
import re
import secrets
import shutil
import tomllib
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from pathlib import Path

import polars as pl

from pipelines.board import fingerprints
from pipelines.board.building import settings_print
from pipelines.board.entry_days import entry_days
from pipelines.errors import ThirdstepError
from pipelines.federation.share import consents_on
from pipelines.home.durable import write_durably
from pipelines.home.folder import Home
from pipelines.home.settings import read_settings
from pipelines.home.trouble import plain_words
from pipelines.record import opening, warehouse
from pipelines.record.sources import journal
from schemas.records import RECORDS

FORMAT = 1  # of the exported files; another one is refused by name
MEMBERSHIP, SECRET = "federation.toml", "federation-secret.txt"
LIST = "list.json"
KEY = re.compile(r"[a-z0-9][a-z0-9-]{1,39}")


class Torn(ThirdstepError):  # noqa: N818 - a state of files
    """Files of a squad are not what their list says; the squad is left out and named."""


@dataclass(frozen=True)
class Exported:
    """What an export is: of which squad, made under what, and what its files hold."""

    format: int
    squad: str
    print: str  # of all that its rows follow from
    as_of: str
    columns: dict[str, list[str]]  # of each record table, as this version has them
    tables: dict[str, tuple[int, str]]  # rows, SHA-256

    def to_json(self) -> bytes:
        """Return it as the text of the list."""
        return json.dumps(asdict(self), indent=1, sort_keys=True).encode()


def join(home: Home, key: str) -> None:
    """Say which squad of a federation a home is, and give it a secret for pseudonyms where it has none.

    Raises:
        ThirdstepError: The key is none, or the home is another squad already.
    """
    if not KEY.fullmatch(key):
        raise ThirdstepError(
            f"'{key}' cannot be a squad's key: two to forty small letters, digits and hyphens, such as 'coldmere-u20'."
        )
    opening.prepare(home)
    told = home.root / MEMBERSHIP
    if told.exists() and squad_of(home) != key:
        raise ThirdstepError(
            f"'{home.root}' is squad '{squad_of(home)}' already. What it shared stands under that key; "
            f"take '{told}' away to begin anew under another."
        )
    with plain_words(told):
        write_durably(told, f'squad = "{key}"\n'.encode(), mode=0o600)
        if not (home.root / SECRET).exists():
            write_durably(home.root / SECRET, secrets.token_hex(32).encode(), mode=0o600)


def squad_of(home: Home) -> str:
    """Return the key of the squad that a home is.

    Raises:
        ThirdstepError: It is none, or its file is not as it should be.
    """
    path = home.root / MEMBERSHIP
    if not path.exists():
        raise ThirdstepError(
            f"'{home.root}' belongs to no federation. Say which squad it is: "
            f"thirdstep --home {home.root} federation join KEY"
        )
    try:
        key = str(tomllib.loads(path.read_text(encoding="utf-8"))["squad"])
    except (KeyError, UnicodeDecodeError, tomllib.TOMLDecodeError) as trouble:
        raise ThirdstepError(f"'{path}' does not say which squad this is. It should read: squad = \"KEY\"") from trouble
    if not KEY.fullmatch(key):
        raise ThirdstepError(f"'{path}' says squad '{key}', which cannot be a key: small letters, digits and hyphens.")
    return key


def secret_of(home: Home) -> bytes:
    """Return the secret that a home's pseudonyms are made with.

    Raises:
        ThirdstepError: It is missing: pseudonyms made with another would make new people of the same.
    """
    path = home.root / SECRET
    told = path.read_text(encoding="ascii", errors="replace").strip() if path.exists() else ""
    if not re.fullmatch(r"[0-9a-f]{64}", told):
        raise ThirdstepError(
            f"The secret of squad '{squad_of(home)}' is missing or damaged ({path}). Bring it back from where the home "
            f"is kept safe, or take '{MEMBERSHIP}' away and join again: its people then get new pseudonyms."
        )
    return bytes.fromhex(told)


def squads_of(homes: Iterable[Home]) -> dict[str, Home]:
    """Return homes by the key of their squad.

    Raises:
        ThirdstepError: Two homes have the same key. Nothing has been read of them yet.
    """
    found: dict[str, Home] = {}
    for home in homes:
        key = squad_of(home)
        if key in found:
            raise ThirdstepError(
                f"Two homes are squad '{key}': '{found[key].root}' and '{home.root}'. Nothing was derived. "
                f"Leave one out, or give one another key in its '{MEMBERSHIP}'."
            )
        found[key] = home
    return found


def state_of(home: Home) -> tuple[str, pl.DataFrame]:
    """Return a fingerprint of all that a home's shared rows follow from but the code, and who may be shared today."""
    settings = read_settings(home.settings)
    as_of = opening.looking_from(settings)
    with opening.record(home, to_look=True) as con:
        # A demo looks from a frozen day; a consent taken back today counts today all the same.
        may = consents_on(warehouse.table(con, "consent"), max(as_of, opening.now().date()))
        head = journal.head(home.sources)
    secret = hashlib.sha256(secret_of(home)).hexdigest()
    return fingerprints.of_text(FORMAT, head, settings_print(home), as_of, fingerprints.of_table(may), secret), may


def export(home: Home) -> Exported:
    """Write a home's record for its task. What lay there before is taken away first."""
    squad = squad_of(home)
    now, may = state_of(home)
    folder = home.federation / "export"
    shutil.rmtree(folder, ignore_errors=True)
    settings = read_settings(home.settings)
    with opening.record(home, to_look=True) as con:
        frames = {**warehouse.record_frames(con), "entry_day": entry_days(con), "may_share": may}
    tables = {}
    with plain_words(folder):
        for name, frame in frames.items():
            tables[name] = (frame.height, write_table(folder / f"{name}.parquet", frame))
        as_of = opening.looking_from(settings).isoformat()
        told = Exported(FORMAT, squad, now, as_of, _columns(), tables)
        write_durably(folder / LIST, told.to_json())
    return told


def read_export(folder: Path) -> tuple[Exported, dict[str, pl.DataFrame]]:
    """Return an export and its tables.

    Raises:
        Torn: A file is missing, cut off or not what the list says.
        ThirdstepError: It was made by a version whose record has other columns.
    """
    try:
        told = Exported(**json.loads((folder / LIST).read_bytes()))
    except (OSError, ValueError, TypeError) as trouble:
        raise Torn(f"its list of exported tables ({folder / LIST}) is missing or cut off. Run it again.") from trouble
    if told.format != FORMAT or told.columns != _columns():
        raise ThirdstepError(_other_version(told))
    return told, {name: read_table(folder / f"{name}.parquet", sha) for name, (_, sha) in told.tables.items()}


def _other_version(told: Exported) -> str:
    own = _columns()
    names = [n for n in sorted({*own, *told.columns}) if own.get(n) != told.columns.get(n)]
    first = names[0] if names else "its list"
    odd = sorted(set(told.columns.get(first, [])) ^ set(own.get(first, [])))
    what = f"table '{first}' differs ({', '.join(odd) or 'other order'})" if names else f"its format is {told.format}"
    return (
        f"its home was exported by another version of thirdstep: {what}. Bring both machines to the same version, "
        "then run it again."
    )


def write_table(path: Path, frame: pl.DataFrame) -> str:
    """Write a table whole or not at all; return the SHA-256 of its bytes."""
    out = io.BytesIO()
    frame.write_parquet(out, compression="zstd")
    write_durably(path, out.getvalue())
    return hashlib.sha256(out.getvalue()).hexdigest()


def read_table(path: Path, sha256: str) -> pl.DataFrame:
    """Return a table.

    Raises:
        Torn: Its bytes are not those that were written.
    """
    content = path.read_bytes() if path.exists() else b""
    if hashlib.sha256(content).hexdigest() != sha256:
        state = "is missing" if not content else "is cut off or damaged"
        raise Torn(f"its table '{path.stem}' {state} ({path}). The other squads went on; run it again.")
    return pl.read_parquet(io.BytesIO(content), hive_partitioning=False)


def _columns() -> dict[str, list[str]]:
    return {
        name: [f"{column}: {kind}" for column, kind in model.to_schema().types.items()]
        for name, model in RECORDS.items()
    }
