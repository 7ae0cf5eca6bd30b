"""The shared tables of all squads, as Delta tables in one folder, and the pointer to the version of each in force.

A table is committed by itself, so between two commits the tables are not of one run. Readers therefore take the
versions that ``current`` names; it is exchanged whole, after the last commit. Then what no version in force holds is
taken away for good: erasing a person, or a squad, is replacing and vacuuming.
"""

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path
from urllib.parse import unquote, urlparse

import polars as pl
import pyarrow as pa
from deltalake import DeltaTable, WriterProperties, write_deltalake
from deltalake.exceptions import DeltaError

from pipelines.errors import ThirdstepError
from pipelines.home.durable import make_folder, write_durably
from pipelines.home.telling import Tell, tell_nothing
from pipelines.home.trouble import plain_words
from schemas.shared import SHARED

POINTER = "current"
SQUADS_A_COMMIT = 50  # what they share is in memory at once; own choice
# Least and greatest value of a column would stand in the log for ever, and a pseudonym among them: none is kept.
NO_STATISTICS = {"delta.dataSkippingNumIndexedCols": "0"}
Frames = Mapping[str, pl.DataFrame]


@dataclass(frozen=True)
class Current:
    """Which version of each table is in force, and what each squad's rows were made from."""

    number: int = 0
    versions: dict[str, int] = field(default_factory=dict)
    squads: dict[str, dict[str, str]] = field(default_factory=dict)  # key -> print, code


class Lake:
    """The shared tables of a federation."""

    def __init__(self, root: Path) -> None:
        self.root = root

    def current(self) -> Current:
        """Return what is in force; of a lake that holds nothing yet, nothing.

        Raises:
            ThirdstepError: The pointer is damaged.
        """
        path = self.root / POINTER
        if not path.exists():
            return Current()
        try:
            return Current(**json.loads(path.read_bytes()))
        except (ValueError, TypeError) as trouble:
            raise ThirdstepError(
                f"'{path}' is damaged, so nobody knows which versions hold. Take the folder '{self.root}' away and run "
                "it again: the squads still have all that they share."
            ) from trouble

    def publish(
        self,
        fresh: Iterator[tuple[str, Frames]],
        squads: Mapping[str, dict[str, str]],
        gone: Sequence[str] = (),
        tell: Tell = tell_nothing,
    ) -> Current:
        """Put squads' rows in place of those they had, take others out, exchange the pointer, and take away the old.

        Args:
            fresh: Each squad's key and shared tables, one by one.
            squads: Of every squad that is in the lake from now on, what its rows were made from.
            gone: Squads to take out.
            tell: Is told how far it is.
        """
        with plain_words(self.root):
            make_folder(self.root)
            try:
                return self._publish(fresh, squads, gone, tell)
            except DeltaError as trouble:
                first = str(trouble).strip().splitlines()[0]
                if "No space left" in first or "os error 28" in first:
                    raise ThirdstepError(
                        f"The disk is full: '{self.root}' could not be written. What was published before stays in "
                        "force. Make room and run it again."
                    ) from trouble
                raise ThirdstepError(
                    f"'{self.root}' could not be written: {first}. What was published before stays in force."
                ) from trouble

    def _publish(
        self, fresh: Iterator[tuple[str, Frames]], squads: Mapping[str, dict[str, str]], gone: Sequence[str], tell: Tell
    ) -> Current:
        tables = {name: self._opened(name) for name in SHARED}
        if gone:
            for table in tables.values():
                table.delete(_among(gone))
        some: list[tuple[str, Frames]] = []
        total = len(squads)
        for done, one in enumerate(fresh):
            tell(done, total, one[0])
            some.append(one)
            if len(some) == SQUADS_A_COMMIT:
                self._replace(some)
                some = []
        if some:
            self._replace(some)
        versions = {name: DeltaTable(str(self.root / name)).version() for name in SHARED}
        now = Current(self.current().number + 1, versions, dict(sorted(squads.items())))
        write_durably(self.root / POINTER, json.dumps(asdict(now), indent=1).encode())
        self.vacuum()
        tell(total, total, "")
        return now

    def _opened(self, name: str) -> DeltaTable:
        schema = _arrow(pl.DataFrame(schema=SHARED[name].to_schema().types)).schema
        return DeltaTable.create(
            str(self.root / name), schema=schema, mode="ignore", partition_by=["squad"], configuration=NO_STATISTICS
        )

    def _replace(self, some: Sequence[tuple[str, Frames]]) -> None:
        """Replace some squads' rows in every table; a run that is stopped and begun again does the same once more."""
        keys = [key for key, _ in some]
        for name in SHARED:
            rows = _arrow(pl.concat([frames[name] for _, frames in some]))
            write_deltalake(
                str(self.root / name), rows, mode="overwrite", predicate=_among(keys), partition_by=["squad"],
                writer_properties=WriterProperties(compression="ZSTD"), configuration=NO_STATISTICS,
            )  # fmt: skip

    def vacuum(self) -> int:
        """Take away for good every file that no version in force names; return how many.

        Who still reads an older version meets a missing file and reads the pointer again.
        """
        count = 0
        for name in SHARED:
            table = DeltaTable(str(self.root / name))
            gone = table.vacuum(retention_hours=0, dry_run=False, enforce_retention_duration=False, full=True)
            count += len(gone)
        return count

    def files(self, name: str) -> list[str]:
        """Return the paths of the files that the version in force of a table consists of."""
        version = self.current().versions[name]
        return [_path(uri) for uri in DeltaTable(str(self.root / name), version=version).file_uris()]

    def read(self, name: str) -> pl.DataFrame:
        """Return a table as it is in force, in the order of its key."""
        model = SHARED[name]
        files = self.files(name)
        if not files:
            return pl.DataFrame(schema=model.to_schema().types)
        frame = pl.concat(
            [pl.read_parquet(one, hive_partitioning=True, hive_schema={"squad": pl.String}) for one in files]
        )
        columns = model.to_schema().types
        return frame.select([pl.col(c).cast(kind) for c, kind in columns.items()]).sort(model.Config.metadata["key"])


def _among(keys: Sequence[str]) -> str:
    """Return a condition on squads; keys are small letters, digits and hyphens, so nothing in them needs quoting."""
    return "squad in ({})".format(", ".join(f"'{key}'" for key in keys))


def _arrow(frame: pl.DataFrame) -> pa.Table:
    """Return a frame with plain strings, which every engine reads."""
    table = frame.to_arrow()
    plain = [
        pa.field(one.name, pa.string() if frame.schema[one.name] == pl.String else one.type) for one in table.schema
    ]
    return table.cast(pa.schema(plain))


def _path(uri: str) -> str:
    parsed = urlparse(uri)
    return unquote(parsed.path) if parsed.scheme == "file" else uri
